"""POST /v1/restart: machines and readings that look unlike the examples; expectations written before the rules."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.test_restart import MAY, example, post
from tests.api.test_restart_impossible import quantity, told


def stood(side: str, barg: float, **more: Any) -> dict[str, Any]:
    """A side that stood for a day at a pressure without losing any; its design pressure is a little less."""
    pressure, warm = quantity(barg, "barg"), quantity(20, "degC")
    stage = {
        "start_pressure": pressure,
        "start_temperature": warm,
        "end_pressure": pressure,
        "end_temperature": warm,
        "duration": quantity(24, "h"),
    }
    return {"side": side, "design_pressure": quantity(barg - 0.2, "barg"), "stages": [stage]} | more


def carbon_dioxide(high: float, low: float, **more: Any) -> dict[str, Any]:
    body = example("everything proved")
    body["machine"] |= {"refrigerant": "R-744", "application": "medium-temperature"}
    body["measured"]["charge"]["refrigerant"] = "R-744"
    body["measured"].pop("high_pressure_switch", None)
    body["tests"]["pressure_tests"] = [stood("high", high, **more), stood("low", low, **more)]
    return body


@pytest.mark.parametrize(
    ("high", "low", "more", "shut"),
    [
        (28.2, 19.2, {}, {"pressure-test-high", "pressure-test-low"}),  # CO2 at -8 and -21 degC
        (40.2, 19.2, {}, {"pressure-test-low"}),
        (28.2, 30.2, {}, {"pressure-test-high"}),
        (28.2, 19.2, {"maker_document": "Nameplate, drawing 4"}, set()),
        (40.2, 30.2, {}, set()),  # an ordinary cascade
        (130.2, 60.2, {}, set()),
    ],
)
def test_carbon_dioxide_is_not_proved_at_what_no_such_plant_is_built_for(
    client: TestClient, high: float, low: float, more: dict[str, str], shut: set[str]
) -> None:
    """A lower figure counts with the maker's document only, whatever keeps the plant cold."""
    answer = post(client, carbon_dioxide(high, low, **more))
    assert set(answer["result"]["blocking"]) == shut
    for check in shut:
        assert "plants that keep this refrigerant cold" in told(answer, check)


DEEP = (200, 212, 221, 227, 231, 234, 236, 237, 238, 238, 238, 238, 238)


def pulled(microns: tuple[float, ...], minutes: float = 10, **more: Any) -> dict[str, Any]:
    readings = [
        {"time": quantity(minutes * k, "min"), "pressure": quantity(micron, "micron")}
        for k, micron in enumerate(microns)
    ]
    return {
        "pump_valved_off": True,
        "gauge_at_pump": False,
        "coldest": quantity(20, "degC"),
        "volume": quantity(20, "L"),
        "readings": readings,
    } | more


def evacuated(**more: Any) -> dict[str, Any]:
    body = example("everything proved")
    body["tests"]["evacuation"] = pulled(DEEP, **more)
    return body


@pytest.mark.parametrize("celsius", [-30, -31])
def test_ice_that_could_hold_the_level_is_not_dry_by_where_it_levels_off(client: TestClient, celsius: float) -> None:
    """238 micron, where ice stands at 285: the decay test cannot tell, so the gate cannot either."""
    answer = post(client, evacuated(coldest=quantity(celsius, "degC")))
    assert answer["result"]["blocking"] == ["vacuum"]
    assert "warm the coldest spot" in told(answer, "vacuum")


@pytest.mark.parametrize(("celsius", "asked"), [(-20, True), (-5, True), (5, False), (20, False)])
def test_ice_is_looked_for_where_a_spot_was_below_freezing(client: TestClient, celsius: float, *, asked: bool) -> None:
    result = post(client, evacuated(coldest=quantity(celsius, "degC")))["result"]
    assert result["verdict"] == MAY
    assert any("where water is ice" in c for c in result["conditions"]) is asked


@pytest.mark.parametrize(
    ("microns", "minutes", "said"),
    [
        ((310, 318), 15, "take five readings or more"),
        ((410, 428, 440, 447, 452, 455, 457, 458, 459), 5, "pump deeper"),
        ((690, 700, 705, 708, 709, 710, 710, 710), 10, "pump deeper"),
        ((300, 304, 308, 312, 316), 10, "let it stand for longer"),
    ],
)
def test_a_vacuum_that_cannot_be_told_says_what_would_tell(
    client: TestClient, microns: tuple[float, ...], minutes: float, said: str
) -> None:
    body = evacuated()
    body["machine"]["burnout_grade"] = 0
    body["tests"]["evacuation"] = pulled(microns, minutes)
    answer = post(client, body)
    assert answer["result"]["blocking"] == ["vacuum"]
    assert said in told(answer, "vacuum")


@pytest.mark.parametrize(("asked", "pulled_as", "may"), [("POE", "mineral", False), ("POE", "POE", True)])
def test_one_circuit_has_one_oil(client: TestClient, asked: str, pulled_as: str, *, may: bool) -> None:
    body = evacuated(oil=pulled_as)
    body["machine"]["oil"] = asked
    result = post(client, body)["result"]
    assert (result["verdict"] == MAY) is may
    assert result["blocking"] == ([] if may else ["vacuum"])


def chiller(**machine: Any) -> dict[str, Any]:
    """A centrifugal chiller on R-134a: no liquid-line drier, a charge of half a ton, flooded by an orifice plate."""
    body = example("everything proved")
    body["machine"] = {
        "compressor": "centrifugal",
        "drive": "soft-starter",
        "phases": "three-phase",
        "application": "air-conditioning",
        "refrigerant": "R-134a",
        "construction": "hermetic",
        "burnout_grade": 0,
        "oil": "POE",
        "crankcase_heater_fitted": True,
        "oil_safety_fitted": True,
        "liquid_drier_fitted": False,
        "suction_core_fitted": False,
    } | machine
    body["stated"] = [s for s in body["stated"] if s["check"] not in ("liquid-drier", "mode-locked", "suction-filter")]
    body["stated"].append({"check": "oil-safety", "outcome": "passed"})
    body["measured"] = {
        "heater_on": quantity(24, "h"),
        "sump_superheat_at_rest": quantity(20, "K"),
        "off_time": quantity(30, "min"),
        "charge": {
            "weighed": quantity(545, "kg"),
            "wanted": quantity(545, "kg"),
            "refrigerant": "R-134a",
            "taken_as": "liquid",
        },
    }
    body.pop("watch_limits")
    tests = body["tests"]
    tests["insulation"] |= {
        "motor": "hermetic-centrifugal",
        "resistance": quantity(300, "megohm"),
        "test_voltage": quantity(500, "V"),
    }
    tests["windings"] = {
        "phases": "three-phase",
        "meter": "four-wire",
        "terminals": [quantity(ohm, "milliohm") for ohm in (12.11, 12.12, 12.10)],
    }
    tests["pressure_tests"] = [stood("whole", 15.2)]
    tests["evacuation"] = pulled((300, 318, 327, 333, 336, 338, 339, 340, 340, 340), 30, volume=quantity(3, "m3"))
    return body


@pytest.mark.parametrize("construction", ["hermetic", "semi-hermetic"])
def test_an_ordinary_chiller_opens(client: TestClient, construction: str) -> None:
    """A motor in the refrigerant is what the trade calls hermetic; such a machine is not welded."""
    result = post(client, chiller(construction=construction))["result"]
    assert (result["blocking"], result["contradictions"]) == ([], [])
    assert result["verdict"] == MAY


@pytest.mark.parametrize("metering", ["fixed-orifice", "electronic-valve", "float", None])
@pytest.mark.parametrize("refrigerant", ["R-134a", "R-123", "R-1233zd(E)"])
def test_a_centrifugal_runs_on_saturated_gas(client: TestClient, metering: str | None, refrigerant: str) -> None:
    body = chiller(metering=metering, refrigerant=refrigerant)
    body["after_run"] = {
        "elapsed": quantity(2, "h"),
        "readings": [
            {
                "at": quantity(1, "h"),
                "suction_superheat": quantity(0.8, "K"),
                "discharge_temperature": quantity(48, "degC"),
                "current_share": {"value": 0.7},
                "compression_ratio": {"value": 2.5},
            }
        ],
    }
    assert post(client, body)["result"]["after_run"]["verdict"] == "go on watching"


def retested(*tests: dict[str, Any]) -> dict[str, Any]:
    body = chiller()
    body["tests"]["pressure_tests"] = list(tests)
    return body


def leaking(**more: Any) -> dict[str, Any]:
    test = stood("whole", 15.2, **more)
    test["stages"][0]["end_pressure"] = quantity(13.0, "barg")
    return test


@pytest.mark.parametrize(
    ("tests", "may"),
    [
        ([leaking(superseded=True), stood("whole", 15.2)], True),
        ([stood("whole", 15.2), leaking(superseded=True)], True),
        ([leaking(), stood("whole", 15.2)], False),
        ([stood("whole", 15.2), leaking()], False),
        ([leaking(superseded=True)], False),
        ([stood("whole", 15.2, superseded=True)], False),
        ([leaking(superseded=True), leaking()], False),
        ([leaking(superseded=True), stood("high", 15.2)], False),
    ],
)
def test_a_leak_that_was_mended_is_told_by_the_test_that_was_done_again(
    client: TestClient, tests: list[dict[str, Any]], *, may: bool
) -> None:
    result = post(client, retested(*tests))["result"]
    assert (result["verdict"] == MAY) is may
    assert any("look at that joint first" in c for c in result["conditions"]) or not may


def test_what_overstressed_a_side_counts_though_it_was_tested_again(client: TestClient) -> None:
    over = stood("whole", 40.0, design_pressure=quantity(15, "barg"), superseded=True)
    answer = post(client, retested(over, stood("whole", 15.2)))
    assert {"pressure-test-high", "pressure-test-low"} <= set(answer["result"]["blocking"])
    assert "overstressed" in told(answer, "pressure-test-high")


@pytest.mark.parametrize(("unit", "said"), [("barg", "no loss seen"), ("bara", "readings contradict")])
def test_a_gauge_pressure_written_as_an_absolute_one_is_no_leak(client: TestClient, unit: str, said: str) -> None:
    test = stood("whole", 15.2)
    test["stages"][0]["end_pressure"] = quantity(15.2, unit)
    assert said in told(post(client, retested(test)), "pressure-test-high")


LOW = (600, 640, 660, 672, 679, 683, 686, 688, 689, 689, 690, 690, 690)


def low_pressure_chiller(
    microns: float, *, document: str = "Chiller manual 12, page 41", **machine: Any
) -> dict[str, Any]:
    """R-123 at 690 micron after half a day, where its maker allows it to have risen to that many."""
    body = chiller(refrigerant="R-123", oil="mineral", **machine)
    body["measured"]["charge"]["refrigerant"] = "R-123"
    body["tests"]["oil_samples"] = []
    body["stated"].append({"check": "toxic-precautions", "outcome": "passed"})
    body["tests"]["pressure_tests"] = [stood("whole", 2.2)]
    for end in ("start_pressure", "end_pressure"):
        body["tests"]["pressure_tests"][0]["stages"][0][end] |= {"uncertainty": 0.002}
    body["site"] = {"barometer": quantity(1013, "hPa")}
    makers = {"maker_hold": quantity(12, "h"), "maker_after_hold": quantity(microns, "micron"), "oil": "mineral"}
    more = makers | {"maker_document": document}
    body["tests"]["evacuation"] = pulled(LOW, 60, volume=quantity(3, "m3"), **more)
    return body


@pytest.mark.parametrize(
    ("microns", "document", "may"),
    [(2500, "Chiller manual 12, page 41", True), (2500, "", False), (7000, "Chiller manual 12, page 41", False)],
)
def test_a_chillers_maker_says_how_it_is_dried(client: TestClient, microns: float, document: str, *, may: bool) -> None:
    """Makers dry such machines to a few millimetres of mercury; 7 mm is beyond all of them."""
    answer = post(client, low_pressure_chiller(microns, document=document))
    assert answer["result"]["blocking"] == ([] if may else ["vacuum"])


def test_what_a_chillers_maker_says_is_not_a_split_units(client: TestClient) -> None:
    body = low_pressure_chiller(2500)
    body["machine"] |= {"compressor": "screw", "construction": "semi-hermetic", "liquid_drier_fitted": True}
    body["tests"]["insulation"]["motor"] = "hermetic"
    assert "vacuum" in post(client, body)["result"]["blocking"]
