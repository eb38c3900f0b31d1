"""Machines as a technician meets them, sent as structured input: sound ones run on, bad ones do not.

Pressures and temperatures of the cycles come from an equation of state outside this service (CoolProp 6.x, isentropic
efficiency 0.68 to 0.75, a tenth of the work lost at the shell); what is right was written down before it was asked.
"""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

SCROLL = {
    "compressor": "scroll", "shell": "low-side", "drive": "fixed-speed", "construction": "hermetic",
    "phases": "three-phase", "application": "air-conditioning", "condenser": "air-cooled",
}  # fmt: skip


def read(running: Any = True, **values: float) -> dict[str, Any]:  # noqa: FBT002 - as the field
    """Readings in barg, degC, A, K."""
    units = {"pressure": "barg", "temperature": "degC", "current": "A", "superheat": "K", "subcooling": "K"}
    named = {name: {"value": value, "unit": units[name.rsplit("_", 1)[-1]]} for name, value in values.items()}
    return {"running": running, **named}


def cycle(suction: float, line: float, discharge: float, hot: float, liquid: float, **more: float) -> dict[str, Any]:
    """Both gauges and the three lines of a running machine."""
    return read(
        suction_pressure=suction, suction_temperature=line, discharge_pressure=discharge, discharge_temperature=hot,
        liquid_temperature=liquid, **more,
    )  # fmt: skip


def both(client: TestClient, body: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """The diagnosis, and what a dispatcher is told of the same."""
    diagnosis = client.post("/v1/diagnosis", json=body).json()["result"]
    outcome = client.post("/v1/dispatch", json=body).json()["result"]["calls"][0]["outcome"]
    assert diagnosis["operation"]["advice"] == outcome["operation"]["advice"]
    return diagnosis, outcome


def body(machine: dict[str, str], refrigerant: Any, readings: Any, **more: Any) -> dict[str, Any]:
    return {"machine": machine, "refrigerant": refrigerant, "readings": readings, **more}


def told(*findings: str) -> list[dict[str, str]]:
    """`name` is present, `name:state` in that state."""
    parts = [one.partition(":") for one in findings]
    return [{"finding": name, "state": state or "present"} for name, _, state in parts]


# Dry gas of these leaves a sound compressor less than 11 K over saturation.
LITTLE_LIFT = {
    "R-1234yf at 3/55": (SCROLL, "R-1234yf", cycle(2.52, 11.0, 13.5, 64.9, 50.0, outdoor_temperature=36)),
    "R-1234yf at -5/45": (SCROLL, "R-1234yf", cycle(1.65, 3.0, 10.5, 56.6, 40.0, outdoor_temperature=32)),
    "R-1234ze(E) screw": (
        {"compressor": "screw", "construction": "semi-hermetic", "application": "air-conditioning",
         "condenser": "water-cooled"},
        "R-1234ze(E)", cycle(1.48, 9.0, 6.65, 49.5, 36.0, outdoor_temperature=32),
    ),
    "R-1233zd(E) screw": (
        {"compressor": "screw", "construction": "semi-hermetic", "application": "air-conditioning",
         "condenser": "water-cooled"},
        "R-1233zd(E)", cycle(-0.42, 8.0, 0.9, 46.0, 33.0),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", LITTLE_LIFT)
def test_dry_gas_of_little_lift_stops_no_machine(client: TestClient, name: str) -> None:
    diagnosis, outcome = both(client, body(*LITTLE_LIFT[name]))
    assert diagnosis["operation"]["advice"] == "keep-running", diagnosis["operation"]
    assert outcome["priority"]["level"] >= 7


def test_a_superheat_worked_out_by_somebody_is_judged_alike(client: TestClient) -> None:
    machine, gas, readings = LITTLE_LIFT["R-1234yf at -5/45"]
    stated = {k: v for k, v in readings.items() if k != "discharge_temperature"}
    stated["discharge_superheat"] = {"value": 8.0, "unit": "K"}
    assert both(client, body(machine, gas, stated))[0]["operation"]["advice"] == "keep-running"
    stated["discharge_superheat"] = {"value": 0.2, "unit": "K"}
    assert both(client, body(machine, gas, stated))[0]["operation"]["advice"] == "stop"
    no_gauge = {k: v for k, v in stated.items() if k != "discharge_pressure"}
    assert both(client, body(machine, gas, no_gauge))[0]["operation"]["advice"] == "stop"


@pytest.mark.parametrize(
    ("refrigerant", "readings"),
    [
        ("R-1234yf", cycle(1.65, -5.0, 10.5, 45.4, 40.0)),
        ("R-134a", cycle(2.0, 0.5, 9.0, 41.0, 35.0)),
        ("R-410A", cycle(9.7, 11.0, 26.4, 51.0, 41.0)),
    ],
)
def test_wet_gas_still_stops_one(client: TestClient, refrigerant: str, readings: dict[str, Any]) -> None:
    assert both(client, body(SCROLL, refrigerant, readings))[0]["operation"]["advice"] == "stop"


CHILLER = {"circumstances": {"equipment": "chiller"}}
COLD = {
    "R-410A at -5": ("R-410A", cycle(5.77, 4.0, 26.4, 76.7, 40.0, outdoor_temperature=33)),
    "R-134a at -6": ("R-134a", cycle(1.33, -3.0, 7.4, 45.5, 28.0)),
    "R-290 at -8": ("R-290", read(suction_pressure=2.7, discharge_pressure=13.3)),
}


@pytest.mark.parametrize("name", COLD)
def test_a_chiller_is_stopped_before_its_water_freezes(client: TestClient, name: str) -> None:
    diagnosis, outcome = both(client, body(SCROLL, *COLD[name], **CHILLER))
    assert diagnosis["operation"]["advice"] == "stop"
    assert "freezes" in diagnosis["operation"]["reason"]
    assert outcome["priority"]["level"] == 3
    assert "in order" not in diagnosis["verdict"]["text"]
    assert diagnosis["next_checks"]["checks"][0]["finding"] in ("airflow-low", "charge-short")


def test_brine_may_be_as_cold_and_what_nobody_said_is_asked(client: TestClient) -> None:
    brine = {**SCROLL, "application": "medium-temperature"}
    assert both(client, body(brine, *COLD["R-410A at -5"], **CHILLER))[0]["operation"]["advice"] == "keep-running"
    unsaid = {k: v for k, v in SCROLL.items() if k != "application"}
    operation = both(client, body(unsaid, *COLD["R-410A at -5"], **CHILLER))[0]["operation"]
    assert operation["advice"] == "unknown"
    assert "water or brine" in operation["reason"]
    warm = ("R-410A", cycle(7.9, 11.0, 26.4, 72.0, 40.0))
    assert both(client, body(unsaid, *warm, **CHILLER))[0]["operation"]["advice"] == "keep-running"
    standing = body(SCROLL, "R-410A", read(running=False, suction_pressure=5.0), **CHILLER)
    assert both(client, standing)[0]["operation"]["advice"] != "stop"


def used(diagnosis: dict[str, Any]) -> set[str]:
    return {piece["finding"] for piece in diagnosis["used"] if piece["state"] == "reading"}


@pytest.mark.parametrize(
    ("application", "refrigerant", "suction", "equipment", "low"),
    [
        ("air-conditioning", "R-410A", 5.2, "comfort-cooling", True),  # -8 degC
        ("air-conditioning", "R-410A", 8.4, "comfort-cooling", False),  # 5 degC
        ("air-conditioning", "R-410A", 5.2, "heat-pump", False),  # it may heat
        ("medium-temperature", "R-404A", -0.3, "medium-temperature", True),  # -54 degC
        ("medium-temperature", "R-404A", 3.2, "medium-temperature", False),  # -10 degC
        ("low-temperature", "R-404A", -0.6, "low-temperature", True),  # -63 degC
        ("low-temperature", "R-404A", 0.7, "low-temperature", False),  # -34 degC
        ("low-temperature", "R-23", 0.8, "low-temperature", False),  # a low stage at -71 degC
    ],
)
def test_suction_no_such_duty_asks_for_is_low(
    client: TestClient,
    application: str,
    refrigerant: str,
    suction: float,
    equipment: str,
    low: bool,  # noqa: FBT001
) -> None:
    machine = {**SCROLL, "application": application}
    readings = read(suction_pressure=suction, discharge_pressure=16.0 if refrigerant != "R-23" else 8.0)
    request = body(machine, refrigerant, readings, circumstances={"equipment": equipment}, want={"all_used": True})
    diagnosis = client.post("/v1/diagnosis", json=request).json()["result"]
    assert ("evaporating-under-duty" in {number["id"] for number in diagnosis["derived"]}) is low


BAD_BESIDE: list[dict[str, Any]] = [
    {"machine": {"compressor": "centrifugal"}},
    {"readings": {"suction_pressure": {"value": 5, "unit": "degC"}}},
    {"refrigerant": "R-9999"},
    {"foo": 1},
    {"urgency": "very"},
    {"findings": [*told("electric-shock"), {"finding": "oil-brunt", "state": "present"}]},
    {"findings": [*told("electric-shock", "oil-burnt", "oil-burnt:absent")]},
    {"findings": [*told("electric-shock"), 7, {"finding": "oil-quantity", "state": "present"}]},
    {"findings": [*told("electric-shock"), *told("compressor-runs")], "foo": 1},
]


@pytest.mark.parametrize("wrong", BAD_BESIDE)
def test_a_wrong_field_silences_no_danger_told_as_a_finding(client: TestClient, wrong: dict[str, Any]) -> None:
    call = {"reference": "a", "findings": told("electric-shock"), **wrong}
    answer = client.post("/v1/dispatch", json={"calls": [call, {"reference": "b"}]}).json()["result"]["calls"]
    assert answer[0]["problem"]["status"] == 422
    assert answer[0]["reference"] == "a"
    assert (answer[0]["outcome"]["operation"]["advice"], answer[0]["outcome"]["priority"]["level"]) == ("stop", 1)
    assert answer[1]["problem"] is None


def test_what_the_danger_asks_for_by_its_refrigerant_is_kept(client: TestClient) -> None:
    call = {"findings": told("gas-alarm"), "refrigerant": "R-717", "machine": {"compressor": "centrifugal"}}
    answers = client.post("/v1/dispatch", json={"calls": [call]}).json()["result"]["calls"]
    assert "toxic-refrigerant" in {skill["id"] for skill in answers[0]["outcome"]["skills"]}


def test_a_wrong_field_beside_harmless_findings_is_a_problem_alone(client: TestClient) -> None:
    calls = [
        {"findings": told("capacity-low"), "foo": 1},
        {"findings": told("electric-shock:absent"), "foo": 1},
        {"findings": "electric-shock"},
    ]
    answers = client.post("/v1/dispatch", json={"calls": calls}).json()["result"]["calls"]
    assert [answer["outcome"] for answer in answers] == [None] * 3


def test_a_call_alone_is_answered_where_it_tells_of_danger(client: TestClient) -> None:
    alone = {"machine": {"compressor": "centrifugal"}, "findings": told("fire-seen")}
    answer = client.post("/v1/dispatch", json=alone).json()["result"]["calls"][0]
    assert answer["problem"]["errors"][0]["pointer"] == "#/machine/compressor"
    assert answer["outcome"]["priority"]["level"] == 1
    harmless = {"machine": {"compressor": "centrifugal"}, "findings": told("capacity-low")}
    assert client.post("/v1/dispatch", json=harmless).status_code == 422


def test_the_wettest_discharge_tells_most(client: TestClient) -> None:
    """Gas discharged at saturation said less than gas 6 K above it: its share of liquid had no upper end."""
    wet = both(client, body(SCROLL, "R-134a", cycle(2.0, 0.5, 9.0, 41.0, 35.0)))[0]
    assert wet["modes"][0]["id"] == "liquid-floodback"
    assert wet["modes"][0]["probability"] > 0.5


COOLER = {**SCROLL, "application": "medium-temperature"}
HELD = {
    "cooler at -5": (COOLER, "R-404A", cycle(3.6, 1.0, 11.73, 44.6, 20.6, outdoor_temperature=-5), {}),
    "cooler at -15": (COOLER, "R-448A", cycle(3.1, 2.0, 12.0, 60.0, 22.0, outdoor_temperature=-15), {}),
    "water throttled from 22 to 34": (
        {**COOLER, "condenser": "water-cooled", "compressor": "reciprocating"}, "R-404A",
        cycle(3.0, -4.0, 16.7, 60.4, 34.7, outdoor_temperature=22, condenser_leaving_temperature=34), {},
    ),
    "heat pump in a room of 20": (
        SCROLL, "R-410A", cycle(5.12, -3.0, 23.77, 78.4, 34.9, outdoor_temperature=20),
        {"circumstances": {"equipment": "heat-pump"}},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", HELD)
def test_a_head_that_is_held_is_no_fault(client: TestClient, name: str) -> None:
    machine, gas, readings, more = HELD[name]
    diagnosis, outcome = both(client, body(machine, gas, readings, **more))
    assert diagnosis["operation"]["advice"] == "keep-running"
    assert outcome["priority"]["level"] == 8, outcome["priority"]
    assert diagnosis["causes"][0]["probability"] < 0.15


@pytest.mark.parametrize(
    ("machine", "gas", "readings", "more"),
    [
        (COOLER, "R-404A", cycle(3.6, 1.0, 21.5, 66.0, 44.0, outdoor_temperature=22), {}),  # 26 K over mild air
        ({**COOLER, "condenser": "water-cooled"}, "R-404A",
         cycle(3.0, -4.0, 23.5, 76.0, 48.0, outdoor_temperature=22, condenser_leaving_temperature=34), {}),
        (SCROLL, "R-410A", cycle(5.12, -3.0, 31.0, 95.0, 45.0, outdoor_temperature=20),
         {"circumstances": {"equipment": "heat-pump"}}),
    ],
)  # fmt: skip
def test_a_condenser_that_rejects_too_little_is_still_found(
    client: TestClient, machine: dict[str, str], gas: str, readings: dict[str, Any], more: dict[str, Any]
) -> None:
    diagnosis, _ = both(client, body(machine, gas, readings, **more))
    assert diagnosis["causes"][0]["id"] == "condenser-heat-rejection"


def test_little_superheat_beside_a_dry_discharge_spreads_no_damage(client: TestClient) -> None:
    dry = cycle(3.6, -5.0, 17.14, 76.0, 35.7, outdoor_temperature=28)
    diagnosis, outcome = both(client, body(COOLER, "R-404A", dry, urgency="comfort"))
    assert (diagnosis["operation"]["advice"], outcome["priority"]["level"]) == ("keep-running", 7)
    for worse in ({"suction_temperature": -7.9}, {"discharge_temperature": 49.0}):
        wet = {**dry, **read(**worse)}
        diagnosis, outcome = both(client, body(COOLER, "R-404A", wet, urgency="comfort"))
        assert (diagnosis["operation"]["advice"] != "keep-running", outcome["priority"]["level"]) == (True, 3), worse


def test_nobody_swaps_two_legs_after_a_bang(client: TestClient) -> None:
    findings = told("bang-then-dead", "loud-from-start", "capacity-lost-suddenly")
    diagnosis, outcome = both(client, {"machine": SCROLL, "findings": findings})
    assert diagnosis["operation"]["advice"] == "stop"
    said = " ".join((*outcome["for_caller"], *outcome["for_technician"], *diagnosis["dispatch"]["for_technician"]))
    assert "wrong way" not in said
    assert "Swap" not in said
    reversed_ = both(client, {"machine": SCROLL, "findings": told("loud-from-start", "supply-work-done")})[1]
    assert "wrong-rotation" in reversed_["safety"]


@pytest.mark.parametrize("runs", [{"readings": {"running": True}}, {"findings": told("compressor-runs")}])
def test_a_protector_that_closed_again_puts_nothing_out_of_action(client: TestClient, runs: dict[str, Any]) -> None:
    findings = [*told("protector-open-hot", "windings-balanced-insulation-good"), *runs.get("findings", [])]
    diagnosis, outcome = both(client, {"machine": SCROLL, **runs, "findings": findings})
    assert (diagnosis["operation"]["advice"], outcome["priority"]["level"]) == ("unknown", 7)
    assert "closed again" in diagnosis["operation"]["reason"]
    assert not any("cool until" in step for step in outcome["for_technician"])
    assert any("ever bridge" in step for step in outcome["for_technician"])
    waits = both(client, {"machine": SCROLL, "findings": told("protector-open-hot")})[1]
    assert waits["priority"]["level"] == 6
    assert any("cool until" in step for step in waits["for_technician"])


def test_what_lies_without_power_is_neither_run_nor_switched_off(client: TestClient) -> None:
    sound = cycle(8.9, 15.0, 28.2, 80.7, 43.0, outdoor_temperature=35)
    off, _ = both(client, body(SCROLL, "R-410A", sound, conditions=["power-off"]))
    assert off["operation"]["advice"] == "unknown"
    seized = {"machine": SCROLL, "findings": told("shaft-seized", "bearings-blued")}
    bench, _ = both(client, {**seized, "conditions": ["power-off", "compressor-removed"]})
    assert not any("Switch it off" in line for line in bench["dispatch"]["for_caller"])
    hurt = {**seized, "findings": [*seized["findings"], *told("person-hurt")], "conditions": ["compressor-removed"]}
    assert any("hurt" in line for line in both(client, hurt)[0]["dispatch"]["for_caller"])


def test_one_that_is_said_to_have_failed_is_not_left_running(client: TestClient) -> None:
    sound = cycle(8.9, 15.0, 28.2, 80.7, 43.0, outdoor_temperature=35)
    diagnosis, outcome = both(client, body(SCROLL, "R-410A", sound, compressor_fate="known-failed"))
    assert (diagnosis["operation"]["advice"], outcome["priority"]["level"]) == ("unknown", 6)


def first_checks(diagnosis: dict[str, Any], most: int = 3) -> list[str]:
    return [check["action"] or check["finding"] for check in diagnosis["next_checks"]["checks"][:most]]


SINGLE = {**SCROLL, "compressor": "reciprocating", "phases": "single-phase"}


@pytest.mark.parametrize("findings", [("breaker-trips-at-once",), ("acid-test-positive", "oil-burnt")])
def test_no_phases_are_compared_where_there_is_one(client: TestClient, findings: tuple[str, ...]) -> None:
    request = {"machine": SINGLE, "findings": told(*findings), "want": {"all_checks": True}}
    diagnosis, _ = both(client, {k: v for k, v in request.items() if k != "want"})
    assert "winding-resistances-unequal" not in first_checks(diagnosis)
    everything = client.post("/v1/diagnosis", json=request).json()["result"]
    assert "winding-resistances-unequal" not in first_checks(everything, 99)


LOW_OIL = {"readings": {"running": True, "net_oil_pressure": {"value": 0.3, "unit": "bar"}}}


@pytest.mark.parametrize("more", [{}, LOW_OIL])
def test_oil_is_looked_at_before_it_is_drained(client: TestClient, more: dict[str, Any]) -> None:
    bolted = {**SCROLL, "compressor": "reciprocating", "construction": "semi-hermetic"}
    diagnosis, _ = both(client, {"machine": bolted, "findings": told("oil-safety-trips"), **more})
    assert first_checks(diagnosis)[0] == "oil-level-in-glass"


@pytest.mark.parametrize("compressor", ["scroll", "reciprocating"])
def test_what_pumps_nothing_is_not_looked_for_at_the_coils(client: TestClient, compressor: str) -> None:
    readings = read(suction_pressure=11.2, discharge_pressure=12.6, running_current=8, expected_current=21)
    request = body({**SCROLL, "compressor": compressor}, "R-410A", readings, findings=told("capacity-low"))
    starving = {"coil-iced", "airflow-low", "suction-valve-shut", "condenser-fouled"}
    assert starving.isdisjoint(first_checks(both(client, request)[0]))


@pytest.mark.parametrize(
    ("line", "value", "again"),
    [("liquid_temperature", 52.0, "subcooling"), ("discharge_temperature", 24.0, "discharge-superheat-low")],
)
def test_what_cannot_both_be_right_is_read_again_first(client: TestClient, line: str, value: float, again: str) -> None:
    readings = {**cycle(8.9, 15.0, 24.5, 71.0, 37.0, outdoor_temperature=30), line: {"value": value, "unit": "degC"}}
    diagnosis, _ = both(client, body(SCROLL, "R-410A", readings))
    assert diagnosis["verdict"]["state"] == "contradictory-evidence"
    assert again in first_checks(diagnosis, 2)


def test_water_chillers_have_no_air_filter(client: TestClient) -> None:
    request = {"machine": SCROLL, "findings": told("airflow-low"), "circumstances": {"equipment": "chiller"}}
    advice = both(client, request)[0]["dispatch"]
    assert not any("filter" in line for line in advice["for_caller"])
    assert {"belt-and-filters", "fan-motor"}.isdisjoint(part["id"] for part in advice["parts"])
    request["circumstances"] = {"equipment": "rooftop"}
    assert "belt-and-filters" in {part["id"] for part in both(client, request)[0]["dispatch"]["parts"]}


def test_cycling_is_no_power_blink_and_low_speed_no_low_current(client: TestClient) -> None:
    often = {"starts_per_hour": 22, "restart_interval": {"value": 40, "unit": "s"}}
    causes = both(client, {"machine": SCROLL, "readings": often})[0]["causes"]
    assert causes[0]["id"] == "short-cycling-control"
    assert all(cause["probability"] < 0.3 for cause in causes if cause["id"] == "rapid-re-power")
    slow = {**read(running_current=4.0), "rated_current": {"value": 22, "unit": "A"}}
    driven = {"compressor": "scroll", "drive": "inverter", "phases": "three-phase"}
    assert both(client, {"machine": driven, "readings": slow})[1]["priority"]["level"] == 8


def test_frost_on_a_line_colder_than_ice_is_usual(client: TestClient) -> None:
    frozen = {**SCROLL, "application": "low-temperature"}
    dry = cycle(1.05, -16.0, 15.7, 70.6, 31.0, outdoor_temperature=25)
    request = body(frozen, "R-404A", dry, findings=told("frost-on-suction"))
    assert both(client, request)[1]["priority"]["level"] == 8
    warm = cycle(4.4, 4.0, 15.7, 58.0, 31.0, outdoor_temperature=25)
    assert both(client, body(COOLER, "R-404A", warm, findings=told("frost-on-suction")))[1]["priority"]["level"] == 7


def test_a_capacitor_found_weak_is_named(client: TestClient) -> None:
    weak = {"start_capacitor": {"value": 41, "unit": "uF"}, "start_capacitor_marked": {"value": 88, "unit": "uF"}}
    diagnosis, _ = both(client, {"machine": SINGLE, "readings": weak, "findings": told("relay-clicks")})
    assert diagnosis["verdict"]["text"].startswith("Found outside the compressor: failed start or run capacitor.")
