"""Readings that no circuit has are refused by every calculation, in the unit that was sent."""

import copy
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.openapi import examples

FIELDS = [
    ("compression", "/v1/compression", "discharge_temperature"),
    ("wet_suction", "/v1/wet-suction", "discharge_temperature"),
    ("cycle", "/v1/cycle", "liquid_temperature"),
    ("noncondensables", "/v1/noncondensables", "temperature"),
]


def refusal(client: TestClient, operation: str, path: str, field: str, reading: dict[str, Any]) -> dict[str, str]:
    body = copy.deepcopy(next(e["value"] for e in examples()[operation].values() if field in e["value"]))
    answer = client.post(path, json=body | {field: reading})
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    return {"pointer": error["pointer"], "detail": error["detail"]}


@pytest.mark.parametrize(("operation", "path", "field"), FIELDS)
@pytest.mark.parametrize("value", [5000, -300])
def test_temperatures_of_no_circuit(client: TestClient, operation: str, path: str, field: str, value: float) -> None:
    found = refusal(client, operation, path, field, {"value": value, "unit": "degF"})
    assert found["pointer"] == f"#/{field}"
    assert "accepted: -238 to 572 degF" in found["detail"]


@pytest.mark.parametrize(
    ("operation", "path"), [("compression", "/v1/compression"), ("wet_suction", "/v1/wet-suction")]
)
def test_pressures_of_no_circuit(client: TestClient, operation: str, path: str) -> None:
    found = refusal(client, operation, path, "discharge_pressure", {"value": 300, "unit": "bara"})
    assert found == {
        "pointer": "#/discharge_pressure",
        "detail": "above the accepted range; accepted: 0 to 200 bara",
    }
