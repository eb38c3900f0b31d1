"""POST /v1/moisture-limit."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

PATH = "/v1/moisture-limit"
BODY: dict[str, Any] = {"refrigerant": "R-22", "coldest": {"value": 40, "unit": "degF", "uncertainty": 0.1}}


def test_critical_water_and_what_was_found(client: TestClient) -> None:
    alone = client.post(PATH, json=BODY).json()
    assert alone["result"]["critical"]["value"] == pytest.approx(690)
    assert (alone["result"]["water"], alone["result"]["verdict"]) == (None, None)
    wet = client.post(PATH, json={**BODY, "water": {"value": 1200, "unit": "mg/kg"}}).json()
    assert wet["result"]["verdict"] == "free water"
    assert "no-free-water-is-not-dry" in {c["id"] for c in wet["cautions"]}
    assert "ashrae-water-solubility" in {s["id"] for s in wet["sources"]}
    assert any("taken as exact" in a for a in wet["assumptions"])


@pytest.mark.parametrize(
    ("more", "pointer"),
    [
        ({"refrigerant": "R-410A"}, "#/refrigerant"),
        ({"coldest": {"value": -60, "unit": "degC"}}, "#/coldest"),
        ({"water": {"value": 200000, "unit": "mg/kg"}}, "#/water"),
    ],
)
def test_faults_name_their_field(client: TestClient, more: dict[str, Any], pointer: str) -> None:
    response = client.post(PATH, json={**BODY, **more})
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == pointer
