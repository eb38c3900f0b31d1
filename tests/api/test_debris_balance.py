"""POST /v1/debris-balance: the balance, and what a bad request hears."""

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "balance_debris.json").read_text("utf-8"))
SCROLL, REED, ALONE = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/debris-balance", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_missing_fragments_and_where_to_look(client: TestClient) -> None:
    status, answer = post(client, SCROLL)
    assert status == 200
    result = answer["result"]
    assert result["verdict"] == "fragments are missing"
    assert result["low"]["value"] > 0
    assert result["unaccounted"]["unit"] == "oz"
    shares = [place["share"] for place in result["places"]]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1.0)
    assert result["places"][0]["passages"][0]["velocity"]["unit"] == "ft/min"
    assert "fragments-may-remain" in {caution["id"] for caution in answer["cautions"]}


def test_the_callers_places_and_gaps(client: TestClient) -> None:
    _, answer = post(client, REED)
    places = {place["place"]: place for place in answer["result"]["places"]}
    assert places["strainer"]["opening"]["value"] == pytest.approx(0.15)
    assert places["discharge-line"]["bore"]["value"] == pytest.approx(25)
    assert places["new-compressor"]["share"] == 0
    assert answer["result"]["hidden_size"]["unit"] == "mm"


def test_masses_alone(client: TestClient) -> None:
    _, answer = post(client, ALONE)
    result = answer["result"]
    assert (result["verdict"], result["places"], result["sizes"]) == ("fragments may be missing", [], [])
    assert "may still be in the circuit" in result["statement"]
    assert any("nominal_mass" in text for text in answer["assumptions"])


def test_nothing_recovered(client: TestClient) -> None:
    _, answer = post(client, {"parts": SCROLL["parts"], "circuit": SCROLL["circuit"]})
    assert {size["origin"] for size in answer["result"]["sizes"]} == {"assumed"}


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"parts": []}, "#/parts"),
        ({"parts": [ALONE["parts"][0] | {"material": "mithril"}]}, "#/parts/0/material"),
        ({"parts": [ALONE["parts"][0] | {"nominal_mass": {"value": 0, "unit": "g"}}]}, "#/parts/0/nominal_mass"),
        ({"fragments": [ALONE["fragments"][0] | {"mass": {"value": -1, "unit": "g"}}]}, "#/fragments/0/mass"),
        ({"fragments": [ALONE["fragments"][0] | {"count": 0}]}, "#/fragments/0/count"),
        (
            {"parts": [ALONE["parts"][0] | {"remains": {"value": 1, "unit": "g", "uncertainty": 1e15}}]},
            "#/parts/0/remains",
        ),
        ({"circuit": SCROLL["circuit"] | {"places": [{"id": "attic"}]}}, "#/circuit/places/0/id"),
        (
            {"circuit": SCROLL["circuit"] | {"places": [{"id": "shell", "bore": {"value": 0, "unit": "mm"}}]}},
            "#/circuit/places/0/bore",
        ),
        (
            {"circuit": SCROLL["circuit"] | {"condensing_temperature": {"value": 200, "unit": "degC"}}},
            "#/circuit/condensing_temperature",
        ),
        (
            {"circuit": SCROLL["circuit"] | {"discharge_temperature": {"value": 20, "unit": "degC"}}},
            "#/circuit/discharge_temperature",
        ),
    ],
)
def test_bad_input_names_its_field(client: TestClient, change: dict[str, Any], pointer: str) -> None:
    status, answer = post(client, ALONE | change)
    assert status == 422
    assert pointer in [error["pointer"] for error in answer["errors"]]
