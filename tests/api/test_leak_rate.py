"""POST /v1/leak-rate: what comes back, and what a bad request hears."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "leak_rate.json").read_text("utf-8"))
MARKET, OLD, EUROPE, BOTH = (case["value"] for case in EXAMPLES.values())


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/leak-rate", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_third_addition_of_the_year(client: TestClient) -> None:
    status, answer = post(client, MARKET)
    assert status == 200
    result = answer["result"]
    assert (result["day"], result["days"], result["substance"]) == ("2026-08-30", 89, "hydrofluorocarbon")
    assert result["annualising"]["value"] == pytest.approx(22 / 300 * 365 / 89)
    assert result["rolling"]["value"] == pytest.approx(67 / 300)
    (applies,) = [t for t in result["triggers"] if t["annualising"]]
    assert applies["limit"] == 0.2
    assert applies["annualising"] == {"exceeded": True, "standing": "over"}
    assert applies["least_charge"] == {"value": pytest.approx(15.0), "unit": "lb", "uncertainty": None}
    assert result["recovery"]["pressure_class"] == "high"
    assert result["recovery"]["large_appliance"]
    assert result["recovery"]["depth"] == 10
    assert result["recovery"]["gauge_pressure"]["value"] == pytest.approx(-4.92, abs=0.01)
    assert {"leak-rule-is-arithmetic", "find-the-leak-first"} <= {c["id"] for c in answer["cautions"]}
    assert {"cfr-84-106", "cfr-82-152"} <= {s["id"] for s in answer["sources"]}


def test_day_of_known_full_charge_and_a_repair(client: TestClient) -> None:
    _, answer = post(client, OLD)
    result = answer["result"]
    assert result["days"] == 175
    assert result["rolling"]["value"] == pytest.approx(4 / 60)
    assert not result["recovery"]["large_appliance"]
    assert [t["until_day"] for t in result["triggers"]] == ["2019-01-01", None]


def added(day: Any, pounds: float = 1) -> dict[str, Any]:
    return {"additions": [{"day": day, "mass": {"value": pounds, "unit": "lb"}}]}


@pytest.mark.parametrize(
    ("change", "pointer", "kind"),
    [
        ({"full_charge": {"value": 0, "unit": "lb"}}, "#/full_charge", "out-of-range"),
        ({"additions": []}, "#/additions", "invalid-input"),
        (added("yesterday"), "#/additions/0/day", "invalid-input"),
        (added(20260101), "#/additions/0/day", "invalid-input"),
        (added("2026-02-30"), "#/additions/0/day", "invalid-input"),
        (added("2026-02-03", -1), "#/additions/0/mass", "out-of-range"),
        ({"additions": MARKET["additions"] * 2}, "#/additions", "conflict"),
        ({"category": "domestic"}, "#/category", "invalid-input"),
    ],
)
def test_bad_input_is_named(client: TestClient, change: dict[str, Any], pointer: str, kind: str) -> None:
    status, answer = post(client, MARKET | change)
    assert status == 422
    assert answer["type"] == f"/problems/{kind}"
    assert answer["errors"][0]["pointer"] == pointer


def test_in_europe_the_checks_are_told_and_no_rule_of_the_states(client: TestClient) -> None:
    status, answer = post(client, EUROPE)
    assert status == 200
    result = answer["result"]
    assert (result["triggers"], result["recovery"]) == ([], None)
    assert {a["kind"]: a["months"] for a in result["leak_check"]["amounts"]} == {"warming": 6, "unsaturated": 6}
    assert (result["leak_check"]["months"], result["leak_check"]["detection_counted"]) == (12, True)
    assert {d["country"] for d in result["duties"]} == {"european-union"}
    assert [r["country"] for r in result["rules_as_of"]] == ["european-union"]
    assert {"eu-2024-573-5", "eu-blends-both", "eu-gwp"} <= {s["id"] for s in answer["sources"]}
    assert not {s["id"] for s in answer["sources"]} & {"cfr-84-106", "cfr-82-152"}


def test_both_rules_of_the_states_and_europe_side_by_side(client: TestClient) -> None:
    status, answer = post(client, BOTH)
    assert status == 200
    result = answer["result"]
    assert result["substance"] == "mixed"
    assert [t["regulation"] for t in result["triggers"] if t["annualising"]] == ["40 CFR 82.157", "40 CFR 84.106"]
    assert {d["country"] for d in result["duties"]} == {"united-states", "european-union"}
    assert any(d["trust"] == "memory" for d in result["duties"])
    assert any("No country was given" in text for text in answer["assumptions"])
    assert any(text.startswith("Rules as read up to: united states 2026-08-20") for text in answer["assumptions"])


def test_a_country_alone_has_no_rules_of_the_other(client: TestClient) -> None:
    _, answer = post(client, BOTH | {"country": "united-states"})
    assert answer["result"]["leak_check"] is None
    assert not any(s["id"].startswith("eu-") for s in answer["sources"])
    status, answer = post(client, BOTH | {"country": "atlantis"})
    assert (status, answer["errors"][0]["pointer"]) == (422, "#/country")


UNSERVED: dict[str, Any] = {
    "refrigerant": "R-413A",
    "full_charge": {"value": 60, "unit": "lb"},
    "category": "commercial-refrigeration",
    "additions": [
        {"day": "2026-02-10", "mass": {"value": 0, "unit": "lb"}},
        {"day": "2026-08-30", "mass": {"value": 18, "unit": "lb"}},
    ],
}


def test_a_rate_on_masses_needs_no_properties(client: TestClient) -> None:
    """Worst: a null recovery level or leak check is read as `nothing is asked`, or a trigger is left out."""
    code, answer = post(client, UNSERVED)
    result = answer["result"]
    assert code == 200, answer
    assert result["rolling"]["value"] == pytest.approx(18 / 60)
    assert result["annualising"]["value"] == pytest.approx(18 / 60 * 365 / 201)
    assert result["substance"] == "mixed"
    in_force = {t["regulation"] for t in result["triggers"] if t["rolling"] and t["rolling"]["exceeded"]}
    assert in_force == {"40 CFR 82.157", "40 CFR 84.106"}
    assert (result["recovery"], result["leak_check"]) == (None, None)
    told = " ".join(answer["assumptions"])
    for words in (
        "R-413A is a real designation",
        "taken as `mixed`",
        "recovery level was not",
        "may apply all the same",
    ):
        assert words in told, words


@pytest.mark.parametrize(
    ("country", "left_out"),
    [("united-states", "Leak checks, and duties"), ("european-union", "recovery level was not")],
)
def test_what_was_not_asked_is_not_said_to_be_missing(client: TestClient, country: str, left_out: str) -> None:
    stated = {**UNSERVED, "refrigerant": "R-30", "substance": "exempt", "country": country}
    code, answer = post(client, stated)
    told = " ".join(answer["assumptions"])
    assert (code, answer["result"]["substance"]) == (200, "exempt")
    assert left_out not in told
    assert "taken as `mixed`" not in told


def test_a_typing_error_is_no_refrigerant(client: TestClient) -> None:
    assert post(client, {**UNSERVED, "refrigerant": "R-999Z"})[0] == 422
    assert post(client, {**UNSERVED, "refrigerant": "R-407"})[0] == 422
    assert post(client, {**UNSERVED, "refrigerant": 413})[0] == 422


@pytest.mark.parametrize(
    ("charge", "added", "refused"),
    [
        (("10", "lb"), ("40", "lb"), True),
        (("12", "g"), ("1", "kg"), True),  # 12 kg meant
        (("10", "lb"), ("16", "lb"), True),
        (("10", "lb"), ("10", "lb"), False),  # all of it was lost
        (("10", "lb"), ("14", "lb"), False),
    ],
)
def test_nobody_adds_more_than_the_plant_has_room_for(
    client: TestClient, charge: tuple[str, str], added: tuple[str, str], *, refused: bool
) -> None:
    body = {
        "refrigerant": "R-404A",
        "full_charge": {"value": float(charge[0]), "unit": charge[1]},
        "category": "commercial-refrigeration",
        "additions": [{"day": "2026-01-05", "mass": {"value": float(added[0]), "unit": added[1]}}],
    }
    response = client.post("/v1/leak-rate", json=body)
    assert response.status_code == (422 if refused else 200)
    if refused:
        pointers = [error["pointer"] for error in response.json()["errors"]]
        assert set(pointers) == {"#/additions/0/mass", "#/full_charge"}
