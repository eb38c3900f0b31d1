"""A mixture wherever a designation stands, on the wire."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.openapi import examples
from witnessmark.refrigerants import on_demand

PARTS = [{"refrigerant": "R-410A", "mass_fraction": 0.9}, {"refrigerant": "R22", "mass_fraction": 0.1}]
MIXTURE = {"composition": PARTS}
TEXT = "R-22/32/125 (10/45/45)"
KNOWS_ITS_OWN = {"flammable_charge", "moisture_limit"}  # whose tables hold catalogued refrigerants only
ONCE = {"cycle_diagram", "report_case", "work_case", "cycle"}  # slow, and made of the others


def mixed(part: Any) -> Any:
    """The same request with a mixture in place of each refrigerant."""
    if isinstance(part, dict):
        return {
            name: MIXTURE if name == "refrigerant" and isinstance(value, str) else mixed(value)
            for name, value in part.items()
        }
    return [mixed(value) for value in part] if isinstance(part, list) else part


def with_refrigerant() -> list[str]:
    first = {name: next(iter(rows.values()))["value"] for name, rows in examples().items()}
    return sorted(name for name, body in first.items() if name not in ONCE and mixed(body) != body)


def operations(client: TestClient) -> dict[str, str]:
    paths = client.get("/openapi.json").json()["paths"]
    return {row["post"]["operationId"]: path for path, row in paths.items() if "post" in row}


@pytest.mark.parametrize("name", with_refrigerant())
def test_every_operation_takes_one(client: TestClient, name: str) -> None:
    body = mixed(next(iter(examples()[name].values()))["value"])
    response = client.post(operations(client)[name], json=body)
    if name in KNOWS_ITS_OWN:
        assert response.status_code == 422
        assert response.json()["errors"][0]["pointer"] == "#/refrigerant"
        assert "not known here" in response.json()["errors"][0]["detail"]
    else:
        assert response.status_code == 200, response.text
        answer = response.json()
        assert "unclassed-mixture" in {caution["id"] for caution in answer["cautions"]}
        assert any(
            TEXT in words and ("3 K" in words or "5.4 °F" in words) and "R-22 with R-125" in words
            for words in answer["assumptions"]
        )


def saturation(client: TestClient, refrigerant: Any) -> Any:
    return client.post("/v1/saturation", json={"refrigerant": refrigerant, "temperature": {"value": 5, "unit": "degC"}})


def test_text_and_composition_are_one(client: TestClient) -> None:
    first, second = (saturation(client, one).json()["result"] for one in (MIXTURE, "r410a/R-22 (90/10)"))
    assert first == second
    assert first["refrigerant"] == TEXT


def test_by_moles(client: TestClient) -> None:
    parts = [{"refrigerant": name, "mole_fraction": 0.5} for name in ("R-32", "R-125")]
    assert saturation(client, {"composition": parts}).json()["result"]["refrigerant"] == "R-32/125 (30.239/69.761)"


def test_a_catalogued_composition_is_said_to_be_one(client: TestClient) -> None:
    parts = [{"refrigerant": name, "mass_fraction": 0.5} for name in ("R-32", "R-125")]
    answer = saturation(client, {"composition": parts}).json()
    assert answer["result"]["refrigerant"] == "R-410A"
    assert any("R-410A" in words for words in answer["assumptions"])
    assert "unclassed-mixture" not in {caution["id"] for caution in answer["cautions"]}


HALF = {"refrigerant": "R-32", "mass_fraction": 0.5}


@pytest.mark.parametrize(
    ("refrigerant", "pointer", "words"),
    [
        ({"composition": [HALF]}, "#/refrigerant", "add up"),
        ({"composition": []}, "#/refrigerant/composition", "at least 1"),
        ({"composition": [HALF, {**HALF, "refrigerant": "R-999"}]}, "#/refrigerant", "no such refrigerant"),
        (
            {"composition": [HALF, {**HALF, "mass_fraction": "0.5"}]},
            "#/refrigerant/composition/1/mass_fraction",
            "number",
        ),
        ({"composition": [HALF, {"refrigerant": "R-125", "mole_fraction": 0.5}]}, "#/refrigerant", "all by mole"),
        ({"composition": [{"refrigerant": "R-125"}]}, "#/refrigerant/composition/0", "give either"),
        ({"composition": [HALF], "of": 1}, "#/refrigerant/of", "no such field"),
        ({"composition": [HALF, {**HALF, "refrigerant": "R-717"}]}, "#/refrigerant", "no interaction parameters"),
        (410, "#/refrigerant", "string"),
        ("R-23/R-728 (50/50)", "#/refrigerant", "interaction parameters"),
    ],
)
def test_refusals_name_the_place_and_the_reason(client: TestClient, refrigerant: Any, pointer: str, words: str) -> None:
    response = saturation(client, refrigerant)
    assert response.status_code == 422
    fault = response.json()["errors"][0]
    assert fault["pointer"] == pointer
    assert words in fault["detail"]


def test_lines_that_cannot_be_proven_are_refused(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("TRACING", "SECONDS"):
        monkeypatch.setattr(on_demand, name, 60.0)
    response = saturation(client, "R-170/14/290/728 (30/20/20/30)")
    assert response.status_code == 422
    assert "could not be proven" in response.json()["errors"][0]["detail"]


def test_a_case_keeps_its_mixture(client: TestClient) -> None:
    bodies = (mixed(row["value"]) for row in examples()["work_case"].values())
    body = next(body for body in bodies if body["case"].get("refrigerant") == MIXTURE)
    answer = client.post("/v1/cases", json=body)
    assert answer.status_code == 200
    assert TEXT in answer.text


@pytest.mark.parametrize(("share", "told"), [(0.099, True), (0.1, False)])
def test_shares_that_are_no_whole_are_told(client: TestClient, share: float, told: bool) -> None:  # noqa: FBT001
    """Worst: a share written wrong is made to fit without a word."""
    parts = [PARTS[0], {"refrigerant": "R22", "mass_fraction": share}]
    answer = saturation(client, {"composition": parts})
    assert answer.status_code == 200, answer.text
    assert any("add up to 99.9 %: each was divided" in words for words in answer.json()["assumptions"]) == told
