"""POST /v1/restart: readings that cannot be right, or prove nothing, open nothing."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.test_restart import MAY, example, post, states


def changed(part: str, name: str, value: Any) -> dict[str, Any]:
    body = example("everything proved")
    body[part][name] = value
    return body


def told(answer: dict[str, Any], check: str) -> str:
    return "; ".join(e["detail"] for c in answer["result"]["checks"] if c["check"] == check for e in c["evidence"])


@pytest.mark.parametrize(("volts", "may"), [(9, False), (5000, False), (500, True), (1000, True)])
def test_a_test_voltage_far_off_proves_no_insulation(client: TestClient, volts: float, *, may: bool) -> None:
    body = example("everything proved")
    body["tests"]["insulation"] |= {
        "resistance": {"value": 500, "unit": "megohm"},
        "test_voltage": {"value": volts, "unit": "V"},
        "rated_voltage": {"value": 400, "unit": "V"},
    }
    answer = post(client, body)
    assert (answer["result"]["verdict"] == MAY) is may
    assert answer["result"]["blocking"] == ([] if may else ["insulation"])
    assert ("test voltage" in told(answer, "insulation")) is not may


@pytest.mark.parametrize("ohm", [0.0, 0.00058, 1200.0])
def test_what_no_winding_has_opens_nothing(client: TestClient, ohm: float) -> None:
    body = example("everything proved")
    body["tests"]["windings"]["terminals"] = [{"value": ohm, "unit": "ohm"}] * 3
    assert post(client, body)["result"]["blocking"] == ["windings"]


@pytest.mark.parametrize(
    ("ohm", "uncertainty", "may"), [(1.2, 0.0, False), (0.3, 0.0, False), (0.58, 0.0, True), (0.64, 0.02, True)]
)
def test_windings_off_their_reference_open_nothing(
    client: TestClient,
    ohm: float,
    uncertainty: float,
    *,
    may: bool,
) -> None:
    body = example("everything proved")
    body["tests"]["windings"]["reference"] = {
        "resistance": {"value": ohm, "unit": "ohm", "uncertainty": uncertainty},
        "temperature": {"value": 25, "unit": "degC"},
        "winding_temperature": {"value": 25, "unit": "degC"},
    }
    answer = post(client, body)
    assert (answer["result"]["verdict"] == MAY) is may
    assert any("reference" in c for c in answer["result"]["conditions"]) is (uncertainty > 0)


def test_a_winding_temperature_beyond_any_insulation_opens_nothing(client: TestClient) -> None:
    body = example("everything proved")
    body["tests"]["windings"]["temperature_by_resistance"] = {
        "hot": {"value": 5.8, "unit": "ohm"},
        "cold": {"value": 0.58, "unit": "ohm"},
        "cold_temperature": {"value": 20, "unit": "degC"},
    }
    assert post(client, body)["result"]["blocking"] == ["windings"]
