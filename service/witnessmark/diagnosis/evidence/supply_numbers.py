"""Numbers of the supply from what was read at it: voltage, unbalance, a lost phase, where an unbalance comes from.

Of three magnitudes in a three-wire system negative over positive sequence follows (they close to a triangle); with one
phase lost the triangle is a line and the two are equal, whichever leg it is and whether or not a transformer lies
between. IEC 61000-4-30, 5.7 (formula from the magnitudes, by memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable

from witnessmark.calculations.electrical import supply_unbalance
from witnessmark.calculations.electrical.single_phasing import PhaseFinding, by_currents, by_voltages
from witnessmark.calculations.metrology.ratios import difference, ratio, scaled
from witnessmark.calculations.metrology.ratios import mean as mean_of
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, Outcome, SetAside, Three, known, three
from witnessmark.diagnosis.evidence.reading_rules import RULES
from witnessmark.errors import InputError

VOLTAGES, CURRENTS = ("line_voltages",), ("line_currents",)
_ONE_PHASE = "a single-phase motor has no three lines; no leg can be lost or unbalanced"
_DRIVE_OUTPUT = "a meter does not read the chopped voltage of a drive truly"
_DRIVE_INPUT = "what a drive draws is unbalanced by nature; it tells of a lost leg only"


def share(part: str, whole: str) -> Callable[[Facts, FieldReadings], Outcome]:
    """One reading over another."""

    def over(_facts: Facts, g: FieldReadings) -> Outcome:
        return ratio(known(getattr(g, part)), _above_zero(known(getattr(g, whole)), whole))

    return over


def line_share(facts: Facts, g: FieldReadings) -> Outcome:
    """The mean of three voltages over the rated one; with a leg lost a mean says nothing."""
    if facts.phases == "single-phase" or _at_motor_of_drive(facts, g) or lost_by_voltage(g):
        return None
    return ratio(mean_of(three(g.line_voltages)), _above_zero(known(g.rated_voltage), "rated_voltage"))


def voltage_unbalance(facts: Facts, g: FieldReadings) -> Outcome:
    """Greatest deviation from the mean, unless that is no question here: what a lost leg makes of it is none."""
    hindered = _not_three_phase(facts, VOLTAGES)
    if hindered is None and _at_motor_of_drive(facts, g):
        hindered = SetAside(VOLTAGES, _DRIVE_OUTPUT)
    if hindered or _dead(three(g.line_voltages)):
        return hindered or SetAside(VOLTAGES, "there is no voltage at all, so none to be unbalanced")
    if lost_by_voltage(g) or _leg_lost(g):
        return None
    return supply_unbalance.unbalance(three(g.line_voltages), "line_voltages").fraction


def current_unbalance(facts: Facts, g: FieldReadings) -> Outcome:
    """Greatest deviation from the mean; what the unbalance of the voltages may bring about widens its uncertainty.

    Currents run at six to ten times the unbalance of the voltages (current-unbalance-ratio), so a share of that size
    says nothing of the motor.
    """
    hindered = _currents_hindered(facts, g)
    if hindered or _lost_by_current(g):
        return hindered
    if facts.drive == "inverter" and g.lines_read_at != "motor":
        return SetAside(CURRENTS, _DRIVE_INPUT)
    of_currents, explained = _unbalances(facts, g)
    return Measured(of_currents.value, math.hypot(of_currents.uncertainty, explained.value, explained.uncertainty))


def unexplained_share(facts: Facts, g: FieldReadings) -> Outcome:
    """The share of the current unbalance that the voltage unbalance does not account for: near 0 the supply does it."""
    hindered = _currents_hindered(facts, g) or _lost_by_current(g) or lost_by_voltage(g)
    if hindered or facts.drive == "inverter" or _dead(three(g.line_voltages)):
        return None
    of_currents, explained = _unbalances(facts, g)
    if of_currents.value < RULES().unbalance_worth_asking.share:
        return None
    left = difference(of_currents, explained)
    return scaled(left, 1 / of_currents.value)


def _unbalances(facts: Facts, g: FieldReadings) -> tuple[Measured, Measured]:
    """Of the currents, and what of it the voltages account for, with the width of the published ratio."""
    of_currents = supply_unbalance.unbalance(three(g.line_currents), "line_currents", supply_unbalance.HIGHEST_CURRENT)
    usable = g.line_voltages and facts.drive != "inverter" and not _dead(g.line_voltages) and not lost_by_voltage(g)
    if not (usable and g.line_voltages):
        return of_currents.fraction, Measured(0.0)
    of_voltages = supply_unbalance.unbalance(g.line_voltages, "line_voltages").fraction
    times = supply_unbalance.TABLE().current_ratio
    middle, half = (times.high + times.low) / 2, (times.high - times.low) / 2
    spread = math.hypot(middle * of_voltages.uncertainty, half / math.sqrt(3) * of_voltages.value)
    return of_currents.fraction, Measured(middle * of_voltages.value, spread)


def lost_leg_by_current(facts: Facts, g: FieldReadings) -> Outcome:
    """Negative over positive sequence of the line currents: 1 where a phase is lost."""
    return _currents_hindered(facts, g) or sequence_ratio(three(g.line_currents))


def lost_leg_by_voltage(facts: Facts, g: FieldReadings) -> Outcome:
    """The same of the voltages, where they show it; a running motor holds a dead leg up, so good ones say nothing."""
    if facts.phases == "single-phase" or _at_motor_of_drive(facts, g) or not lost_by_voltage(g):
        return None
    return sequence_ratio(three(g.line_voltages))


def sequence_ratio(magnitudes: Three) -> Measured:
    """Negative over positive sequence of three magnitudes that close to a triangle; 1 where they fall on a line.

    Example: 20, 20 and 20 give 0; 0, 40 and 40 give 1, and so do 20, 10 and 10. The uncertainty is that of the
    greatest deviation over the mean, which the ratio follows at small unbalance.
    """
    values = [r.value for r in magnitudes]
    beta = math.fsum(v**4 for v in values) / math.fsum(v**2 for v in values) ** 2
    root = math.sqrt(max(0.0, 3 - 6 * beta))
    spread = math.hypot(*(r.uncertainty for r in magnitudes)) / math.fsum(values) * 3
    return Measured(math.sqrt(max(0.0, (1 - root) / (1 + root))), spread)


def lost_by_voltage(g: FieldReadings) -> PhaseFinding | None:
    """The lost phase that the voltages show, if there are any and they do."""
    if g.line_voltages is None or _dead(g.line_voltages):
        return None
    rules = supply_unbalance.TABLE().lost_phase
    rated = None if g.rated_voltage is None else g.rated_voltage.value
    return by_voltages(rules, [v.value for v in g.line_voltages], "line-to-line", rated)


def _lost_by_current(g: FieldReadings) -> PhaseFinding | None:
    return by_currents(supply_unbalance.TABLE().lost_phase, three(g.line_currents))


def _leg_lost(g: FieldReadings) -> bool:
    """Whether currents were read and show a lost leg, which the turning motor feeds back as an unbalanced voltage."""
    found = None if g.line_currents is None or _dead(g.line_currents) else _lost_by_current(g)
    return found is not None and found.fault != "readings contradict"


def _currents_hindered(facts: Facts, g: FieldReadings) -> SetAside | None:
    """Why the three currents cannot be judged."""
    hindered = _not_three_phase(facts, CURRENTS)
    if hindered is None and _dead(three(g.line_currents)):
        hindered = SetAside(CURRENTS, "there is no current at all, so none to be unbalanced")
    if hindered is None:
        found = _lost_by_current(g)
        if found and found.fault == "readings contradict":
            hindered = SetAside(CURRENTS, found.explanation)
    return hindered


def _not_three_phase(facts: Facts, names: tuple[str, ...]) -> SetAside | None:
    return SetAside(names, _ONE_PHASE) if facts.phases == "single-phase" and facts.drive != "inverter" else None


def _at_motor_of_drive(facts: Facts, g: FieldReadings) -> bool:
    return facts.drive == "inverter" and g.lines_read_at == "motor"


def _dead(readings: Three) -> bool:
    return all(r.value == 0 for r in readings)


def _above_zero(reading: Measured, name: str) -> Measured:
    if reading.value <= 0:
        raise InputError(name, "not above zero", "a value above zero")
    return reading
