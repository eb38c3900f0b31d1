from pathlib import Path

import pytest
from starlette.testclient import TestClient

from witnessmark.refrigerants import catalogue

WANTED = [
    "R-22", "R-32", "R-134a", "R-123", "R-125", "R-143a", "R-152a", "R-23", "R-245fa", "R-1233zd(E)",
    "R-1234yf", "R-1234ze(E)", "R-290", "R-600", "R-600a", "R-1270", "R-744", "R-717", "R-12", "R-11", "R-502",
    "R-401A", "R-402A", "R-404A", "R-407A", "R-407C", "R-407F", "R-407H", "R-408A", "R-409A", "R-410A",
    "R-417A", "R-421A", "R-422B", "R-422D", "R-427A", "R-434A", "R-438A", "R-442A", "R-448A", "R-449A",
    "R-450A", "R-452A", "R-452B", "R-453A", "R-454A", "R-454B", "R-454C", "R-455A", "R-466A", "R-471A", "R-500",
    "R-507A", "R-508B", "R-513A", "R-514A", "R-515B", "R-516A",
]  # fmt: skip


def test_the_list_holds_what_is_in_use(client: TestClient) -> None:
    entries = client.get("/v1/refrigerants").json()["result"]["refrigerants"]
    assert set(WANTED) <= {e["designation"] for e in entries}


@pytest.mark.parametrize("designation", WANTED)
def test_every_refrigerant_is_described_and_answers_saturation(client: TestClient, designation: str) -> None:
    detail = client.get(f"/v1/refrigerants/{designation}").json()["result"]
    assert sum(part["mass_fraction"] for part in detail["composition"]) == pytest.approx(1)
    assert detail["accuracy"]["value"] > 0
    middle = (detail["lowest_temperature"]["value"] + detail["highest_temperature"]["value"]) / 2
    body = {"refrigerant": designation, "temperature": {"value": middle, "unit": "degC"}}
    result = client.post("/v1/saturation", json=body).json()["result"]
    assert result["bubble"]["pressure"]["value"] >= result["dew"]["pressure"]["value"] * (1 - 1e-5)
    assert result["bubble"]["pressure"]["value"] < detail["critical_pressure"]["value"]


ESTIMATED = [
    "R-401A", "R-401B", "R-401C", "R-402A", "R-402B", "R-408A", "R-409A", "R-409B", "R-424A", "R-426A", "R-437A",
    "R-438A", "R-453A", "R-458A",
]  # fmt: skip
"""Every catalogued blend with a pair of components that the property library has no measured interaction for."""
LOW, HIGH = {"value": 1.5, "unit": "barg"}, {"value": 12.0, "unit": "barg"}
WARM, HOT = {"value": 15.0, "unit": "degC"}, {"value": 75.0, "unit": "degC"}
ENDS = {"suction_pressure": LOW, "discharge_pressure": HIGH, "suction_temperature": WARM}
WHAT_RESTS_ON_SATURATION = {
    "saturation": {"temperature": WARM},
    "superheat": {"pressure": LOW, "temperature": WARM},
    "subcooling": {"pressure": HIGH, "temperature": WARM},
    "compression": {**ENDS, "discharge_temperature": HOT},
    "cycle": ENDS,
    "wet-suction": {**{k: v for k, v in ENDS.items() if k != "suction_temperature"}, "discharge_temperature": HOT},
    "noncondensables": {"pressure": HIGH, "temperature": WARM},
}


def test_the_blends_that_rest_on_an_estimated_pair() -> None:
    rows = {name: catalogue.recipe(name) for name in catalogue.designations()}
    found = [n for n, row in rows.items() if row.basis == "mixture" and catalogue.estimated_pairs(row.components)]
    assert sorted(found) == ESTIMATED


@pytest.mark.parametrize("designation", ESTIMATED)
def test_estimated_pairs_are_admitted(client: TestClient, designation: str) -> None:
    detail = client.get(f"/v1/refrigerants/{designation}").json()["result"]
    assert any("estimated" in note["text"] for note in detail["notes"])
    assert detail["accuracy"]["value"] >= 0.3
    page = (Path(__file__).parents[2] / "docs" / "ACCURACY.md").read_text("utf-8")
    assert f"| {designation} | mixture, estimated pair |" in page


@pytest.mark.parametrize("path", WHAT_RESTS_ON_SATURATION)
@pytest.mark.parametrize("designation", ["R-402A", "R-408A", "R-453A"])
def test_every_answer_that_rests_on_one_says_so(client: TestClient, path: str, designation: str) -> None:
    def cautions(refrigerant: str) -> set[str]:
        body = {"refrigerant": refrigerant} | WHAT_RESTS_ON_SATURATION[path]
        response = client.post(f"/v1/{path}", json=body)
        assert response.status_code == 200, response.text
        return {caution["id"] for caution in response.json()["cautions"]}

    assert "estimated-mixture" in cautions(designation)
    assert "estimated-mixture" not in cautions("R-404A")


def test_an_unknown_name_is_told_the_near_ones(client: TestClient) -> None:
    assert client.get("/v1/refrigerants/r410a").json()["result"]["designation"] == "R-410A"
    response = client.get("/v1/refrigerants/R-41OA")
    assert response.status_code == 404
    assert response.json()["type"] == "/problems/unknown-name"
    assert "R-410A" in response.json()["detail"]
    assert client.get("/v1/refrigerants/water-or-nothing").status_code == 404


def test_inch_pound_units(client: TestClient) -> None:
    detail = client.get("/v1/refrigerants/R-410A", params={"report_in": "IP"}).json()["result"]
    assert detail["critical_temperature"]["unit"] == "degF"
    assert client.get("/v1/refrigerants/R-410A", params={"report_in": "metric"}).status_code == 422
    assert client.get("/v1/refrigerants", params={"nothing": "x"}).status_code == 422


def test_what_can_hurt_is_said(client: TestClient) -> None:
    def cautions(designation: str) -> set[str]:
        return {c["id"] for c in client.get(f"/v1/refrigerants/{designation}").json()["cautions"]}

    assert "flammable-refrigerant" in cautions("R-290")
    assert "toxic-refrigerant" in cautions("R-717")
    assert cautions("R-134a").isdisjoint({"flammable-refrigerant", "toxic-refrigerant"})


def test_a_fixed_address_below_the_catalogue_takes_its_own_methods_only(client: TestClient) -> None:
    assert client.options("/v1/refrigerants/fractionation").headers["allow"] == "POST"
    assert client.options("/v1/refrigerants/R-32").headers["allow"] == "GET, HEAD"


# Triple points: handbooks, from memory.
@pytest.mark.parametrize("designation", ["R-13", "R-14", "R-21", "R-40", "R-114", "R-124", "R-236ea", "R-1132(E)"])
def test_where_an_equation_begins_is_no_triple_point(client: TestClient, designation: str) -> None:
    """R-114 was said to freeze at 0 degC; it does so near -93 degC."""
    result = client.get(f"/v1/refrigerants/{designation}").json()["result"]
    assert result["triple_temperature"] is None
    assert result["triple_pressure"] is None
    assert result["lowest_because"]


def test_a_triple_point_is_one(client: TestClient) -> None:
    """R-744: 216.59 K and 518 kPa (Span and Wagner 1996)."""
    result = client.get("/v1/refrigerants/R-744").json()["result"]
    assert result["triple_temperature"]["value"] == pytest.approx(-56.56, abs=0.01)
    assert result["triple_pressure"]["value"] == pytest.approx(517.95, abs=0.1)
    assert result["lowest_because"].startswith("its triple point")


@pytest.mark.parametrize("name", ["R-1234ze", "R-404"])
def test_what_was_guessed_in_a_name_is_said(client: TestClient, name: str) -> None:
    answer = client.get(f"/v1/refrigerants/{name}").json()
    assert any(answer["result"]["designation"] in text for text in answer["assumptions"])
    sure = client.get(f"/v1/refrigerants/{answer['result']['designation']}").json()
    assert sure["assumptions"] == []
