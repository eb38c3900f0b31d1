"""Electrical checks against figures from outside the project. Where a page only quotes a standard, it says so."""

from __future__ import annotations

import math

import pytest

from witnessmark.calculations.electrical.insulation import InsulationReading, halving, insulation
from witnessmark.calculations.electrical.single_phase import SinglePhaseReadings
from witnessmark.calculations.electrical.supply_unbalance import (
    SupplyReadings,
    derating,
    supply,
    unbalance,
)
from witnessmark.calculations.electrical.windings import (
    Reference,
    against_reference,
    single_phase,
    winding_temperature,
)
from witnessmark.calculations.metrology.uncertainty import Measured

Three = tuple[Measured, Measured, Measured]


def three(a: float, b: float, c: float) -> Three:
    return Measured(a), Measured(b), Measured(c)


@pytest.mark.parametrize(
    ("volts", "percent", "within"),
    [
        # Calculator page quoting NEMA MG 1: 460, 467, 450 V -> 459 V mean, 9 V, "about 1.96 percent".
        ((460, 467, 450), 1.96, 0.005),
        # Motor forum quoting a US motor-systems tip sheet: 462, 463, 455 V -> 1.1 %.
        ((462, 463, 455), 1.1, 0.05),
        # Industrial knowledge page on NEMA MG 1: 480, 476, 472 V -> 0.84 %.
        ((480, 476, 472), 0.84, 0.005),
        # Motor protection relay's specification sheet, "NEMA MG1 unbalance formula": 203, 210, 212 V -> 2.5 %; it
        # rounds 2.56 down after rounding the mean to 208.3.
        ((203, 210, 212), 2.5, 0.07),
        # Heat-pump installation manual: 220, 216, 213 V -> 1.8 %; it rounds the mean 216.3 to 216, exact is 1.69.
        ((220, 216, 213), 1.8, 0.15),
    ],
)
def test_voltage_unbalance_examples(volts: tuple[float, float, float], percent: float, within: float) -> None:
    assert 100 * unbalance(three(*volts)).fraction.value == pytest.approx(percent, abs=within)


def test_a_published_example_that_is_wrong() -> None:
    """A motor maker's page gives 400, 395, 388 V as 1.45 % (5.7 V of 394.3): it takes the greatest ABOVE the mean.

    The lowest phase is 6.33 V away: 1.61 %. The service follows the definition, not the page.
    """
    assert 100 * unbalance(three(400, 395, 388)).fraction.value == pytest.approx(1.606, abs=0.001)


def test_the_wrong_method_as_published() -> None:
    """Industrial knowledge page: (480 - 472)/476 = 1.68 %, "nearly double the actual unbalance"."""
    assert 100 * unbalance(three(480, 476, 472)).spread_over_mean == pytest.approx(1.68, abs=0.005)


def test_current_unbalance_example() -> None:
    """Power-quality analyser's manual: 33, 29, 34 A -> mean 32 A, deviation 3 A, 9.4 %; not to exceed 10 %."""
    found = unbalance(three(33, 29, 34))
    assert 100 * found.fraction.value == pytest.approx(9.4, abs=0.05)
    checked = supply(SupplyReadings(three(400, 400, 400), three(33, 29, 34))).current
    assert checked is not None
    assert checked.standing == "within"


def test_field_report_of_ten_times() -> None:
    """Field report on a chiller motor: 1.7 % voltage unbalance gave 17 % current unbalance, ten times as much."""
    volts, amps = three(100 * (1 + 0.017), 100 - 0.85, 100 - 0.85), three(117.0, 91.5, 91.5)
    found = supply(SupplyReadings(volts, amps)).current
    assert found is not None
    assert found.explained_high == pytest.approx(0.17, abs=1e-9)
    assert found.unbalance.fraction.value == pytest.approx(0.17)


def test_derating_at_two_percent_as_quoted() -> None:
    """Calculator page quoting the NEMA curve: 1.96 % -> "a derating factor near 0.95"."""
    found = derating(unbalance(three(460, 467, 450)).fraction.value)
    assert found is not None
    assert found.factor == pytest.approx(0.95, abs=0.005)


def test_voltage_band_example() -> None:
    """Motor service association's article (2025) on NEMA MG 1 12.44: 203 V on a 230 V motor is below 207 V."""
    low = supply(SupplyReadings(three(203, 203, 203), rated_voltage=230)).band
    edge = supply(SupplyReadings(three(207, 207, 207), rated_voltage=230)).band
    assert low is not None
    assert edge is not None
    assert (low.standing, edge.standing) == ("outside", "within")


def test_insulation_correction_example() -> None:
    """Calculator page quoting IEEE Std 43: 25 degC -> factor 0.354; 500 MOhm -> 177 MOhm at 40 degC."""
    assert halving(298.15).value == pytest.approx(0.354, abs=5e-4)
    reading = InsulationReading(Measured(500e6), Measured(298.15), "open-random-wound")
    first = insulation(reading).corrected[0]
    assert first.resistance.value == pytest.approx(177e6, rel=0.002)


def test_insulation_correction_read_off_a_chart() -> None:
    """Electrical site reading a chart of IEEE Std 43: 3 MOhm at 70 degC -> factor 7, 21 MOhm. The formula gives 8.

    A factor read off a logarithmic chart: 20 % is what such a reading is good for.
    """
    assert halving(343.15).value == pytest.approx(7, rel=0.2)


def test_old_motor_minimum() -> None:
    """IEEE Std 43 as quoted on a calculator page: (kV + 1) MOhm; 4160 V -> 5.16 MOhm."""
    reading = InsulationReading(Measured(1e9), Measured(313.15), "open-before-1970", rated_voltage=4160)
    assert insulation(reading).minima[0].limit.value == pytest.approx(5.16e6)


def test_temperature_by_resistance_example() -> None:
    """Physics forum exercise: 80 ohm at 20 degC, 100 ohm hot, coefficient 1/234.5 -> 83.63 degC, rise 63.63 K."""
    hot = winding_temperature(Measured(100.0), Reference(Measured(80.0), Measured(293.15)))
    assert hot.value - 273.15 == pytest.approx(83.63, abs=0.01)


def test_hot_resistance_example() -> None:
    """Motor calculator's worked example: 0.15 ohm at 25 degC, 110 degC -> 0.200 ohm (coefficient 0.00393, linear).

    That coefficient belongs to 20 degC; with 234.5 it is 0.00385 at 25 degC: 0.1991 ohm, within 0.5 %.
    """
    found = against_reference(Measured(0.2), Measured(383.15), Reference(Measured(0.15), Measured(298.15)))
    assert found.expected.value == pytest.approx(0.200, rel=0.006)


@pytest.mark.parametrize(
    ("terminals", "verdict", "standing"),
    # Service procedure for single-phase hermetic motors, examples 1 to 3: start winding 3 to 6 times the run winding.
    [
        ((3.0, 0.5, 3.5), "adds up", "sources disagree"),
        ((1.25, 0.5, 1.75), "adds up", "sources disagree"),
        ((4.0, 0.33, 4.33), "unbalanced", "outside"),
    ],
)
def test_start_and_run_windings(terminals: tuple[float, float, float], verdict: str, standing: str) -> None:
    """Example 1 (6 times) is good there; another procedure says 3 to 5. Example 2 (2.5 times) is bad there.

    Motors with a run capacitor have less than 3 times and are good: the sum decides, and the conflict shows.
    """
    one, two, both = three(*terminals)
    found = single_phase(SinglePhaseReadings((one, two, both)))
    assert found.start_run is not None
    assert (found.verdict, found.start_run.start_over_run_standing) == (verdict, standing)


def test_sum_of_the_windings() -> None:
    """Trade textbook and procedures: common-to-start plus common-to-run equals start-to-run (here 18 ohm in all)."""
    found = single_phase(SinglePhaseReadings((Measured(14.0, 0.05), Measured(4.0, 0.05), Measured(18.0, 0.05))))
    assert found.start_run is not None
    assert found.start_run.sum_agrees
    assert math.isclose(found.start_run.surplus.value, 0.0, abs_tol=1e-9)
