"""POST /v1/liquid-ingestion: what comes back, and what a bad request hears."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "liquid_ingestion.json").read_text("utf-8"))
SCROLL, PISTON = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/liquid-ingestion", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_ramp_with_carry_over(client: TestClient) -> None:
    status, answer = post(client, SCROLL)
    assert status == 200
    result = answer["result"]
    assert result["at_speed"]["verdict"] == "dilutes"
    assert result["dilution_quality"] == 0.95
    assert result["at_speed"]["pocket_quality"]["value"]["value"] > 0.85
    locks = [result["at_speed"], *result["other_speeds"]]
    qualities = [point["lock_quality"]["value"]["value"] for point in locks]
    assert qualities == sorted(qualities)
    assert result["at_speed"]["least_slug"]["value"]["unit"] == "cm3"
    assert result["ramp"][0]["time"]["unit"] == "s"
    assert result["ramp"][-1]["speed"]["value"] == 95
    ids = {note["id"] for note in result["advice"]}
    assert {"dilutes", "gradual", "slug", "slow-forgiving"} <= ids
    assert all(note["text"] for note in result["advice"])
    assert {"liquid-model", "liquid-model-gaps", "liquid-model-oil"} <= {s["id"] for s in answer["sources"]}
    assert "liquid-model-is-screening" in {c["id"] for c in answer["cautions"]}
    assert any(text.startswith("leakage_area") for text in answer["assumptions"])


def test_ramp_that_locks_and_given_gaps(client: TestClient) -> None:
    deep = SCROLL | {"ramp": SCROLL["ramp"] | {"quality": {"value": 0.0}}, "leakage_area": {"value": 2, "unit": "mm2"}}
    _, answer = post(client, {k: v for k, v in deep.items() if k != "heat"})
    result = answer["result"]
    assert result["ramp"][-1]["verdict"] == "locks"
    assert result["time_to_act"]["unit"] == "s"
    assert not any(text.startswith("leakage_area") for text in answer["assumptions"])


def test_piston_in_inches(client: TestClient) -> None:
    _, answer = post(client, PISTON)
    result = answer["result"]
    assert result["at_speed"]["liquid_per_turn"]["value"]["unit"] == "in3"
    assert (result["ramp"], result["time_to_act"]) == ([], None)


def test_crawling_with_wide_gaps_never_locks(client: TestClient) -> None:
    wide = {"leakage_area": {"value": 300, "unit": "mm2"}, "speed": {"value": 2, "unit": "Hz"}}
    body = {k: v for k, v in (SCROLL | wide).items() if k not in {"heat", "other_speeds"}}
    _, answer = post(client, body | {"ramp": SCROLL["ramp"] | {"speed": {"value": 3, "unit": "Hz"}}})
    result = answer["result"]
    assert result["at_speed"]["lock_quality"] is None
    assert result["ramp"][-1]["lock_quality"] is None


@pytest.mark.parametrize(
    ("change", "pointer", "kind"),
    [
        ({"displacement": {"value": 0, "unit": "cm3"}}, "#/displacement", "out-of-range"),
        ({"volume_ratio": {"value": 1.0}}, "#/volume_ratio", "out-of-range"),
        ({"quality": {"value": 0.5, "uncertainty": 2}}, "#/quality", "unusable-input"),
        ({"suction_pressure": {"value": 50, "unit": "MPaa"}}, "#/discharge_pressure", "conflict"),
        ({"suction_pressure": {"value": 0.1, "unit": "kPaa"}}, "#/suction_pressure", "out-of-range"),
        ({"speed": {"value": 0, "unit": "rpm"}}, "#/speed", "out-of-range"),
        ({"other_speeds": [{"value": 1e6, "unit": "Hz"}]}, "#/other_speeds/0", "out-of-range"),
        ({"ramp": SCROLL["ramp"] | {"quality": {"value": 2}}}, "#/ramp/quality", "out-of-range"),
        ({"other_speeds": [{"value": 60, "unit": "Hz"}] * 7}, "#/other_speeds", "invalid-input"),
    ],
)
def test_bad_input_is_named(client: TestClient, change: dict[str, Any], pointer: str, kind: str) -> None:
    status, answer = post(client, SCROLL | change)
    assert status == 422
    assert answer["type"] == f"/problems/{kind}"
    assert answer["errors"][0]["pointer"] == pointer
