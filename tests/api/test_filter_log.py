"""POST /v1/cleanup/filter-log: the verdict, and what a bad request hears."""

import json
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "judge_filter_log.json").read_text("utf-8"))
FIRST_DAY, CLEAN, SWAPPED = (case["value"] for case in EXAMPLES.values())
READING = {"at": "2026-06-01T08:00", "drop": {"value": 10, "unit": "kPa"}}
PLAIN = {
    "refrigerant": "R-22",
    "evaporating_temperature": {"value": 40, "unit": "degF"},
    "time_zone": "UTC",
    "readings": [READING],
}


def post(client: TestClient, body: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    response = client.post("/v1/cleanup/filter-log", json=body)
    answer: dict[str, Any] = response.json()
    return response.status_code, answer


def test_a_rising_drop_is_dated(client: TestClient) -> None:
    status, answer = post(client, FIRST_DAY)
    assert status == 200
    result = answer["result"]
    assert result["verdict"] == "keep"
    trend = result["trend"]
    assert trend["limit_earliest"] < trend["limit_expected"] < trend["limit_latest"]
    assert result["working_limit"]["drop"]["unit"] == "psi"
    judged = [reading["judged"] for reading in result["readings"]]
    assert judged.count("at full flow") == 4
    assert {"not judged: no flow", "not judged: low flow"} <= set(judged)
    assert any("one gauge moved" in text for text in answer["assumptions"])


def test_clean(client: TestClient) -> None:
    _, answer = post(client, CLEAN)
    assert answer["result"]["verdict"] == "clean"
    assert all(answer["result"]["clean"].values())
    last, following = (answer["result"]["readings"][-1]["local"], answer["result"]["next_check"])
    # 0.04 ± 0.77 kPa a day, 11 kPa below the limit: half of the 7 days that the steepest trend would need
    assert (datetime.fromisoformat(following) - datetime.fromisoformat(last)).total_seconds() / 86_400 == pytest.approx(
        0.5 * 11.03 / (0.0449 + 2 * 0.772), rel=0.02
    )


def test_swapped_taps(client: TestClient) -> None:
    _, answer = post(client, SWAPPED)
    assert answer["result"]["verdict"] == "cannot judge"
    assert [(fault["id"], fault["readings"]) for fault in answer["result"]["faults"]] == [("swapped-taps", [0])]
    assert answer["result"]["trend"] is None


def test_two_gauges_with_their_own_uncertainty(client: TestClient) -> None:
    pressures = {
        "inlet_pressure": {"value": 480, "unit": "kPag", "uncertainty": 3},
        "outlet_pressure": {"value": 470, "unit": "kPag", "uncertainty": 4},
    }
    _, answer = post(client, PLAIN | {"readings": [{"at": "2026-06-01T08:00"} | pressures]})
    drop = answer["result"]["readings"][0]["full_flow_drop"]
    assert drop["value"] == pytest.approx(10.0, rel=0.03)
    assert drop["uncertainty"] == pytest.approx(5.0, rel=0.03)


DAYS = [
    {"at": f"2026-06-0{day}T08:00", "drop": {"value": 1.0, "unit": "psi", "uncertainty": 0.05}, "new_core": day == 1}
    for day in (1, 2, 3)
]
NEGATIVE = {"acid_test": "negative"}


def test_a_hermetic_without_a_port_can_be_proved_clean(client: TestClient) -> None:
    body = PLAIN | {"readings": [DAYS[0], DAYS[1] | NEGATIVE, DAYS[2] | NEGATIVE]}
    for port, verdict in (({}, "keep"), ({"oil_port": False}, "clean")):
        assert post(client, body | port)[1]["result"]["verdict"] == verdict


def test_hours_that_the_compressor_did_not_run_do_not_count(client: TestClient) -> None:
    for hours, verdict in ((124, "clean"), (110, "keep")):
        meters = [NEGATIVE | {"hour_meter": {"value": value, "unit": "h"}} for value in (100, hours)]
        readings = [DAYS[0], DAYS[1] | meters[0], DAYS[2] | meters[1]]
        assert post(client, PLAIN | {"readings": readings, "oil_port": False})[1]["result"]["verdict"] == verdict


def test_a_limit_printed_for_a_neighbour_says_so(client: TestClient) -> None:
    _, answer = post(client, PLAIN | {"refrigerant": "R-410A", "report_in": "IP"})
    limit = answer["result"]["drop_limit"]
    assert limit["drop"]["value"] == pytest.approx(8.0)
    assert limit["candidates"][0]["neighbour"] in {None, "R-22"}
    assert "R-22" in {row["neighbour"] for row in limit["candidates"]}
    assert any("neighbour's row decides" in text for text in answer["assumptions"])
    assert "cleanup-neighbour" in {source["id"] for source in answer["sources"]}


def test_a_makers_limit(client: TestClient) -> None:
    _, answer = post(client, PLAIN | {"maker_limits": {"suction_drop": {"value": 5, "unit": "kPa"}}})
    assert answer["result"]["verdict"] == "change"
    assert answer["result"]["working_limit"]["source"] == "maker-limit"


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"readings": []}, "#/readings"),
        ({"readings": [{"at": "2026-06-01T08:00"}]}, "#/readings/0"),
        ({"readings": [READING | {"inlet_pressure": {"value": 5, "unit": "bara"}}]}, "#/readings/0"),
        ({"readings": [READING, READING]}, "#/readings/1/at"),
        ({"readings": [READING | {"at": "2026-13-01T08:00"}]}, "#/readings/0/at"),
        ({"readings": [READING | {"flow_share": 2}]}, "#/readings/0/flow_share"),
        ({"readings": [READING | {"drop": {"value": 1, "unit": "psi", "uncertainty": 1e15}}]}, "#/readings/0/drop"),
        ({"readings": [READING | {"colour": 3}]}, "#/oil"),
        ({"readings": [READING | {"drop": {"value": 9, "unit": "MPa"}}]}, "#/readings/0/drop"),
        (
            {"readings": [READING | {"suction_temperature": {"value": 1500, "unit": "degC"}}]},
            "#/readings/0/suction_temperature",
        ),
        (
            {
                "readings": [
                    {
                        "at": "2026-06-01T08:00",
                        "inlet_pressure": {"value": 90, "unit": "MPaa"},
                        "outlet_pressure": {"value": 1, "unit": "MPaa"},
                    }
                ]
            },
            "#/readings/0/inlet_pressure",
        ),
        ({"time_zone": "Nowhere"}, "#/time_zone"),
        ({"suction_superheat": {"value": -3, "unit": "K"}}, "#/suction_superheat"),
    ],
)
def test_bad_input_names_its_field(client: TestClient, change: dict[str, Any], pointer: str) -> None:
    status, answer = post(client, PLAIN | change)
    assert status == 422
    assert pointer in [error["pointer"] for error in answer["errors"]]


@pytest.mark.parametrize(
    ("inlet", "outlet", "refused"),
    [
        ((118, "psig"), (118, "psia"), True),
        ((8.2, "bara"), (8.1, "barg"), True),
        ((800, "kPag"), (801, "kPaa"), True),
        ((118, "psig"), (131.7, "psia"), False),
        ((118, "psig"), (116, "psig"), False),
        ((118, "psig"), (7.9, "barg"), False),
    ],
)
def test_a_gauge_less_an_absolute_pressure_is_no_drop(
    client: TestClient,
    inlet: tuple[float, str],
    outlet: tuple[float, str],
    refused: bool,  # noqa: FBT001
) -> None:
    """118 psig less 118 psia are 14.7 psi of air: a sound core would be changed, or a torn one found."""
    sides = {f"{side}_pressure": dict(zip(("value", "unit"), end, strict=True)) for side, end in
             (("inlet", inlet), ("outlet", outlet))}  # fmt: skip
    status, answer = post(client, PLAIN | {"readings": [{"at": "2026-06-01T08:00", **sides}]})
    assert (status == 422) is refused
    if refused:
        assert {error["pointer"] for error in answer["errors"]} == {
            "#/readings/0/inlet_pressure", "#/readings/0/outlet_pressure",
        }  # fmt: skip
        assert "one is a gauge pressure" in answer["errors"][0]["detail"]
