"""POST /v1/windings."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

PATH = "/v1/windings"


def ohms(*values: float | None, **more: float) -> list[dict[str, Any] | None]:
    return [None if v is None else {"value": v, "unit": "ohm", **more} for v in values]


def post(client: TestClient, body: dict[str, Any]) -> dict[str, Any]:
    response = client.post(PATH, json=body)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def test_a_handheld_meter_cannot_tell_and_says_what_would(client: TestClient) -> None:
    answer = post(client, {"phases": "three-phase", "terminals": ohms(0.62, 0.65, 0.61)})
    balance = answer["result"]["balance"]
    assert answer["result"]["verdict"] == "cannot tell"
    assert 0 < balance["needed_uncertainty"]["value"] < 0.05
    assert any("Test leads" in a for a in answer["assumptions"])


def test_a_four_wire_meter_decides(client: TestClient) -> None:
    body = {
        "phases": "three-phase",
        "meter": "four-wire",
        "terminals": ohms(0.512, 0.515, 0.511),
        "connection": "star",
        "reference": {
            "resistance": {"value": 0.52, "unit": "ohm", "uncertainty": 0.002},
            "temperature": {"value": 25, "unit": "degC", "uncertainty": 1},
            "winding_temperature": {"value": 20, "unit": "degC", "uncertainty": 1},
        },
        "temperature_by_resistance": {
            "hot": {"value": 0.66, "unit": "ohm"},
            "cold": {"value": 0.512, "unit": "ohm"},
            "cold_temperature": {"value": 20, "unit": "degC", "uncertainty": 1},
        },
    }
    answer = post(client, body)
    result = answer["result"]
    assert result["verdict"] == "balanced"
    assert len(result["balance"]["windings"]) == 3
    assert result["reference"]["standing"] == "within"
    assert result["winding_temperature"]["value"] == pytest.approx(0.66 / 0.512 * 254.5 - 234.5)
    assert "resistance-thermometry" in {s["id"] for s in answer["sources"]}
    assert not any("Test leads" in a for a in answer["assumptions"])


def test_leads_are_taken_off(client: TestClient) -> None:
    body = {"phases": "three-phase", "terminals": ohms(0.75, 0.80, 0.75, uncertainty=0.001)}
    lead = {"value": 0.3, "unit": "ohm", "uncertainty": 0.005}
    found = post(client, {**body, "lead": lead})["result"]["balance"]
    assert found["unbalance"]["value"] > found["without_lead_correction"]


@pytest.mark.parametrize("third", [1.98, 2.0, 2.02])
@pytest.mark.parametrize("meter", ["four-wire", "two-leads"])
@pytest.mark.parametrize(
    ("connection", "verdict"),
    [("delta", "open winding"), ("star", "shorted winding"), (None, "open or shorted winding")],
)
def test_an_open_leg_of_a_delta_is_named_not_refused(
    client: TestClient, third: float, meter: str, connection: str | None, verdict: str
) -> None:
    body = {"phases": "three-phase", "terminals": ohms(1.0, 1.0, third), "meter": meter, "connection": connection}
    result = post(client, body)["result"]
    assert result["verdict"] == verdict
    assert "3-1" in result["explanation"] or "3 and 1" in result["explanation"] or "terminal 2" in result["explanation"]


def test_a_spread_of_a_quarter_is_seen_by_a_handheld_meter(client: TestClient) -> None:
    answer = post(client, {"phases": "three-phase", "terminals": ohms(1.2, 1.2, 1.5)})
    assert answer["result"]["verdict"] == "unbalanced"
    assert any("0.058" in a for a in answer["assumptions"])


def test_swapped_terminals_are_named_and_unknown_ones_found(client: TestClient) -> None:
    body = {"phases": "single-phase", "terminals": ohms(1.7, 2.5, 4.2)}
    swapped = post(client, body)["result"]
    assert swapped["verdict"] == "terminals not as labelled"
    assert (swapped["start_run"]["common"], swapped["start_run"]["start"]) == ("common", "run")
    found = post(client, {**body, "terminals_known": False})["result"]
    assert (found["verdict"], found["start_run"]["run"]) == ("adds up", "start")


def test_a_reference_is_held_against_the_meter_s_whole_error(client: TestClient) -> None:
    """0.2 ohm and 1 % of a two-lead meter do not cancel against the nameplate, the digits between readings do."""
    body = {
        "phases": "three-phase",
        "terminals": ohms(1.15, 1.15, 1.15),
        "reference": {
            "resistance": {"value": 1.0, "unit": "ohm"},
            "temperature": {"value": 20, "unit": "degC", "uncertainty": 0.1},
            "winding_temperature": {"value": 20, "unit": "degC", "uncertainty": 0.1},
        },
    }
    assert post(client, body)["result"]["reference"]["standing"] == "cannot tell"
    assert post(client, {**body, "meter": "four-wire"})["result"]["reference"]["standing"] == "outside"


def test_single_phase(client: TestClient) -> None:
    answer = post(client, {"phases": "single-phase", "terminals": ohms(2.0, 0.5, 2.5, uncertainty=0.01)})
    assert answer["result"]["verdict"] == "adds up"
    assert answer["result"]["start_run"]["sum_agrees"]
    ratio = answer["result"]["start_run"]
    assert ratio["start_over_run"]["value"] == pytest.approx(4.0)
    assert (ratio["least"]["value"], ratio["greatest"]["value"], ratio["greatest"]["basis"]) == (
        3.0,
        5.0,
        "safest of conflicting sources",
    )
    assert [stated["value"] for stated in ratio["greatest"]["stated"]] == [5.0, 6.0]
    assert "start-run-ratio" in {source["id"] for source in answer["sources"]}


@pytest.mark.parametrize(
    ("phases", "terminals", "verdict"),
    [
        ("single-phase", (None, None, 4.1), "protector may be open"),
        ("three-phase", (None, 1.0, None), "open winding"),
    ],
)
def test_open_windings(client: TestClient, phases: str, terminals: tuple[float | None, ...], verdict: str) -> None:
    reference = {
        "resistance": {"value": 0.52, "unit": "ohm"},
        "temperature": {"value": 25, "unit": "degC"},
        "winding_temperature": {"value": 20, "unit": "degC"},
    }
    more = {"reference": reference} if phases == "three-phase" else {}
    result = post(client, {"phases": phases, "terminals": ohms(*terminals), **more})["result"]
    assert result["verdict"] == verdict
    assert result["balance"] is None
    assert result["start_run"] is None
    assert result["reference"] is None


@pytest.mark.parametrize(
    ("changed", "pointer"),
    [
        ({"terminals": ohms(1.0, 1.0, -1.0)}, "#/terminals/2"),
        ({"lead": {"value": 5, "unit": "ohm"}}, "#/lead"),
        (
            {
                "temperature_by_resistance": {
                    "hot": {"value": 0, "unit": "ohm"},
                    "cold": {"value": 1, "unit": "ohm"},
                    "cold_temperature": {"value": 20, "unit": "degC"},
                }
            },
            "#/temperature_by_resistance/hot",
        ),
        (
            {
                "reference": {
                    "resistance": {"value": 1, "unit": "ohm"},
                    "temperature": {"value": 25, "unit": "degC"},
                    "winding_temperature": {"value": 900, "unit": "degC"},
                }
            },
            "#/reference/winding_temperature",
        ),
    ],
)
def test_faults_name_their_field(client: TestClient, changed: dict[str, Any], pointer: str) -> None:
    response = client.post(PATH, json={"phases": "three-phase", "terminals": ohms(1.0, 1.0, 1.0), **changed})
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == pointer


def test_a_reference_needs_a_three_phase_winding(client: TestClient) -> None:
    body = {
        "phases": "single-phase",
        "terminals": ohms(2.0, 0.5, 2.5),
        "reference": {
            "resistance": {"value": 1, "unit": "ohm"},
            "temperature": {"value": 25, "unit": "degC"},
            "winding_temperature": {"value": 20, "unit": "degC"},
        },
    }
    assert client.post(PATH, json=body).status_code == 422


def test_percent_typed_for_a_fraction_is_refused(client: TestClient) -> None:
    body = {"phases": "three-phase", "terminals": ohms(1.0, 1.5, 1.0), "maker_balance": 5}
    response = client.post(PATH, json=body)
    assert response.status_code == 422
    assert response.json()["errors"][0]["pointer"] == "#/maker_balance"


def test_hot_over_cold_that_no_winding_stands_contradicts(client: TestClient) -> None:
    hot = {
        "hot": {"value": 10, "unit": "ohm"},
        "cold": {"value": 1, "unit": "ohm"},
        "cold_temperature": {"value": 20, "unit": "degC"},
    }
    body = {"phases": "three-phase", "terminals": ohms(1.0, 1.0, 1.0), "temperature_by_resistance": hot}
    result = post(client, body)["result"]
    assert result["verdict"] == "readings contradict"
    assert "2310 degC" in result["explanation"]


def test_zero_ohm_is_a_short_and_no_slip(client: TestClient) -> None:
    reference = {
        "resistance": {"value": 1, "unit": "ohm"},
        "temperature": {"value": 25, "unit": "degC"},
        "winding_temperature": {"value": 25, "unit": "degC"},
    }
    for values in ((0.0, 0.0, 0.0), (1e-6, 0.0, 0.0)):
        body = {"phases": "three-phase", "terminals": ohms(*values), "meter": "four-wire", "reference": reference}
        result = post(client, body)["result"]
        assert result["verdict"] == "shorted winding"
        assert result["reference"] is None


@pytest.mark.parametrize(
    ("ohm", "amps", "volts", "verdict"),
    [(40, 16, 400, "readings contradict"), (1.2, 16, 400, "balanced"), (40, 16, None, "balanced")],
)
def test_windings_are_held_against_the_nameplate(
    client: TestClient, ohm: float, amps: float, volts: float | None, verdict: str
) -> None:
    body: dict[str, Any] = {"phases": "three-phase", "meter": "four-wire", "terminals": ohms(ohm, ohm, ohm)}
    body["rated_current"] = {"value": amps, "unit": "A"}
    if volts is not None:
        body["rated_voltage"] = {"value": volts, "unit": "V"}
    answer = post(client, body)
    assert answer["result"]["verdict"] == verdict
    assert any("no rated voltage" in a for a in answer["assumptions"]) is (volts is None)


def test_an_open_leg_is_told_beside_a_nameplate(client: TestClient) -> None:
    body: dict[str, Any] = {"phases": "three-phase", "meter": "four-wire", "terminals": ohms(None, None, 40)}
    body |= {"rated_current": {"value": 16, "unit": "A"}, "rated_voltage": {"value": 400, "unit": "V"}}
    assert post(client, body)["result"]["verdict"] == "open winding"


def by_four_wires(*milliohms: float) -> dict[str, Any]:
    terminals = [{"value": value, "unit": "milliohm"} for value in milliohms]
    return {"phases": "three-phase", "meter": "four-wire", "terminals": terminals}


@pytest.mark.parametrize(
    ("milliohms", "verdict"),
    [
        ((12.11, 12.12, 12.10), "balanced"),
        ((32.1, 32.2, 32.0), "balanced"),
        ((100.0, 104.0, 100.0), "sources disagree"),  # 2.6 %
        ((12.1, 13.4, 12.1), "unbalanced"),  # 6.9 %
        ((12, 12, 12), "cannot tell"),  # whole milliohms: 0.6 % one by one, 4 % from end to end of the digit
    ],
)
def test_a_four_wire_meter_is_as_good_as_its_digits(
    client: TestClient, milliohms: tuple[float, ...], verdict: str
) -> None:
    result = post(client, by_four_wires(*milliohms))["result"]
    assert result["verdict"] == verdict
    assert "a four-wire meter is needed" not in result["explanation"]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({}, "or the leads shorted together and taken off"),
        ({"lead": {"value": 0.2, "unit": "ohm"}}, "or one that shows more digits"),
    ],
)
def test_what_would_decide_is_never_what_was_done(client: TestClient, more: dict[str, Any], said: str) -> None:
    result = post(client, {"phases": "three-phase", "terminals": ohms(1.2, 1.2, 1.2)} | more)["result"]
    assert result["verdict"] == "cannot tell"
    assert result["explanation"].endswith(said)


def of_the_maker(start: float, run: float) -> dict[str, Any]:
    room = {"value": 25, "unit": "degC"}
    figures = {"start": {"value": start, "unit": "ohm"}, "run": {"value": run, "unit": "ohm"}}
    return {"start_run_reference": figures | {"temperature": room, "winding_temperature": room}}


@pytest.mark.parametrize(
    ("stated", "verdict"),
    [(None, "cannot tell"), ((7.3, 1.1), "adds up"), ((4.4, 1.1), "readings contradict")],
)
def test_the_makers_figures_settle_start_over_run(
    client: TestClient, stated: tuple[float, float] | None, verdict: str
) -> None:
    """An ordinary hermetic with a start capacitor: 7.4 over 1.1 ohm."""
    body = {"phases": "single-phase", "terminals": ohms(7.4, 1.1, 8.5), "meter": "four-wire"}
    result = post(client, body | ({} if stated is None else of_the_maker(*stated)))["result"]
    assert result["verdict"] == verdict


@pytest.mark.parametrize(("run", "verdict"), [(3.0, "adds up"), (1.1, "cannot tell")])
def test_a_handheld_meter_settles_it_where_it_can(client: TestClient, run: float, verdict: str) -> None:
    """A digit of 0.1 ohm is 2 % of 3 ohm and 5 % of 1.1 ohm, against 10 %."""
    terminals = ohms(7 * run + 0.1, run + 0.1, 8 * run + 0.1)
    body = {"phases": "single-phase", "terminals": terminals, "lead": ohms(0.1)[0]}
    assert post(client, body | of_the_maker(7 * run, run))["result"]["verdict"] == verdict


def test_figures_of_two_windings_are_none_of_a_three_phase_motor(client: TestClient) -> None:
    body = {"phases": "three-phase", "terminals": ohms(1.2, 1.2, 1.2)} | of_the_maker(1.2, 1.2)
    assert client.post("/v1/windings", json=body).status_code == 422


def test_an_open_winding_is_held_against_nothing(client: TestClient) -> None:
    body = {"phases": "single-phase", "terminals": [None, *ohms(1.1), None]} | of_the_maker(7.4, 1.1)
    result = post(client, body)["result"]
    assert (result["verdict"], result["reference"]) == ("open start winding", None)
