"""The supply as numbers. Worst first: a lost leg called unbalance, a single-phase motor told of a lost phase."""

from dataclasses import replace

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, SetAside, Three
from witnessmark.diagnosis.evidence.supply_numbers import (
    current_unbalance,
    line_share,
    lost_leg_by_current,
    lost_leg_by_voltage,
    sequence_ratio,
    unexplained_share,
    voltage_unbalance,
)

UNKNOWN, SINGLE, INVERTER = Facts(), Facts(phases="single-phase"), Facts(drive="inverter")
RULES = (current_unbalance, lost_leg_by_current)


def lines(values: tuple[float, float, float], uncertainty: float) -> Three:
    a, b, c = (Measured(v, uncertainty) for v in values)
    return a, b, c


def amps(*values: float) -> FieldReadings:
    return FieldReadings(line_currents=lines(values, 0.2))  # type: ignore[arg-type]


def volts(*values: float) -> FieldReadings:
    return FieldReadings(line_voltages=lines(values, 1.0), rated_voltage=Measured(400.0))  # type: ignore[arg-type]


def number(outcome: object) -> Measured:
    assert isinstance(outcome, Measured)
    return outcome


def why(outcome: object) -> str:
    assert isinstance(outcome, SetAside)
    return outcome.why


@pytest.mark.parametrize("values", [(0.0, 40.0, 40.0), (40.0, 1.0, 39.5), (20.0, 10.0, 10.0)])
def test_a_lost_leg_shows_in_the_currents_and_is_no_unbalance(values: tuple[float, float, float]) -> None:
    assert number(lost_leg_by_current(UNKNOWN, amps(*values))).value == pytest.approx(1.0, abs=0.05)
    assert current_unbalance(UNKNOWN, amps(*values)) is None


@pytest.mark.parametrize("values", [(480.0, 0.0, 240.0), (480.0, 240.0, 240.0), (0.0, 480.0, 480.0)])
def test_a_lost_leg_shows_in_the_voltages_and_is_neither_unbalance_nor_low_voltage(
    values: tuple[float, float, float],
) -> None:
    assert number(lost_leg_by_voltage(UNKNOWN, volts(*values))).value == pytest.approx(1.0, abs=0.01)
    assert voltage_unbalance(UNKNOWN, volts(*values)) is None
    assert line_share(UNKNOWN, volts(*values)) is None


def test_good_voltages_disprove_no_lost_leg() -> None:
    """A running motor holds the voltage of the dead leg up."""
    assert lost_leg_by_voltage(UNKNOWN, volts(400.0, 392.0, 385.0)) is None
    assert lost_leg_by_voltage(UNKNOWN, FieldReadings()) is None


def test_a_single_phase_motor_has_no_leg_to_lose() -> None:
    for rule in RULES:
        assert "no three lines" in why(rule(SINGLE, amps(0.0, 40.0, 40.0)))
    assert "no three lines" in why(voltage_unbalance(SINGLE, volts(230.0, 115.0, 115.0)))
    assert lost_leg_by_voltage(SINGLE, volts(230.0, 115.0, 115.0)) is None
    assert line_share(SINGLE, volts(230.0, 115.0, 115.0)) is None


def test_no_current_and_no_voltage_are_no_unbalance() -> None:
    for rule in RULES:
        assert "no current" in why(rule(UNKNOWN, amps(0.0, 0.0, 0.0)))
    assert "no voltage" in why(voltage_unbalance(UNKNOWN, volts(0.0, 0.0, 0.0)))
    assert number(line_share(UNKNOWN, volts(0.0, 0.0, 0.0))).value == 0


def test_one_line_with_more_than_both_others_goes_to_ground() -> None:
    """Wrong answer that hurts: current to ground called a lost phase."""
    for rule in RULES:
        assert "goes to ground" in why(rule(UNKNOWN, amps(40.0, 10.0, 10.0)))


def both(currents: tuple[float, float, float], voltages: tuple[float, float, float]) -> FieldReadings:
    return replace(amps(*currents), line_voltages=lines(voltages, 1.0))


def test_what_the_voltages_bring_about_says_nothing_of_the_motor() -> None:
    """1.25 % and 12 %: nearly ten times, as NEMA MG 1 14.36 has it by the trade press (6 to 10 times)."""
    small = both((20.0, 23.0, 18.5), (400.0, 406.0, 397.0))
    unbalance = number(current_unbalance(UNKNOWN, small))
    assert unbalance.value == pytest.approx(0.122, abs=0.001)
    assert unbalance.uncertainty > 0.08
    assert number(unexplained_share(UNKNOWN, small)).value == pytest.approx(0.18, abs=0.02)


def test_a_current_unbalance_beside_balanced_voltages_is_the_motors() -> None:
    motor = both((20.0, 26.0, 17.0), (400.0, 400.0, 400.0))
    assert number(current_unbalance(UNKNOWN, motor)).uncertainty < 0.03
    assert number(unexplained_share(UNKNOWN, motor)).value == pytest.approx(1.0)


def test_where_nothing_is_out_of_balance_nobody_asks_from_where() -> None:
    assert unexplained_share(UNKNOWN, both((20.0, 20.1, 20.0), (400.0, 400.0, 400.0))) is None
    for voltages in ((0.0, 0.0, 0.0), (480.0, 0.0, 240.0)):
        assert unexplained_share(UNKNOWN, both((20.0, 23.0, 18.5), voltages)) is None
        assert number(current_unbalance(UNKNOWN, both((20.0, 23.0, 18.5), voltages))).uncertainty < 0.02


def test_a_drive_draws_unbalanced_currents_and_still_loses_legs() -> None:
    assert "by nature" in why(current_unbalance(INVERTER, amps(20.0, 30.0, 14.0)))
    assert number(lost_leg_by_current(INVERTER, amps(0.0, 40.0, 40.0))).value == pytest.approx(1.0)
    assert number(voltage_unbalance(INVERTER, volts(400.0, 406.0, 380.0))).value > 0.03
    assert unexplained_share(INVERTER, both((20.0, 30.0, 14.0), (400.0, 406.0, 397.0))) is None


def test_behind_a_drive_the_currents_tell_of_the_motor_and_the_voltages_of_nothing() -> None:
    behind = replace(both((20.0, 27.0, 17.0), (400.0, 406.0, 397.0)), lines_read_at="motor")
    assert number(current_unbalance(INVERTER, behind)).uncertainty < 0.02
    assert "chopped" in why(voltage_unbalance(INVERTER, behind))
    gone = replace(volts(480.0, 0.0, 240.0), lines_read_at="motor")
    assert lost_leg_by_voltage(INVERTER, gone) is None
    assert line_share(INVERTER, gone) is None


def test_sequence_ratio_by_hand() -> None:
    """A triangle of 1, 1 and sqrt(2): beta 6/16, sqrt(3 - 6 beta) = sqrt(3)/2, ratio sqrt((1 - .866)/(1 + .866))."""
    assert sequence_ratio((Measured(20.0), Measured(20.0), Measured(20.0))).value == 0
    assert sequence_ratio((Measured(1.0), Measured(1.0), Measured(2**0.5))).value == pytest.approx(0.26795, abs=1e-5)
    assert sequence_ratio((Measured(480.0), Measured(0.0), Measured(240.0))).value == 1


def test_a_lost_leg_by_the_currents_is_no_unbalance_of_the_supply() -> None:
    """Wrong answer: `unbalanced supply` in the headline, where one fuse is gone and the motor feeds the leg back."""
    both = replace(volts(400.0, 362.0, 355.0), line_currents=lines((41.0, 42.0, 0.0), 0.5))
    assert voltage_unbalance(UNKNOWN, both) is None
    for currents in (None, lines((41.0, 42.0, 40.0), 0.5), lines((0.0, 0.0, 0.0), 0.5)):
        assert isinstance(voltage_unbalance(UNKNOWN, replace(both, line_currents=currents)), Measured)
