"""Answers in the units of the request, by hand from what was sent."""

from __future__ import annotations

import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api import as_sent
from witnessmark.api.bulk.compute import compute_batch
from witnessmark.api.context import RequestContext
from witnessmark.api.openapi import examples
from witnessmark.api.quantities import Pressure
from witnessmark.api.schemas.compression import CompressionRequest
from witnessmark.api.schemas.saturation import SaturationRequest, SuperheatRequest
from witnessmark.vocabulary import spelled


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
    shown = result["dew"]["gauge_pressure"]
    assert (shown["value"], shown["unit"]) == (pytest.approx(8.1), "barg")
    assert 0.0 < shown["uncertainty"] < 0.2  # of the usual gauge, since none was stated
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


SENT = {
    "saturation": {"refrigerant": "R-407C", "pressure[psig]": 118.0, "pressure.uncertainty[psi]": 1.0},
    "superheat": {"refrigerant": "R-410A", "temperature[degF]": 52.0, "pressure[barg]": 8.1},
    "subcooling": {"refrigerant": "R-410A", "pressure[MPag]": 2.4, "temperature[K]": 308.0},
    "compression": {
        "refrigerant": "R-454B", "suction_pressure[barg]": 7.1, "discharge_pressure[psig]": 330.0,
        "suction_temperature[degF]": 60.0, "discharge_temperature[degC]": 80.0, "running": True, "compressor": "scroll",
    },
    "noncondensables": {
        "refrigerant": "R-134a", "pressure[kgf/cm2g]": 7.0, "temperature[degC]": 25.0,
    },
}  # fmt: skip


def single(client: TestClient, name: str, row: dict[str, Any]) -> dict[str, Any]:
    """The cells of the single operation, in the units of its answer."""
    body: dict[str, Any] = {"report_in": "as-sent"}
    for key, cell in row.items():
        path, _, unit = key.removesuffix("]").partition("[")
        if path.endswith(".uncertainty"):
            body[path.removesuffix(".uncertainty")]["uncertainty"] = cell
        else:
            body[path] = {"value": cell, "unit": unit} if unit else cell
    answer = client.post(f"/v1/{name}", json=body).json()
    found: dict[str, Any] = {}

    def walk(part: Any, at: str) -> None:
        if isinstance(part, dict) and "unit" in part:
            found[f"{at}[{part['unit']}]"] = part["value"]
        elif isinstance(part, dict) and "value" not in part:
            for key, value in part.items():
                walk(value, f"{at}.{key}" if at else key)

    walk(answer["result"], "")
    return found


@pytest.mark.parametrize("name", SENT)
def test_rows_are_answered_in_the_units_of_their_columns_as_a_single_request_is(client: TestClient, name: str) -> None:
    """Two rows as columns, and one that takes the long way for a fault of its own kind, which harms no unit."""
    row = SENT[name]
    expected = single(client, name, row)
    for spelling in ("as-sent", "as sent"):
        columns = {key: [cell, cell] for key, cell in row.items()}
        found = compute_batch(name, columns, spelled(spelling)).columns
        assert expected
        assert expected.keys() <= found.keys()
        for key, value in expected.items():
            assert found[key][1] == value, key


def test_rows_over_http_in_the_units_sent(client: TestClient) -> None:
    """A row without a temperature among others: its columns are those of all rows."""
    text = b"refrigerant,pressure[psig],temperature[degF]\nR-410A,118,\nR-22,,40\nR-22,70,\n"
    headers = {"content-type": "text/csv"}
    answers = [
        client.post(f"/v1/bulk/saturation?report_in={word}", content=text, headers=headers)
        for word in ("as-sent", "as%20sent", "AS_SENT")
    ]
    head, first, second, _ = answers[0].text.splitlines()
    assert "bubble.temperature[degF]" in head
    assert "dew.gauge_pressure[psig]" in head
    assert "glide[delta_degF]" in head
    assert dict(zip(head.split(","), first.split(","), strict=True))["dew.gauge_pressure[psig]"] == "118"
    assert float(dict(zip(head.split(","), second.split(","), strict=True))["dew.temperature[degF]"]) == pytest.approx(
        40
    )
    assert {answer.text for answer in answers} == {answers[0].text}


def test_rows_that_are_requests_are_answered_in_the_units_of_the_first(client: TestClient) -> None:
    rows = [{"refrigerant": "R-22", "pressure": {"value": 70 + k, "unit": "psig"}} for k in range(2)]
    lines = "\n".join(json.dumps(row) for row in rows).encode()
    headers = {"content-type": "application/x-ndjson"}
    answer = client.post("/v1/bulk/saturation?report_in=as-sent", content=lines, headers=headers)
    assert answer.status_code == 200, answer.text
    assert "psig" in answer.text
    assert "kPag" not in answer.text


@pytest.mark.parametrize("word", ["as sent", "As-Sent", "as_sent"])
def test_the_words_are_taken_as_they_are_written(client: TestClient, word: str) -> None:
    body = {"refrigerant": "R-410A", "pressure": {"value": 8.1, "unit": "barg"}, "report_in": word}
    assert client.post("/v1/saturation", json=body).json()["result"]["dew"]["gauge_pressure"]["unit"] == "barg"
    assert client.post("/v1/saturation", json={**body, "report_in": "metric"}).status_code == 422
