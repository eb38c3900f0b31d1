"""POST /v1/refrigerants/fractionation."""

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "fractionation.json").read_text("utf-8"))
VAPOUR, LIQUID, MIXED = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/refrigerants/fractionation", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_what_is_left_can_be_sent_on(client: TestClient) -> None:
    status, answer = post(client, VAPOUR)
    assert status == 200
    left = answer["result"]["left"]
    assert sum(part["mass_fraction"] for part in left["composition"]) == pytest.approx(1.0)
    pressure = answer["result"]["compared_at"]
    again = client.post("/v1/saturation", json={"refrigerant": left["mixture"], "pressure": pressure}).json()
    assert again["result"]["dew"]["temperature"]["value"] == pytest.approx(left["dew_temperature"]["value"], abs=1e-5)
    assert answer["result"]["safety_class"] == "A2L"
    assert {"unclassed-mixture", "find-the-leak-first"} <= {caution["id"] for caution in answer["cautions"]}
    assert {"rayleigh-leak", "mixture-on-demand"} <= {source["id"] for source in answer["sources"]}


def test_the_class_of_the_blend_and_of_what_is_left_are_two(client: TestClient) -> None:
    """Worst: what a leak left of an A1 blend is handled as A1 though it burns; or the blend itself is called A2L.

    R-407C: A1 (ASHRAE 34, where a class counts the worst case of fractionation; memory); R-32, a component: A2L.
    """
    _, answer = post(client, VAPOUR)
    assert answer["result"]["class_as_formulated"] == "A1"
    assert answer["result"]["safety_class"] == "A2L"
    told = next(text for text in answer["assumptions"] if text.startswith("safety_class"))
    assert "as formulated is A1, by its worst case of fractionation" in told
    assert "no class of its own; it is treated as A2L" in told


def test_a_mixture_has_no_class_as_formulated(client: TestClient) -> None:
    _, answer = post(client, MIXED)
    assert answer["result"]["class_as_formulated"] is None
    assert any("has no class of the standard" in text for text in answer["assumptions"])


def test_what_was_not_said_is_assumed_and_told(client: TestClient) -> None:
    _, answer = post(client, LIQUID)
    assert any(text.startswith("liquid_share") for text in answer["assumptions"])
    assert answer["result"]["steps"][0]["gauge_pressure"]["unit"] == "psig"


def test_a_mixture_may_leak_too(client: TestClient) -> None:
    status, answer = post(client, MIXED)
    assert status == 200
    assert answer["result"]["refrigerant"] == "R-32/125/134a (20.7/22.5/56.8)"


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"refrigerant": "R-22"}, "#/refrigerant"),
        ({"removed": 1.0}, "#/removed"),
        ({"temperature": {"value": 95, "unit": "degC"}}, "#/temperature"),
    ],
)
def test_refusals_name_the_field(client: TestClient, change: dict[str, Any], pointer: str) -> None:
    status, answer = post(client, VAPOUR | change)
    assert status == 422
    assert [fault["pointer"] for fault in answer["errors"]] == [pointer]


def test_a_temperature_without_an_uncertainty_is_read_with_a_clamp(client: TestClient) -> None:
    """Worst: a pressure that looks exact, by a thermometer that is good to a kelvin."""
    body = {**VAPOUR, "temperature": {"value": 25, "unit": "degC"}}
    _, answer = post(client, body)
    _, stated = post(client, {**body, "temperature": {"value": 25, "unit": "degC", "uncertainty": 0.1}})
    assert any(text.startswith("temperature: standard uncertainty") for text in answer["assumptions"])
    assert not any(text.startswith("temperature: standard uncertainty") for text in stated["assumptions"])
    for told, least in ((answer, 0.01), (stated, 0.002)):
        result = told["result"]
        for pressure in (result["compared_at"], *(step["pressure"] for step in result["steps"])):
            assert least < pressure["uncertainty"] / pressure["value"] < 3.0 * least
    assert stated["result"]["left"]["dew_temperature"]["uncertainty"] == pytest.approx(0.1)
    assert answer["result"]["before"]["bubble_temperature"]["uncertainty"] > 0.5
