"""Readings that no circuit has are refused by every calculation, in the unit that was sent."""

import copy
import importlib
import pkgutil
from typing import Any

import pytest
from pydantic import BaseModel
from starlette.testclient import TestClient

from witnessmark.api import schemas
from witnessmark.api.mapping import Span
from witnessmark.api.openapi import examples
from witnessmark.api.routes.reading_ranges import READINGS
from witnessmark.api.schemas.field_readings import Accepted

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


def instruments_of(field: str) -> dict[str, str]:
    """The usual instrument of each request's field of this name, where its schema states one."""
    found: dict[str, str] = {}
    for module in pkgutil.iter_modules(schemas.__path__, f"{schemas.__name__}."):
        for name, model in vars(importlib.import_module(module.name)).items():
            if isinstance(model, type) and issubclass(model, BaseModel) and field in model.model_fields:
                marks = model.model_fields[field].metadata
                stated = [mark.instrument for mark in marks if isinstance(mark, Span | Accepted) and mark.instrument]
                found |= {f"{module.name}.{name}": instrument for instrument in stated}
    return found


@pytest.mark.parametrize("field", ["suction_pressure", "discharge_pressure"])
def test_one_gauge_stands_in_for_a_pressure_in_every_operation(field: str) -> None:
    """Worst: one reading is called 2.5 psi uncertain by the diagnosis, and 1.5 by the calculation beside it."""
    found = instruments_of(field)
    assert len(found) >= 2
    assert set(found.values()) == {READINGS[field][1]}
