"""A switch above what the plant was proved for, a test that overstressed it, a short hold that lost, slips of unit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.pressure_test import PressureTest, StageReading, pressure_test
from witnessmark.restart import pressure_bounds as bounds
from witnessmark.restart.cutouts import Cutout
from witnessmark.restart.pressure_bounds import Ceiling
from witnessmark.vocabulary import Compressor

PSI = 6894.757
AIR = 101325.0


def psig(value: float) -> float:
    return value * PSI + AIR


def stage(start: float, end: float | None = None, hours: float = 24.0, celsius: float = 22.0) -> StageReading:
    """psig; a gauge whose two readings differ by 0.6 psi by themselves."""
    warm = Measured(celsius + 273.15, 0.1)
    last = start if end is None else end
    return StageReading(Measured(psig(start), 4e3), warm, Measured(psig(last), 4e3), warm, hours * 3600)


def whole(*stages: StageReading) -> PressureTest:
    return PressureTest(stages, air_pressure=AIR)


@pytest.mark.parametrize(
    ("setting", "opened", "ceiling", "outcomes"),
    [
        (610, 605, Ceiling(psig(500)), ["failed"]),
        (500, 500, Ceiling(psig(500)), []),
        (510, 495, Ceiling(psig(500)), ["failed"]),
        (495, 495, Ceiling(psig(500), (psig(484), psig(634))), ["passed"]),
        (700, 700, Ceiling(psig(720), (psig(484), psig(634))), ["missing"]),
        (480, 480, Ceiling(psig(500), (psig(484), psig(634))), []),
        (480, None, Ceiling(psig(470)), ["failed"]),
        (480, 480, Ceiling(), []),
    ],
)
def test_no_switch_stands_above_what_the_plant_was_proved_for(
    setting: float, opened: float | None, ceiling: Ceiling, outcomes: list[str]
) -> None:
    """R-410A: 484 psig at 55 degC, 634 at 67 degC."""
    switch = Cutout("high", psig(setting), None if opened is None else psig(opened))
    found = list(bounds.of_ceiling(switch, ceiling))
    assert [e.outcome for e in found] == outcomes
    assert all(e.condition for e in found if e.outcome == "passed")
    assert list(bounds.of_ceiling(replace(switch, side="low"), ceiling)) == []


@pytest.mark.parametrize(
    ("psi", "design", "outcomes"),
    [
        (496, 450, []),  # 1.1 times, by the strength tests of the standards
        (520, 450, ["passed"]),
        (670, 450, ["passed"]),
        (690, 450, ["failed"]),
        (900, 450, ["failed"]),
        (500, 275, ["failed"]),
        (500, 0, []),
        (500, None, []),
    ],
)
def test_a_test_far_above_the_design_pressure_overstressed_the_parts(
    psi: float, design: float | None, outcomes: list[str]
) -> None:
    """Strength tests of standards are 1.1 times, the hydrostatic ones of vessels up to 1.5 times."""
    allowable = None if design is None else design * PSI
    found = list(bounds.of_stress("high", whole(stage(psi), stage(100)), allowable, named=True))
    assert [e.outcome for e in found] == outcomes
    assert all("look at shells" in e.condition for e in found if e.outcome == "passed")


@pytest.mark.parametrize(
    ("end", "hours", "stands"),
    [(498.5, 1.0, False), (500.0, 1.0, True), (499.8, 1.0, True), (499.0, 24.0, True), (499.0, 20.0, True)],
)
def test_a_short_hold_that_lost_is_to_stand_for_longer(end: float, hours: float, stands: bool) -> None:  # noqa: FBT001
    """1.5 psi of 515 in an hour are 7 % a day."""
    test = whole(stage(500.0, end, hours))
    found = list(bounds.of_short_hold("high", test, pressure_test(test)))
    assert [e.outcome for e in found] == ([] if stands else ["undecided"])


@pytest.mark.parametrize(
    ("celsius", "outcomes"), [(72.0, ["conflicting"]), (-51.0, ["conflicting"]), (22.0, []), (56.0, [])]
)
def test_no_pipe_in_the_shade_is_so_hot_or_so_cold(celsius: float, outcomes: list[str]) -> None:
    """72 degF typed as 72 degC; -60 degF."""
    assert [e.outcome for e in bounds.of_slips(whole(stage(500.0, celsius=celsius)))] == outcomes


def test_no_plant_stands_above_all_towns() -> None:
    assert [e.outcome for e in bounds.of_air(30e3)] == ["conflicting"]  # 30 000 ft
    assert list(bounds.of_air(53e3)) == []  # 5100 m


@pytest.mark.parametrize(("width", "told"), [(1.0e3, True), (0.1e3, False)])
def test_instruments_too_coarse_for_a_low_pressure_are_told(width: float, told: bool) -> None:  # noqa: FBT001
    """A chiller at 10 psig: 1 % of 170 kPa is 1.7 kPa."""
    warm = Measured(295.15, 0.05)
    at_rest = StageReading(Measured(psig(10), width), warm, Measured(psig(10), width), warm, 86400.0)
    test = whole(at_rest)
    found = list(bounds.of_coarse("low", test, pressure_test(test)))
    assert [e.outcome for e in found] == ["undecided"] * told
    assert all("barometer" in e.detail for e in found)


@pytest.mark.parametrize(
    ("compressor", "refrigerant", "low"),
    [
        ("centrifugal", "R-123", True),
        ("centrifugal", "R-1233zd(E)", True),
        ("centrifugal", "R-134a", False),
        ("screw", "R-123", False),
        ("centrifugal", None, False),
    ],
)
def test_which_chillers_have_a_rupture_disc(compressor: Compressor, refrigerant: str | None, low: bool) -> None:  # noqa: FBT001
    assert bounds.low_pressure_chiller(compressor, refrigerant) is low


@pytest.mark.parametrize(("stood", "outcome"), [(69e3, "passed"), (55.2e3, "passed"), (40e3, "missing")])
def test_a_chiller_of_low_pressure_is_tested_below_its_disc(stood: float, outcome: str) -> None:
    """10 psig does; nobody is told to go on to the pressures of other plants, at which the disc bursts."""
    found = bounds.of_chiller("high", stood)
    assert found.outcome == outcome
    assert ("standing vacuum" in found.condition) is (outcome == "passed")
