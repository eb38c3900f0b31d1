"""POST /v1/flammable-charge."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

PATH = "/v1/flammable-charge"
ROOM = {"refrigerant": "R-32", "charge": {"value": 2.2, "unit": "kg"}, "mounting": "wall"}


def post(client: TestClient, **body: Any) -> dict[str, Any]:
    response = client.post(PATH, json={**ROOM, **body})
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


@pytest.mark.parametrize(("area", "verdict"), [(2, "room too small"), (16, "room large enough")])
def test_the_room_decides_between_the_caps(client: TestClient, area: float, verdict: str) -> None:
    answer = post(client, room_area={"value": area, "unit": "m2"})
    result = answer["result"]
    assert (result["verdict"], result["safety_class"], result["height"]["value"]) == (verdict, "A2L", 1.8)
    assert result["lower_limit"]["value"] == {"value": 0.306, "unit": "kg/m3", "uncertainty": None}
    assert [s["m1"]["value"] for s in result["standards"]] == [1.836, 1.836]
    told = {s["id"]: s["trust"] for s in answer["sources"]}
    assert told["en-378-1-memory"] == "memory"
    assert result["decided_by"] in told
    assert {"room-limit-scope", "charge-by-weight", "flammable-refrigerant"} <= {c["id"] for c in answer["cautions"]}


def test_without_a_room_the_least_area_is_told(client: TestClient) -> None:
    result = post(client, report_in="IP")["result"]
    assert result["verdict"] == "room size needed"
    least = result["standards"][0]["least_area"]
    assert (least["unit"], result["standards"][0]["most"]) == ("ft2", None)
    enough = post(client, room_area={"value": least["value"] * 1.05, "unit": "ft2"})["result"]["standards"][0]
    assert enough["verdict"] == "room large enough"


@pytest.mark.parametrize(
    ("grams", "uncertainty", "verdict"),
    [(100, None, "no room limit"), (145, None, "no room limit"), (150, None, "no room limit"), (150, 2, "cannot tell"),
     (160, None, "room too small"), (1100, None, "ventilation or other measures needed")],
)  # fmt: skip
def test_a_marked_charge_has_no_weighing_error(
    client: TestClient, grams: float, uncertainty: float | None, verdict: str
) -> None:
    """R-290: 4 m3 times 0.038 kg/m3 is 152 g (IEC 60335-2-40:2018, annex GG); a marked charge is no weighing."""
    charge = {"value": grams, "unit": "g", "uncertainty": uncertainty}
    room = {"refrigerant": "R-290", "charge": charge, "mounting": "floor", "room_area": {"value": 10, "unit": "m2"}}
    answer = post(client, **room)
    assert answer["result"]["verdict"] == verdict
    assert any("taken as marked" in a for a in answer["assumptions"]) == (uncertainty is None)


def test_a_release_height_below_the_least_counts_as_the_least(client: TestClient) -> None:
    body = {k: v for k, v in ROOM.items() if k != "mounting"} | {"release_height": {"value": 100, "unit": "mm"}}
    response = client.post(PATH, json=body)
    assert response.status_code == 200, response.text
    assert response.json()["result"]["height"]["value"] == 0.6


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"refrigerant": "R-410A"}, "#/refrigerant"),
        ({"refrigerant": "R-717"}, "#/refrigerant"),
        ({"charge": {"value": 0, "unit": "kg"}}, "#/charge"),
        ({"room_area": {"value": 0, "unit": "m2"}}, "#/room_area"),
        ({"release_height": {"value": 1, "unit": "m"}}, "#"),
    ],
)
def test_faults_name_their_field(client: TestClient, body: dict[str, Any], pointer: str) -> None:
    response = client.post(PATH, json={**ROOM, **body})
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize("height", [2.2, 3.0, 5.0, 10.0])
def test_a_leak_higher_than_any_mounting_counts_as_one_at_the_ceiling(client: TestClient, height: float) -> None:
    """0.9 kg of R-290 need (0.9 / (2.5 * 0.038^1.25 * 2.2))^2 = 95 m2, however high the hall is."""
    body = {"refrigerant": "R-290", "charge": {"value": 0.9, "unit": "kg"}, "mounting": None}
    answer = post(
        client,
        **body,
        release_height={"value": height, "unit": "m"},
        room_area={"value": 40, "unit": "m2"},
    )
    result = answer["result"]
    assert (result["verdict"], result["height"]["value"]) == ("room too small", 2.2)
    assert result["standards"][1]["least_area"]["value"] == pytest.approx(95.1, abs=0.2)
    assert any("counts as one at 2.2 m" in a for a in answer["assumptions"]) is (height > 2.2)


@pytest.mark.parametrize(
    ("appliance", "kilograms", "said"),
    [("plug-in-cabinet", 0.49, "IEC 60335-2-89"), ("outdoors", 1.2, "Outdoors"), ("room-unit", 0.49, "")],
)
def test_rules_for_rooms_judge_no_cabinet_and_nothing_outdoors(
    client: TestClient, appliance: str, kilograms: float, said: str
) -> None:
    body = {"refrigerant": "R-290", "charge": {"value": kilograms, "unit": "kg"}, "mounting": None}
    answer = post(client, **body, appliance=appliance, room_area={"value": 60, "unit": "m2"})
    result = answer["result"]
    assert result["verdict"] == ("cannot tell" if said else "room too small")
    assert any(a.startswith("Not judged") and said in a for a in answer["assumptions"]) is bool(said)
    assert {s["verdict"] for s in result["standards"]} == {result["verdict"]}
    assert all(s["least_area"] is None for s in result["standards"]) is bool(said)
