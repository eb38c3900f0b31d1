"""POST /v1/restart."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.openapi import examples
from witnessmark.restart.after_run import proofs
from witnessmark.restart.watch_list import TABLE

PATH = "/v1/restart"
MAY = "a licensed technician may start, watching the listed readings"


def example(name: str) -> dict[str, Any]:
    found: dict[str, Any] = copy.deepcopy(examples()["restart"][name]["value"])
    return found


def post(client: TestClient, body: dict[str, Any]) -> dict[str, Any]:
    response = client.post(PATH, json=body)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def states(answer: dict[str, Any]) -> dict[str, str]:
    return {c["check"]: c["state"] for c in answer["result"]["checks"]}


def test_everything_proved_is_a_watched_start_and_no_more(client: TestClient) -> None:
    answer = post(client, example("everything proved"))
    result = answer["result"]
    assert result["verdict"] == MAY
    assert result["blocking"] == []
    assert "never-more-than-may-start" in {c["id"] for c in answer["cautions"]}
    watched = {w["item"]: w for w in result["watching"]}
    assert watched["suction_superheat"]["low"]["basis"] == "maker"
    assert watched["compression_ratio"]["high"]["value"] == 7
    assert watched["core_drop"]["high"]["value"]["value"] == pytest.approx(8 * 6.894757, rel=1e-4)
    bounds = (watched["discharge_pressure"]["high"], watched["suction_pressure"]["high"])
    assert bounds[0]["value"]["value"] == pytest.approx(3550 + 101.325)  # where the switch opened
    assert bounds[1]["value"]["value"] < 2700  # R-410A at 43 degC: below the 3.73 MPa of the whole's test
    assert [t["value"] for t in result["reading_times"]] == [1, 5, 15, 30, 60]
    evidence = {c["check"]: c["evidence"] for c in result["checks"]}
    assert evidence["insulation"][0]["origin"] == "insulation test"
    measured = {c["check"]: c["measured"] for c in result["checks"]}
    assert len(measured["sump-warm"]) == 2
    assert measured["charge"][0]["value"] == pytest.approx(-0.1 / 12)


@pytest.mark.parametrize("stated", [True, False])
@pytest.mark.parametrize("without", [("under_vacuum",), ("through_drive",), ("power_locked_out",), ()])
def test_an_insulation_test_of_unstated_conditions_starts_nothing(
    client: TestClient,
    without: tuple[str, ...],
    stated: bool,  # noqa: FBT001
) -> None:
    body = example("everything proved")
    conditions = body["tests"]["insulation"]["conditions"]
    kept = {k: v for k, v in conditions.items() if without and k not in without}
    body["tests"]["insulation"]["conditions"] = kept
    body["stated"] += [{"check": "insulation", "outcome": "passed"}] if stated else []
    answer = post(client, body)
    assert answer["result"]["verdict"] == "do not start"
    assert answer["result"]["blocking"] == ["insulation"]
    assert states(answer)["insulation"] == "missing"
    assert "insulation-test-not-proven" in {c["id"] for c in answer["cautions"]}


@pytest.mark.parametrize(("drive", "state"), [("fixed-speed", "passed"), ("soft-starter", "missing")])
def test_a_machine_without_a_drive_need_not_say_that_none_was_connected(
    client: TestClient, drive: str, state: str
) -> None:
    """Said to be connected all the same, the test is refused; what sits between line and motor has to be spoken of."""
    body = example("everything proved")
    body["machine"]["drive"] = drive
    insulation = body["tests"]["insulation"]
    insulation |= {"motor": "hermetic", "resistance": {"value": 900, "unit": "megohm"}}
    del insulation["conditions"]["through_drive"]
    assert states(post(client, body))["insulation"] == state
    insulation["conditions"]["through_drive"] = True
    assert states(post(client, body))["insulation"] != "passed"
    insulation["conditions"] = {"through_drive": False}
    assert states(post(client, body))["insulation"] == "missing"


def test_whatever_is_missing_blocks(client: TestClient) -> None:
    for name in examples()["restart"]:
        answer = post(client, example(name))
        missing = {check for check, state in states(answer).items() if state == "missing"}
        assert missing <= set(answer["result"]["blocking"])
        assert (answer["result"]["verdict"] == MAY) == (not answer["result"]["blocking"])


def test_a_charge_as_wanted_deviates_by_nothing(client: TestClient) -> None:
    body = example("everything proved")
    body["measured"]["charge"] = {k: {"value": 0.7, "unit": "lb"} for k in ("weighed", "wanted")}
    measured = {c["check"]: c["measured"] for c in post(client, body)["result"]["checks"]}
    assert measured["charge"][0]["value"] == 0


def test_taking_one_test_away_blocks(client: TestClient) -> None:
    tests = {"insulation": ["insulation"], "evacuation": ["vacuum"], "windings": ["windings"]}
    sides = ["pressure-test-high", "pressure-test-low"]
    samples = ["oil-charge", "circuit-acid"]
    lists = {"supply_unbalance": ["supply"], "pressure_tests": sides, "oil_samples": samples}
    for test, blocked in (tests | lists).items():
        body = example("everything proved")
        body["stated"] = [s for s in body["stated"] if s["check"] not in blocked]
        del body["tests"][test]
        answer = post(client, body)
        assert answer["result"]["verdict"] == "do not start"
        assert [c for c in answer["result"]["blocking"] if c != "vacuum" or c in blocked] == blocked


def test_a_claim_against_a_reading_conflicts(client: TestClient) -> None:
    answer = post(client, example("a claim that a reading contradicts"))
    assert states(answer)["insulation"] == "conflicting"
    assert answer["result"]["verdict"] == "do not start"


def test_every_kind_of_test_counts(client: TestClient) -> None:
    body = example("everything proved")
    body["stated"] = []
    body["tests"]["supply_unbalance"] = {
        "voltages": [{"value": v, "unit": "V", "uncertainty": 0.1} for v in (400, 401, 400)],
        "rated_voltage": {"value": 400, "unit": "V"},
    }
    body["tests"]["oil_samples"][1] |= {"water": {"value": 30, "unit": "mg/kg"}, "colour": 1.0}
    found = states(post(client, body))
    proved = ("supply", "windings", "pressure-test-high", "pressure-test-low", "vacuum", "circuit-acid", "charge")
    assert [found[c] for c in proved] == ["passed"] * 7


def test_the_maker_s_limits_for_the_checks(client: TestClient) -> None:
    body = example("everything proved")
    body["measured"]["heater_on"] = {"value": 6, "unit": "h"}
    assert states(post(client, body))["sump-warm"] == "conflicting"
    body["maker_limits"] = {"heater_on": {"value": 5, "unit": "h"}, "charge_deviation": 0.02}
    assert states(post(client, body))["sump-warm"] == "conflicting"
    body["maker_limits"]["document"] = "Guide 7, page 2"
    assert states(post(client, body))["sump-warm"] == "passed"


def test_a_flammable_refrigerant_requires_its_precautions(client: TestClient) -> None:
    body = example("everything proved")
    body["machine"]["refrigerant"] = body["measured"]["charge"]["refrigerant"] = "R-32"
    answer = post(client, body)
    assert answer["result"]["blocking"] == ["flammable-precautions"]
    assert "flammable-refrigerant" in {c["id"] for c in answer["cautions"]}


def test_a_failure_without_grade_counts_as_a_burnout(client: TestClient) -> None:
    answer = post(client, example("nothing said"))
    assert "suction-filter" in answer["result"]["blocking"]
    assert any("grade 1" in a for a in answer["assumptions"])


def test_the_log_of_the_run(client: TestClient) -> None:
    found = post(client, example("the first day"))["result"]["after_run"]
    assert [s["state"] for s in found["stages"]] == ["good", "good", "not yet due"]
    assert {t["item"]: t["trend"] for t in found["trends"]}["core_drop_rise"] == "rising"
    assert found["next_look"] == {"value": 336, "unit": "h", "uncertainty": None}


def test_stop_is_stop(client: TestClient) -> None:
    body = example("the first day")
    body["after_run"]["readings"][1] |= {
        "discharge_temperature": {"value": 130, "unit": "degC"},
        "suction_pressure": {"value": 800, "unit": "kPaa"},
    }
    found = post(client, body)["result"]["after_run"]
    assert found["verdict"] == "stop and find out"
    assert found["outside"][0]["item"] == "discharge_temperature"


def test_every_item_and_proof_can_be_reported() -> None:
    from witnessmark.api.schemas.watching import RunProofs, RunReading, WatchBands  # noqa: PLC0415

    measured = {name for name, row in TABLE().items.items() if row.unit != "observation"}
    assert measured == RunReading.model_fields.keys() - {"at", "proofs"}
    assert measured == WatchBands.model_fields.keys() - {"document"}
    assert set(proofs()) == RunProofs.model_fields.keys()


def changed(path: str, value: Any) -> dict[str, Any]:
    body = example("the first day")
    at: Any = body
    *steps, last = path.split(".")
    for step in steps:
        at = at[int(step)] if step.isdecimal() else at.setdefault(step, {})
    at[last] = value
    return body


@pytest.mark.parametrize(
    ("path", "value", "pointer"),
    [
        ("stated", [{"check": "circuit-acid", "outcome": "passed"}] * 2, "#/stated/1/check"),
        ("machine.compressor", "rotary", "#/machine/shell"),
        ("measured.off_time", {"value": 9, "unit": "d"}, "#/measured/off_time"),
        (
            "measured.charge",
            {"weighed": {"value": 1, "unit": "kg"}, "wanted": {"value": 0, "unit": "kg"}},
            "#/measured/charge/wanted",
        ),
        ("after_run.elapsed", {"value": 2, "unit": "h"}, "#/after_run/readings/1/at"),
        (
            "after_run.readings.0.discharge_temperature",
            {"value": 900, "unit": "degC"},
            "#/after_run/readings/0/discharge_temperature",
        ),
        (
            "tests.supply_unbalance",
            {"voltages": [{"value": 0, "unit": "V"}] * 3},
            "#/tests/supply_unbalance/voltages",
        ),
        (
            "tests.pressure_tests",
            [
                {
                    "side": "high",
                    "stages": [
                        {
                            "start_pressure": {"value": 10, "unit": "barg"},
                            "start_temperature": {"value": 20, "unit": "degC"},
                            "end_pressure": {"value": 10, "unit": "barg"},
                            "end_temperature": {"value": 20, "unit": "degC"},
                            "duration": {"value": 1, "unit": "d"},
                        }
                    ],
                    "gas": "other-inert-gas",
                    "model": "real-nitrogen",
                }
            ],
            "#/tests/pressure_tests/0/gas",
        ),
        ("tests.oil_samples", [{"oil": "POE", "sample": "circuit"}], "#/tests/oil_samples/0"),
        (
            "tests.line_voltage",
            {k: {"value": 230, "unit": "V"} for k in ("voltage", "rated_voltage")},
            "#/tests/line_voltage/voltage",
        ),
    ],
)
def test_faults_name_their_field(client: TestClient, path: str, value: Any, pointer: str) -> None:
    response = client.post(PATH, json=changed(path, value))
    assert response.status_code == 422, response.text
    assert response.json()["errors"][0]["pointer"] == pointer


def test_an_insulation_test_of_unstated_validity_lets_nothing_start(client: TestClient) -> None:
    body = example("everything proved")
    body["tests"]["insulation"]["conditions"] = {}
    answer = post(client, body)
    assert answer["result"]["verdict"] == "do not start"
    assert "insulation" in answer["result"]["blocking"]


def test_claims_alone_start_nothing(client: TestClient) -> None:
    body = example("everything proved")
    bare = ["insulation", "windings", "supply", "pressure-test-high", "pressure-test-low", "vacuum", "charge"]
    body["stated"] = [s for s in body["stated"] if s["check"] not in (*bare, "sump-warm")]
    body["stated"] += [{"check": c, "outcome": "passed"} for c in (*bare, "sump-warm", "circuit-acid")]
    body["tests"], body["measured"] = {}, {}
    answer = post(client, body)
    assert answer["result"]["verdict"] == "do not start"
    assert set(answer["result"]["blocking"]) == {*bare, "circuit-acid", "sump-warm"}


def at_pressure(body: dict[str, Any], gauge: dict[str, Any], **side: Any) -> dict[str, Any]:
    """One stage without loss at a gauge pressure."""
    (test,) = body["tests"]["pressure_tests"]
    stage = test["stages"][2]
    stage |= {"start_pressure": gauge, "end_pressure": gauge, "end_temperature": stage["start_temperature"]}
    test |= {"stages": [stage], **side}
    body["measured"].pop("high_pressure_switch")
    return body


@pytest.mark.parametrize(
    ("side", "psig", "design", "states_"),
    [
        ("whole", 240, None, ["missing", "missing"]),
        ("whole", 290, None, ["missing", "passed"]),
        ("whole", 500, None, ["passed", "passed"]),
        ("high", 460, 450, ["passed", "missing"]),
        ("high", 449, 450, ["missing", "missing"]),
        ("low", 260, 250, ["missing", "passed"]),
        ("high", 240, 235, ["conflicting", "missing"]),
        ("low", 120, 110, ["missing", "conflicting"]),
    ],
)
def test_each_side_is_held_against_its_own_design_pressure(
    client: TestClient, side: str, psig: float, design: float | None, states_: list[str]
) -> None:
    """R-410A: 55 degC is 483 psig, 32 degC 272 psig (memory of pressure-temperature charts); nobody designs below."""
    plate = {} if design is None else {"value": design, "unit": "psig"}
    body = at_pressure(
        example("everything proved"),
        {"value": psig, "unit": "psig", "uncertainty": 0.3},
        side=side,
        design_pressure=plate or None,
        maximum_pressure={"value": 600, "unit": "psig"},
    )
    answer = post(client, body)
    found = states(answer)
    assert [found[f"pressure-test-{s}"] for s in ("high", "low")] == states_
    assert {"en-378-2-design-temperatures", "iso-5149-2-tightness"} & {s["id"] for s in answer["sources"]}
    assert bool(answer["result"]["contradictions"]) == ("conflicting" in states_)


def test_carbon_dioxide_needs_its_nameplate(client: TestClient) -> None:
    body = example("everything proved")
    body["machine"]["refrigerant"] = body["measured"]["charge"]["refrigerant"] = "R-744"
    body["tests"]["pressure_tests"][0]["design_pressure"] = None
    found = {c["check"]: c["evidence"] for c in post(client, body)["result"]["checks"]}
    assert "give the nameplate" in found["pressure-test-high"][0]["detail"]


def test_what_the_request_contradicts_is_named(client: TestClient) -> None:
    result = post(client, example("claims that the request contradicts"))["result"]
    assert {"pressure-test-high", "suction-filter", "sump-warm"} <= set(result["blocking"])
    assert any("no suction core" in text for text in result["contradictions"])
    assert any("liquid in the shell" in text for text in result["contradictions"])


@pytest.mark.parametrize(
    "known",
    [
        {"acid_number": {"value": 0.03, "unit": "mgKOH/g"}},
        {"acid_number": {"value": 0.06, "unit": "mgKOH/g"}},
        {"acid_test": "negative"},
        {"acid_test": "negative", "acid_number": {"value": 0.03, "unit": "mgKOH/g"}},
    ],
)
def test_acid_within_its_limit_opens_by_number_or_by_kit(client: TestClient, known: dict[str, Any]) -> None:
    body = example("everything proved")
    body["tests"]["oil_samples"][1] = {"sample": "circuit", "oil": "POE"} | known
    assert post(client, body)["result"]["verdict"] == MAY


@pytest.mark.parametrize(
    ("known", "state"),
    [
        (None, "missing"),
        ({"acid_test": "positive"}, "conflicting"),
        ({"acid_test": "negative", "acid_number": {"value": 0.3, "unit": "mgKOH/g"}}, "conflicting"),
        ({"acid_number": {"value": 0.05, "unit": "mgKOH/g", "uncertainty": 0.5}}, "missing"),
        ({"water": {"value": 20, "unit": "mg/kg"}}, "missing"),
    ],
)
def test_after_a_severe_burnout_a_claim_of_no_acid_opens_nothing(
    client: TestClient, known: dict[str, Any] | None, state: str
) -> None:
    body = example("everything proved")
    body["stated"] += [{"check": "circuit-acid", "outcome": "passed"}]
    samples = body["tests"]["oil_samples"]
    samples[1:] = [] if known is None else [{"sample": "circuit", "oil": "POE"} | known]
    result = post(client, body)["result"]
    assert result["blocking"] == ["circuit-acid"]
    assert next(c["state"] for c in result["checks"] if c["check"] == "circuit-acid") == state


def test_where_the_vacuum_gauge_sat_has_to_be_said(client: TestClient) -> None:
    body = example("everything proved")
    del body["tests"]["evacuation"]["gauge_at_pump"]
    assert post(client, body)["result"]["blocking"] == ["vacuum"]


def test_a_small_unbalance_is_a_condition(client: TestClient) -> None:
    body = example("everything proved")
    for voltage, value in zip(body["tests"]["supply_unbalance"]["voltages"], (396, 402, 404), strict=True):
        voltage["value"] = value
    result = post(client, body)["result"]
    assert result["verdict"] == MAY
    assert ["voltage unbalance 1.2%" in text for text in result["conditions"] if "suction core" not in text] == [True]


@pytest.mark.parametrize(
    ("machine", "charge", "state"),
    [
        ("R-407C", {"taken_as": "vapour"}, "failed"),
        ("R-407C", {"taken_as": "liquid"}, "passed"),
        ("R-134a", {"taken_as": "vapour"}, "passed"),
        ("R-134a", {"refrigerant": "R-22"}, "failed"),
    ],
)
def test_what_left_the_cylinder(client: TestClient, machine: str, charge: dict[str, str], state: str) -> None:
    body = example("everything proved")
    body["machine"]["refrigerant"] = machine
    body["measured"]["charge"] |= {"refrigerant": machine} | charge
    found = states(post(client, body))["charge"]
    assert found == {"failed": "conflicting"}.get(state, state)


def test_a_single_phase_supply_is_read_too(client: TestClient) -> None:
    body = example("everything proved")
    body["machine"]["phases"] = "single-phase"
    del body["tests"]["supply_unbalance"]
    body["stated"] += [{"check": "supply", "outcome": "passed"}]
    assert post(client, body)["result"]["blocking"] == ["supply"]
    for volts, state in ((225, "passed"), (180, "conflicting")):
        body["tests"]["line_voltage"] = {
            "voltage": {"value": volts, "unit": "V"},
            "rated_voltage": {"value": 230, "unit": "V"},
        }
        assert states(post(client, body))["supply"] == state


def test_oil_level_and_coupling(client: TestClient) -> None:
    body = example("everything proved")
    body["machine"] |= {"oil_safety_fitted": True}
    body["stated"] += [{"check": "oil-safety", "outcome": "passed"}]
    body["measured"] |= {"oil_level": "in-glass", "coupling_offset": {"value": 0.05, "unit": "mm"}}
    answer = post(client, body)
    assert answer["result"]["verdict"] == MAY
    measured = {c["check"]: c["measured"] for c in answer["result"]["checks"]}
    assert measured["coupling"][0]["value"]["value"] == pytest.approx(5e-5)
    body["measured"]["oil_level"] = "above-glass"
    assert {"oil-charge", "sump-warm"} <= set(post(client, body)["result"]["blocking"])


def test_a_bad_log_of_the_run_withdraws_the_start(client: TestClient) -> None:
    body = example("everything proved") | {"after_run": example("the first day")["after_run"]}
    assert post(client, body)["result"]["verdict"] == MAY
    body["after_run"]["readings"][-1]["discharge_temperature"] = {"value": 160, "unit": "degC"}
    result = post(client, body)["result"]
    assert (result["verdict"], result["blocking"]) == ("do not start", ["after-run"])


def test_a_looser_limit_of_the_maker_is_warned_of(client: TestClient) -> None:
    body = example("everything proved")
    body["watch_limits"] = {}
    assert "maker-limit-looser" not in {c["id"] for c in post(client, body)["cautions"]}
    body["tests"]["oil_samples"][1]["maker_limits"] = {
        "acid_number": {"value": 0.3, "unit": "mgKOH/g"},
        "document": "Guide 7, page 2",
    }
    assert "maker-limit-looser" in {c["id"] for c in post(client, body)["cautions"]}


@pytest.mark.parametrize(
    ("machine", "judged_as"),
    [
        ({}, "open-random-wound"),
        ({"drive": "fixed-speed"}, "hermetic-inverter"),
        ({"compressor": "centrifugal"}, "hermetic-inverter"),
    ],
)
def test_insulation_is_not_judged_as_another_kind_of_machine(
    client: TestClient, machine: dict[str, str], judged_as: str
) -> None:
    body = example("everything proved")
    body["machine"] |= machine
    body["tests"]["insulation"]["motor"] = judged_as
    response = client.post(PATH, json=body)
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/tests/insulation/motor"


@pytest.mark.parametrize(
    ("limits", "pointer"),
    [
        ({"sump_superheat_at_rest": {"value": -20, "unit": "K"}}, "#/maker_limits/sump_superheat_at_rest"),
        ({"charge_deviation": 1}, "#/maker_limits/charge_deviation"),
        ({"off_time": {"value": 0, "unit": "s"}}, "#/maker_limits/off_time"),
    ],
)
def test_limits_that_no_maker_gives_are_refused(client: TestClient, limits: dict[str, Any], pointer: str) -> None:
    response = client.post(PATH, json=example("everything proved") | {"maker_limits": limits})
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize(
    ("band", "pointer"),
    [
        (
            {"low": {"value": 30, "unit": "K"}, "high": {"value": 5, "unit": "K"}},
            "#/watch_limits/suction_superheat/low",
        ),
        ({"low": {"value": -5, "unit": "K"}}, "#/watch_limits/suction_superheat/low"),
    ],
)
def test_a_band_that_no_maker_gives(client: TestClient, band: dict[str, Any], pointer: str) -> None:
    body = example("everything proved") | {"watch_limits": {"suction_superheat": band}}
    response = client.post(PATH, json=body)
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == pointer


def test_percent_typed_for_a_fraction_is_refused(client: TestClient) -> None:
    for item, value in (("voltage_unbalance", 2), ("current_unbalance", 10.0), ("voltage_deviation", -10.0)):
        body = example("everything proved") | {"watch_limits": {item: {"high": value}}}
        response = client.post(PATH, json=body)
        assert response.status_code == 422
        assert response.json()["errors"][0]["pointer"] == f"#/watch_limits/{item}/high"
    body = example("everything proved") | {"watch_limits": {"voltage_unbalance": {"high": 0.02}}}
    assert post(client, body)["result"]["verdict"] == MAY


def test_tests_of_other_phases_than_the_machine_has(client: TestClient) -> None:
    body = example("everything proved")
    ohms = [{"value": v, "unit": "ohm", "uncertainty": 0.001} for v in (2.0, 0.5, 2.5)]
    body["tests"]["windings"] = {"phases": "single-phase", "terminals": ohms}
    response = client.post(PATH, json=body)
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/tests/windings/phases"
    body = example("everything proved")
    body["machine"]["phases"] = "single-phase"
    response = client.post(PATH, json=body)
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/tests/supply_unbalance/voltages"


def test_a_plant_that_reverses_says_whether_one_way_cores_are_in(client: TestClient) -> None:
    body = example("nothing said")
    body["machine"]["plant"] = "heat-pump"
    response = client.post(PATH, json=body)
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/machine/one_way_cores_fitted"
    body["machine"]["one_way_cores_fitted"] = False
    assert "mode-locked" not in post(client, body)["result"]["blocking"]


def test_a_shell_that_is_not_stated_is_proved_warm(client: TestClient) -> None:
    body = example("nothing said")
    body["machine"]["crankcase_heater_fitted"] = False
    assert "sump-warm" not in post(client, body)["result"]["blocking"]
    del body["machine"]["shell"]
    checks = {c["check"]: c for c in post(client, body)["result"]["checks"]}
    assert checks["sump-warm"]["required_by"] == ["shell not stated"]


def test_measured_values_say_which_they_are(client: TestClient) -> None:
    checks = post(client, example("everything proved"))["result"]["checks"]
    measured = {m["measure"]: m["limit"]["side"] for c in checks for m in c["measured"]}
    assert measured == {
        "charge_deviation": "not above",
        "heater_on": "not below",
        "sump_superheat_at_rest": "not below",
        "off_time": "not below",
    }


def test_solids_of_an_oil_sample_count_too(client: TestClient) -> None:
    body = example("everything proved")
    body["tests"]["oil_samples"][1]["contamination"] = 20
    assert states(post(client, body))["circuit-acid"] == "conflicting"


def without_properties() -> dict[str, Any]:
    """Everything proved, on a refrigerant that is known by name alone."""
    body = example("everything proved")
    body["machine"]["refrigerant"] = "R-413A"
    body["measured"]["charge"].pop("refrigerant", None)
    return body


def test_a_refrigerant_without_properties_stops_no_check_and_lifts_none(client: TestClient) -> None:
    """Worst: checks for flammable and toxic gas fall away, or an unproved design pressure counts without a word."""
    known, bare = post(client, example("everything proved")), post(client, without_properties())
    asked = {name for name, state in states(bare).items() if state != "not required"}
    flammable = example("everything proved")
    flammable["machine"]["refrigerant"] = "R-290"
    burning = {name for name, state in states(post(client, flammable)).items() if state != "not required"}
    assert asked >= burning > {name for name, state in states(known).items() if state != "not required"}
    assert bare["result"]["verdict"] == "do not start"
    told = " ".join(bare["assumptions"])
    assert "R-413A is a real designation that is not served" in told
    assert "flammable and toxic refrigerant" in told
    tests = {c["check"]: c["by_maker"] for c in bare["result"]["checks"] if c["check"].startswith("pressure-test-")}
    assert all(any("not held against the refrigerant's saturation" in line for line in owed) for owed in tests.values())


def test_without_pressures_the_checks_stand_alone(client: TestClient) -> None:
    machine = {**without_properties()["machine"], "refrigerant": "methylene chloride"}
    answer = post(client, {"machine": machine})
    assert answer["result"]["verdict"] == "do not start"
    assert any("methylene chloride is a real designation" in line for line in answer["assumptions"])


@pytest.mark.parametrize(("designation", "state"), [("R-413A", "conflicting"), ("R-30", "passed")])
def test_a_blend_without_properties_is_not_charged_as_vapour(client: TestClient, designation: str, state: str) -> None:
    """ASHRAE 34: the 400 series are zeotropes, whose vapour has another composition; the charge is stated as passed."""
    body = without_properties()
    body["machine"]["refrigerant"] = designation
    body["measured"]["charge"]["taken_as"] = "vapour"
    assert states(post(client, body))["charge"] == state
    body["measured"]["charge"]["refrigerant"] = "R-134a"
    assert states(post(client, body))["charge"] == "conflicting"
