import json
import time
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.openapi import examples
from witnessmark.api.routes.dispatch import AT_ONCE, LENGTHS
from witnessmark.api.schemas.dispatch import LONGEST_NOTE, MOST_CALLS
from witnessmark.diagnosis.catalogue.knowledge import knowledge

BUSY = {
    "reference": "job 4711",
    "urgency": "food-at-risk",
    "refrigerant": "R-448A",
    "machine": {"compressor": "reciprocating", "construction": "semi-hermetic", "phases": "three-phase"},
    "note": "walk-in at -5, compressor knocking, trips on oil pressure, foaming glass, condenser dirty, "
    "oil black, breaker trips at once, smell of burning, no smoke",
    "findings": [{"finding": key, "state": "present"} for key in ("charge-short", "high-hours", "capacity-low")],
}


def ask(client: TestClient, body: dict[str, Any]) -> list[Any]:
    response = client.post("/v1/dispatch", json=body)
    assert response.status_code == 200, response.text
    calls: list[Any] = response.json()["result"]["calls"]
    return calls


def one(client: TestClient, body: dict[str, Any]) -> Any:
    (answer,) = ask(client, body)
    assert answer["problem"] is None
    return answer["outcome"]


def test_one_call(client: TestClient) -> None:
    (answer,) = ask(client, BUSY)
    assert answer["reference"] == "job 4711"
    outcome = answer["outcome"]
    assert (outcome["priority"]["level"], outcome["priority"]["kind"]) == (1, "danger")
    assert outcome["operation"]["advice"] == "stop"
    assert "burning-smell" in [match["finding"] for match in outcome["matched"]]
    assert "do-not-re-energise" in outcome["safety"] or "sparks-or-burning-smell" in outcome["safety"]
    assert outcome["time_on_site"]["unit"] == "min"
    assert outcome["for_caller"][0].startswith("Sparks or a burning smell")
    assert all(set(entry) == {"id", "words"} for key in ("skills", "tools", "ask") for entry in outcome[key])
    assert all(set(part) == {"id", "words", "when"} for part in outcome["parts"])


def test_an_empty_call_is_planned_work_with_questions(client: TestClient) -> None:
    outcome = one(client, {})
    assert outcome["priority"]["level"] == 8
    assert outcome["operation"]["advice"] == "unknown"
    assert outcome["safety"] == []
    assert outcome["ask"][0]["id"] == "anybody-in-danger"


def test_the_same_priority_stands_in_the_diagnosis(client: TestClient) -> None:
    body = {key: BUSY[key] for key in ("urgency", "machine", "findings", "refrigerant")}
    diagnosis = client.post("/v1/diagnosis", json=body).json()["result"]
    outcome = one(client, body)
    assert diagnosis["dispatch"]["priority"] == outcome["priority"]
    assert diagnosis["operation"] == outcome["operation"]


def test_a_bad_call_harms_no_other(client: TestClient) -> None:
    calls: list[Any] = [
        {"reference": "good", "note": "knocking"},
        {"reference": "bad id", "findings": [{"finding": "oil-brunt", "state": "present"}]},
        7,
        {"reference": 7},
        {"reference": "out of range", "readings": {"running_current": {"value": -3, "unit": "A"}}},
        {"reference": "x" * 200},
        {"reference": "centrifugal", "machine": {"compressor": "centrifugal"}},
        {"reference": "unlike", "machine": {"application": "low-temperature"},
         "circumstances": {"equipment": "medium-temperature"}},
        {"reference": "also good"},
    ]  # fmt: skip
    answers = ask(client, {"calls": calls})
    assert [answer["outcome"] is not None for answer in answers] == [True, *[False] * 7, True]
    assert [answer["reference"] for answer in answers] == [
        "good", "bad id", None, None, "out of range", None, "centrifugal", "unlike", "also good",
    ]  # fmt: skip
    pointers = [answer["problem"]["errors"][0]["pointer"] for answer in answers if answer["problem"]]
    assert pointers == [
        "#/calls/1/findings/0/finding", "#/calls/2", "#/calls/3/reference", "#/calls/4/readings/running_current",
        "#/calls/5/reference", "#/calls/6/machine/compressor", "#/calls/7/machine/application",
    ]  # fmt: skip
    kinds = [answer["problem"]["type"] for answer in answers if answer["problem"]]
    assert kinds == [f"/problems/{kind}" for kind in (
        "unusable-input", "invalid-input", "invalid-input", "out-of-range", "invalid-input", "unusable-input",
        "conflict",
    )]  # fmt: skip
    assert "oil-burnt" in answers[1]["problem"]["errors"][0]["detail"]


def test_a_bad_single_call_is_refused_as_anywhere(client: TestClient) -> None:
    response = client.post("/v1/dispatch", json={"findings": [{"finding": "oil-brunt", "state": "present"}]})
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/findings/0/finding"
    assert client.post("/v1/dispatch", json={"note": "x" * (LONGEST_NOTE + 1)}).status_code == 422
    assert client.post("/v1/dispatch", json={"calls": [{}] * (MOST_CALLS + 1)}).status_code == 422


WRONG_BESIDE: list[dict[str, Any]] = [
    {"machine": {"compressor": "centrifugal"}},
    {"findings": [{"finding": "oil-brunt", "state": "present"}]},
    {"refrigerant": "R-999"},
    {"readings": {"suction_pressure": {"value": 1, "unit": "psi"}}},
    {"no such field": 1},
]


@pytest.mark.parametrize("wrong", WRONG_BESIDE)
def test_a_wrong_field_silences_no_danger(client: TestClient, wrong: dict[str, Any]) -> None:
    answer = ask(client, {"calls": [{"reference": "a", "note": "smoke from the panel", **wrong}]})[0]
    assert answer["problem"]["status"] == 422
    assert answer["reference"] == "a"
    assert (answer["outcome"]["operation"]["advice"], answer["outcome"]["priority"]["level"]) == ("stop", 1)


def test_a_note_is_answered_beside_what_the_knowledge_does_not_cover(client: TestClient) -> None:
    answer = ask(client, {"note": "smoke from the chiller", "machine": {"compressor": "centrifugal"}})[0]
    assert answer["problem"]["errors"][0]["pointer"] == "#/machine/compressor"
    assert answer["outcome"]["priority"]["level"] == 1


def test_a_note_that_is_none_leaves_the_problem_alone(client: TestClient) -> None:
    answers = ask(client, {"calls": [{"note": 7}, {"note": "x" * (LONGEST_NOTE + 1)}, {"note": "\u0007smoke"}]})
    assert [a["outcome"] for a in answers] == [None, None, None]
    assert all(a["problem"] for a in answers)


def test_one_call_or_many_but_not_both(client: TestClient) -> None:
    response = client.post("/v1/dispatch", json={"note": "knocking", "calls": [{}]})
    assert response.status_code == 422
    assert "one call, or calls" in response.text
    site = {"altitude": {"value": 500, "unit": "m"}}
    assert len(ask(client, {"calls": [{}], "site": site, "report_in": "IP"})) == 1


def test_a_list_answers_as_the_calls_alone_do(client: TestClient) -> None:
    """More than go into one piece of work, in their order."""
    calls = [{"reference": str(k), "note": ("knocking", "no cooling", "")[k % 3]} for k in range(AT_ONCE + 3)]
    answers = ask(client, {"calls": calls})
    assert [answer["reference"] for answer in answers] == [str(k) for k in range(AT_ONCE + 3)]
    assert answers[:3] == [ask(client, call)[0] for call in calls[:3]]


def test_gauge_readings_of_a_call_count_from_its_site(client: TestClient) -> None:
    readings = {"running": True, "suction_pressure": {"value": 5, "unit": "barg"},
                "discharge_pressure": {"value": 20, "unit": "barg"}}  # fmt: skip
    response = client.post("/v1/dispatch", json={"calls": [{"refrigerant": "R-410A", "readings": readings}]})
    assert any("sea level" in line for line in response.json()["assumptions"])
    assert response.json()["result"]["calls"][0]["outcome"]["operation"]["advice"] == "keep-running"


@pytest.mark.parametrize("found", [12, 40])
def test_an_answer_is_short(client: TestClient, found: int) -> None:
    general = [key for key, row in knowledge().findings.items() if not row.applies.parts and row.kind == "yes-no"]
    note = "smell of gas, somebody dizzy, smoke and sparks, " + str(BUSY["note"])
    body = BUSY | {"note": note, "findings": [{"finding": key, "state": "present"} for key in general[:found]]}
    (answer,) = ask(client, body)
    assert len(json.dumps(answer, separators=(",", ":"), ensure_ascii=False).encode()) < 4096
    assert all(len(match["words"]) <= LENGTHS[0].words for match in answer["outcome"]["matched"])
    typical = client.post("/v1/dispatch", json={"note": "no cooling, condenser dirty", "urgency": "comfort"})
    assert len(typical.content) < 4096


DANGERS = (
    "gas leak, people dizzy, breaker trips at once, hospital",
    "smell of gas in the shop, two people dizzy, compressor burnt smell, sparks at the panel, ammonia plant",
    "fire at the unit, smoke, someone got a shock, worker locked in freezer",
    "breaker trips, burnt smell, bang then dead, oil black, freezer down",
)


@pytest.mark.parametrize("language", ["en", "es", "pt"])
@pytest.mark.parametrize("note", DANGERS)
def test_danger_of_many_words_is_short_too_and_no_word_to_the_caller_is_lost(
    client: TestClient, note: str, language: str
) -> None:
    body = {"note": note, "language": language, "urgency": "medical", "refrigerant": "R-32"}
    response = client.post("/v1/dispatch", json=body)
    assert len(response.content) < 4096
    outcome = response.json()["result"]["calls"][0]["outcome"]
    assert outcome["for_caller"]
    assert outcome["safety"]
    assert len(outcome["matched"]) >= 2
    assert "Accept-Language" in response.headers["vary"]


def test_it_takes_its_time_and_no_more(client: TestClient) -> None:
    """Processor time, on whatever machine the tests run: a fifth of a second for what takes a hundredth."""
    calls = [BUSY | {"note": note} for note in ("knocking", "no cooling", "breaker trips at once", "low on gas")] * 5
    ask(client, {"calls": calls})
    started = time.process_time()
    ask(client, {"calls": calls})
    assert (time.process_time() - started) / len(calls) < 0.2


def test_every_example_is_answered_without_a_problem(client: TestClient) -> None:
    for example in examples()["dispatch"].values():
        assert all(answer["problem"] is None for answer in ask(client, example["value"]))


def test_one_value_of_three_lines_is_no_reading_and_harms_nothing(client: TestClient) -> None:
    """Worst: "on two legs" ends the request, and with it the other calls of the list."""
    note = "Two-stage scroll on the roof running on two legs since the storm, hums and it is loud"
    assert one(client, {"note": note})["priority"]["level"] <= 7
    assert client.post("/v1/findings/match", json={"text": note}).status_code == 200


def test_readings_in_a_note_are_evidence_and_those_of_the_call_outweigh_them(client: TestClient) -> None:
    note = "R-410A split, suction 8.1 bar, suction line 4 C, discharge 30 bar, discharge line 55 C."
    wet = one(client, {"note": note})
    assert wet["operation"]["because"] == ["discharge-superheat-low"]
    hot = {"discharge_temperature": {"value": 80.0, "unit": "degC"}}
    assert one(client, {"note": note, "readings": hot})["operation"]["advice"] != "stop"


@pytest.mark.parametrize(
    ("readings", "advice", "kind"),
    [
        ({"suction_pressure": 130, "discharge_pressure": 700}, "stop", "danger"),
        ({"suction_pressure": 900, "discharge_pressure": 900}, "stop", "danger"),
        ({"suction_pressure": 380, "discharge_pressure": 130}, "unknown", "comfort"),
        ({"suction_pressure": -6, "discharge_pressure": 250}, "stop", "spreading-damage"),
        ({"suction_pressure": 130, "discharge_pressure": 380}, "keep-running", "planned-work"),
    ],
)
def test_gauges_that_must_stop_a_machine_or_cannot_be_right(
    client: TestClient, readings: dict[str, float], advice: str, kind: str
) -> None:
    """Worst: 700 psig on R-410A is planned work, `let it run`. A note with the same numbers says the same."""
    stated = {name: {"value": value, "unit": "psig"} for name, value in readings.items()}
    body = {"refrigerant": "R-410A", "readings": {"running": True, **stated}}
    told = one(client, body)
    assert (told["operation"]["advice"], told["priority"]["kind"]) == (advice, kind)
    full = client.post("/v1/diagnosis", json=body).json()["result"]
    assert full["operation"]["advice"] == advice
    assert [clash["readings"] for clash in full["contradictions"]] == ([list(readings)] if advice == "unknown" else [])


@pytest.mark.parametrize(("accept", "language", "mark"), [
    ("", "en", ""), ("es-MX", "es", "aún no ha leído un técnico nativo"),
    ("pt-BR", "pt", "ainda não foi lida por um técnico nativo"),
])  # fmt: skip
def test_a_translated_answer_says_that_nobody_has_read_it(
    client: TestClient, accept: str, language: str, mark: str
) -> None:
    told = client.post("/v1/dispatch", json={"note": "breaker trips at once"}, headers={"accept-language": accept})
    result = told.json()["result"]
    assert result["language"] == language
    assert mark in result["translation"]
    assert bool(result["translation"]) == bool(mark)


def test_a_refrigerant_without_properties_silences_nothing(client: TestClient) -> None:
    """Worst: a call is refused, or its danger lost, since the property library lacks a pair."""
    call = {"note": "walk-in freezer getting warm, compressor hums and clicks off again", "urgency": "food-at-risk"}
    body = {**call, "refrigerant": "R-413A"}
    code, answer = (told := client.post("/v1/dispatch", json=body)).status_code, told.json()
    assert code == 200, answer
    assert any("R-413A is a real designation that is not served" in line for line in answer["assumptions"])
    assert answer["result"]["calls"][0]["outcome"] == one(client, call)
    listed = client.post("/v1/dispatch", json={"calls": [{"refrigerant": "R-999Z"}, body]}).json()
    assert listed["result"]["calls"][1]["problem"] is None
    assert any("R-413A is a real designation" in line for line in listed["assumptions"])


def test_readings_beside_it_count_as_far_as_they_go(client: TestClient) -> None:
    """Pressures that stop any machine stop this one; nothing is made of a saturation that nobody knows."""
    readings = {
        "running": True,
        "suction_pressure": {"value": 60, "unit": "psig"},
        "discharge_pressure": {"value": 900, "unit": "psig"},
        "suction_temperature": {"value": 5, "unit": "degC"},
    }
    full = client.post("/v1/diagnosis", json={"refrigerant": "R-413A", "readings": readings})
    unnamed = client.post("/v1/diagnosis", json={"readings": readings}).json()["result"]
    assert full.status_code == 200, full.text[:300]
    assert full.json()["result"]["operation"] == unnamed["operation"]
    told = full.json()["assumptions"]
    assert any(
        line.startswith("Not worked out, since R-413A has no properties here: Suction superheat") for line in told
    )
