"""POST /v1/oil-return: what comes back, and what a bad request hears."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "oil_return.json").read_text("utf-8"))
INVERTER, METRIC = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/oil-return", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_turned_down_riser(client: TestClient) -> None:
    status, answer = post(client, INVERTER)
    assert status == 200
    result = answer["result"]
    assert [p["load"] for p in result["loads"]] == [1.0, 0.5, 0.3]
    assert [p["verdict"] for p in result["loads"]] == ["carried", "cannot tell", "not carried"]
    assert [note["id"] for note in result["advice"]] == ["part-load", "disputed"]
    assert all(note["text"] for note in result["advice"])
    assert result["least_capacity"]["value"]["unit"] == "Btu/h"
    assert result["sizes_that_fit"] == []
    assert {s["size"]: s["standing"] for s in result["sizes_in_doubt"]} == {
        "3/4": "sources disagree",
        "7/8": "cannot tell",
    }
    highest = result["highest_velocity"]
    assert highest["basis"] == "safest of conflicting sources"
    assert highest["value"]["value"] == pytest.approx(12 / 0.00508)
    assert {round(s["value"]["value"]) for s in highest["stated"]} == {2362, 4000}
    assert [t["number"] for t in result["traps"]] == [2, 2]
    assert {"jacobs-1976", "riser-oil-density", "riser-compressor-guide"} <= {s["id"] for s in answer["sources"]}
    assert "riser-maker-first" in {c["id"] for c in answer["cautions"]}
    assert any(text.startswith("oil_density") for text in answer["assumptions"])


def test_by_flow_without_a_liquid_temperature(client: TestClient) -> None:
    _, answer = post(client, METRIC | {"oil_density": {"value": 950, "unit": "kg/m3", "uncertainty": 20}})
    result = answer["result"]
    assert result["least_capacity"] is None
    assert result["least_mass_flow"]["value"]["unit"] == "kg/h"
    assert not any(text.startswith("oil_density") for text in answer["assumptions"])


def without(body: dict[str, Any], *names: str) -> dict[str, Any]:
    return {k: v for k, v in body.items() if k not in names}


@pytest.mark.parametrize(
    ("body", "pointer", "kind"),
    [
        (without(INVERTER, "liquid_temperature"), "#/liquid_temperature", "unusable-input"),
        (without(INVERTER, "capacity"), "#/mass_flow", "conflict"),
        (INVERTER | {"mass_flow": {"value": 1, "unit": "kg/s"}}, "#/mass_flow", "conflict"),
        (without(METRIC, "bore"), "#/tube", "conflict"),
        (INVERTER | {"suction_temperature": {"value": 20, "unit": "degF"}}, "#/suction_temperature", "out-of-range"),
        (INVERTER | {"suction_pressure": {"value": 90, "unit": "MPaa"}}, "#/suction_pressure", "out-of-range"),
        (INVERTER | {"loads": [0.5, 0.001]}, "#/loads/1", "invalid-input"),
        (INVERTER | {"height": {"value": -3, "unit": "ft"}}, "#/height", "out-of-range"),
        (METRIC | {"oil_density": {"value": 1, "unit": "kg/m3"}}, "#/oil_density", "out-of-range"),
    ],
)
def test_bad_input_is_named(client: TestClient, body: dict[str, Any], pointer: str, kind: str) -> None:
    status, answer = post(client, body)
    assert status == 422
    assert answer["type"] == f"/problems/{kind}"
    assert answer["errors"][0]["pointer"] == pointer


def test_gas_hotter_than_the_data_is_said(client: TestClient) -> None:
    """The data behind R-134a end at 455 K."""
    _, hot = post(client, METRIC | {"suction_temperature": {"value": 190, "unit": "degC"}})
    _, usual = post(client, METRIC)
    assert any("extrapolated" in text for text in hot["assumptions"])
    assert not any("extrapolated" in text for text in usual["assumptions"])
