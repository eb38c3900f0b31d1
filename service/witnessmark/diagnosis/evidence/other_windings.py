"""Windings that are none of the motor they are said to be of: too many ohm for its current, or for any of its kind."""

from __future__ import annotations

from dataclasses import replace

from witnessmark.calculations.electrical.winding_current import CURRENTS, VOLTAGES, Feed, no_such_motor
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.diagnosis.evidence.field_readings import Clash, Facts, FieldReadings, Three, three
from witnessmark.diagnosis.evidence.motor_numbers import WINDINGS, kind
from witnessmark.diagnosis.evidence.reading_rules import RULES
from witnessmark.vocabulary import Phases

FEEDS = (
    ("rated_current", "rated_voltage"),
    ("running_current", "rated_voltage"),
    ("running_current", "supply_voltage"),
    ("line_currents", "rated_voltage"),
    ("line_currents", "line_voltages"),
)
"""Current and voltage of the same motor; what was read while it ran counts as well as its nameplate."""
_CURRENTS = ("rated_current", "running_current", "expected_current", "line_currents")
_AGAIN = "locked out, each pair of pins again, cleaned, with unit and range noted"


def windings_of_another(facts: Facts, g: FieldReadings) -> Clash | None:
    """Windings that would turn to heat what the motor takes, or more ohm than any motor of three windings has."""
    if not g.winding_resistances or (of := kind(facts, g)) == "not told":
        return None
    read = three(g.winding_resistances)
    if any(r.value >= RULES().open_winding.ohm for r in read):
        return None
    phases: Phases = "single-phase" if of == "start and run" else "three-phase"
    feeds = [replace(feed, inverter=facts.drive == "inverter") for feed in _feeds(g, phases)]
    if any(no_such_motor(read, phases, feed) for feed in feeds):
        why = (
            "no motor that takes this current at this voltage has so much: another motor, a slip of the unit, or a "
            "contact"
        )
        return Clash(WINDINGS, why, f"{_AGAIN}; and whose nameplate the current is of", WINDINGS)
    if feeds or phases == "single-phase" or not _too_many(read):
        return None
    why = (
        "no compressor motor with three windings has so many ohm, equal as they are: a slip of the unit or of the "
        "range, a contact, or something else between the pins"
    )
    return Clash(WINDINGS, why, f"{_AGAIN}; and the rated current and voltage beside them", WINDINGS)


def _too_many(read: Three) -> bool:
    """Whether the least of the three lies above what the smallest motors have."""
    least = min(read, key=lambda r: r.value)
    return least.value - COVERAGE * least.uncertainty > RULES().three_windings.ohm


def _feeds(g: FieldReadings, phases: Phases) -> list[Feed]:
    """Everything that is known of what the motor takes; where no voltage is, the highest that is usual for its kind."""
    told = [feed for feed in (_feed(g, *pair) for pair in FEEDS) if feed]
    if told:
        return told
    volts = RULES().three_windings.volts if phases == "three-phase" else RULES().three_windings.single_phase_volts
    amps = (_mean(getattr(g, name)) for name in _CURRENTS)
    return [Feed(volts, current, rated=False) for current in amps if CURRENTS[0] <= current <= CURRENTS[1]]


def _feed(g: FieldReadings, current: str, voltage: str) -> Feed | None:
    """What the motor takes; None where one of the two was not read, or cannot be of a motor that runs."""
    amps, volts = (_mean(getattr(g, name)) for name in (current, voltage))
    usable = CURRENTS[0] <= amps <= CURRENTS[1] and VOLTAGES[0] <= volts <= VOLTAGES[1]
    return Feed(volts, amps, rated=False) if usable else None


def _mean(read: Measured | Three | None) -> float:
    """The mean, 0 of what was not read."""
    if read is None or isinstance(read, Measured):
        return 0.0 if read is None else read.value
    return sum(r.value for r in read) / len(read)
