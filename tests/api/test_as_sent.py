"""Answers in the units of the request, by hand from what was sent."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api import as_sent
from witnessmark.api.context import RequestContext
from witnessmark.api.openapi import examples
from witnessmark.api.quantities import Pressure
from witnessmark.api.schemas.compression import CompressionRequest
from witnessmark.api.schemas.saturation import SaturationRequest, SuperheatRequest


def pair(pressure: str, temperature: str, **more: Any) -> SuperheatRequest:
    readings = {"pressure": {"value": 10, "unit": pressure}, "temperature": {"value": 40, "unit": temperature}}
    return SuperheatRequest.model_validate({"refrigerant": "R-134a", "report_in": "as-sent", **readings, **more})


@pytest.mark.parametrize(
    ("pressure", "temperature", "expected", "system"),
    [
        ("psig", "degF", ("psia", "psig", "psi", "degF", "delta_degF"), "IP"),
        ("barg", "degC", ("bara", "barg", "bar", "degC", "K"), "bar"),
        ("bara", "degF", ("bara", "barg", "bar", "degF", "delta_degF"), "bar"),
        ("MPag", "degC", ("MPaa", "MPag", "MPa", "degC", "K"), "SI"),
        ("inHg_vac", "K", ("psia", "psig", None, "K", "K"), "SI"),
        ("kgf/cm2g", "degC", ("kgf/cm2a", "kgf/cm2g", None, "degC", "K"), "SI"),
        ("Torr", "degC", ("Torr", None, None, "degC", "K"), "SI"),
    ],
)
def test_each_in_the_unit_of_its_like(
    pressure: str, temperature: str, expected: tuple[str | None, ...], system: str
) -> None:
    units = as_sent.units_of(pair(pressure, temperature))
    names = ("pressure", "gauge pressure", "pressure_difference", "temperature", "temperature_difference")
    assert tuple(units.get(name) for name in names) == expected
    assert as_sent.system(units) == system


def test_the_first_of_its_kind_decides_and_the_site_does_not() -> None:
    site = {"altitude": {"value": 500, "unit": "m"}}
    request = CompressionRequest.model_validate(
        {
            "refrigerant": "R-134a",
            "suction_pressure": {"value": 2, "unit": "barg"},
            "discharge_pressure": {"value": 150, "unit": "psig"},
            "running": True,
            "site": site,
        }
    )
    units = as_sent.units_of(request)
    assert units["pressure"] == "bara"
    assert "length" not in units


def test_without_quantities_it_is_si() -> None:
    assert as_sent.system({}) == "SI"


def test_a_gauge_unit_is_kept_where_a_gauge_is_shown() -> None:
    context = RequestContext.of(pair("barg", "degC"))
    assert context.show(Pressure, 3e5).unit == "bara"
    assert context.show(Pressure, 3e5, "kPag").unit == "barg"
    assert context.show(Pressure, 3e5, "Pa").unit == "Pa"
    usual = RequestContext.of(
        SaturationRequest.model_validate({"refrigerant": "R-32", "pressure": {"value": 1, "unit": "barg"}})
    )
    assert usual.show(Pressure, 3e5).unit == "kPaa"


def test_on_the_wire(client: TestClient) -> None:
    body = {"refrigerant": "R-410A", "pressure": {"value": 8.1, "unit": "barg"}, "report_in": "as-sent"}
    result = client.post("/v1/saturation", json=body).json()["result"]
    assert result["dew"]["gauge_pressure"] == {"value": pytest.approx(8.1), "unit": "barg", "uncertainty": None}
    assert result["dew"]["pressure"]["unit"] == "bara"
    assert result["dew"]["temperature"]["unit"] == "degC"


@pytest.mark.parametrize("name", sorted(examples()))
def test_every_operation_takes_it(client: TestClient, name: str) -> None:
    if name in {"report_case", "work_case", "cycle", "ask_case", "dispatch", "bulk"}:
        pytest.skip("slow, or made of the others")
    paths = client.get("/openapi.json").json()["paths"]
    path = next((p for p, row in paths.items() if row.get("post", {}).get("operationId") == name), None)
    body = next(iter(examples()[name].values()))["value"]
    if path is None or "report_in" not in str(paths[path]) + str(client.get("/openapi.json").json()):
        pytest.skip("no calculation")
    response = client.post(path, json={**body, "report_in": "as-sent"})
    assert response.status_code in (200, 422), response.text
    assert response.status_code == 200 or "report_in" in response.text
