"""What cannot be right together before a start, whatever each reading says alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.decay_fit import DecayReading
from witnessmark.calculations.tightness.evacuation import DecayTest, decay
from witnessmark.calculations.tightness.vacuum_levels import MICRON
from witnessmark.restart import plausible
from witnessmark.restart.context import Machine
from witnessmark.restart.cutouts import Cutout
from witnessmark.restart.evidence import Side
from witnessmark.vocabulary import Application, Oil

MACHINE = Machine("scroll", "fixed-speed", "three-phase", "air-conditioning", "A1", refrigerant="R-410A")
ATMOSPHERE = 101325.0


@pytest.mark.parametrize(
    ("refrigerant", "oil", "outcome"),
    [
        ("R-410A", "mineral", "conflicting"),
        ("R-410A", "alkylbenzene", "conflicting"),
        ("R-410A", "PAG", "passed"),
        ("R-410A", "POE", None),
        ("R-32", "PVE", None),
        ("R-717", "POE", "conflicting"),
        ("R-717", "mineral", None),
        ("R-22", "mineral", None),
        ("R-290", "mineral", None),
        ("R-744", "POE", None),
        ("R-764", "mineral", None),  # nothing is known of its oils
    ],
)
def test_oil_and_refrigerant(refrigerant: str, oil: Oil, outcome: str | None) -> None:
    """Trade practice: the table of oils by refrigerant."""
    found = plausible.of_oil(refrigerant, oil, claimed=True)
    assert (found and found.outcome) == outcome


def test_an_odd_oil_needs_the_maker_s_word() -> None:
    unclaimed, claimed = (plausible.of_oil("R-410A", "PAG", claimed=c) for c in (False, True))
    assert unclaimed is not None
    assert claimed is not None
    assert (unclaimed.outcome, claimed.outcome) == ("missing", "passed")
    assert "maker's word" in claimed.condition


@pytest.mark.parametrize(
    ("side", "barg", "possible"),
    [
        ("low", 35.0, False),
        ("low", -0.9, False),
        ("low", 3.8, True),
        ("low", 1.7, True),
        ("high", 3.6, False),
        ("high", 6.0, False),
        ("high", 30.0, True),
    ],
)
def test_where_switches_on_r_410a_open(side: Side, barg: float, *, possible: bool) -> None:
    pressure = barg * 1e5 + ATMOSPHERE
    for switch in (Cutout(side, pressure, pressure), Cutout(side, pressure, None)):
        assert (plausible.of_switch(MACHINE, switch) is None) is possible
    assert plausible.of_switch(replace(MACHINE, refrigerant=None), Cutout(side, pressure, None)) is None


@pytest.mark.parametrize(
    ("application", "barg", "possible"),
    [
        ("air-conditioning", 37.0, False),
        ("air-conditioning", 110.0, True),
        ("low-temperature", 36.0, True),
        ("low-temperature", 9.0, False),
    ],
)
def test_where_a_high_switch_on_r_744_opens(application: Application, barg: float, *, possible: bool) -> None:
    machine = replace(MACHINE, refrigerant="R-744", application=application)
    assert (plausible.of_switch(machine, Cutout("high", barg * 1e5 + ATMOSPHERE, None)) is None) is possible
    assert plausible.of_switch(machine, Cutout("low", 7.0e5 + ATMOSPHERE, None)) is None


@pytest.mark.parametrize(
    ("refrigerant", "mass", "possible"),
    [("R-410A", 300.0, False), ("R-410A", 6.4, True), ("R-410A", 27.0, False), ("R-744", 12.0, True)],
)
def test_the_charge_finds_room(refrigerant: str, mass: float, *, possible: bool) -> None:
    """Memory: a litre of liquid R-410A at 20 degC weighs about 1.08 kg."""
    assert (plausible.of_charge(refrigerant, mass, 0.024) is None) is possible


def test_a_heater_that_is_not_fitted() -> None:
    bare = replace(MACHINE, crankcase_heater_fitted=False)
    found = plausible.of_heater(bare, 50400.0)
    assert found is not None
    assert found.outcome == "conflicting"
    warmed = plausible.of_heater(replace(bare, drive="inverter"), 50400.0)
    assert warmed is not None
    assert (warmed.outcome, "winding" in warmed.condition) == ("passed", True)
    assert plausible.of_heater(bare, 0.0) is None
    assert plausible.of_heater(MACHINE, 50400.0) is None


def readings(*microns: float, minutes: float = 20.0) -> tuple[DecayReading, ...]:
    return tuple(DecayReading(60 * minutes * k, Measured(m * MICRON, 0.1)) for k, m in enumerate(microns))


@pytest.mark.parametrize(
    ("microns", "step", "outcomes"),
    [
        ((150.0, 159.0, 164.0), 500.0, ["conflicting"]),
        ((150.0, 200.0, 200.0), 50.0, []),
        ((150.0, 159.0, 164.0), 1.0, []),
        ((150.0, 159.0, 164.0), None, []),
        ((5.0, 5.0, 5.0, 5.0), None, ["missing"]),
        ((5.0, 5.0, 5.0, 5.0), 1.0, ["missing"]),
        ((150.0, 150.0, 150.0), 1.0, ["passed"]),
        ((150.0, 150.0, 150.0), 50.0, []),  # its steps explain that it stands still
        ((150.0, 150.0), None, []),
    ],
)
def test_a_gauge_that_lives_and_has_its_steps(
    microns: tuple[float, ...], step: float | None, outcomes: list[str]
) -> None:
    found = list(plausible.of_gauge(readings(*microns), None if step is None else step * MICRON))
    assert [e.outcome for e in found] == outcomes


def test_a_few_minutes_of_the_same_reading_say_nothing() -> None:
    assert not list(plausible.of_gauge(readings(5.0, 5.0, 5.0, minutes=2.0), None))


@pytest.mark.parametrize("microns", [5.0, 20.0, 30.0, 49.0])
def test_the_gate_and_the_decay_test_agree_on_a_gauge_that_does_not_move(microns: float) -> None:
    same = readings(microns, microns, microns)
    verdict = decay(DecayTest(same, Measured(293.15, 1.0)))
    assert [e.outcome for e in plausible.of_gauge(same, None)] == ["missing"]
    assert verdict.reasons == ("the gauge does not move",)
