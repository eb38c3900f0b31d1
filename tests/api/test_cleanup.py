"""POST /v1/cleanup/plan: the plan, the calendar, and what a bad request hears."""

import json
from pathlib import Path
from typing import Any, get_args

import pytest
from icalendar import Calendar
from pydantic import BaseModel
from starlette.testclient import TestClient

from witnessmark.api.quantities import Wire
from witnessmark.api.schemas import cleanup, debris_balance, filter_log

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "plan_cleanup.json").read_text("utf-8"))
HEAT_PUMP, COLD_STORE = (case["value"] for case in EXAMPLES.values())
OWN = {"cleanup", "debris_balance", "filter_log"}
PLAIN = {
    "refrigerant": "R-22",
    "evaporating_temperature": {"value": 40, "unit": "degF"},
    "oil": "mineral",
    "start": "2026-06-01T08:00",
    "time_zone": "UTC",
}


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/cleanup/plan", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def pointers(answer: dict[str, Any]) -> list[str]:
    return [error["pointer"] for error in answer["errors"]]


def test_a_whole_plan_in_inch_pound(client: TestClient) -> None:
    status, answer = post(client, HEAT_PUMP)
    assert status == 200
    result = answer["result"]
    assert result["severity"]["grade"] == 2
    assert result["drop_limit"]["drop"]["unit"] == "psi"
    assert result["turnover"]["charge_time"]["unit"] == "min"
    assert [need["line"] for need in result["needs"]] == ["suction", "liquid"]
    assert [fit["filter"] for fit in result["fits"]] == [0, 1]
    assert result["oil_changes"]["changes"] > 0
    assert {"lock-cooling", "release-lock", "weigh-fragments"} <= {step["id"] for step in result["steps"]}
    assert {"reversed-flow", "licensed"} <= {caution["id"] for caution in answer["cautions"]}


def test_steps_quote_cautions_that_stand_in_the_answer(client: TestClient) -> None:
    _, answer = post(client, HEAT_PUMP)
    told = {caution["id"] for caution in answer["cautions"]}
    assert {key for step in answer["result"]["steps"] for key in step["cautions"]} <= told


def test_every_source_named_in_the_result_stands_in_the_answer(client: TestClient) -> None:
    _, answer = post(client, COLD_STORE)
    told = {source["id"] for source in answer["sources"]}
    result = answer["result"]
    named = {row["source"] for key in ("parts", "steps") for row in result[key]}
    named |= {source for check in result["checks"] for source in check["sources"]}
    named |= {row["source"] for row in result["drop_limit"]["candidates"]}
    named |= {row["source"] for row in result["severity"]["items"]}
    assert named <= told


def test_a_makers_limit_overrides_and_the_answer_says_so(client: TestClient) -> None:
    _, answer = post(client, COLD_STORE)
    limit = answer["result"]["drop_limit"]
    assert limit["maker_overrides"] is True
    assert limit["source"] == "maker-limit"
    assert limit["drop"]["value"] == pytest.approx(10.0)
    assert limit["candidates"]


def test_local_time_and_utc_stand_side_by_side(client: TestClient) -> None:
    _, answer = post(client, COLD_STORE)
    checks = {check["id"]: check for check in answer["result"]["checks"]}
    assert checks["core-change"]["at"] == "2026-10-25T06:00:00Z"
    assert checks["core-change"]["local"] == "2026-10-25T07:00:00+01:00"


def test_the_least_request_tells_what_it_lacks(client: TestClient) -> None:
    status, answer = post(client, PLAIN)
    assert status == 200
    result = answer["result"]
    assert (result["turnover"], result["needs"], result["fits"], result["loads"]) == (None, [], [], [])
    assert result["oil_changes"] is None
    assert len(result["severity"]["not_looked_at"]) == 7
    assert result["severity"]["name"] == "unknown"
    assert any("Mass flow not known" in text for text in answer["assumptions"])


def test_no_debris_named_and_none_found_are_not_the_same(client: TestClient) -> None:
    for signs, solids in (
        ({}, "not looked at"),
        ({"debris": []}, "none found"),
        ({"debris": ["metal-fragments"]}, "fragments"),
    ):
        _, answer = post(client, PLAIN | {"signs": signs})
        assert answer["result"]["severity"]["solids"] == solids


def test_acid_is_said_to_be_koh_and_the_number_of_cores_what_it_rests_on(client: TestClient) -> None:
    _, answer = post(client, HEAT_PUMP)
    loads = {load["contaminant"]: load for load in answer["result"]["loads"]}
    assert loads["acid"]["expressed_as"] == "KOH equivalent"
    sets = answer["result"]["core_sets"]
    assert sets["sets"] == max(sets["by_grade"], sets["by_balance"]) == 2
    assert "by the grade 'severe'" in sets["rests_on"]


def test_a_calendar_is_the_callers_own(client: TestClient) -> None:
    """Two jobs share no event; the same request gives the same bytes; the client's names stand in the summary."""

    def events(**change: Any) -> tuple[set[str], bytes]:
        content = client.post("/v1/cleanup/plan", json=PLAIN | change, headers={"accept": "text/calendar"}).content
        return {str(event["uid"]) for event in Calendar.from_ical(content).events}, content

    first, content = events()
    assert events()[1] == content
    for change in ({"oil": "POE"}, {"start": "2026-09-14T08:00"}, {"reference": "7"}, {"site_name": "Bakery"}):
        assert not first & events(**change)[0]
    assert b"SUMMARY:7\\, Bakery: start the compressor" in events(reference="7", site_name="Bakery")[1]


def test_a_name_with_control_characters_is_refused(client: TestClient) -> None:
    status, answer = post(client, PLAIN | {"reference": "a\r\nBEGIN:VEVENT"})
    assert (status, pointers(answer)) == (422, ["#/reference"])


def test_a_penalty_that_means_nothing_is_null(client: TestClient) -> None:
    cold = PLAIN | {"refrigerant": "R-744", "evaporating_temperature": {"value": 5, "unit": "degC"}}
    _, answer = post(client, cold)
    assert answer["result"]["drop_limit"]["rise_over_new"]["penalty"]["value"] < 1


def test_calendar_by_accept(client: TestClient) -> None:
    response = client.post("/v1/cleanup/plan", json=HEAT_PUMP, headers={"accept": "text/calendar"})
    assert response.status_code == 200
    assert response.headers["content-type"].startswith("text/calendar")
    events = Calendar.from_ical(response.content).events
    assert len(events) == len(post(client, HEAT_PUMP)[1]["result"]["checks"])


@pytest.mark.parametrize(
    ("accept", "kind"),
    [
        ("*/*", "application/json"),
        ("text/calendar;q=0.4, application/json;q=0.5", "application/json"),
        ("text/calendar; q=0.9, application/json; q=0.5", "text/calendar"),
        ("text/*", "text/calendar"),
    ],
)
def test_what_accept_prefers(client: TestClient, accept: str, kind: str) -> None:
    response = client.post("/v1/cleanup/plan", json=PLAIN, headers={"accept": accept})
    assert response.headers["content-type"].startswith(kind)


def test_nothing_acceptable(client: TestClient) -> None:
    response = client.post("/v1/cleanup/plan", json=PLAIN, headers={"accept": "image/png"})
    assert response.status_code == 406
    assert "text/calendar" in response.json()["detail"]


RATED = {"line": "suction", "mass_flow": {"value": 500, "unit": "kg/h"}, "drop": {"value": 10, "unit": "kPa"}}


def test_ratings_by_flow_and_by_capacity_agree(client: TestClient) -> None:
    body = PLAIN | {"mass_flow": {"value": 400, "unit": "kg/h"}, "liquid_temperature": {"value": 35, "unit": "degC"}}
    _, by_flow = post(client, body | {"filters": [RATED]})
    flow = by_flow["result"]["fits"][0]["rated_mass_flow"]["value"]
    assert flow == pytest.approx(500)
    line = {"line": "liquid", "capacity": {"value": 10, "unit": "ton"}, "drop": {"value": 1, "unit": "psi"}}
    _, by_capacity = post(client, body | {"filters": [line]})
    pounds_per_minute = by_capacity["result"]["fits"][0]["rated_mass_flow"]["value"] / 0.45359237 / 60
    assert pounds_per_minute / 10 == pytest.approx(2.86, rel=0.01)  # R-22 at 86/5 degF, memory


def test_ratings_of_another_refrigerant_and_temperature(client: TestClient) -> None:
    other = RATED | {
        "refrigerant": "R-134a",
        "evaporating_temperature": {"value": 4.4, "unit": "degC"},
        "acid_capacity": {"mass": {"value": 5, "unit": "g"}, "acid": "oleic"},
    }
    status, answer = post(client, PLAIN | {"mass_flow": {"value": 400, "unit": "kg/h"}, "filters": [other]})
    assert status == 200
    assert answer["result"]["fits"][0]["drop_high"]["value"] > 0


@pytest.mark.parametrize(
    ("change", "status", "pointer"),
    [
        ({"start": "2026-02-30T08:00"}, 422, "#/start"),
        ({"start": "yesterday"}, 422, "#/start"),
        ({"start": "2026-03-08T02:30", "time_zone": "America/Chicago"}, 422, "#/start"),
        ({"time_zone": "Mars/Olympus"}, 422, "#/time_zone"),
        ({"evaporating_temperature": {"value": 900, "unit": "degC"}}, 422, "#/evaporating_temperature"),
        ({"refrigerant": "R-2222"}, 422, "#/refrigerant"),
        ({"signs": {"colour": 9}}, 422, "#/signs/colour"),
        ({"signs": {"acid_number": {"value": 900, "unit": "mgKOH/g"}}}, 422, "#/signs/acid_number"),
        ({"parts": ["attic"]}, 422, "#/parts/0"),
        ({"filters": [RATED | {"capacity": {"value": 1, "unit": "kW"}}]}, 422, "#/filters/0"),
        (
            {"filters": [RATED | {"evaporating_temperature": {"value": 900, "unit": "degC"}}]},
            422,
            "#/filters/0/evaporating_temperature",
        ),
        (
            {
                "filters": [
                    {k: v for k, v in RATED.items() if k != "mass_flow"} | {"capacity": {"value": 9, "unit": "kW"}}
                ]
            },
            422,
            "#/filters/0/liquid_temperature",
        ),
        ({"maker_limits": {"suction_drop": {"value": 9, "unit": "MPa"}}}, 422, "#/maker_limits/suction_drop"),
        ({"maker_limits": {"liquid_drop": {"value": 9, "unit": "MPa"}}}, 422, "#/maker_limits/liquid_drop"),
        ({"charge": {"value": 0, "unit": "kg"}}, 422, "#/charge"),
        ({"signs": {"water": {"value": 1, "unit": "mg/kg", "uncertainty": 1e15}}}, 422, "#/signs/water"),
        ({"surprise": 1}, 422, "#/surprise"),
    ],
)
def test_bad_input_names_its_field(client: TestClient, change: dict[str, Any], status: int, pointer: str) -> None:
    got, answer = post(client, PLAIN | change)
    assert got == status
    assert pointer in pointers(answer)


def test_conflicts_name_both_fields(client: TestClient) -> None:
    status, answer = post(client, PLAIN | {"signs": {"burn": "none", "burnt_while_turning": True}})
    assert status == 422
    assert answer["type"].endswith("conflict")
    assert pointers(answer) == ["#/signs/burnt_while_turning", "#/signs/burn"]


def test_an_evaporating_temperature_in_the_wrong_unit_names_itself(client: TestClient) -> None:
    _, answer = post(client, HEAT_PUMP | {"evaporating_temperature": {"value": 40, "unit": "degC"}})
    assert pointers(answer) == ["#/liquid_temperature", "#/evaporating_temperature"]


def test_a_looser_drop_of_the_maker_is_warned_of(client: TestClient) -> None:
    for psi, document, warned in ((40, "Guide 7", "far"), (9, "Guide 7", "looser"), (9, "", "unnamed"), (1, "", "")):
        limits = {"suction_drop": {"value": psi, "unit": "psi"}, "document": document}
        _, answer = post(client, PLAIN | {"maker_limits": limits})
        told = {c["id"].removeprefix("maker-limit-") for c in answer["cautions"] if c["id"].startswith("maker-limit-")}
        assert told == {warned} - {""}
        assert bool(answer["result"]["drop_limit"]["remark"]) == bool(warned)


def models(root: type[BaseModel]) -> set[type[BaseModel]]:
    """A model and all those below it."""
    found, left = set(), [root]
    while left:
        model = left.pop()
        found.add(model)
        parts = [part for field in model.model_fields.values() for part in leaves(field.annotation)]
        left += [part for part in parts if isinstance(part, type) and issubclass(part, Wire) and part not in found]
    return found


def leaves(annotation: Any) -> list[Any]:
    return [annotation, *(leaf for part in get_args(annotation) for leaf in leaves(part))]


@pytest.mark.parametrize(
    "root", [cleanup.CleanupPlanRequest, cleanup.CleanupPlanResult, filter_log.FilterLogRequest,
             filter_log.FilterLogResult, debris_balance.DebrisBalanceRequest, debris_balance.DebrisBalanceResult]
)  # fmt: skip
def test_every_field_says_what_it_is(root: type[BaseModel]) -> None:
    own = [model for model in models(root) if model.__module__.rpartition(".")[2] in OWN]
    assert len(own) >= 3
    silent = {
        f"{model.__name__}.{name}"
        for model in own
        for name, field in model.model_fields.items()
        if not field.description
    }
    assert silent == set()


def test_sizes_of_lists_that_a_request_may_bring(client: TestClient) -> None:
    rated = {"filters": [RATED] * 11}
    assert post(client, PLAIN | rated)[0] == 422
    assert post(client, PLAIN | {"filters": [RATED] * 10})[0] == 200
    assert post(client, PLAIN | {"parts": ["receiver"] * 18})[0] == 422
    assert post(client, PLAIN | {"parts": ["receiver"] * 17})[0] == 200
