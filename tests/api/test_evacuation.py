"""POST /v1/evacuation."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

PATH = "/v1/evacuation"


def curve(function: Callable[[float], float], minutes: range = range(0, 61, 5), **more: float) -> list[dict[str, Any]]:
    return [
        {
            "time": {"value": t, "unit": "min"},
            "pressure": {"value": round(function(t)), "unit": "micron", **more},
        }
        for t in minutes
    ]


def levelling(minutes: float) -> float:
    return 300 + 1500 * (1 - math.exp(-minutes / 10))


def straight(minutes: float) -> float:
    return 300 + 25 * minutes


def post(client: TestClient, **body: Any) -> dict[str, Any]:
    response = client.post(PATH, json=body)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


ROOM = {"value": 18, "unit": "degC"}
STRAIGHT = {"readings": curve(straight), "coldest": ROOM}


def test_moisture(client: TestClient) -> None:
    answer = post(client, decay={"readings": curve(levelling), "coldest": ROOM}, report_in="IP")
    found = answer["result"]["decay"]
    assert found["verdict"] == "moisture"
    assert found["plateau"] == {"value": pytest.approx(1800, rel=0.02), "unit": "micron", "uncertainty": None}
    assert found["plateau_high"] is not None
    assert math.fsum(s["weight"] for s in found["shapes"]) == pytest.approx(1)
    assert {"iapws-saturation", "micron-gauge-estimate"} <= {s["id"] for s in answer["sources"]}
    assert answer["result"]["dilution"] is None


def test_a_straight_climb_with_an_earlier_one(client: TestClient) -> None:
    decay = {
        "readings": curve(straight, range(11)),
        "earlier": curve(straight, range(0, 11, 2)),
        "coldest": ROOM,
        "gauge_accuracy": 0.05,
    }
    answer = post(client, decay=decay)
    found = answer["result"]["decay"]
    assert found["verdict"] == "leak"
    assert found["plateau_high"] is None
    assert found["rise_per_hour"]["value"] == pytest.approx(1500 * 0.133322, rel=0.01)
    assert "slope-comparison" in {s["id"] for s in answer["sources"]}
    assert not any("10%" in a for a in answer["assumptions"])


def test_stated_scatter_and_maker_limits(client: TestClient) -> None:
    decay = {
        "readings": curve(lambda _t: 150, uncertainty=2),
        "coldest": ROOM,
        "maker_vacuum": {"value": 200, "unit": "micron"},
        "maker_after_hold": {"value": 300, "unit": "micron"},
        "maker_hold": {"value": 10, "unit": "min"},
    }
    answer = post(client, decay=decay)
    found = answer["result"]["decay"]
    assert found["verdict"] == "tight and dry"
    assert {found[k]["limit"]["basis"] for k in ("reached", "after_hold", "hold")} == {"maker"}
    assert not any("scatter" in a for a in answer["assumptions"])


def test_outgassing_first_and_a_leak_behind_it(client: TestClient) -> None:
    """The last 40 minutes climb by 2 micron a minute."""
    micron = (150, 203, 225, 239, 250, 260, 270, 280, 290, 300, 310, 320, 330)
    readings = [
        {"time": {"value": 5 * k, "unit": "min"}, "pressure": {"value": p, "unit": "micron"}}
        for k, p in enumerate(micron)
    ]
    for more in ({}, {"volume": {"value": 8, "unit": "L"}}, {"oil": "mineral", "situation": "after-burn"}):
        answer = post(client, decay={"readings": readings, "coldest": ROOM, **more}, report_in="IP")
        decay = answer["result"]["decay"]
        assert decay["verdict"] == "leak or moisture"
        assert decay["rise"] == "levels off, then climbs on"
        assert decay["climb"]["per_hour"]["value"] == pytest.approx(120, rel=0.02)
        assert decay["climb"]["standing"] != "within"
        assert any("Volume" in a for a in answer["assumptions"]) == ("volume" not in more)


def test_start_and_end_are_enough_for_what_they_carry(client: TestClient) -> None:
    """300 to 310 micron: over an hour tight and dry, over ten minutes dry, and the leak left open."""
    for minutes, verdict in ((60, "tight and dry"), (10, "cannot tell")):
        readings = [
            {"time": {"value": t, "unit": "min"}, "pressure": {"value": p, "unit": "micron"}}
            for t, p in ((0, 300), (minutes, 310))
        ]
        answer = post(
            client, decay={"readings": readings, "coldest": ROOM, "gauge_step": {"value": 1, "unit": "micron"}}
        )
        decay = answer["result"]["decay"]
        assert (decay["verdict"], decay["after_hold"]["standing"]) == (verdict, "within")
        assert decay["least_hold"] == {"value": pytest.approx(0.2, abs=0.05), "unit": "h", "uncertainty": None}
        assert not any("steps of 1 micron" in a for a in answer["assumptions"])


def test_dilution(client: TestClient) -> None:
    pulls = [{"value": p, "unit": "micron"} for p in (1500, 1500, 400)]
    body = {"pulls": pulls, "breaks": [{"value": 0, "unit": "barg"}] * 2, "standing": {"value": 9, "unit": "bara"}}
    answer = post(client, dilution=body)
    found = answer["result"]["dilution"]
    assert found["air_left"] == pytest.approx(
        [1500 / 760000, (1500 / 760000) ** 2, (1500 / 760000) ** 2 * 400 / 760000]
    )
    assert found["noncondensable_pressure"]["value"] == pytest.approx(400 * 0.133322, rel=1e-5)
    assert found["standing"] == "within"
    assert any("air pressure of the site" in a for a in answer["assumptions"])
    started = post(client, dilution={"pulls": pulls[:1], "start": {"value": 1, "unit": "bara"}})["result"]["dilution"]
    assert (started["standing"], started["vapour_fraction"]) == (None, None)


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"decay": {"readings": curve(straight)[:1], "coldest": ROOM}}, "#/decay/readings"),
        ({"decay": {"readings": curve(straight)[::-1], "coldest": ROOM}}, "#/decay/readings/1/time"),
        ({"decay": {"readings": curve(straight), "coldest": {"value": 300, "unit": "degC"}}}, "#/decay/coldest"),
        (
            {"decay": {"readings": curve(straight), "coldest": ROOM, "volume": {"value": 200, "unit": "m3"}}},
            "#/decay/volume",
        ),
        (
            {"decay": {"readings": curve(straight), "coldest": ROOM, "gauge_step": {"value": 5, "unit": "mbar"}}},
            "#/decay/gauge_step",
        ),
        ({"decay": {"readings": curve(straight), "coldest": ROOM, "situation": "burnt"}}, "#/decay/situation"),
        ({"dilution": {"pulls": [{"value": 2, "unit": "mbar"}] * 2}}, "#/dilution/breaks"),
        ({"dilution": {"pulls": [{"value": 1e9, "unit": "Pa"}]}}, "#/dilution/pulls/0"),
        ({}, "#"),
    ],
)
def test_faults_name_their_field(client: TestClient, body: dict[str, Any], pointer: str) -> None:
    response = client.post(PATH, json=body)
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == pointer


def test_a_vacuum_that_no_gauge_reads_is_a_slip_of_the_unit(client: TestClient) -> None:
    """0.2 mbar typed as 0.2 micron would be a splendid vacuum."""
    readings = [
        {"time": {"value": t, "unit": "min"}, "pressure": {"value": 0.2, "unit": "micron"}} for t in (0, 30, 60)
    ]
    response = client.post(PATH, json={"decay": {"readings": readings, "coldest": ROOM}})
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/decay/readings/0/pressure"


def test_a_maker_s_hold_of_a_second_is_refused(client: TestClient) -> None:
    decay = {"readings": curve(levelling), "coldest": ROOM, "maker_hold": {"value": 1, "unit": "s"}}
    response = client.post(PATH, json={"decay": decay})
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/decay/maker_hold"


@pytest.mark.parametrize("unit", ["inHg_vac", "inHg", "psig", "barg", "kPag"])
def test_a_gauge_that_cannot_show_a_vacuum_is_named_with_the_one_that_can(client: TestClient, unit: str) -> None:
    """29 inHg by a compound gauge is anything from 0 to 50,000 micron."""
    readings = [{"time": {"value": t, "unit": "min"}, "pressure": {"value": 29, "unit": unit}} for t in (0, 60)]
    problem = client.post(PATH, json={"decay": {"readings": readings, "coldest": ROOM}}).json()
    assert all("compound or manifold gauge cannot show" in e["detail"] for e in problem["errors"])
    assert all("electronic vacuum gauge" in e["detail"] for e in problem["errors"])


@pytest.mark.parametrize(
    ("level", "word"),
    [(23_400, "compound or manifold gauge"), (900, "no leak that shows"), (900, "dry nitrogen, pull again")],
)
def test_a_flat_level_that_is_too_high_says_what_it_means(client: TestClient, level: float, word: str) -> None:
    answer = post(client, decay={"readings": curve(lambda _: level, range(0, 61, 15)), "coldest": ROOM})
    assert answer["result"]["decay"]["verdict"] == "cannot tell"
    assert any(word in text for text in answer["assumptions"])


@pytest.mark.parametrize(("micron", "dry"), [(25000, False), (1500, False), (400, True)])
def test_a_pull_that_leaves_water_is_not_dry_however_little_air_is_left(
    client: TestClient, micron: float, *, dry: bool
) -> None:
    """25,000 micron leave 0.4 % of air in the charged plant, and all of its water."""
    body = {"dilution": {"pulls": [{"value": micron, "unit": "micron"}], "standing": {"value": 9, "unit": "bara"}}}
    answer = client.post("/v1/evacuation", json=body).json()
    assert answer["result"]["dilution"]["standing"] == "within"
    assert any(a.startswith("Not dry by this") for a in answer["assumptions"]) is not dry
