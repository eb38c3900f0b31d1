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
        "knock-while-running": "present",
        "breaker-trips-at-once": "absent",
        "suction-superheat": "low",
        "oil-burnt": "unknown",  # of the oil's smell nothing was said
        "burning-smell": "absent",
        "acid-test-positive": "unknown",
    }
    found = {m["finding"]: m for m in (*answer["result"]["matches"], *answer["result"]["candidates"])}
    assert found["sump-cold-running"]["words"] == [{"text": "shell ice cold", "start": 0, "end": 14}]
    assert [w["text"] for w in found["burning-smell"]["negation"]] == ["no"]
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
    text = "shell ice cold, knocking, breaker held"
    result = ask(client, {"text": text})["result"]
    assert "sump-cold-running" in {c["finding"] for c in result["candidates"]}
    assert all(c["score"] < result["threshold"] for c in result["candidates"])


def test_a_normal_has_its_own_words(client: TestClient) -> None:
    found = next(m for m in ask(client, {"text": "oil clear"})["result"]["matches"] if m["finding"] == "oil-clear")
    assert (found["finding"], found["text"]) == ("oil-clear", "Oil clear to pale straw, no smell")
    matches = ask(client, {"text": "maybe oil clear"})["result"]["matches"]
    found = next(m for m in matches if m["finding"] == "oil-clear")
    assert found["text"].endswith(": unknown")
    assert found["unknown_because"] == "doubtful"


def test_what_was_matched_can_go_into_a_diagnosis(client: TestClient) -> None:
    matches = ask(client, {"text": "scroll wraps shattered, oil clear, shell ice cold, acid test not done"})["result"][
        "matches"
    ]
    findings = [{"finding": m["finding"], "state": m["state"]} for m in matches]
    response = client.post("/v1/diagnosis", json={"findings": findings, "reported_by": ["note"]})
    assert response.status_code == 200, response.text


def test_readings_go_into_a_diagnosis_as_they_stand(client: TestClient) -> None:
    text = "SH 8 K, suction 60 psig, L1 18 L2 17 L3 19 amps, 0.4 megohm to ground, 12 starts per hour, ratio 3.2"
    readings = ask(client, {"text": text})["result"]["readings"]
    told = {name: value for name, value in readings.items() if value is not None}
    assert told["suction_superheat"] == {"value": 8, "unit": "K", "uncertainty": None}
    assert told["suction_pressure"]["unit"] == "kPaa"
    assert told["suction_pressure"]["value"] == pytest.approx(60 * 6.894757 + 101.325, rel=1e-6)
    assert [line["value"] for line in told["line_currents"]] == [18, 17, 19]
    assert told["starts_per_hour"] == 12
    response = client.post("/v1/diagnosis", json={"readings": readings})
    assert response.status_code == 200, response.text


def test_a_reading_that_no_diagnosis_takes_is_left_out(client: TestClient) -> None:
    readings = ask(client, {"text": "compression ratio 80, superheat 900 K, 5000 starts per hour"})["result"][
        "readings"
    ]
    assert {name for name, value in readings.items() if value is not None} == set()


def test_the_same_note_gives_the_same_bytes(client: TestClient) -> None:
    body = EXAMPLES["shorthand of a job note"]
    one, other = (client.post("/v1/findings/match", json=body).content for _ in range(2))
    assert one == other


@pytest.mark.parametrize("text", ["", " ", "x" * LONGEST, "😀" * 5000, "\u200e\u200f", "oil black " * 2000])
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


@pytest.mark.parametrize("mark", ["\x00", "\x07", "\x1b"])
def test_a_raw_control_character_is_refused(client: TestClient, mark: str) -> None:
    raw = '{"text": "oil ' + mark + ' black"}'
    response = client.post("/v1/findings/match", content=raw, headers={"content-type": "application/json"})
    assert response.status_code == 400


def test_danger_comes_first_whatever_else_the_note_says(client: TestClient) -> None:
    result = ask(client, EXAMPLES["danger to people"])["result"]
    assert result["safety"][0]["rule"] == "leave-the-room-gas"
    assert {"refrigerant-smell", "people-unwell"} <= states({"result": result}).keys()
    assert result["call_back"] is None
    assert {"urgency", "speaker"} <= {fact["kind"] for fact in result["facts"]}


def test_alarm_words_without_a_danger_say_call_back(client: TestClient) -> None:
    result = ask(client, {"text": "Es riecht nach Gas im Keller, mir ist schwindlig"})["result"]
    assert result["language"] == {"name": "German", "read": False}
    assert result["call_back"]["reason"] == "danger words of a language that is not read"
    assert [w["text"] for w in result["call_back"]["words"]] == ["riecht nach Gas", "schwindlig"]
    assert result["verdict"] == "nothing matched"


def test_who_wrote_what_nobody_understood_is_asked_again(client: TestClient) -> None:
    """The worst wrong answer: an empty list that reads as if the note told nothing."""
    lost = ask(client, {"text": "the whatsit by the thingy again"})["result"]
    assert (lost["verdict"], lost["call_back"]) == ("nothing matched", None)
    assert lost["ask_again"] == "Nothing in the note was understood."
    assert ask(client, {"text": "oil black and burnt"})["result"]["ask_again"] == ""
    assert ask(client, {"text": "please send me the invoice of last month"})["result"]["ask_again"] == ""


def test_the_machine_beside_the_text_decides_what_can_be_meant(client: TestClient) -> None:
    text = "scroll wraps shattered, oil black"
    assert states(ask(client, {"text": text})) == {"wraps-shattered": "present", "oil-burnt": "present"}
    answer = ask(client, {"text": text, "machine": {"compressor": "screw"}})
    assert states(answer) == {"oil-burnt": "present"}
    (aside,) = [c for c in answer["result"]["candidates"] if c["set_aside"]]
    assert (aside["finding"], aside["set_aside"]) == ("wraps-shattered", "only where compressor: scroll")


def test_the_facts_of_a_note_are_shown_with_their_words(client: TestClient) -> None:
    result = ask(client, {"text": "R-448A semi-hermetic, 41 000 h, compressor replaced two weeks ago"})["result"]
    found = {fact["kind"]: fact for fact in result["facts"]}
    assert found["refrigerant"]["value"] == "R-448A"
    assert found["construction"]["value"] == "semi-hermetic"
    assert found["running hours"]["time"] == {"value": 41000, "unit": "h", "uncertainty": None}
    assert found["replaced"]["time"] == {"value": 14, "unit": "d", "uncertainty": None}
    assert found["replaced"]["words"]["text"] == "two weeks"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("contactor burnt last year", "history"),
        ("the other unit has a burnt contactor", "other machine"),
        ("if the contactor is burnt call us", "advice or condition"),
        ("Unit 1 contactor not burnt. Unit 2 runs", "unclear"),
    ],
)
def test_why_a_state_is_unknown_is_said(client: TestClient, text: str, why: str) -> None:
    (found,) = [m for m in ask(client, {"text": text})["result"]["matches"] if m["finding"] == "contactor-bad"]
    assert (found["state"], found["unknown_because"]) == ("unknown", why)


def test_no_word_of_a_note_is_logged(client: TestClient, capsys: pytest.CaptureFixture[str]) -> None:
    ask(client, {"text": "zebrafinch contactor burnt, quokka smoke"})
    out = capsys.readouterr()
    assert not {"zebrafinch", "quokka", "contactor"} & set((out.out + out.err).lower().replace('"', " ").split())
