"""A form that knows nothing but the questions: it comes to a full case, never goes in a circle, never asks twice."""

import copy
import random
from typing import Any

import pytest
from starlette.testclient import TestClient

Json = dict[str, Any]
MOST_ROUNDS = 40
SENSIBLE: dict[str, Any] = {
    "complaint": "does not cool, runs all day",
    "refrigerant": "R-410A",
    "time_zone": "Europe/Madrid",
    "compressor": "scroll",
    "shell": "low-side",
    "construction": "hermetic",
    "phases": "three-phase",
    "drive": "fixed-speed",
    "application": "air-conditioning",
    "motor": "hermetic",
    "oil": "POE",
    "side": "whole",
    "gas": "dry-nitrogen",
    "running": True,
    "through_drive": False,
    "under_vacuum": False,
    "power_locked_out": True,
    "pump_valved_off": True,
    "gauge_at_pump": False,
    "start": "2026-05-20T11:00",
    "at": "2026-05-19T11:00",
    "text": "Everybody is out and well.",
}
"""What whoever fills the form in knows, by the last name of the place."""
SIZES: dict[str, tuple[float, str]] = {
    "suction_pressure": (8.1, "barg"),
    "discharge_pressure": (25.2, "barg"),
    "suction_temperature": (13.5, "degC"),
    "liquid_temperature": (37.0, "degC"),
    "discharge_temperature": (72.0, "degC"),
    "evaporating_temperature": (5.0, "degC"),
    "resistance": (300.0, "megohm"),
    "terminals": (1.2, "ohm"),
    "voltages": (400.0, "V"),
    "rated_voltage": (400.0, "V"),
    "start_pressure": (38.0, "barg"),
    "end_pressure": (38.0, "barg"),
    "duration": (24.0, "h"),
    "pressure": (200.0, "micron"),
    "heater_on": (30.0, "h"),
    "weighed": (7.8, "kg"),
    "wanted": (7.8, "kg"),
    "coupling_offset": (0.02, "mm"),
}
OTHERWISE = {"degC": 22.0, "min": 30.0}


def last(name: str) -> str:
    return [step for step in name.replace("/", ".").split(".") if not step.isdecimal()][-1]


def answer(name: str, form: Json, chance: random.Random) -> Any:
    """What goes there: by the kind of answer that is asked for, from its choices and units alone."""
    known = SENSIBLE.get(last(name))
    values = [choice["value"] for choice in form["choices"]]
    if form["answer"] in ("choice", "yes-no"):
        return known if known in values else chance.choice(values)
    if form["answer"] == "quantity":
        return quantity(name, [unit["value"] for unit in form["units"]])
    if form["answer"] == "number":
        return 1
    if form["answer"] == "list":
        return []
    assert form["answer"] in ("text", "moment"), form
    return known if known is not None else "told"


def quantity(name: str, units: list[str]) -> Json:
    value, unit = SIZES.get(last(name), (0.0, ""))
    if last(name) == "time":
        value, unit = 30.0 * int(name.split(".")[-2]), "min"
    if unit not in units:
        value, unit = next(((OTHERWISE[u], u) for u in units if u in OTHERWISE), (1.0, units[0]))
    return {"value": value, "unit": unit}


def put(holder: Any, steps: list[str], value: Any) -> None:
    """Put a value where the steps lead; lists grow by one."""
    for step, after in zip(steps, [*steps[1:], ""], strict=True):
        inside: Any = value if not after else [] if after.isdecimal() else {}
        if isinstance(holder, list):
            assert int(step) <= len(holder), steps
            if int(step) == len(holder):
                holder.append(inside)
            holder = holder[int(step)]
        elif after:
            holder = holder.setdefault(step, inside)
        else:
            holder[step] = inside


def answered(case: Json, question: Json, chance: random.Random) -> Json:
    """The case with the question answered as it asks to be."""
    case = copy.deepcopy(case)
    steps = question["field"].split("/")[1:]
    if question["finding"]:
        state = answer(question["finding"], question, chance)
        case.setdefault("findings", []).append({"finding": question["finding"], "state": state})
    elif question["check"]:
        outcome = "passed" if "passed" in [c["value"] for c in question["choices"]] else None
        case.setdefault("before_start", {}).setdefault("stated", []).append(
            {"check": question["check"], "outcome": outcome}
        )
    elif question["together"]:
        for part in question["together"]:
            whole = f"{question['field']}/{part['field']}"
            value = part["preset"] if part["preset"] is not None else answer(whole, part, chance)
            put(case, [*steps, *part["field"].split(".")], value)
    else:
        put(case, steps, answer(question["field"], question, chance))
    return case


def place(question: Json) -> str:
    """What is asked; steps of work are all one place, whichever is the next of them."""
    steps = [step for step in question["field"].split("/") if not step.isdecimal()]
    return question["finding"] or question["check"] or "/".join(steps)


def filled(client: TestClient, case: Json, chance: random.Random, at_once: int) -> Json:
    """The case once nothing is left to ask."""
    asked: list[str] = []
    for _ in range(MOST_ROUNDS):
        response = client.post("/v1/cases/questions", json={"case": case, "most": at_once})
        assert response.status_code == 200, response.text[:600]
        questions = response.json()["result"]["questions"]
        if not questions:
            return case
        for question in questions:
            assert place(question), question
            assert place(question) not in asked, f"asked twice: {place(question)}"
            asked.append(place(question))
            case = answered(case, question, chance)
    raise AssertionError(f"no end: {asked}")


STARTS: list[Json] = [
    {},
    {"complaint": "does not cool"},
    {"complaint": "breaker trips at once, burning smell"},
    {"complaint": "smell of gas, children have headaches"},
    {"complaint": "cheiro a queimado"},
    {"complaint": "unit hums and will not start"},
    {"complaint": "the compressor terminal blew out"},
    {"complaint": "loud bang, then nothing"},
    {"complaint": "frost on the compressor, noisy"},
    {"complaint": "oil is black and smells burnt"},
    {"complaint": "water on the floor"},
    {"complaint": "there was a fire at the condenser"},
    {"complaint": "xyz"},
    {"findings": [{"finding": "wraps-shattered", "state": "present"}]},
    {"findings": [{"finding": "people-unwell", "state": "present"}]},
    {"findings": [{"finding": "acid-test-positive", "state": "present"}]},
    {"refrigerant": "R-717"},
    {"refrigerant": "R-744", "machine": {"compressor": "reciprocating"}},
    {"refrigerant": "R-290", "complaint": "leaking"},
    {"machine": {"compressor": "centrifugal"}},
    {"machine": {"compressor": "screw", "construction": "open-drive"}},
    {"machine": {"phases": "single-phase", "compressor": "rotary"}},
    {"start": "2026-05-20T11:00"},
    {"before_start": {"stated": [{"check": "brazing", "outcome": "passed"}]}},
    {"work_done": [{"text": "compressor replaced", "kind": "compressor-replaced"}]},
    {"work_done": [{"text": "compressor taken out", "kind": "compressor-removed"}]},
    {"readings": [{"of": "sound", "values": {"suction_pressure": {"value": 8, "unit": "barg"}}}]},
    {"readings": [{"values": {"suction_temperature": {"value": 5, "unit": "degC"}}}]},
    {"readings": [{"values": {"running": False}}]},
    {"signs": {"burn": "winding"}},
]


@pytest.mark.parametrize("number", range(len(STARTS)))
def test_a_form_comes_to_an_end_and_asks_nothing_twice(client: TestClient, number: int) -> None:
    chance = random.Random(number)  # noqa: S311 - of a test
    case = filled(client, STARTS[number], chance, 50 if number % 10 else 5)
    assert client.post("/v1/cases", json={"case": case}).status_code == 200


def test_a_form_comes_to_a_full_case(client: TestClient) -> None:
    """A machine that broke its scroll: what the questions ask is all that the parts need."""
    step = {"text": "x", "kind": "compressor-replaced"}
    start = {"complaint": "runs but does not cool, loud bang", "work_done": [step]}
    case = filled(client, start, random.Random(1), 50)  # noqa: S311 - of a test
    parts = client.post("/v1/cases", json={"case": case, "want": {"everything": True}}).json()["result"]["parts"]
    states = {part: found["state"] for part, found in parts.items()}
    wanted = {"note", "diagnosis", "cleanup", "pressure_test", "evacuation", "restart"}
    assert {part for part, state in states.items() if state == "answered"} >= wanted, states
    assert not {part for part, state in states.items() if state == "lacking"}, states


def test_the_readings_of_a_running_machine_are_asked_for(client: TestClient) -> None:
    case = {"complaint": "does not cool"}
    asked = client.post("/v1/cases/questions", json={"case": case, "most": 50}).json()["result"]["questions"]
    fields = [question["field"] for question in asked]
    wanted = [f"/readings/0/values/{name}" for name in ("running", "suction_pressure", "discharge_pressure")]
    assert [field for field in fields if field in wanted] == wanted
    assert [question["kind"] for question in asked[2:5]] == ["finding"] * 3  # what decides goes before the plate
    stands = {**case, "readings": [{"values": {"running": False}}]}
    again = client.post("/v1/cases/questions", json={"case": stands, "most": 50}).json()["result"]["questions"]
    assert not [question for question in again if question["field"].endswith("_pressure")]


def test_the_answer_to_the_question_after_danger_ends_it(client: TestClient) -> None:
    """The worst wrong answer would be a form that goes on to the plate of the machine while somebody lies there."""
    case: Json = {"complaint": "smell of gas, children have headaches"}
    first = client.post("/v1/cases/questions", json={"case": case}).json()["result"]["questions"][0]
    assert (first["kind"], first["field"], first["answer"]) == ("danger", "/work_done/0", "group")
    after = answered(case, first, random.Random(0))  # noqa: S311 - of a test
    assert after["work_done"][0]["kind"] == "made-safe"
    again = client.post("/v1/cases/questions", json={"case": after}).json()["result"]["questions"]
    assert again
    assert again[0]["kind"] != "danger"
