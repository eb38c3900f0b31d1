"""A low side below the air pressure of the site draws air in: told for every refrigerant, wherever one is read."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.bulk.compute import compute_batch
from witnessmark.api.context import RequestContext, Site
from witnessmark.api.quantities import AirPressure, Pressure
from witnessmark.calculations.circuit.saturation import pressure_range
from witnessmark.reference.instruments import HIGH_SIDE, LOW_SIDE
from witnessmark.refrigerants import catalogue

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
HIGH = {"altitude": {"value": 1500, "unit": "m"}}
"""84.6 kPa of air (ISO 2533)."""
AIR = 84.6


def kpa(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "kPaa"}


def degc(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "degC"}


def told(client: TestClient, operation: str, body: dict[str, Any]) -> bool:
    response = client.post(f"/v1/{operation}", json=body)
    assert response.status_code == 200, response.text
    return "air-drawn-in" in {caution["id"] for caution in response.json()["cautions"]}


SERVED = [str(name) for name in catalogue.designations() if pressure_range(str(name))[0] < 70e3]


@pytest.mark.parametrize("operation", ["superheat", "saturation"])
def test_every_refrigerant(client: TestClient, operation: str) -> None:
    beside = {"temperature": degc(20)} if operation == "superheat" else {}
    silent = [
        name
        for name in SERVED
        if pressure_range(name)[1] > 120e3
        and [
            told(client, operation, {"refrigerant": name, "pressure": kpa(pressure), "site": site, **beside})
            for pressure, site in ((80, HIGH), (90, HIGH), (90, None), (110, None))
        ]
        != [True, False, True, False]
    ]
    assert len(SERVED) > 100
    assert silent == []


def bodies(low: float) -> dict[str, dict[str, Any]]:
    """Requests of operations that read a low side, all else as usual."""
    gas = {"refrigerant": "R-407C", "site": HIGH}
    ends = {"suction_pressure": kpa(low), "discharge_pressure": kpa(1500)}
    lines = {"suction_temperature": degc(10), "discharge_temperature": degc(90)}
    examples = {
        name: next(iter(json.loads((EXAMPLES / f"{name}.json").read_text("utf-8")).values()))["value"]
        for name in ("oil_return", "liquid_ingestion", "accumulator")
    }
    return {
        "compression": {**gas, **ends, **lines, "running": True},
        "wet-suction": {**gas, **ends, "discharge_temperature": degc(60)},
        "cycle": {**gas, **ends, **lines},
        "diagnosis": {**gas, "readings": {"suction_pressure": kpa(low)}},
        "oil-return": {**examples["oil_return"], "suction_pressure": kpa(low), "site": HIGH},
        "liquid-ingestion": {**examples["liquid_ingestion"], "suction_pressure": kpa(low), "site": HIGH},
    }


@pytest.mark.parametrize("operation", bodies(80.0))
def test_every_operation_that_reads_a_low_side(client: TestClient, operation: str) -> None:
    assert told(client, operation, bodies(80.0)[operation])
    assert not told(client, operation, bodies(90.0)[operation])


def test_a_cycle_of_an_evaporating_temperature(client: TestClient) -> None:
    body = {"refrigerant": "R-407C", "condensing_temperature": degc(40), "site": HIGH}
    assert told(client, "cycle", {**body, "evaporating_temperature": degc(-45)})  # 60 kPa at dew
    assert not told(client, "cycle", {**body, "evaporating_temperature": degc(-30)})  # 131 kPa


def test_rows_in_columns_say_it_once_wherever_such_a_row_stands() -> None:
    columns = {"pressure[kPaa]": [400.0, 400.0, 90.0, 400.0], "temperature[degC]": [10.0] * 4}
    assert "air-drawn-in" in compute_batch("superheat", columns, refrigerant="R-407C").cautions
    columns["pressure[kPaa]"][2] = 110.0
    assert "air-drawn-in" not in compute_batch("superheat", columns, refrigerant="R-407C").cautions
    beside = {"pressure[kPaa]": [400.0, 90.0]}
    assert "air-drawn-in" in compute_batch("saturation", beside, refrigerant="R-407C").cautions
    hot = {"pressure[kPaa]": [400.0, 90.0], "temperature[degC]": [60.0, 60.0]}
    assert "air-drawn-in" not in compute_batch("superheat", hot, refrigerant="R-407C", place="discharge").cautions


def test_only_of_a_low_side_and_with_the_air_of_the_site() -> None:
    context = RequestContext()
    context.site = Site(barometer=AirPressure(value=700, unit="mbar"))
    for field, instrument, value, expected in (
        ("pressure", HIGH_SIDE, 60.0, False),
        ("pressure", LOW_SIDE, 75.0, False),
        ("pressure", LOW_SIDE, 65.0, True),
    ):
        context.read(Pressure(value=value, unit="kPaa"), field, 0.0, 1e7, instrument)
        assert any(note.id == "air-drawn-in" for note in context.notes()["cautions"]) == expected
    assert context.assumptions[-1].startswith("pressure: ")
    assert not any("sea level" in line for line in context.assumptions)
