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


def read(running: bool = True, **values: float) -> dict[str, Any]:  # noqa: FBT001, FBT002 - as the field
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


def body(machine: dict[str, str], refrigerant: str, readings: dict[str, Any], **more: Any) -> dict[str, Any]:
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
    client: TestClient, application: str, refrigerant: str, suction: float, equipment: str, low: bool  # noqa: FBT001
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
