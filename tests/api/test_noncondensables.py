"""POST /v1/noncondensables."""

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "noncondensables.json").read_text("utf-8"))
AIR, CLEAN = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/noncondensables", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_air_is_found_and_weighed(client: TestClient) -> None:
    status, answer = post(client, AIR)
    assert status == 200
    result = answer["result"]
    assert result["verdict"] == "present"
    gauge = result["bubble_gauge_pressure"]
    assert gauge["unit"] == "psig"
    assert result["bubble_pressure"]["value"] - gauge["value"] == pytest.approx(14.696, abs=1e-3)
    assert result["excess"]["value"] == pytest.approx(345 - gauge["value"], abs=1e-6)
    assert result["air"]["unit"] == "lb"
    assert {"standing-test", "purge-by-recovery"} <= {c["id"] for c in answer["cautions"]}
    assert {"dalton", "common-practice"} <= {s["id"] for s in answer["sources"]}


@pytest.mark.parametrize(
    ("pressure", "verdict"),
    [(1076, "none that matters"), (1200, "present"), (900, "below saturation"), (1110, "cannot tell")],
)
def test_verdicts(client: TestClient, pressure: float, verdict: str) -> None:
    reading = {"value": pressure, "unit": "kPag", "uncertainty": 4 if verdict != "cannot tell" else 30}
    _, answer = post(client, CLEAN | {"pressure": reading})
    assert answer["result"]["verdict"] == verdict
    assert answer["result"]["meaning"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"temperature": {"value": 400, "unit": "degC"}}, "#/temperature"),
        ({"pressure": {"value": 900, "unit": "MPaa"}}, "#/pressure"),
        ({"gas_space": {"value": 0, "unit": "L"}}, "#/gas_space"),
    ],
)
def test_bad_readings_are_named(client: TestClient, change: dict[str, Any], pointer: str) -> None:
    status, answer = post(client, CLEAN | change)
    assert status == 422
    assert answer["errors"][0]["pointer"] == pointer
