"""What readings of one moment of a run say together: the ratio of two pressures, the rise of a drop, gas or liquid.

SI: Pa absolute, K, s after the start.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from witnessmark.calculations.circuit.superheat import superheat
from witnessmark.calculations.metrology.limits import Limit
from witnessmark.calculations.metrology.ratios import difference, ratio
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import OutOfRangeError
from witnessmark.restart.context import Machine
from witnessmark.restart.run_limits import CORE_DROP, DISCHARGE, SUCTION, TABLE
from witnessmark.restart.run_pressures import impossible

RATIO, RISE = "compression_ratio", "core_drop_rise"
LINE, DISCHARGE_SUPERHEAT = "discharge_temperature", "discharge_superheat"


@dataclass(frozen=True, slots=True)
class RunReading:
    """Readings and proofs at one time; proofs: name -> whether it was good; limits: those that hold for this moment."""

    at: float
    values: Mapping[str, Measured] = field(default_factory=dict)
    proofs: Mapping[str, bool] = field(default_factory=dict)
    limits: Mapping[str, Limit] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Moment:
    """A reading with what follows from it, and the items that cannot be right or stand against others.

    >>> from witnessmark.restart.context import Machine
    >>> machine = Machine("scroll", "fixed-speed", "three-phase", "air-conditioning", "A1", refrigerant="R-410A")
    >>> moment = Moment.of(machine, RunReading(900, {SUCTION: Measured(1e6), DISCHARGE: Measured(3e6)}), None)
    >>> moment.values[RATIO].value, sorted(moment.odd)
    (3.0, [])
    """

    reading: RunReading
    values: Mapping[str, Measured]
    odd: frozenset[str]

    @classmethod
    def of(cls, machine: Machine, reading: RunReading, first_drop: Measured | None) -> Moment:
        """What follows from others comes before a claim where it is worse. first_drop: read earlier, Pa; or None."""
        stated, found = reading.values, derived(machine, reading, first_drop)
        worse = {
            name: value for name, value in found.items() if name not in stated or _worse(name, value, stated[name])
        }
        against = {RATIO} & worse.keys() & stated.keys()
        return cls(reading, {**stated, **worse}, impossible(machine, stated) | against)


def moments(machine: Machine, log: tuple[RunReading, ...]) -> tuple[Moment, ...]:
    """Every reading of a log, with what follows from it."""
    drops = [reading for reading in log if CORE_DROP in reading.values]
    first = drops[0].values[CORE_DROP] if drops else None
    return tuple(Moment.of(machine, r, first if drops and r.at > drops[0].at else None) for r in log)


def derived(machine: Machine, reading: RunReading, first_drop: Measured | None) -> dict[str, Measured]:
    """What the readings give that were not taken themselves."""
    values, found = reading.values, {}
    suction, discharge = values.get(SUCTION), values.get(DISCHARGE)
    if suction is not None and discharge is not None and suction.value > 0:
        found[RATIO] = ratio(discharge, suction)
    if first_drop is not None and CORE_DROP in values:
        found[RISE] = difference(values[CORE_DROP], first_drop)
    if (above := _discharge_superheat(machine, reading)) is not None:
        found[DISCHARGE_SUPERHEAT] = above
    return found


def _discharge_superheat(machine: Machine, reading: RunReading) -> Measured | None:
    """Of steady running; None where a reading is missing, or no gas condenses at that pressure."""
    pressure, line = reading.values.get(DISCHARGE), reading.values.get(LINE)
    if pressure is None or line is None or machine.refrigerant is None or reading.at < TABLE().steady.after:
        return None
    try:
        return superheat(machine.refrigerant, pressure, line, "discharge").margin
    except OutOfRangeError:
        return None


def _worse(name: str, found: Measured, stated: Measured) -> bool:
    """Whether what follows from other readings is clearly another ratio, a greater rise, or less superheat."""
    apart = difference(found, stated)
    slack = TABLE().agreement.share * abs(found.value) + COVERAGE * apart.uncertainty
    if name == RATIO:
        return abs(apart.value) > slack
    return (apart.value if name == RISE else -apart.value) > slack
