"""What is known of a motor beside the verdicts of its tests."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.calculations.electrical.insulation import InsulationConditions, InsulationReading, insulation
from witnessmark.calculations.electrical.single_phase import SinglePhaseReadings
from witnessmark.calculations.electrical.windings import ThreePhaseReadings, single_phase, three_phase
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.restart import motor_evidence
from witnessmark.restart.context import Machine
from witnessmark.vocabulary import Construction

SOUND = InsulationConditions(under_vacuum=False, through_drive=False, liquid_refrigerant=False, power_locked_out=True)


@pytest.mark.parametrize(
    ("megohm", "applied", "outcomes"),
    [
        (40.0, None, ["missing"]),
        (40.0, 500.0, []),
        (40.0, 1000.0, ["passed"]),
        (0.1, None, []),
    ],
)
def test_without_the_test_voltage_it_may_be_an_ohmmeter(
    megohm: float, applied: float | None, outcomes: list[str]
) -> None:
    """A winding that breaks down at 400 V is out of range of a multimeter; twice the rated voltage is a strain."""
    reading = InsulationReading(
        Measured(megohm * 1e6), Measured(300.0), "hermetic", rated_voltage=230.0, conditions=SOUND, test_voltage=applied
    )
    found = list(motor_evidence.of_test_voltage(insulation(reading), applied))
    assert [e.outcome for e in found] == outcomes
    assert all(e.condition for e in found if e.outcome == "passed")


def test_a_test_voltage_without_a_rated_one_is_held_against_nothing() -> None:
    reading = InsulationReading(Measured(40e6), Measured(300.0), "hermetic", conditions=SOUND, test_voltage=500.0)
    assert list(motor_evidence.of_test_voltage(insulation(reading), 500.0)) == []


@pytest.mark.parametrize(
    ("motor", "supply", "clash"),
    [(230.0, 400.0, True), (230.0, 208.0, False), (460.0, 400.0, False), (None, 400.0, False), (230.0, None, False)],
)
def test_one_motor_has_one_nameplate(motor: float | None, supply: float | None, clash: bool) -> None:  # noqa: FBT001
    assert bool(list(motor_evidence.of_plates(motor, supply))) is clash


@pytest.mark.parametrize(
    ("start", "run", "outcomes"),
    [
        (2.0, 2.0, ["undecided"]),
        (0.7, 0.6, ["undecided"]),
        (0.61, 0.60, ["undecided"]),
        (1.43, 1.1, ["undecided"]),
        (2.5, 1.7, ["passed"]),
        (4.0, 1.0, []),
    ],
)
def test_a_start_winding_like_the_run_winding_may_have_its_turns_shorted(
    start: float, run: float, outcomes: list[str]
) -> None:
    """Motors with a relay have 3 times the run winding and more, with a run capacitor 1.5 times and more."""
    terminals = tuple(Measured(r, 0.001) for r in (start, run, start + run))
    found = list(motor_evidence.of_start_winding(single_phase(SinglePhaseReadings(terminals))))  # type: ignore[arg-type]
    assert [e.outcome for e in found] == outcomes
    assert all(e.condition for e in found if e.outcome == "passed")


def test_windings_that_are_bad_anyway_owe_nothing_more() -> None:
    three = three_phase(ThreePhaseReadings((Measured(1.0), Measured(1.0), Measured(1.0))))
    assert list(motor_evidence.of_start_winding(three)) == []
    bad = single_phase(SinglePhaseReadings((Measured(2.0), Measured(2.0), Measured(9.0))))
    assert list(motor_evidence.of_start_winding(bad)) == []


def test_a_poor_meter_does_not_tell_the_two_windings_apart() -> None:
    blurred = tuple(Measured(r, 0.3) for r in (2.5, 1.7, 4.2))
    found = list(motor_evidence.of_start_winding(single_phase(SinglePhaseReadings(blurred))))  # type: ignore[arg-type]
    assert [e.outcome for e in found] in ([], ["undecided"])


@pytest.mark.parametrize(("kelvin", "clash"), [(522.0, True), (340.0, False)])
def test_a_winding_has_one_temperature(kelvin: float, clash: bool) -> None:  # noqa: FBT001
    """249 degC by its resistance, 24 degC by the thermometer."""
    assert bool(list(motor_evidence.of_warmth(Measured(kelvin, 1.0), 297.0))) is clash
    assert list(motor_evidence.of_warmth(None, 297.0)) == list(motor_evidence.of_warmth(Measured(522.0), None)) == []


AMMONIA = Machine("screw", "soft-starter", "three-phase", "low-temperature", "B2L", refrigerant="R-717")


@pytest.mark.parametrize(
    ("construction", "kind", "outcomes"),
    [
        ("hermetic", "hermetic", ["conflicting"]),
        (None, "hermetic", ["conflicting"]),
        ("semi-hermetic", "hermetic", ["passed"]),
        ("open-drive", "open-random-wound", []),
    ],
)
def test_ammonia_eats_copper(construction: Construction | None, kind: str, outcomes: list[str]) -> None:
    found = list(motor_evidence.of_metal(replace(AMMONIA, construction=construction), kind))
    assert [e.outcome for e in found] == outcomes
    assert all("maker's word" in e.condition for e in found if e.outcome == "passed")
    assert list(motor_evidence.of_metal(replace(AMMONIA, refrigerant="R-134a"), kind)) == []
