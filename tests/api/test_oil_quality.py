"""POST /v1/oil-quality: verdict, limits, conflicts."""

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "oil_quality.json").read_text("utf-8"))
AFTER_FAILURE, MAKER = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/oil-quality", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_conflicting_sources_are_shown_and_the_stricter_decides(client: TestClient) -> None:
    status, answer = post(client, AFTER_FAILURE)
    assert status == 200
    acid, water, colour = answer["result"]["items"]
    assert answer["result"]["verdict"] == "change oil and driers"
    assert (acid["standing"], acid["act"]["limit"], acid["sources_disagree"]) == ("over", 0.05, True)
    assert (water["standing"], water["unit"], water["reading"]) == ("watch", "mg/kg", 60.0)
    assert colour["standing"] == "in limit"
    told = {source["id"] for source in answer["sources"]}
    assert {limit["source"] for item in (acid, water, colour) for limit in item["limits"]} <= told


def test_all_makers_limits(client: TestClient) -> None:
    limits = {"water": {"value": 30, "unit": "mg/kg"}, "colour": 2, "contamination": 5}
    body = {"oil": "POE", "water": {"value": 40, "unit": "mg/kg"}, "colour": 3, "contamination": 6}
    _, answer = post(client, body | {"maker_limits": limits})
    assert [item["standing"] for item in answer["result"]["items"]] == ["over", "over", "over"]


def test_the_makers_limit_overrides(client: TestClient) -> None:
    _, answer = post(client, MAKER)
    acid = answer["result"]["items"][0]
    assert (acid["standing"], acid["maker_overrides"], acid["act"]["source"]) == ("in limit", True, "maker-limit")
    assert acid["watch"] is None
    assert acid["remark"].endswith(MAKER["maker_limits"]["document"])
    unnamed = MAKER | {"maker_limits": {"acid_number": MAKER["maker_limits"]["acid_number"]}}
    _, answer = post(client, unnamed)
    assert (answer["result"]["verdict"], answer["result"]["items"][0]["act"]["limit"]) == (
        "change oil and driers",
        0.05,
    )
    assert "maker-limit-unnamed" in {caution["id"] for caution in answer["cautions"]}


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"oil": "POE"}, "#"),
        ({"oil": "butter", "colour": 1}, "#/oil"),
        ({"oil": "POE", "colour": 9}, "#/colour"),
        ({"oil": "POE", "water": {"value": 50, "unit": "%"}}, "#/water"),
        ({"oil": "POE", "acid_number": {"value": -1, "unit": "mgKOH/g"}}, "#/acid_number"),
        ({"oil": "POE", "contamination": -1}, "#/contamination"),
        (
            {"oil": "POE", "colour": 1, "maker_limits": {"acid_number": {"value": -1, "unit": "mgKOH/g"}}},
            "#/maker_limits/acid_number",
        ),
    ],
)
def test_bad_input_names_its_field(client: TestClient, body: dict[str, Any], pointer: str) -> None:
    status, answer = post(client, body)
    assert status == 422
    assert pointer in [error["pointer"] for error in answer["errors"]]
