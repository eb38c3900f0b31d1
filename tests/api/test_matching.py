import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.openapi import examples
from witnessmark.diagnosis.notes.matching import LONGEST

EXAMPLES = {name: example["value"] for name, example in examples()["match_findings"].items()}


def ask(client: TestClient, body: dict[str, Any]) -> Any:
    response = client.post("/v1/findings/match", json=body)
    assert response.status_code == 200, response.text
    return response.json()


def states(answer: Any) -> dict[str, str]:
    return {m["finding"]: m["state"] for m in answer["result"]["matches"]}


def test_shorthand_becomes_findings_with_the_words_that_matched(client: TestClient) -> None:
    answer = ask(client, EXAMPLES["shorthand of a job note"])
    assert states(answer) == {
        "sump-cold-running": "present",
        "knock-while-running": "present",
        "breaker-trips-at-once": "absent",
        "suction-superheat": "low",
        "oil-burnt": "absent",
        "acid-test-positive": "unknown",
    }
    found = {m["finding"]: m for m in answer["result"]["matches"]}
    assert found["sump-cold-running"]["words"] == [{"text": "shell ice cold", "start": 0, "end": 14}]
    assert [w["text"] for w in found["oil-burnt"]["negation"]] == ["no"]
    assert found["acid-test-positive"]["unknown_because"] == "not checked"
    assert found["suction-superheat"]["number"]["value"] == {"value": 2, "unit": "K", "uncertainty": None}
    assert found["suction-superheat"]["text"].startswith("Suction superheat at the compressor below 5 K")
    assert answer["result"]["verdict"] == "something matched"
    assert {"licensed", "match-is-a-proposal"} <= {c["id"] for c in answer["cautions"]}


def test_numbers_contradictions_and_alarms(client: TestClient) -> None:
    answer = ask(client, EXAMPLES["readings and a contradiction"])
    result = answer["result"]
    numbers = {m["finding"]: m["number"]["value"] for m in result["matches"] if m["number"]}
    assert numbers["discharge-temperature-high"]["unit"] == "degF"
    assert numbers["discharge-temperature-high"]["value"] == pytest.approx(262)
    assert numbers["running-current"]["value"] == pytest.approx(8 / 21)
    assert numbers["insulation-low"] == {"value": 0.4, "unit": "megohm", "uncertainty": None}
    assert result["contradictory"] == ["knock-while-running"]
    (alarm,) = [one for one in result["safety"] if one["rule"] == "do-not-re-energise"]
    assert "energise" in alarm["forbids"]
    assert alarm["because"] == ["insulation-low"]
    assert "terminal-venting" in {c["id"] for c in answer["cautions"]}


def test_nothing_is_read_from_something_else_and_that_is_said(client: TestClient) -> None:
    result = ask(client, EXAMPLES["nothing to do with it"])["result"]
    assert (result["matches"], result["candidates"], result["safety"]) == ([], [], [])
    assert result["verdict"] == "nothing matched"
    assert [w["text"] for w in result["unmatched"]] == [EXAMPLES["nothing to do with it"]["text"]]


def test_below_the_threshold_it_says_so(client: TestClient) -> None:
    text = "Contactor, as far as anybody could tell me today over the phone, pitted"
    result = ask(client, {"text": text})["result"]
    assert result["verdict"] == "only candidates below the threshold"
    assert [c["finding"] for c in result["candidates"]] == ["contactor-bad"]
    assert all(c["score"] < result["threshold"] for c in result["candidates"])


def test_a_normal_has_its_own_words(client: TestClient) -> None:
    (found,) = ask(client, {"text": "oil clear"})["result"]["matches"]
    assert (found["finding"], found["text"]) == ("oil-clear", "Oil clear to pale straw, no smell")
    (found,) = ask(client, {"text": "maybe oil clear"})["result"]["matches"]
    assert found["text"].endswith(": unknown")
    assert found["unknown_because"] == "doubtful"


def test_what_was_matched_can_go_into_a_diagnosis(client: TestClient) -> None:
    matches = ask(client, {"text": "scroll wraps shattered, oil clear, shell ice cold, acid test not done"})["result"][
        "matches"
    ]
    findings = [{"finding": m["finding"], "state": m["state"]} for m in matches]
    response = client.post("/v1/diagnosis", json={"findings": findings, "reported_by": ["note"]})
    assert response.status_code == 200, response.text


def test_the_same_note_gives_the_same_bytes(client: TestClient) -> None:
    body = EXAMPLES["shorthand of a job note"]
    one, other = (client.post("/v1/findings/match", json=body).content for _ in range(2))
    assert one == other


@pytest.mark.parametrize("text", ["", " ", "x" * LONGEST, "😀" * 5000, "\x00\u202e", "oil black " * 2000])
def test_odd_notes_are_answered(client: TestClient, text: str) -> None:
    ask(client, {"text": text})


@pytest.mark.parametrize(
    ("body", "status", "pointer"),
    [
        ({"text": "x" * (LONGEST + 1)}, 422, "#/text"),
        ({"text": 5}, 422, "#/text"),
        ({}, 422, "#/text"),
        ({"text": "oil black", "language": "fr"}, 422, "#/language"),
    ],
)
def test_bad_input_names_its_field(client: TestClient, body: dict[str, Any], status: int, pointer: str) -> None:
    response = client.post("/v1/findings/match", json=body)
    assert response.status_code == status
    assert pointer in [error["pointer"] for error in response.json()["errors"]]


def test_half_a_surrogate_pair_is_no_json(client: TestClient) -> None:
    raw = json.dumps({"text": "oil \ud800 black"})
    response = client.post("/v1/findings/match", content=raw, headers={"content-type": "application/json"})
    assert response.status_code == 400
