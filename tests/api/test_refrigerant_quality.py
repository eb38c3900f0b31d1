"""POST /v1/refrigerant-quality: verdict, limits with their sources, what is missing."""

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads(
    (Path(__file__).parents[2] / "openapi" / "examples" / "refrigerant_quality.json").read_text("utf-8")
)
RECOVERED, BURNOUT = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/refrigerant-quality", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_water_that_its_uncertainty_carries_over_the_limit(client: TestClient) -> None:
    status, answer = post(client, RECOVERED)
    result = answer["result"]
    assert status == 200
    assert (result["verdict"], result["missing"]) == ("cannot tell", [])
    assert [item["standing"] for item in result["items"]] == ["cannot tell", "in limit", "in limit", "in limit"]
    gas = result["items"][2]
    assert (gas["unit"], gas["reading"], gas["act"]["limit"]) == ("%", 0.8, 1.5)
    assert "recovered-belongs-to-owner" in {caution["id"] for caution in answer["cautions"]}
    assert not [text for text in answer["assumptions"] if "exact" in text]


def test_every_limit_has_a_source_with_its_trust(client: TestClient) -> None:
    _, answer = post(client, RECOVERED)
    told = {source["id"]: source["trust"] for source in answer["sources"]}
    used = {limit["source"] for item in answer["result"]["items"] for limit in item["limits"]}
    used |= {check["source"] for check in answer["result"]["checks"]}
    assert used <= told.keys()
    assert told["ahri-700-memory"] == "memory"
    assert told["ahri-700-quoted"] == "unnamed document"


def test_after_a_burnout_the_looser_limit_of_the_maker_is_named(client: TestClient) -> None:
    _, answer = post(client, BURNOUT)
    water, acid = answer["result"]["items"]
    assert answer["result"]["verdict"] == "clean or replace"
    assert (water["standing"], water["maker_overrides"], water["looser_than_published"]) == ("watch", True, True)
    assert acid["standing"] == "over"
    assert answer["result"]["not_judged"] == ["residue_mass"]
    cautions = {caution["id"] for caution in answer["cautions"]}
    assert {"maker-limit-looser", "burnout-oil-acid", "refrigerant-purity-only"} <= cautions
    assert any("residue" in text for text in answer["assumptions"])


def test_flammable_sample_and_readings_without_uncertainty(client: TestClient) -> None:
    body = {"refrigerant": "R-290", "use": "to-be-charged", "non_condensables": {"value": 0.01}}
    maker = {"non_condensables": {"value": 0.012}}
    _, answer = post(client, body | {"maker_limits": maker})
    assert "flammable-refrigerant" in {caution["id"] for caution in answer["cautions"]}
    assert any(text.startswith("non_condensables: no uncertainty") for text in answer["assumptions"])
    assert answer["result"]["items"][0]["act"] == {
        "level": "act",
        "limit": 1.2,
        "itself_over": False,
        "note": "",
        "source": "maker-limit",
    }


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "#"),
        ({"refrigerant": "R-4l0A", "water": {"value": 5, "unit": "mg/kg"}}, "#/refrigerant"),
        ({"use": "sold"}, "#/use"),
        ({"water": {"value": 5, "unit": "ppm"}}, "#/water/unit"),
        ({"water": {"value": 50, "unit": "%"}}, "#/water"),
        ({"acidity": {"value": -1, "unit": "mg/kg"}}, "#/acidity"),
        ({"non_condensables": {"value": 1.5}}, "#/non_condensables"),
        ({"chloride": "maybe"}, "#/chloride"),
        ({"chloride": "pass", "maker_limits": {"non_condensables": {"value": 2}}}, "#/maker_limits/non_condensables"),
        ({"chloride": "pass", "maker_limits": {"water": {"value": 2, "unit": "kg/kg"}}}, "#/maker_limits/water"),
    ],
)
def test_bad_input_names_its_field(client: TestClient, body: dict[str, Any], pointer: str) -> None:
    status, answer = post(client, {"refrigerant": "R-410A", "use": "in-service"} | body)
    assert status == 422
    assert pointer in [error["pointer"] for error in answer["errors"]]
