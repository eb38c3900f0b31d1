import pytest
from starlette.testclient import TestClient

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


@pytest.mark.parametrize("designation", ["R-438A", "R-408A", "R-409A", "R-401A", "R-402A", "R-453A"])
def test_estimated_pairs_are_admitted(client: TestClient, designation: str) -> None:
    detail = client.get(f"/v1/refrigerants/{designation}").json()["result"]
    assert any("estimated" in note["text"] for note in detail["notes"])
    assert detail["accuracy"]["value"] >= 0.3


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
