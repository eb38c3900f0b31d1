"""POST /v1/accumulator: what comes back, and what a bad request hears."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "accumulator.json").read_text("utf-8"))
RAMPED, MIXED = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/accumulator", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_filling_and_the_ramp(client: TestClient) -> None:
    status, answer = post(client, RAMPED)
    assert status == 200
    result = answer["result"]
    assert result["outcome"] == "fills and overflows"
    assert result["time_to_overflow"]["value"]["unit"] == "h"
    assert result["time_to_overflow"]["low"]["value"] > 0
    masses = [level["mass"]["value"]["value"] for level in result["levels"]]
    assert masses == sorted(masses)
    assert result["levels"][-1]["time"] == {"value": 1.0, "unit": "h", "uncertainty": None}
    assert result["sizing"]["verdict"] == "meets"
    assert result["sizing"]["share_overcharged"]["value"]["value"] < 0.5
    assert result["sizing"]["required"]["required"] is True
    assert result["ramp"]["flash_share"]["value"]["value"] > 0.01
    assert result["quality_overflowing"]["value"]["value"] == pytest.approx(0.9)
    assert {"accumulator-half-charge", "zuber-findlay", "souders-brown"} <= {s["id"] for s in answer["sources"]}
    assert "accumulator-no-cure" in {c["id"] for c in answer["cautions"]}


def test_dry_circuit_boils_part_of_it(client: TestClient) -> None:
    _, answer = post(client, MIXED)
    result = answer["result"]
    assert result["boil_off"]["value"]["value"] > 0
    assert result["spare"]["value"] == pytest.approx(5.0)
    assert result["outcome"] == "holds all there is"
    assert (result["time_to_overflow"], result["ramp"], result["sizing"]["required"]) == (None, None, None)
    assert "zuber-findlay" not in {s["id"] for s in answer["sources"]}


def changed(group: str, **change: Any) -> dict[str, Any]:
    return {**RAMPED, group: RAMPED[group] | change}


@pytest.mark.parametrize(
    ("body", "pointer", "kind"),
    [
        (changed("vessel", holding_volume={"value": 0, "unit": "L"}), "#/vessel/holding_volume", "out-of-range"),
        (changed("wet_return", quality={"value": 1.5}), "#/wet_return/quality", "out-of-range"),
        (changed("wet_return", pressure={"value": 99, "unit": "MPaa"}), "#/wet_return/pressure", "out-of-range"),
        (changed("ramp", pressure={"value": 2000, "unit": "kPag"}), "#/ramp/pressure", "conflict"),
        (changed("charge", overcharge={"value": -1, "unit": "kg"}), "#/charge/overcharge", "out-of-range"),
        (RAMPED | {"duration": {"value": 0, "unit": "s"}}, "#/duration", "out-of-range"),
        (RAMPED | {"duration": 60}, "#/duration", "invalid-input"),
    ],
)
def test_bad_input_is_named(client: TestClient, body: dict[str, Any], pointer: str, kind: str) -> None:
    status, answer = post(client, body)
    assert status == 422
    assert answer["type"] == f"/problems/{kind}"
    assert answer["errors"][0]["pointer"] == pointer
