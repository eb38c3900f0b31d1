"""POST /v1/line-charge: what comes back, and what a bad request hears."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "line_charge.json").read_text("utf-8"))
SPLIT, WET = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/line-charge", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def first(**change: Any) -> dict[str, Any]:
    return {**SPLIT, "segments": [SPLIT["segments"][0] | change]}


def test_split_system(client: TestClient) -> None:
    status, answer = post(client, SPLIT)
    assert status == 200
    result = answer["result"]
    liquid, vapour = result["segments"]
    assert liquid["charge"]["value"]["unit"] == "lb"
    assert liquid["charge"]["low"]["value"] < liquid["charge"]["value"]["value"] < liquid["charge"]["high"]["value"]
    assert liquid["subcooling_lost"]["value"]["value"] > 1
    assert vapour["subcooling_lost"] is None
    assert vapour["velocity"]["value"]["unit"] == "ft/min"
    shares = {a["source"]: a["over_computed"] for a in liquid["published_adders"] if a["expansion"] == "indoor"}
    assert shares["adder-unit-r410a"] == pytest.approx(1.0, abs=0.06)
    total = liquid["charge"]["value"]["value"] + vapour["charge"]["value"]["value"]
    assert result["total"]["value"] == pytest.approx(total)
    assert result["oil_top_up"]["high"]["value"] == pytest.approx(0.02 * 12)
    assert {"weigh-charge", "licensed"} <= {c["id"] for c in answer["cautions"]}
    assert {"astm-b280-coils", "oil-top-up", "coolprop"} <= {s["id"] for s in answer["sources"]}


def test_two_phases_by_bore(client: TestClient) -> None:
    _, answer = post(client, WET)
    (segment,) = answer["result"]["segments"]
    assert segment["published_adders"] == []
    assert segment["velocity"] is None
    assert answer["result"]["oil_top_up"] is None
    assert "zivi-1964" in {s["id"] for s in answer["sources"]}


@pytest.mark.parametrize(
    ("body", "pointer", "kind"),
    [
        (first(tube={"size": "9/8"}), "#/segments/0/tube/size", "invalid-input"),
        (first(tube={"series": "acr-soft", "size": "2-1/8"}), "#/segments/0/tube/size", "unusable-input"),
        (first(bore={"value": 8, "unit": "mm"}), "#/segments/0/tube", "conflict"),
        (first(quality={"value": 0.5}), "#/segments/0/quality", "unusable-input"),
        (first(temperature={"value": 400, "unit": "degF"}), "#/segments/0/temperature", "out-of-range"),
        (first(length={"value": -1, "unit": "ft"}), "#/segments/0/length", "out-of-range"),
        (first(phase="foam"), "#/segments/0/phase", "invalid-input"),
        (SPLIT | {"segments": []}, "#/segments", "invalid-input"),
        (SPLIT | {"charge": {"value": -1, "unit": "lb"}}, "#/charge", "out-of-range"),
    ],
)
def test_bad_input_is_named(client: TestClient, body: dict[str, Any], pointer: str, kind: str) -> None:
    status, answer = post(client, body)
    assert status == 422
    assert answer["type"] == f"/problems/{kind}"
    assert answer["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize(("celsius", "told"), [(60, False), (240, True)])
def test_gas_hotter_than_the_data_is_said(client: TestClient, celsius: float, *, told: bool) -> None:
    """The data behind R-410A end at 500 K."""
    vapour = SPLIT["segments"][1] | {"temperature": {"value": celsius, "unit": "degC"}}
    _, answer = post(client, SPLIT | {"segments": [SPLIT["segments"][0], vapour]})
    assert any("extrapolated" in text for text in answer["assumptions"]) == told
