"""One truth on liquid in the suction gas. Worst: `/v1/wet-suction` says that it comes in, and the machine runs on."""

from __future__ import annotations

from itertools import pairwise

import pytest
from tests.diagnosis.evidence.read import Told, barg, case_of, celsius, told

from witnessmark.calculations.compressor import compression, wet_suction
from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.vocabulary import Compressor

READ = tuple[str, Compressor | None, float, float, float]
WET: list[READ] = [
    ("R-410A", "scroll", 8.96, 26.2, 57.0),
    ("R-410A", "scroll", 8.96, 26.2, 59.0),
    ("R-22", "reciprocating", 4.8, 16.3, 59.0),
    ("R-22", "reciprocating", 4.8, 16.3, 64.0),
    ("R-454B", "scroll", 8.0, 24.0, 58.0),
    ("R-744", "reciprocating", 27.0, 45.0, 25.0),
    ("R-744", "reciprocating", 27.0, 90.0, 78.0),
    ("R-717", "reciprocating", 1.9, 12.5, 52.0),
    ("R-717", "reciprocating", 1.9, 12.5, 60.0),
]
"""Refrigerant, kind, suction and discharge barg, discharge °C: 12 to 35 K over saturation, or above the critical point.

Liquid by the first law: no efficiency of such a machine leaves dry gas so cold.
"""
LINE = {"R-410A": 18.0, "R-22": 17.0, "R-454B": 16.0, "R-744": 8.0, "R-717": 4.0}
"""Suction line, °C, some 13 to 16 K over dew."""
NOT_SHOWN: list[READ] = [
    ("R-410A", "scroll", 8.96, 26.2, 70.0),
    ("R-717", "reciprocating", 1.9, 12.5, 110.0),
    ("R-717", "screw", 1.9, 12.5, 60.0),
    ("R-717", "screw", 1.9, 12.5, 77.0),
    ("R-744", "reciprocating", 27.0, 100.0, 110.0),
]
"""Dry gas, or what oil cools as it should."""


def read(one: READ, line: float | None = None) -> Told:
    refrigerant, kind, low, high, hot = one
    readings = FieldReadings(
        running=True,
        suction_pressure=barg(low),
        discharge_pressure=barg(high),
        discharge_temperature=celsius(hot),
        suction_temperature=None if line is None else celsius(line),
    )
    return told(case_of(refrigerant, readings, Machine(kind)))


def verdict(one: READ) -> wet_suction.WetSuction:
    refrigerant, kind, low, high, hot = one
    readings = wet_suction.WetSuctionReadings(barg(low), barg(high), celsius(hot))
    return wet_suction.infer(refrigerant, readings, wet_suction.WetSuctionMachine(compressor=kind))


@pytest.mark.parametrize("one", WET)
def test_what_the_balance_shows_stops_the_machine_and_is_within_no_limits(one: READ) -> None:
    refrigerant, kind, low, high, hot = one
    assert verdict(one).verdict == "wet"
    said = read(one)
    assert said.operation.advice == "stop"
    assert said.operation.because == ("discharge-superheat-low",)
    assert said.probability("liquid-floodback") >= 2 * read((*one[:4], hot + 45.0)).probability("liquid-floodback")
    readings = compression.CompressorReadings(barg(low), barg(high), celsius(LINE[refrigerant]), celsius(hot))
    machine = compression.RunningCompressor(kind, running=True)
    found = compression.assess(refrigerant, readings, machine)
    assert found.operation.verdict != "within limits"
    assert found.judgement.verdict == "cannot tell"


@pytest.mark.parametrize("one", WET)
def test_a_warm_line_lets_nothing_run_on_that_the_balance_shows_wet(one: READ) -> None:
    """A clamp that sits loose, or drops beside a warm pipe."""
    assert read(one, LINE[one[0]]).operation.advice == "stop"


@pytest.mark.parametrize("one", NOT_SHOWN)
def test_what_the_balance_does_not_show_stops_nothing(one: READ) -> None:
    assert verdict(one).verdict != "wet"
    assert read(one).operation.advice == "keep-running"


@pytest.mark.parametrize("line", [5.0, 8.0])
def test_reading_noise_makes_no_wet_suction_of_sound_carbon_dioxide(line: float) -> None:
    """A line 13 to 16 K over dew and an apparent efficiency a little above the usual: neither proves liquid."""
    one: READ = ("R-744", "reciprocating", 27.0, 100.0, 113.0)
    assert read(one, line).operation.advice == "keep-running"


@pytest.mark.parametrize("hot", [52.0, 60.0])
def test_ammonia_of_an_unknown_kind_so_cold_is_left_open(hot: float) -> None:
    """Oil cools a screw so far; pistons would be taking in liquid. Worst: `what was read is in order`."""
    said = read(("R-717", None, 1.9, 12.5, hot))
    assert said.operation.advice == "unknown"
    assert "no machine with pistons" in said.contradictions[0].text
    assert read(("R-717", None, 1.9, 12.5, 110.0)).operation.advice == "keep-running"


@pytest.mark.parametrize("hot", [56.0, 59.0])
def test_a_machine_of_an_unknown_kind_is_asked_about(hot: float) -> None:
    """Colder than dry gas of any machine that nothing cools; oil or injection may be why."""
    said = read(("R-410A", None, 8.96, 26.2, hot))
    assert said.operation.advice == "unknown"
    assert "say what compressor it is" in said.operation.reason


def test_a_hot_machine_whose_discharge_may_be_held_is_asked_about() -> None:
    """R-22 from -31 to 50 °C, held to 100 °C by injected liquid (common practice)."""
    said = read(("R-22", "reciprocating", 0.56, 18.4, 100.0))
    assert said.operation.advice != "stop"
    assert read(("R-22", "reciprocating", 0.56, 18.4, 70.0)).operation.advice == "stop", "no injection goes so far"


@pytest.mark.parametrize(
    ("one", "limit"),
    [
        (("R-410A", "scroll", 8.96, 26.2, 0.0), 107.3),
        (("R-22", "reciprocating", 2.0, 18.0, 0.0), 107.3),
        (("R-134a", None, 2.0, 12.0, 0.0), 107.3),
        (("R-744", "reciprocating", 27.0, 100.0, 0.0), 140.0),
        (("R-717", "reciprocating", 1.9, 12.5, 0.0), 150.0),
        (("R-717", "screw", 1.9, 12.5, 0.0), 107.3),
    ],
)
def test_a_line_above_the_limit_of_the_oil_speaks_for_overheating_the_hotter_the_more(one: READ, limit: float) -> None:
    """Worst: a discharge that cooks the oil counts for nothing, or for less where it is hotter still."""
    usual = read((*one[:4], limit - 10.0)).probability("overheating")
    found = [read((*one[:4], limit + over)) for over in (2.0, 10.0, 25.0, 50.0)]
    said = [answer.probability("overheating") for answer in found]
    assert said[0] > 1.5 * usual
    assert all(hotter >= cooler - 1e-3 for cooler, hotter in pairwise(said))
    assert {answer.operation.advice for answer in found} == {"stop"}
    assert all(answer.contradictions == () for answer in found)
