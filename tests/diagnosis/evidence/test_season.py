"""Heating heat pumps and heads that fall in the cold: what outdoor air does to the readings."""

from __future__ import annotations

from typing import Any

import pytest
from fastapi.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings
from witnessmark.diagnosis.evidence.season import heats
from witnessmark.refrigerants import saturation

CLIENT = TestClient(app)


def degrees(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "degC"}


def pressure(refrigerant: str, temperature: float) -> dict[str, Any]:
    return {"value": saturation.dew_pressure(refrigerant, temperature + 273.15) / 1e5, "unit": "bara"}


def asked(refrigerant: str, evaporating: float, condensing: float, outdoor: float, **beside: Any) -> dict[str, Any]:
    """The answer for a running machine with 6 K of superheat and 5 K of subcooling."""
    readings = {
        "suction_pressure": pressure(refrigerant, evaporating),
        "discharge_pressure": pressure(refrigerant, condensing),
        "suction_temperature": degrees(evaporating + 6.0),
        "liquid_temperature": degrees(condensing - 5.0),
        "outdoor_temperature": degrees(outdoor),
        "running": True,
    }
    body = {"refrigerant": refrigerant, "readings": readings, "machine": {"phases": "three-phase"}} | beside
    answer: dict[str, Any] = CLIENT.post("/v1/diagnosis", json=body).json()
    return {**answer["result"], "assumptions": answer["assumptions"]}


def cause(answer: dict[str, Any], key: str) -> float:
    return next((float(one["probability"]) for one in answer["causes"] if one["id"] == key), 0.0)


def heated(answer: dict[str, Any]) -> bool:
    return any(one.startswith("Set aside: outdoor temperature: a heat pump heats") for one in answer["assumptions"])


@pytest.mark.parametrize(("outdoor", "evaporating"), [(7.0, 0.0), (-7.0, -12.0), (14.9, 5.0)])
def test_a_heat_pump_that_heats_has_no_dirty_condenser_outside(outdoor: float, evaporating: float) -> None:
    """Wrong answer that hurts: the outdoor coil is cleaned, or charge taken out, of a sound machine that heats."""
    heat_pump = {"circumstances": {"equipment": "heat-pump"}}
    answer = asked("R-410A", evaporating, 40.0, outdoor, **heat_pump)
    assert heated(answer)
    assert cause(answer, "condenser-heat-rejection") < 0.1
    assert answer["verdict"]["state"] != "does-not-fit"


@pytest.mark.parametrize(
    ("outdoor", "evaporating", "condensing", "equipment"),
    [
        (15.1, 5.0, 40.0, "heat-pump"),
        (7.0, 8.0, 40.0, "heat-pump"),
        (7.0, 0.0, 24.0, "heat-pump"),
        (7.0, 0.0, 40.0, "rack"),
    ],
)
def test_what_does_not_heat_is_held_against_the_air_outside(
    outdoor: float, evaporating: float, condensing: float, equipment: str
) -> None:
    answer = asked("R-410A", evaporating, condensing, outdoor, circumstances={"equipment": equipment})
    assert not heated(answer)


LOW_TRIPS = [{"finding": "low-pressure-trips", "state": "present"}]


def test_a_head_that_falls_in_the_cold_is_no_missing_charge() -> None:
    """Wrong answer that hurts: charge is added in the winter, and the head trips the machine in the summer."""
    cold = asked("R-404A", -22.0, 8.0, -5.0, findings=LOW_TRIPS)
    assert cause(cold, "head-pressure-control-fault") > max(0.3, 2 * cause(cold, "undercharge"))


@pytest.mark.parametrize(("outdoor", "condensing"), [(6.0, 18.0), (4.0, 21.0)])
def test_in_mild_air_or_with_the_head_kept_up_it_is_nothing_of_the_kind(outdoor: float, condensing: float) -> None:
    mild = asked("R-404A", -22.0, condensing, outdoor, findings=LOW_TRIPS)
    assert cause(mild, "head-pressure-control-fault") < 0.15


def test_where_saturation_is_not_known_nothing_is_said_of_heating() -> None:
    facts, cold = Facts("R-410A", heat_pump=True), Measured(275.0)
    assert not heats(
        Facts(None, heat_pump=True), FieldReadings(outdoor_temperature=cold, suction_pressure=Measured(8e5))
    )
    assert not heats(facts, FieldReadings(outdoor_temperature=cold))
    beyond = FieldReadings(outdoor_temperature=cold, suction_pressure=Measured(8e5), discharge_pressure=Measured(9e6))
    assert not heats(facts, beyond)
