"""POST /v1/cases: every part as its own operation answers it, one feeding the next, problems that harm no other."""

import json
from importlib.resources import files
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.api.routes.case_parts import OPERATIONS
from witnessmark.casework.cuts import CUTS
from witnessmark.demo import cases
from witnessmark.diagnosis.catalogue.knowledge import knowledge

CASE: dict[str, Any] = json.loads(
    files("witnessmark.demo").joinpath("cases/slug-after-overcharge.json").read_text("utf-8")
)
DEMOS = sorted(
    path.name for path in files("witnessmark.demo").joinpath("cases").iterdir() if path.name.endswith(".json")
)
PATHS = {
    operation["operationId"]: path for path, methods in app.openapi()["paths"].items() for operation in methods.values()
}


def post(client: TestClient, case: dict[str, Any], path: str = "/v1/cases", **more: Any) -> dict[str, Any]:
    response = client.post(path, json={"case": case, **more})
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def parts(answer: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = answer["result"]["parts"]
    return found


@pytest.fixture(scope="module")
def whole(client: TestClient) -> dict[str, Any]:
    return post(client, CASE, want={"everything": True, "requests": True})


@pytest.mark.parametrize("part", OPERATIONS)
def test_each_part_equals_its_own_operation(client: TestClient, whole: dict[str, Any], part: str) -> None:
    found = parts(whole)[part]
    if found["state"] != "answered":
        assert found["result"] is None
        return
    own = client.post(PATHS[found["operation"]], json=found["request"]).json()
    assert found["result"] == own["result"]
    assert found["assumptions"] == own["assumptions"]
    assert found["cautions"] == [caution["id"] for caution in own["cautions"]]


def test_the_full_case_fills_what_it_can(whole: dict[str, Any]) -> None:
    states = {part: found["state"] for part, found in parts(whole).items()}
    assert {part for part, state in states.items() if state == "answered"} >= {
        "note", "compression", "diagnosis", "insulation", "windings", "oil", "debris", "cleanup", "pressure_test",
        "evacuation", "restart",
    }  # fmt: skip
    assert (states["superheat"], states["subcooling"]) == ("withheld", "not begun")


@pytest.mark.parametrize("line", ["breaker trips at once, burning smell", "x", "zzz qqq", "=HYPERLINK(1)<script>"])
def test_a_single_line_is_a_case(client: TestClient, line: str) -> None:
    answer = post(client, {"complaint": line})
    assert parts(answer)["note"]["state"] == "answered"
    assert answer["result"]["questions"]
    assert any("no `as_of`" in text for text in answer["assumptions"])


def test_an_empty_case_is_answered_with_questions(client: TestClient) -> None:
    answer = post(client, {})
    assert {found["state"] for found in parts(answer).values()} == {"not begun"}
    assert answer["result"]["questions"][0]["field"] == "/complaint"
    assert answer["result"]["next_step"] is None


def test_danger_in_the_complaint_is_heard_first(client: TestClient) -> None:
    result = post(client, {"complaint": "smell of gas, children have headaches"})["result"]
    assert result["next_step"]["part"] in {"note", "diagnosis"}
    assert "leave" in json.dumps(result["next_step"]).lower() or "ring back" in json.dumps(result["next_step"]).lower()


def test_the_grade_of_the_plan_reaches_the_gate(client: TestClient) -> None:
    burnt = {**CASE, "signs": {**CASE["signs"], "burn": "winding", "colour": 8, "smell": "burnt"}}
    answer = post(client, burnt, want={"everything": True, "requests": True})
    grade = parts(answer)["cleanup"]["result"]["severity"]["grade"]
    assert grade >= 2
    assert parts(answer)["restart"]["request"]["machine"]["burnout_grade"] == grade
    assert any(f"grade {grade} of the cleanup plan" in text for text in answer["assumptions"])


BURNT = {**CASE, "signs": {**CASE["signs"], "burn": "winding", "colour": 8, "smell": "burnt"}}


def gate(answer: dict[str, Any], check: str) -> str:
    checks = parts(answer)["restart"]["result"]["checks"]
    return str(next(row["state"] for row in checks if row["check"] == check))


def test_a_bad_time_zone_loses_no_plan_and_is_asked_for(client: TestClient) -> None:
    case = {**BURNT, "site": {**CASE["site"], "time_zone": "Mars/Olympus"}}
    answer = post(client, case, want={"everything": True, "requests": True})
    plan = parts(answer)["cleanup"]
    assert plan["state"] == "answered"
    assert all(check["local"].endswith(("Z", "+00:00")) for check in plan["result"]["checks"])
    assert any("dated in UTC" in text for text in answer["assumptions"])
    assert "/site/time_zone" in {question["field"] for question in answer["result"]["questions"]}
    assert gate(answer, "oil-changed") == gate(post(client, BURNT, want={"everything": True}), "oil-changed")
    assert gate(answer, "oil-changed") != "not required"


@pytest.mark.parametrize("oil", ["POE", None])
def test_a_plan_that_is_lost_lets_nothing_off_at_the_gate(client: TestClient, oil: str | None) -> None:
    """The worst wrong answer: `start` was left out, and the oil of a severe burnout is "not required" to be changed."""
    machine = {key: value for key, value in CASE["machine"].items() if key not in ("oil", "burnout_grade")}
    case = {key: value for key, value in BURNT.items() if key != "start"}
    answer = post(client, {**case, "machine": machine | ({"oil": oil} if oil else {})}, want={"everything": True})
    assert parts(answer)["cleanup"]["state"] == "lacking"
    assert gate(answer, "oil-changed") != "not required"
    assert any("There is no cleanup plan" in text for text in answer["assumptions"])


def test_a_moment_without_its_offset_is_refused_in_plain_words(client: TestClient) -> None:
    response = client.post("/v1/cases", json={"case": {"as_of": "2026-03-29T02:30"}})
    detail = response.json()["errors"][0]["detail"]
    assert response.status_code == 422
    assert "offset" in detail
    assert "\\d" not in detail


SPOILED: dict[str, Any] = {
    "refrigerant": "R-134a",
    "machine": {
        "oil": "POE",
        "construction": "semi-hermetic",
        "evaporating_temperature": {"value": -10, "unit": "degC"},
    },
    "start": "2026-05-20T11:00",
    "site": {"time_zone": "Europe/Madrid"},
    "oil_samples": [{"sample": "old-compressor", "acid_number": {"value": 0.6, "unit": "mgKOH/g"}}],
}


@pytest.mark.parametrize(
    "sign", [{"colour": 2}, {"water": {"value": 0.003, "unit": "%"}}, {"acid_test": "negative"}, {}]
)
def test_acid_of_the_old_oil_reaches_the_plan_beside_any_sign(client: TestClient, sign: dict[str, Any]) -> None:
    signs = {"smell": "none", "debris": [], "deposits": []}
    answer = post(client, {**SPOILED, "signs": signs | sign}, want={"parts": ["cleanup"]})
    severity = parts(answer)["cleanup"]["result"]["severity"]
    items = {item["id"] for item in severity["items"]}
    assert severity["grade"] >= 2
    assert "acid-over" in items
    assert "acid-not-tested" not in items
    assert bool(answer["result"]["contradictions"]) == ("acid_test" in sign)


def test_water_is_compared_whatever_its_unit(client: TestClient) -> None:
    wet = {"sample": "old-compressor", "water": {"value": 200, "unit": "mg/kg"}}
    case = {**SPOILED, "signs": {"water": {"value": 0.001, "unit": "%"}}, "oil_samples": [wet]}
    found = parts(post(client, case, want={"parts": ["cleanup"], "requests": True}))["cleanup"]
    assert found["request"]["signs"]["water"] == wet["water"]


def test_a_broken_part_keeps_the_gate_asking_for_its_fragments(client: TestClient, whole: dict[str, Any]) -> None:
    assert "fragments" in parts(whole)["restart"]["result"]["blocking"]
    stated = {**CASE, "machine": {**CASE["machine"], "debris_possible": False}}
    answer = post(client, stated, want={"parts": ["restart"]})
    assert "fragments" in parts(answer)["restart"]["result"]["blocking"]


def test_good_tests_of_the_failed_machine_pass_no_check_of_the_gate(client: TestClient) -> None:
    failed = {**CASE, "before_start": {"stated": [{"check": "brazing", "outcome": "passed"}]}}
    answer = post(client, failed, want={"parts": ["restart", "insulation"]})
    assert parts(answer)["insulation"]["result"] is not None
    assert {"insulation", "windings"} <= set(parts(answer)["restart"]["result"]["blocking"])


def test_a_burnable_refrigerant_is_warned_of(client: TestClient, whole: dict[str, Any]) -> None:
    assert "flammable-refrigerant" in {caution["id"] for caution in whole["cautions"]}
    safe = post(client, {**CASE, "refrigerant": "R-410A"})
    assert "flammable-refrigerant" not in {caution["id"] for caution in safe["cautions"]}


def test_a_part_with_a_problem_says_where_and_harms_no_other(client: TestClient) -> None:
    wrong = json.loads(json.dumps(CASE))
    wrong["readings"][0]["values"]["discharge_pressure"]["value"] = 900
    answer = post(client, wrong, want={"everything": True})
    found = parts(answer)["compression"]
    assert found["state"] == "problem"
    assert found["problem"]["errors"][0]["pointer"].startswith("#/case/readings/0/values/discharge_pressure")
    assert parts(answer)["cleanup"]["state"] == "answered"
    assert parts(answer)["restart"]["result"] is not None


def test_what_does_not_fit_together_is_a_problem_of_its_part(client: TestClient) -> None:
    wrong = json.loads(json.dumps(CASE))
    del wrong["tests_of_failure"]["windings"]["terminals"][2]
    response = client.post("/v1/cases", json={"case": wrong})
    assert response.status_code == 422
    centrifugal = {**CASE, "machine": {**CASE["machine"], "compressor": "centrifugal"}}
    assert parts(post(client, centrifugal))["diagnosis"]["state"] == "problem"


def test_the_same_case_gives_the_same_bytes_whatever_the_order_of_its_names(client: TestClient) -> None:
    turned = dict(reversed(CASE.items()))
    one, two = (client.post("/v1/cases", json={"case": case}).content for case in (CASE, turned))
    assert one == two
    assert json.loads(one)["model_version"]["service"]


def test_another_case_has_another_digest(client: TestClient, whole: dict[str, Any]) -> None:
    other = post(client, {**CASE, "reference": "garden-2"})
    assert other["result"]["digest"] != whole["result"]["digest"]
    assert other["result"]["reference"] == "garden-2"


def test_a_short_answer_is_short_and_says_what_it_leaves_out(client: TestClient, whole: dict[str, Any]) -> None:
    response = client.post("/v1/cases", json={"case": CASE})
    assert len(response.content) <= 60_000
    found = parts(response.json())
    aside = [part for part in found if "want.parts" in found[part]["why"]]
    assert aside
    given = [part for part in found if found[part]["result"] is not None]
    assert "diagnosis" in given
    assert {part: found[part]["result"] for part in given} == {part: parts(whole)[part]["result"] for part in given}
    assert {part for part in found if found[part]["brief"]} == set(aside)
    assert not any(part["brief"] for part in parts(whole).values())


def test_what_people_act_on_stands_in_every_short_answer(client: TestClient) -> None:
    """However much was told: verdict of the gate, what keeps it shut, what is next; what failed, and no power."""
    told = [{"finding": key, "state": "present"} for key in list(knowledge().findings)[:120]]
    notes = [{"text": f"Note {k}: " + "seen again " * 120} for k in range(20)]
    response = client.post("/v1/cases", json={"case": CASE | {"findings": told, "notes": notes}})
    assert len(response.content) <= 60_000
    found = parts(response.json())
    gate = found["restart"]["brief"] or found["restart"]["result"]
    assert gate["verdict"] == "do not start"
    for part, one in found.items():
        if one["state"] == "answered":
            assert (one["result"] is None) != (one["brief"] is None), part
    bare = parts(post(client, CASE, want={"parts": []}))
    assert bare["restart"]["brief"]["verdict"] == "do not start"
    assert bare["restart"]["brief"]["next"].startswith("No power yet")
    assert any("missing" in point for point in bare["restart"]["brief"]["points"])
    assert any(point.startswith("Keep it off") for point in bare["diagnosis"]["brief"]["points"])


@pytest.mark.parametrize("sign", ["x", "中", "😀", '"'])
def test_a_short_answer_is_bound_by_bytes_whatever_the_writing(client: TestClient, sign: str) -> None:
    response = client.post("/v1/cases", json={"case": {"complaint": sign * 10_000}})
    assert response.status_code == 200
    assert len(response.content) <= 60_000


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("case", DEMOS)
def test_a_short_answer_leaves_nothing_out_that_has_room(client: TestClient, case: str, system: str) -> None:
    document = json.loads(files("witnessmark.demo").joinpath("cases", case).read_text("utf-8"))
    short, whole = (
        client.post("/v1/cases", json={"case": document, "report_in": system, "want": {"everything": everything}})
        for everything in (False, True)
    )
    assert len(short.content) <= 60_000
    if len(whole.content) <= 58_000:
        states = {part: found["state"] for part, found in parts(short.json()).items() if found["result"] is None}
        assert "answered" not in states.values()


def test_inch_pound_answers(client: TestClient) -> None:
    answer = post(client, CASE, report_in="IP", want={"parts": ["compression"]})
    assert parts(answer)["compression"]["result"]["pressure_difference"]["unit"] == "psi"


def test_the_first_cautions_are_those_of_the_next_step(whole: dict[str, Any]) -> None:
    step = whole["result"]["next_step"]
    assert [caution["id"] for caution in whole["cautions"]][: len(step["cautions"])] == step["cautions"]


def test_questions_can_drive_a_form(client: TestClient) -> None:
    result = post(client, {"complaint": "does not cool"}, "/v1/cases/questions", most=40)["result"]
    by_field = {question["field"]: question for question in result["questions"]}
    compressor = by_field["/machine/compressor"]
    assert compressor["answer"] == "choice"
    assert "screw" in {choice["value"] for choice in compressor["choices"]}
    assert by_field["/refrigerant"]["answer"] == "choice"
    assert {"value": "R-448A", "label": "R-448A"} in by_field["/refrigerant"]["choices"]
    finding = next(question for question in result["questions"] if question["kind"] == "finding")
    assert {choice["value"] for choice in finding["choices"]} >= {"unknown"}
    assert result["left"] == 0


def test_what_was_answered_unknown_is_not_asked_again(client: TestClient) -> None:
    case = {"complaint": "compressor hums and trips", "refrigerant": "R-410A", "machine": {"compressor": "scroll"}}
    asked: list[str] = []
    for _ in range(3):
        findings = [{"finding": finding, "state": "unknown"} for finding in asked]
        result = post(client, {**case, "findings": findings}, "/v1/cases/questions", most=50)["result"]
        first = next(question["finding"] for question in result["questions"] if question["kind"] == "finding")
        assert first not in asked
        asked.append(first)


def test_what_the_document_requires_together_is_asked_together(client: TestClient) -> None:
    """A question answered as it is asked leaves a document that can be used."""
    case = {"findings": [{"finding": "breaker-trips-at-once", "state": "present"}], "refrigerant": "R-410A"}
    asked = post(client, case, "/v1/cases/questions", most=50)["result"]["questions"]
    tests = {question["field"]: question for question in asked if question["field"].startswith("/tests_of_failure")}
    assert set(tests) == {"/tests_of_failure/insulation", "/tests_of_failure/windings"}
    whole = tests["/tests_of_failure/insulation"]
    assert whole["answer"] == "group"
    answer = {
        field["field"]: (
            field["choices"][0]["value"]
            if field["answer"] == "choice"
            else {"value": 20, "unit": field["units"][0]["value"]}
        )
        for field in whole["together"]
    }
    assert set(answer) == {"resistance", "temperature", "motor"}
    done = post(client, {**case, "tests_of_failure": {"insulation": answer}})
    assert parts(done)["insulation"]["state"] == "answered"
    again = post(client, {**case, "tests_of_failure": {"insulation": answer}}, "/v1/cases/questions", most=50)
    assert not any("insulation" in question["field"] for question in again["result"]["questions"])


def test_questions_of_quantities_moments_and_checks(client: TestClient) -> None:
    case = {
        "complaint": "dead",
        "readings": [{"values": {"suction_temperature": {"value": 5, "unit": "degC"}}}],
        "filters": [{"line": "liquid", "capacity": {"value": 9, "unit": "kW"}, "drop": {"value": 7, "unit": "kPa"}}],
        "machine": {
            "compressor": "scroll",
            "drive": "inverter",
            "phases": "three-phase",
            "application": "low-temperature",
        },
        "refrigerant": "R-410A",
        "before_start": {"stated": []},
    }
    result = post(client, case, "/v1/cases/questions", most=50)["result"]
    by_field = {question["field"]: question for question in result["questions"]}
    pressure = by_field["/readings/0/values/suction_pressure"]
    assert pressure["answer"] == "quantity"
    assert "psig" in {unit["value"] for unit in pressure["units"]}
    assert by_field["/start"]["answer"] == "moment"
    zones = by_field["/site/time_zone"]
    assert zones["answer"] == "choice"
    assert "Europe/Madrid" in {zone["value"] for zone in zones["choices"]}
    assert {question["answer"] for question in result["questions"] if question["kind"] == "check"} == {"choice"}


@pytest.mark.parametrize("part", CUTS)
def test_operations_of_the_parts_are_those_of_the_document(part: str) -> None:
    assert CUTS[part].operation in PATHS


LEADING: dict[str, tuple[str | None, set[str]]] = {
    "slug-after-overcharge": ("slugging", {"overcharge"}),
    "long-floodback": ("liquid-floodback", set()),
    "burnout-with-acid": ("ground-fault", set()),
    "start-gear-failed": ("locked-rotor", {"capacitor-failed"}),
    "oil-held-in-a-riser": ("oil-starvation", {"poor-oil-return-piping"}),
    "nothing-wrong": (None, set()),
}
"""What each case of the demonstration was written to show: the mode that leads, and causes at work."""


@pytest.mark.parametrize("name", LEADING)
def test_the_six_cases_come_to_what_they_were_written_to_show(client: TestClient, name: str) -> None:
    case = json.loads(files("witnessmark.demo").joinpath(f"cases/{name}.json").read_text("utf-8"))
    answer = post(client, case, want={"parts": ["diagnosis"]})
    result = parts(answer)["diagnosis"]["result"]
    mode, causes = LEADING[name]
    if mode is None:
        assert result["verdict"]["state"] == "no-compressor-fault-likely"
        assert parts(answer)["restart"]["state"] == "not begun"
    else:
        assert mode in result["verdict"]["leading"]
        assert causes <= {cause["id"] for cause in result["causes"] if cause["at_work"] > 0.5}
    assert answer["result"]["contradictions"] == []
    assert not [part for part, found in parts(answer).items() if found["state"] == "problem"]


SCROLL = {"compressor": "scroll", "phases": "three-phase", "construction": "hermetic", "drive": "fixed-speed"}
OFF = {"value": 150.0, "unit": "degC"}
STAGE = {
    "start_pressure": {"value": 300.0, "unit": "psig"},
    "start_temperature": {"value": 70.0, "unit": "degF"},
    "end_pressure": {"value": 300.0, "unit": "psig"},
    "end_temperature": {"value": 70.0, "unit": "degF"},
    "duration": {"value": 24.0, "unit": "h"},
}
LEAD: dict[str, tuple[dict[str, Any], str]] = {
    "oxygen in a pressure test": (
        {
            "refrigerant": "R-410A",
            "before_start": {"pressure_tests": [{"side": "whole", "gas": "oxygen", "stages": [STAGE]}]},
        },
        "Oxygen, air or a gas that burns in the circuit",
    ),
    "oxygen in work done": ({"work_done": [{"text": "pressurised with oxygen to 300 psi"}]}, "Oxygen, air"),
    "a bridge in work done": (
        {"work_done": [{"text": "jumped out the high pressure switch, left running"}]},
        "Remove the bridge",
    ),
    "smoke at a machine that nobody covers": (
        {"machine": {"compressor": "centrifugal"}, "complaint": "smoke from the panel"},
        "Smoke or fire",
    ),
    "smoke as a finding there": (
        {"machine": {"compressor": "centrifugal"}, "findings": [{"finding": "smoke-seen", "state": "present"}]},
        "Smoke or fire",
    ),
    "people unwell, refrigerant unknown": (
        {"refrigerant": "R-999", "complaint": "gas smell, people dizzy"},
        "Leave the room now",
    ),
    "a run that must end": (
        {
            "refrigerant": "R-410A",
            "machine": {**SCROLL, "application": "air-conditioning"},
            "before_start": {
                "after_run": {
                    "elapsed": {"value": 10.0, "unit": "min"},
                    "readings": [{"at": {"value": 5.0, "unit": "min"}, "discharge_temperature": OFF}],
                }
            },
        },
        "Stop the machine",
    ),
    "knocking": ({"refrigerant": "R-410A", "complaint": "loud knocking"}, "Keep it off"),
    "unbalanced supply": (
        {"tests_of_failure": {"supply": {"voltages": [{"value": v, "unit": "V"} for v in (208, 208, 172)]}}},
        "Keep it off: above 5 % voltage unbalance no motor may run.",
    ),
    "cold wet winding": (
        {
            "refrigerant": "R-410A",
            "tests_of_failure": {
                "insulation": {
                    "resistance": {"value": 0.5, "unit": "megohm"},
                    "temperature": {"value": 10, "unit": "degC"},
                    "motor": "hermetic",
                    "conditions": {
                        "liquid_refrigerant": True,
                        "power_locked_out": True,
                        "under_vacuum": False,
                        "through_drive": False,
                    },
                }
            },
        },
        "Contradictory evidence: measure again before judging (warm the shell for hours",
    ),
    "black acid oil of no known base": (
        {
            "refrigerant": "R-404A",
            "machine": {"compressor": "reciprocating"},
            "oil_samples": [
                {"sample": "old-compressor", "acid_number": {"value": 0.8, "unit": "mgKOH/g"}, "colour": 8.0}
            ],
        },
        "The oil is over its limit",
    ),
}


@pytest.mark.parametrize("told", LEAD)
def test_what_stops_a_job_leads_headline_and_next_step(client: TestClient, told: str) -> None:
    case, text = LEAD[told]
    result = post(client, {"machine": SCROLL, **case})["result"]
    assert result["next_step"]["text"].startswith(text)
    assert result["headline"]


def test_oil_within_the_limit_of_some_base_waits_for_the_base(client: TestClient) -> None:
    sample = {"sample": "old-compressor", "colour": 5.0}
    result = post(client, {"machine": SCROLL, "oil_samples": [sample]})["result"]
    assert result["headline"] == []


def readings(of: str, when: str, suction: float, discharge: float, current: float) -> dict[str, Any]:
    values = {"running": True, "load": 1.0, "suction_pressure": {"value": suction, "unit": "psig"}}
    values["discharge_pressure"] = {"value": discharge, "unit": "psig"}
    for name, value in (("suction", 55.0), ("discharge", 165.0), ("liquid", 95.0), ("outdoor", 90.0)):
        values[f"{name}_temperature"] = {"value": value, "unit": "degF"}
    values |= {"running_current": {"value": current, "unit": "A"}, "expected_current": {"value": 14.0, "unit": "A"}}
    return {"at": when, "of": of, "values": values}


def test_after_a_repair_its_own_readings_lead(client: TestClient) -> None:
    found = readings("found", "2026-05-18T10:05", 180.0, 186.0, 5.0)
    del found["values"]["suction_temperature"], found["values"]["discharge_temperature"]
    case = {"machine": {**SCROLL, "shell": "low-side"}, "refrigerant": "R-410A", "complaint": "not cooling"}
    good = {**case, "readings": [found, readings("after-repair", "2026-05-18T16:00", 120.0, 340.0, 14.0)]}
    answer = post(client, good)["result"]
    assert answer["headline"] == [answer["next_step"]["text"]]
    assert answer["headline"][0].startswith("After the repair it runs")
    assert not any("Rotation meter" in question["text"] for question in answer["questions"])
    bad = {**case, "readings": [{**found, "of": "after-repair"}]}
    answer = post(client, bad)["result"]
    assert answer["next_step"]["text"].startswith("After the repair: ")
    none = {
        **case,
        "readings": [found, {"of": "after-repair", "values": {"suction_pressure": {"value": 9, "unit": "barg"}}}],
    }
    assert not post(client, none)["result"]["headline"][0].startswith("After the repair it runs")


BURNT_OUT: dict[str, Any] = {
    "as_of": "2026-07-05T15:00Z",
    "site": {"time_zone": "UTC"},
    "machine": {**SCROLL, "shell": "low-side", "application": "air-conditioning"},
    "refrigerant": "R-410A",
    "complaint": "breaker trips at once, burnt smell in oil",
    "complaint_at": "2026-05-17T09:00Z",
    "findings": [{"finding": finding, "state": "present"} for finding in ("oil-burnt", "insulation-low")],
    "work_done": [{"at": "2026-05-18T09:00Z", "text": "compressor replaced", "kind": "compressor-replaced"}],
}
TOLD_OF_THE_GATE: tuple[dict[str, Any], ...] = (
    {},
    {"before_start": {}},
    {"signs": {"burn": "winding", "smell": "burnt", "acid_test": "positive"}},
    {"before_start": {"stated": [{"check": "terminal-cover", "outcome": "passed"}]}},
    {"work_done": [], "complaint": "breaker trips at once"},
    {"machine": {"compressor": "scroll"}},
)


@pytest.mark.parametrize("more", TOLD_OF_THE_GATE, ids=lambda more: ", ".join(more) or "nothing")
def test_a_burnt_circuit_that_runs_is_stopped_be_the_gate_told_of_or_not(
    client: TestClient, more: dict[str, Any]
) -> None:
    case = {**BURNT_OUT, "readings": [readings("after-repair", "2026-05-18T16:00Z", 120.0, 340.0, 14.0)], **more}
    result = post(client, case)["result"]
    assert "stop it" in result["headline"][0]
    assert "stop it" in result["next_step"]["text"]
    assert not any("close the job." in line for line in result["headline"])
    if "machine" not in more:
        assert "cause-corrected" in result["parts"]["restart"]["result"]["blocking"]
        assert "circuit-acid" in result["parts"]["restart"]["result"]["blocking"]
    page = client.post("/v1/cases/report", json={"case": case}, headers={"accept": "text/markdown"}).text
    owner = page.split("## For the warranty desk")[0]
    assert "stop it" in owner.split("### What happened")[0]
    assert "Nothing that this report was asked for is open" not in owner or "machine" in more


def test_ammonia_is_told_beside_every_step_whether_it_leaks_or_not(client: TestClient) -> None:
    machine = {"compressor": "screw", "construction": "open-drive", "phases": "three-phase"}
    case = {"machine": machine, "refrigerant": "R-717", "complaint": "oil pressure low"}
    answer = post(client, case)
    assert "toxic-refrigerant" in answer["result"]["next_step"]["cautions"]
    assert "toxic-refrigerant" in [caution["id"] for caution in answer["cautions"]]
    assert "toxic-refrigerant" in parts(answer)["diagnosis"]["cautions"]
    bare = post(client, {"refrigerant": "R-717"})
    assert "toxic-refrigerant" in [caution["id"] for caution in bare["cautions"]]


def test_nobody_is_told_that_running_lifts_what_forbids_power(client: TestClient) -> None:
    for complaint in ("smoke from the panel, office warm", "not cooling", "breaker trips at once"):
        text = json.dumps(post(client, {"machine": SCROLL, "complaint": complaint}, want={"everything": True}))
        assert "forbids power then falls away" not in text
        if complaint != "not cooling":
            assert "Does the compressor run now" not in text


def made_up() -> dict[str, dict[str, Any]]:
    """Documents put together from the six: parts left out, typed elsewhere or changed."""
    six = cases.everything()

    def without(name: str, *parts: str) -> dict[str, Any]:
        return {key: value for key, value in six[name].items() if key not in parts}

    twice = {"at": "2026-05-21T10:00", "drop": {"value": 5, "unit": "kPa"}}
    later = {"at": "2026-05-22T10:00", "drop": {"value": 9, "unit": "kPa"}}
    slug, burnt = "slug-after-overcharge", "burnout-with-acid"
    return {
        "no readings": without(slug, "readings"),
        "no tests": without(slug, "tests_of_failure", "breakage"),
        "no gate": without(slug, "before_start", "work_done"),
        "a log": without(slug) | {"filter_log": {"readings": [twice, later]}},
        "a log typed twice": without(slug) | {"filter_log": {"readings": [twice, twice]}},
        "no insulation": without(burnt, "tests_of_failure"),
        "no such gas": without(burnt) | {"refrigerant": "R-999"},
        "another gas": without("long-floodback") | {"refrigerant": "R-410A"},
        "no site": without("nothing-wrong", "site"),
        "three phases": without("start-gear-failed") | {"machine": six[slug]["machine"]},
        "a customer": without("oil-held-in-a-riser", "conditions") | {"complaint": "customer says not pumping"},
    }


@pytest.mark.parametrize("name", list(made_up()))
def test_parts_of_other_documents_equal_their_operations_too(client: TestClient, name: str) -> None:
    found = parts(post(client, made_up()[name], want={"everything": True, "requests": True}))
    answered = {part: one for part, one in found.items() if one["state"] == "answered"}
    assert answered
    for part, one in answered.items():
        own = client.post(PATHS[one["operation"]], json=one["request"]).json()
        assert one["result"] == own["result"], part
        assert one["assumptions"] == own["assumptions"], part
