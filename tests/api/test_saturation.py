"""Saturation, superheat and subcooling on the wire."""

import asyncio
import json
import sys
from itertools import pairwise
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.api.bulk.compute import compute_batch
from witnessmark.api.openapi import examples
from witnessmark.refrigerants import saturation


def ask(client: TestClient, path: str, **body: Any) -> Any:
    response = client.post(f"/v1/{path}", json=body)
    assert response.status_code == 200, response.text
    return response.json()


def degc(value: float, **more: float) -> dict[str, Any]:
    return {"value": value, "unit": "degC", **more}


def test_both_ends_at_a_temperature(client: TestClient) -> None:
    result = ask(client, "saturation", refrigerant="R-407C", temperature=degc(5))["result"]
    assert result["bubble"]["pressure"]["value"] == pytest.approx(
        float(saturation.bubble_pressure("R-407C", 278.15)) / 1e3, rel=1e-9
    )
    assert result["bubble"]["pressure"]["value"] > result["dew"]["pressure"]["value"]
    assert result["glide"]["value"] > 4


def test_both_ends_at_a_pressure(client: TestClient) -> None:
    pressure = {"value": 600, "unit": "kPaa", "uncertainty": 6}
    result = ask(client, "saturation", refrigerant="R-407C", pressure=pressure)["result"]
    glide = result["dew"]["temperature"]["value"] - result["bubble"]["temperature"]["value"]
    assert result["glide"]["value"] == pytest.approx(glide, abs=1e-6)
    assert result["dew"]["temperature"]["uncertainty"] > 0


def test_the_ends_of_the_range_are_answered(client: TestClient) -> None:
    for end in saturation.temperature_range("R-407C"):
        assert ask(client, "saturation", refrigerant="R-407C", temperature={"value": end, "unit": "K"})


def test_a_pure_fluid_has_no_glide(client: TestClient) -> None:
    result = ask(client, "saturation", refrigerant="R-32", temperature=degc(20))["result"]
    assert abs(result["glide"]["value"]) < 1e-3


def test_altitude_moves_the_gauge_not_the_absolute_pressure(client: TestClient) -> None:
    site = {"altitude": {"value": 1609.3, "unit": "m"}}
    sea = ask(client, "saturation", refrigerant="R-134a", temperature=degc(0))
    high = ask(client, "saturation", refrigerant="R-134a", temperature=degc(0), site=site)
    assert sea["result"]["dew"]["pressure"] == high["result"]["dew"]["pressure"]
    step = high["result"]["dew"]["gauge_pressure"]["value"] - sea["result"]["dew"]["gauge_pressure"]["value"]
    # standard atmosphere at one mile: 83.43 kPa (ICAO standard atmosphere)
    assert step == pytest.approx(101.325 - 83.43, abs=0.05)
    assert any("sea level" in line for line in sea["assumptions"])
    assert not any("sea level" in line for line in high["assumptions"])


def test_a_barometer_serves_as_well(client: TestClient) -> None:
    site = {"barometer": {"value": 83.43, "unit": "kPaa"}}
    reading = {"value": 20, "unit": "psig"}
    got = ask(client, "saturation", refrigerant="R-134a", pressure=reading, site=site, report_in="IP")["result"]
    # 20 psig at 5280 ft is 32.1 psia, not 34.7 (trade arithmetic on the same atmosphere)
    assert got["dew"]["pressure"]["value"] == pytest.approx(32.1, abs=0.02)
    # 0.5 % of 3.5 MPa as limits on the low side, of 6 MPa on the high side: 17.5 / sqrt(3) kPa and 30 / sqrt(3) kPa
    assert got["dew"]["pressure"]["uncertainty"] == pytest.approx(17.5 / 3**0.5 / 6.894757, rel=1e-6)
    assert got["bubble"]["pressure"]["uncertainty"] == pytest.approx(30.0 / 3**0.5 / 6.894757, rel=1e-6)


@pytest.mark.parametrize("designation", ["R-410A", "R-407C", "R-134a"])
@pytest.mark.parametrize("stated", [{}, {"uncertainty": 1.0}])
def test_one_reading_has_one_uncertainty_wherever_it_is_sent(
    client: TestClient, designation: str, stated: dict[str, float]
) -> None:
    """Alone, in superheat or subcooling, and as a row: worst, exact in a table and uncertain in a margin."""
    reading = {"value": 118, "unit": "psig", **stated}
    ends = ask(client, "saturation", refrigerant=designation, pressure=reading)
    for operation, end in (("superheat", "dew"), ("subcooling", "bubble")):
        margin = ask(client, operation, refrigerant=designation, pressure=reading, temperature=degc(10))["result"]
        assert ends["result"][end]["temperature"] == margin["saturation_temperature"]
    columns = {"refrigerant": [designation], "pressure[psig]": [118.0]}
    columns |= {"pressure.uncertainty[psi]": [1.0]} if stated else {}
    rows = compute_batch("saturation", columns)
    for end in ("dew", "bubble"):
        told = rows.columns[f"{end}.temperature.uncertainty[K]"][0]
        assert told == ends["result"][end]["temperature"]["uncertainty"]
    gauges = [line for line in ends["assumptions"] if "taken for its instrument" in line]
    assert len(gauges) == (0 if stated else 2)


def test_a_temperature_without_uncertainty_has_that_of_its_thermometer(client: TestClient) -> None:
    """1.5 K of the sensor and 1 K of the contact as limits: sqrt(3.25 / 3) K."""
    ends = ask(client, "saturation", refrigerant="R-134a", temperature=degc(5))
    assert ends["result"]["dew"]["temperature"]["uncertainty"] == pytest.approx((3.25 / 3) ** 0.5, rel=1e-9)
    assert any("pipe thermometer" in line for line in ends["assumptions"])


def test_water_is_known_from_its_triple_point_to_nearly_critical_by_either_way(client: TestClient) -> None:
    """IAPWS R7-97 (2012), table 35 (300 and 600 K), its triple point, and 640 K (20.27 MPa), which 20 MPa cut off."""
    for kelvin, megapascal in ((273.16, 611.657e-6), (300.0, 0.353658941e-2), (600.0, 12.3443146), (640.0, 20.265)):
        exact = {"value": kelvin, "unit": "K", "uncertainty": 0}
        forth = ask(client, "saturation", refrigerant="water", temperature=exact)["result"]["dew"]["pressure"]
        assert forth["value"] == pytest.approx(1e3 * megapascal, rel=2e-4)
        sent = {"value": forth["value"], "unit": "kPaa", "uncertainty": 0}
        back = ask(client, "saturation", refrigerant="water", pressure=sent)["result"]["dew"]["temperature"]
        assert back["value"] == pytest.approx(kelvin - 273.15, abs=1e-4)
    for reading in ({"temperature": {"value": 380, "unit": "degC"}}, {"pressure": {"value": 22.5, "unit": "MPaa"}}):
        assert ask(client, "saturation", refrigerant="R-718", **reading)["result"]["region"] == "above critical"
    nearly = {"temperature": {"value": 373.4, "unit": "degC"}}
    assert ask(client, "saturation", refrigerant="R-718", **nearly)["result"]["region"] == "both ends"


@pytest.mark.parametrize("designation", ["R-134a", "R-410A", "R-32", "R-1234ze(E)", "R-290", "R-454B"])
def test_one_kilopascal_is_taken_though_the_line_was_traced_by_temperature(
    client: TestClient, designation: str
) -> None:
    got = ask(client, "saturation", refrigerant=designation, pressure={"value": 1, "unit": "kPaa"})["result"]
    assert got["bubble"]["pressure"]["value"] == pytest.approx(1.0)
    curve = saturation.curve(designation, "bubble")
    assert curve.pressure(curve.temperature(1e3)) == pytest.approx(1e3, rel=1e-7)


@pytest.mark.parametrize(
    # one standard atmosphere in each (BIPM SI brochure, 8th edition, table 8; conventional mercury)
    ("value", "unit"),
    [(29.92126, "inHg"), (760, "mmHg"), (1013.25, "hPa"), (1013.25, "mbar"), (14.69595, "psia"), (101.325, "kPaa")],
)
def test_the_barometer_takes_the_units_barometers_have(client: TestClient, value: float, unit: str) -> None:
    site = {"barometer": {"value": value, "unit": unit}}
    got = ask(client, "saturation", refrigerant="R-134a", pressure={"value": 2, "unit": "barg"}, site=site)["result"]
    assert got["dew"]["pressure"]["value"] == pytest.approx(301.325, abs=1e-3)


@pytest.mark.parametrize(
    ("site", "pointer"),
    [
        ({}, "#/site"),
        ({"altitude": {"value": 1, "unit": "m"}, "barometer": {"value": 100, "unit": "kPaa"}}, "#/site"),
        ({"barometer": {"value": 1, "unit": "kPag"}}, "#/site/barometer/unit"),
        ({"barometer": {"value": 0, "unit": "inHg_vac"}}, "#/site/barometer/unit"),
        ({"barometer": {"value": 1, "unit": "kPaa"}}, "#/site/barometer"),
        ({"altitude": {"value": 60000, "unit": "ft"}}, "#/site/altitude"),
    ],
)
def test_a_site_that_cannot_be(client: TestClient, site: dict[str, Any], pointer: str) -> None:
    body = {"refrigerant": "R-134a", "pressure": {"value": 2, "unit": "barg"}, "site": site}
    response = client.post("/v1/saturation", json=body)
    assert response.status_code == 422
    assert pointer in [e["pointer"] for e in response.json()["errors"]]


def test_superheat_says_what_it_took_for_granted(client: TestClient) -> None:
    answer = ask(
        client, "superheat", refrigerant="R-410A", pressure={"value": 118, "unit": "psig"}, temperature=degc(11)
    )
    assert sum("standard uncertainty" in line for line in answer["assumptions"]) == 2
    assert answer["result"]["margin"]["uncertainty"] > 0
    assert {"coolprop"} <= {s["id"] for s in answer["sources"]}


def test_an_uncertainty_of_zero_is_taken_at_its_word(client: TestClient) -> None:
    pressure = {"value": 900, "unit": "kPaa", "uncertainty": 0}
    answer = ask(client, "superheat", refrigerant="R-32", pressure=pressure, temperature=degc(20, uncertainty=0))
    assert answer["assumptions"] == []
    assert answer["result"]["verdict"] in {"within", "below", "above"}


def test_places_have_their_own_limits(client: TestClient) -> None:
    body = {"refrigerant": "R-32", "pressure": {"value": 900, "unit": "kPaa"}, "temperature": degc(20)}
    limits = {
        p: ask(client, "superheat", **body, place=p)["result"]["lower_limit"]["value"] for p in ("suction", "sump")
    }
    assert limits == {"suction": 11.1, "sump": 10.0}


def test_subcooling_uses_the_bubble_point(client: TestClient) -> None:
    pressure = {"value": 1700, "unit": "kPaa"}
    result = ask(client, "subcooling", refrigerant="R-407C", pressure=pressure, temperature=degc(35))["result"]
    bubble = float(saturation.bubble_temperature("R-407C", 1.7e6)) - 273.15
    assert result["margin"]["value"] == pytest.approx(bubble - 35, abs=1e-6)


@pytest.mark.parametrize("path", ["superheat", "subcooling"])
@pytest.mark.parametrize(
    ("temperature", "accepted"),
    [(degc(400), "-150 to 300 degC"), ({"value": 5000, "unit": "degF"}, "-238 to 572 degF"), (degc(-200), "-150 to")],
)
def test_a_line_that_no_circuit_has_is_refused(
    client: TestClient, path: str, temperature: dict[str, Any], accepted: str
) -> None:
    body = {"refrigerant": "R-32", "pressure": {"value": 900, "unit": "kPaa"}, "temperature": temperature}
    (error,) = client.post(f"/v1/{path}", json=body).json()["errors"]
    assert error["pointer"] == "#/temperature"
    assert accepted in error["detail"]


@pytest.mark.parametrize("path", ["saturation", "superheat", "subcooling"])
def test_a_negative_vacuum_is_asked_about(client: TestClient, path: str) -> None:
    """Worst wrong answer: 186 kPa absolute, 47 K from what the compound gauge showed."""
    more = {} if path == "saturation" else {"temperature": degc(20)}
    body = {"refrigerant": "R-134a", "pressure": {"value": -25, "unit": "inHg_vac"}, **more}
    response = client.post(f"/v1/{path}", json=body)
    assert response.status_code == 422
    (error,) = response.json()["errors"]
    assert error["pointer"] == "#/pressure"
    # 25 in Hg of conventional mercury are 84.66 kPa; the standard atmosphere is 101.325 kPa
    assert "25 inHg_vac below the air pressure (16.67 kPa absolute)" in error["detail"]
    assert "above it (186 kPa absolute)" in error["detail"]


@pytest.mark.parametrize(
    ("reading", "altitude", "deepest"),
    [
        ({"value": -20, "unit": "psig"}, 0, "14.7 psi"),
        ({"value": 31, "unit": "inHg_vac"}, 0, "29.92 inHg"),
        ({"value": 25, "unit": "inHg_vac"}, 3000, "20.71 inHg"),  # ISO 2533: 70.12 kPa at 3000 m
    ],
)
@pytest.mark.parametrize("path", ["saturation", "superheat", "subcooling"])
def test_a_vacuum_deeper_than_the_air_is_said_to_be_so(
    client: TestClient, path: str, reading: dict[str, Any], altitude: float, deepest: str
) -> None:
    more = {} if path == "saturation" else {"temperature": degc(20)}
    site = {"altitude": {"value": altitude, "unit": "m"}}
    response = client.post(f"/v1/{path}", json={"refrigerant": "R-410A", "pressure": reading, "site": site, **more})
    (error,) = response.json()["errors"]
    assert f"deeper than possible at this altitude, where the air is only {deepest}" in error["detail"]


@pytest.mark.parametrize("reading", [{"value": -14.6, "unit": "psig"}, {"value": 29.75, "unit": "inHg_vac"}])
@pytest.mark.parametrize("path", ["saturation", "superheat", "subcooling"])
def test_a_possible_vacuum_is_told_the_range_of_the_refrigerant(
    client: TestClient, path: str, reading: dict[str, Any]
) -> None:
    more = {} if path == "saturation" else {"temperature": degc(20)}
    (error,) = client.post(f"/v1/{path}", json={"refrigerant": "R-410A", "pressure": reading, **more}).json()["errors"]
    low, _, high = error["detail"].partition("accepted: ")[2].partition(" to ")
    ends = sorted(float(end) for end in (low, high.split()[0]))
    for end in ends:  # what is said to be accepted is
        inside = end + (1e-3 if end == ends[0] else -1e-3) * abs(end)
        body = {"refrigerant": "R-410A", "pressure": {**reading, "value": inside}, **more}
        response = client.post(f"/v1/{path}", json=body)
        assert response.status_code == 200, response.json()


def test_rounding_dust_is_shown_as_nothing(client: TestClient) -> None:
    """A dew temperature fed back has a superheat of 0, not of 3e-12 K."""
    pressure = {"value": 600, "unit": "kPaa", "uncertainty": 0}
    dew = ask(client, "saturation", refrigerant="R-407C", pressure=pressure)["result"]["dew"]["temperature"]["value"]
    body = {"pressure": pressure, "temperature": degc(dew, uncertainty=0)}
    assert ask(client, "superheat", refrigerant="R-407C", **body)["result"]["margin"]["value"] == 0.0


def test_a_maker_is_quoted_and_overrides(client: TestClient) -> None:
    body = {"refrigerant": "R-134a", "pressure": {"value": 600, "unit": "kPaa"}, "temperature": degc(26)}
    quoted = {"low": {"value": 3, "unit": "K"}, "document": "Application guide 12, page 9"}
    answer = ask(client, "superheat", **body, maker=quoted)
    assert answer["result"]["limits"][0] == {
        "low": {"value": 3.0, "unit": "K", "uncertainty": None},
        "high": {"value": 60.0, "unit": "K", "uncertainty": None},  # none stated: the loosest published one stands
        "source": "maker-limit",
        "compressors": [],
        "applications": [],
        "metering": [],
    }
    assert any("Application guide 12, page 9" in line for line in answer["assumptions"])
    assert "maker-limit" in {s["id"] for s in answer["sources"]}
    high = ask(client, "superheat", **body, maker=quoted | {"high": {"value": 12, "unit": "K"}})
    assert high["result"]["upper_limit"]["value"] == 12
    refused = client.post("/v1/superheat", json=body | {"maker": quoted | {"high": {"value": 2, "unit": "K"}}})
    assert refused.json()["errors"][0]["pointer"] == "#/maker/high"


def test_readings_that_contradict_each_other_say_why(client: TestClient) -> None:
    """A liquid line 40 K above bubble of a pure refrigerant."""
    pressure = {"value": 1000, "unit": "kPaa", "uncertainty": 0.5}
    answer = ask(client, "subcooling", refrigerant="R-134a", pressure=pressure, temperature=degc(79.4, uncertainty=0.1))
    assert answer["result"]["verdict"] == answer["result"]["phase"] == "cannot both be right"
    assert len(answer["result"]["likely_reasons"]) == 4


def modules_called(body: bytes) -> list[str]:
    """The module of every function of the service that one request calls, in order; comprehensions aside."""
    answers: list[Any] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Any) -> None:
        answers.append(message)

    async def ask_in_this_thread() -> None:
        headers = [(b"host", b"x"), (b"content-type", b"application/json"), (b"content-length", b"%d" % len(body))]
        scope = {"type": "http", "method": "POST", "path": "/v1/superheat", "query_string": b"", "headers": headers}
        await app(scope, receive, send)

    trail: list[str] = []

    def watch(frame: Any, event: str, _argument: object) -> None:
        name = frame.f_globals.get("__name__", "")
        if event == "call" and name.startswith("witnessmark.") and not frame.f_code.co_name.startswith("<"):
            trail.append(name)

    before = sys.getprofile()
    sys.setprofile(watch)
    try:
        asyncio.run(ask_in_this_thread())
    finally:
        sys.setprofile(before)
    assert answers[0]["status"] == 200
    return trail


def test_a_light_request_takes_a_short_way_through_the_house() -> None:
    """Read, calculate, show: at most 29 changes from module to module once all tables are read.

    25 before texts were looked through for control characters and verdicts counted for the operator, 27 before systems
    of units were taken in any spelling, 28 before a low side was held against the air pressure.
    """
    body = json.dumps(next(iter(examples()["superheat"].values()))["value"]).encode()
    modules_called(body)
    trail = modules_called(body)
    assert sum(one != other for one, other in pairwise(trail)) <= 29


def test_a_guess_in_the_name_is_said(client: TestClient) -> None:
    body = {"refrigerant": "hfo 1234ze", "temperature": {"value": 5, "unit": "degC"}}
    answer = client.post("/v1/saturation", json=body).json()
    assert answer["result"]["refrigerant"] == "R-1234ze(E)"
    assert any("R-1234ze(E)" in line for line in answer["assumptions"])


@pytest.mark.parametrize(
    ("name", "words"),
    [("R-407", "R-407A, R-407B, R-407C"), ("R-134", "not served"), ("R-41OA", "R-410A")],
)
def test_what_cannot_be_meant_is_told_why(client: TestClient, name: str, words: str) -> None:
    body = {"refrigerant": name, "temperature": {"value": 5, "unit": "degC"}}
    problem = client.post("/v1/saturation", json=body).json()
    assert problem["errors"][0]["pointer"] == "#/refrigerant"
    assert words in problem["errors"][0]["detail"]


def test_above_critical_the_answer_says_so(client: TestClient) -> None:
    """A gas cooler at 92 bar is no fault of the reading."""
    pressure = {"value": 92, "unit": "barg"}
    result = ask(client, "saturation", refrigerant="R-744", pressure=pressure)["result"]
    assert (result["region"], result["bubble"], result["dew"]) == ("above critical", None, None)
    assert "no saturation" in result["reason"]
    assert result["critical_pressure"]["value"] == pytest.approx(7377.3, abs=0.1)
    body = {"refrigerant": "R-744", "place": "discharge", "pressure": pressure, "temperature": degc(100)}
    response = client.post("/v1/superheat", json=body)
    assert response.status_code == 422
    assert "above the critical pressure" in response.json()["errors"][0]["detail"]


def test_between_the_end_of_a_line_and_the_critical_point_the_range_is_told(client: TestClient) -> None:
    body = {"refrigerant": "R-744", "pressure": {"value": 7360, "unit": "kPaa"}, "temperature": degc(31)}
    response = client.post("/v1/superheat", json=body)
    assert response.status_code == 422
    assert "above the accepted range" in response.json()["errors"][0]["detail"]


def test_the_end_that_is_known_is_answered(client: TestClient) -> None:
    pressure = {"value": 4590, "unit": "kPaa"}
    result = ask(client, "saturation", refrigerant="R-407C", pressure=pressure)["result"]
    assert (result["region"], result["dew"], result["glide"]) == ("bubble only", None, None)
    assert result["bubble"]["temperature"]["value"] == pytest.approx(85.17, abs=0.01)
    assert result["reason"]


VACUUM_UNITS = {"micron": 75783.0, "Torr": 75.783, "mmHg": 75.783, "mbara": 101.04}


@pytest.mark.parametrize("unit", VACUUM_UNITS)
def test_a_pressure_in_a_unit_of_vacuum_has_the_error_of_a_vacuum_gauge(client: TestClient, unit: str) -> None:
    pressure = {"value": VACUUM_UNITS[unit], "unit": unit}
    answer = ask(client, "superheat", refrigerant="R-410A", pressure=pressure, temperature=degc(15))
    assert answer["result"]["saturation_temperature"]["uncertainty"] < 2
    assert any("(vacuum gauge)" in text for text in answer["assumptions"])
    assert answer["result"]["verdict"] == "above"


@pytest.mark.parametrize(("operation", "celsius"), [("superheat", 15), ("superheat", -88), ("subcooling", 15)])
def test_a_pressure_that_may_be_none_proves_nothing(client: TestClient, operation: str, celsius: float) -> None:
    pressure = {"value": 10.1, "unit": "kPaa"}
    result = ask(client, operation, refrigerant="R-410A", pressure=pressure, temperature=degc(celsius))["result"]
    assert (result["verdict"], result["phase"]) == ("cannot tell", "cannot tell")
    assert "vacuum gauge" in result["likely_reasons"][0]


def test_a_saturation_whose_pressure_may_be_none_says_so(client: TestClient) -> None:
    wide = ask(client, "saturation", refrigerant="R-410A", pressure={"value": 10.1, "unit": "kPaa"})
    narrow = ask(client, "saturation", refrigerant="R-410A", pressure={"value": 75783, "unit": "micron"})
    assert any("no pressure at all" in text for text in wide["assumptions"])
    assert not any("no pressure at all" in text for text in narrow["assumptions"])


def test_where_lines_end_early_liquid_and_vapour_are_not_said_to_be_alike(client: TestClient) -> None:
    result = ask(client, "saturation", refrigerant="R-470A", temperature=degc(83))["result"]
    assert result["region"] == "near critical"
    assert "hardly differ" not in result["reason"]
