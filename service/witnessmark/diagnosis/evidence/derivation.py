"""From what a technician reads at the machine to the derived numbers that the diagnosis understands.

Every number comes from the calculation modules, with its uncertainty. One that presupposes steady pumping (superheat,
subcooling, discharge temperature …) is left out where the machine runs without building pressure: it would describe a
machine that does not pump, not the circuit that killed it. What cannot be worked out is set aside with its reason; it
never stands in the way of the rest.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured, figures
from witnessmark.diagnosis.case import Doubt, Reading
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.evidence.duty import row_of, stalled
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, SetAside
from witnessmark.diagnosis.evidence.number_rules import RULES, STATED, Rule, tells
from witnessmark.diagnosis.evidence.plausible import clashes, without
from witnessmark.errors import ConflictError, InputError, OutOfRangeError


@dataclass(frozen=True, slots=True)
class Number:
    """A derived number and the fields that it came from."""

    reading: Reading
    fields: tuple[str, ...]

    @property
    def measured(self) -> Measured:
        """The number with its uncertainty."""
        return Measured(self.reading.value, self.reading.uncertainty)


@dataclass(slots=True)
class Numbers:
    """What one set of readings gives: numbers, what was set aside, and what was assumed, in words.

    pumps: whether the pressures allow that it pumps. readings: without those that cannot be right together. doubts:
    what cannot, and what to measure again.
    """

    pumps: bool = True
    readings: FieldReadings = field(default_factory=FieldReadings)
    numbers: list[Number] = field(default_factory=list)
    set_aside: list[SetAside] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def by_quantity(self) -> Mapping[str, Number]:
        """The numbers by their quantity, the first of each."""
        return {n.reading.quantity: n for n in reversed(self.numbers)}


def numbers(facts: Facts, readings: FieldReadings) -> Numbers:
    """Every number that the readings allow, those given ready-made beside those worked out."""
    found = Numbers()
    found.readings = readings = _plausible(facts, readings, found)
    found.pumps = not stalled(facts, readings)
    found.remarks += _remarks(facts, readings)
    if not found.pumps:
        found.remarks.append(
            "The pressures are so close that nothing is pumped: superheat, subcooling and temperatures were not "
            "taken as evidence, since they describe a machine that does not pump."
        )
    told = [rule for rule in RULES if tells(rule.when, running=readings.running, pumps=found.pumps)]
    _work_out(told, facts, readings, found)
    for rule in STATED:
        if rule.fields(readings.present()) and tells(rule.when, running=readings.running, pumps=found.pumps):
            _take_stated(rule, facts, readings, found)
    return found


def _work_out(rules: list[Rule], facts: Facts, readings: FieldReadings, found: Numbers) -> None:
    lacking = []
    for rule in rules:
        fields = rule.fields(readings.present())
        if fields and rule.saturation and facts.refrigerant is None:
            lacking.append(catalogue()[rule.quantity].text)
        elif fields:
            outcome = _outcome(rule, fields, facts, readings)
            if isinstance(outcome, Reading):
                found.numbers.append(Number(outcome, fields))
            elif outcome is not None and outcome not in found.set_aside:
                found.set_aside.append(outcome)
    if lacking:
        why = f"{facts.unserved} has no properties here" if facts.unserved else "the refrigerant is not given"
        found.remarks.append(f"Not worked out, since {why}: {'; '.join(lacking)}.")


def _outcome(rule: Rule, fields: tuple[str, ...], facts: Facts, readings: FieldReadings) -> Reading | SetAside | None:
    """The number of a rule; a fault in its readings sets them aside."""
    try:
        outcome = rule.compute(facts, readings)
    except InputError as fault:
        named = fault.fields if isinstance(fault, ConflictError) else (fault.field.partition(".")[0],)
        return SetAside(tuple(name for name in fields if name in named) or fields, in_words(fault))
    if not isinstance(outcome, Measured):
        return outcome
    words = " and ".join(name.replace("_", " ") for name in fields)
    return within_limits(row_of(rule.quantity, facts, readings), outcome, fields, f"from {words}")


def in_words(fault: InputError) -> str:
    """What is wrong with a reading and what could be used, a pressure as a technician reads it.

    >>> in_words(OutOfRangeError("suction_pressure", 9e6, 5.18e5, 7.377e6, "pressure"))
    'above the accepted range; take 5.18 to 73.77 bar absolute, where it can be saturated'
    """
    if isinstance(fault, OutOfRangeError) and fault.dimension == "pressure":
        low, high = (f"{pressure / 1e5:.4g}" for pressure in (fault.low, fault.high))
        return f"{fault.fault}; take {low} to {high} bar absolute, where it can be saturated"
    return f"{fault.fault}; take {fault.accepted}"


def within_limits(quantity: str, value: Measured, fields: tuple[str, ...], derivation: str) -> Reading | SetAside:
    """The number as a reading; set aside where no machine has such a one."""
    row = catalogue()[quantity]
    if not row.limits[0] <= value.value <= row.limits[1]:
        text = f"{row.text[0].lower()}{row.text[1:]}"
        return SetAside(fields, f"they give a {text} that no machine has; take readings of one machine and time")
    return Reading(quantity, value.value, value.uncertainty, derivation)


def _take_stated(rule: Rule, facts: Facts, readings: FieldReadings, found: Numbers) -> None:
    """A number given ready-made: it adds nothing where it agrees with what the readings make of it."""
    quantity, (name,) = row_of(rule.quantity, facts, readings), rule.needs
    made = found.by_quantity().get(quantity)
    given = _outcome(rule, rule.needs, facts, readings)
    if not isinstance(given, Reading):
        found.set_aside += [given] if given else []
    elif made is None:
        found.numbers.append(Number(replace(given, derivation=f"{name.replace('_', ' ')} as given"), rule.needs))
    elif not _agree(made.reading, given):
        found.numbers.append(Number(given, rule.needs))
        found.remarks.append(_unlike(name, given, made))
        found.doubts.append(_told_otherwise(name, given, made))


def _agree(made: Reading, given: Reading) -> bool:
    """Within what both instruments and a few minutes between them explain."""
    scatter = catalogue()[made.quantity].process
    reach = COVERAGE * math.hypot(made.uncertainty, given.uncertainty, scatter)
    return abs(made.value - given.value) <= reach


def _unlike(name: str, given: Reading, made: Number) -> str:
    said, worked_out = figures(given.value, given.uncertainty), figures(made.reading.value, made.reading.uncertainty)
    return (
        f"The {name.replace('_', ' ')} was given as {said}, but {made.reading.derivation.removeprefix('from ')} make "
        f"{worked_out}: they disagree and count as one piece of evidence between them; measure again."
    )


def _told_otherwise(name: str, given: Reading, made: Number) -> Doubt:
    said, worked_out = figures(given.value, given.uncertainty), figures(made.reading.value, made.reading.uncertainty)
    why = f"it was given as {said}, and the readings make {worked_out}"
    return Doubt((name, *made.fields), why, "both again at one moment, and how the figure was worked out")


def _remarks(facts: Facts, readings: FieldReadings) -> Iterator[str]:
    given = readings.present()
    if readings.running is None and readings.suction_pressure is not None:
        yield (
            "Not said whether the compressor was running: superheat and the like are taken as read while running; the "
            "pressure difference is not judged."
        )
    for reading, beside in (
        ("insulation_resistance", "winding_temperature"),
        ("insulation_resistance_hot", "winding_temperature_hot"),
    ):
        if reading in given and beside not in given:
            name = reading.replace("_", " ").capitalize()
            yield f"{name}: taken as read, since the winding temperature is not known."
    if facts.condenser is None and given >= {"discharge_pressure", "outdoor_temperature"}:
        yield "Not said what cools the condenser: taken as air-cooled. Water-cooled ones run closer to their water."


def _plausible(facts: Facts, readings: FieldReadings, found: Numbers) -> FieldReadings:
    """Readings without those that cannot be right together, which are set aside and named."""
    for clash in clashes(facts, readings):
        readings = without(readings, clash)
        found.doubts += clash.doubts
        if clash.dropped:
            found.set_aside.append(SetAside(clash.dropped, clash.why))
    return readings
