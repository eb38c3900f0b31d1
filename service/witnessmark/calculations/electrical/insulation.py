"""Winding-to-ground insulation: correction to 40 degC, minima with their conflicts, polarisation index, warm up first.

Resistances in ohm, temperatures in K, times in s. A reading taken under vacuum, through a drive or without lock-out is
refused: it can destroy the motor or the drive or hurt, and proves nothing. Where that is not stated a good reading is
not proved to be valid.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from witnessmark.calculations.metrology.limits import (
    COVERAGE,
    Limit,
    Ruling,
    Standing,
    StatedLimit,
    judge,
    limit_from,
    read_data,
)
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import ratio
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.reference import source

InsulationClass = Literal["A", "B", "F", "H"]
Refusal = Literal["under vacuum", "through a drive", "power not locked out"]
Condition = Literal["under_vacuum", "through_drive", "power_locked_out"]
Validity = Literal["valid as stated", "not proven", "not valid"]
Verdict = Literal[
    "not a valid test",
    "meets every stated minimum",
    "meets the maker's minimum",
    "minimum met, test not proven valid",
    "warm up and repeat",
    "grounded",
    "below every stated minimum",
    "below the maker's minimum",
    "sources disagree",
    "cannot tell",
]
PolarisationVerdict = Literal["sufficient", "low", "cannot tell", "means little here"]
HIGHEST = 1e13
LEAST_FOR_INDEX = 1.0
"""Below one ohm to ground a ratio of two readings says nothing."""
LEAST_MINIMUM = 1e5
"""No published minimum is below this (inverter-guide-hundred-kilohm): less is a slip of the unit."""
RATED_VOLTAGE = (24.0, 15e3)
MET: tuple[Verdict, ...] = ("meets every stated minimum", "meets the maker's minimum")


@dataclass(frozen=True, slots=True)
class InsulationConditions:
    """What is known about the test; None is "not stated", which is neither yes nor no.

    heater_on: how long the crankcase heater has been on (or the shell otherwise warm), s.
    liquid_refrigerant: whether cold liquid refrigerant may lie in the shell.
    at_least: the meter ran over its range, so the reading is a lower bound.
    power_locked_out: whether the supply was locked out for the test.
    """

    under_vacuum: bool | None = None
    through_drive: bool | None = None
    liquid_refrigerant: bool | None = None
    heater_on: float | None = None
    at_least: bool = False
    power_locked_out: bool | None = None


@dataclass(frozen=True, slots=True)
class InsulationReading:
    """One-minute reading with the winding's temperature, the ten-minute reading where taken, and the machine.

    resistance, ten_minutes: ohm. temperature: K. machine: a key of `machines()`. rated_voltage: V.
    maker_minimum: ohm, held against the reading as taken.
    """

    resistance: Measured
    temperature: Measured
    machine: str
    ten_minutes: Measured | None = None
    rated_voltage: float | None = None
    insulation_class: InsulationClass | None = None
    maker_minimum: float | None = None
    conditions: InsulationConditions = InsulationConditions()


@dataclass(frozen=True, slots=True)
class Corrected:
    """The reading at 40 degC by one rule."""

    resistance: Measured
    source: str


@dataclass(frozen=True, slots=True)
class MinimumCheck:
    """One minimum and how the reading stands to it; `at_40` says which reading was held against it."""

    ruling: Ruling
    at_40: bool
    standing: Standing


@dataclass(frozen=True, slots=True)
class Polarisation:
    """Ten-minute over one-minute resistance; `minimum` is None where no class was given."""

    index: Measured
    minimum: float | None
    verdict: PolarisationVerdict


@dataclass(frozen=True, slots=True)
class InsulationVerdict:
    """What the test says. `corrected` holds every correction rule; the lowest counts.

    not_proven: the conditions of a valid test that were not stated; vacuum counts for a hermetic machine only.
    """

    verdict: Verdict
    refusals: tuple[Refusal, ...]
    corrected: tuple[Corrected, ...]
    minima: tuple[MinimumCheck, ...]
    polarisation: Polarisation | None
    warm_up: float
    unstated: tuple[str, ...]
    not_proven: tuple[Condition, ...]

    @property
    def validity(self) -> Validity:
        """Whether the reading was taken as such a test must be."""
        return "not valid" if self.refusals else "not proven" if self.not_proven else "valid as stated"


@cache
def data() -> dict[str, Any]:
    """The data file, sources checked."""
    tables = read_data(__package__, "insulation.toml")
    for key in ("source", "scope_source"):
        source(tables["polarisation"][key])
    for key in ("source", "rule_source"):
        source(tables["liquid_refrigerant"][key])
    return tables


def machines() -> tuple[str, ...]:
    """The kinds of machine for which minima are known."""
    return tuple(data()["machines"])


def insulation(reading: InsulationReading) -> InsulationVerdict:
    """Judge an insulation test.

    Errors: UnknownNameError (machine), OutOfRangeError (resistance, ten_minutes, temperature, rated_voltage),
    InputError (rated_voltage missing where the minimum depends on it).
    """
    machine = _machine(reading.machine)
    _check(reading)
    corrected = corrections(reading.resistance, reading.temperature)
    minima = _minima(reading, machine, min(corrected, key=lambda c: c.resistance.value).resistance)
    refusals, not_proven = _refusals(reading.conditions), _not_proven(reading.conditions, machine)
    verdict: Verdict = "not a valid test" if refusals else _verdict(reading, machine, minima)
    if not_proven and verdict in MET:
        verdict = "minimum met, test not proven valid"
    warm_up = data()["liquid_refrigerant"]["warm_up"]
    polarisation, unstated = _polarisation(reading, machine), _unstated(reading.conditions)
    return InsulationVerdict(verdict, refusals, corrected, minima, polarisation, warm_up, unstated, not_proven)


def corrections(resistance: Measured, temperature: Measured) -> tuple[Corrected, ...]:
    """The reading at 40 degC by each published rule that covers the temperature (K)."""
    found = ((key, rule(temperature.value)) for key, rule in RULES.items())
    return tuple(Corrected(_times(f, resistance, temperature), key) for key, f in found if f is not None)


@dataclass(frozen=True, slots=True)
class Factor:
    """Factor to 40 degC and its relative slope, 1/K."""

    value: float
    slope: float


def halving(temperature: float) -> Factor:
    """Resistance halves for every 10 K. Source: ieee-43-halving."""
    return Factor(0.5 ** ((data()["reference"]["temperature"] - temperature) / 10), math.log(2) / 10)


def thermoset(temperature: float) -> Factor | None:
    """Thermosetting insulation, 10 to 85 degC; None elsewhere. Source: ieee-43-thermoset (with its own 273)."""
    absolute = temperature - 273.15 + 273
    if not 283 <= absolute <= 358:  # noqa: PLR2004 - range of the source
        return None
    slope = -1245 if absolute <= 313 else -4230  # noqa: PLR2004 - the two branches of the source
    return Factor(math.exp(slope * (1 / absolute - 1 / 313)), -slope / absolute**2)


RULES: dict[str, Callable[[float], Factor | None]] = {"ieee-43-halving": halving, "ieee-43-thermoset": thermoset}


def _times(factor: Factor, resistance: Measured, temperature: Measured) -> Measured:
    value = factor.value * resistance.value
    return Measured(
        value, math.hypot(factor.value * resistance.uncertainty, value * factor.slope * temperature.uncertainty)
    )


def _machine(name: str) -> dict[str, Any]:
    try:
        found: dict[str, Any] = data()["machines"][name]
    except KeyError:
        raise UnknownNameError("machine", "machine kind", machines()) from None
    return found


def _check(reading: InsulationReading) -> None:
    reference = data()["reference"]
    within("resistance", reading.resistance, (0.0, HIGHEST), "resistance")
    within("ten_minutes", reading.ten_minutes, (0.0, HIGHEST), "resistance")
    within("temperature", reading.temperature, (reference["coldest"], reference["hottest"]), "temperature")
    within("rated_voltage", reading.rated_voltage, RATED_VOLTAGE, "voltage")


def _minima(reading: InsulationReading, machine: dict[str, Any], at_40: Measured) -> tuple[MinimumCheck, ...]:
    stated = {key: limit_from(data()["limits"][key]) for key in machine["limits"]} or {"old_at_40": _old(reading)}
    if reading.maker_minimum is not None:
        every = tuple(s for limit in stated.values() for s in limit.stated)
        return (_held(reading, Limit("higher", every).rule(reading.maker_minimum), None),)
    return tuple(_held(reading, v.rule(), at_40 if key.endswith("at_40") else None) for key, v in stated.items())


def _held(reading: InsulationReading, ruling: Ruling, at_40: Measured | None) -> MinimumCheck:
    standing = judge(at_40 or reading.resistance, ruling)
    if reading.conditions.at_least and standing != "within":
        standing = "cannot tell"
    return MinimumCheck(ruling, at_40 is not None, standing)


def _old(reading: InsulationReading) -> Limit:
    """(kV + 1) MOhm. Source: ieee-43-old."""
    if reading.rated_voltage is None:
        raise InputError("rated_voltage", "missing", "the rated voltage: the minimum of such a motor is (kV + 1) MOhm")
    return Limit("higher", (StatedLimit((reading.rated_voltage / 1e3 + 1) * 1e6, "ieee-43-old"),))


def _refusals(conditions: InsulationConditions) -> tuple[Refusal, ...]:
    states: tuple[tuple[Refusal, bool | None], ...] = (
        ("under vacuum", conditions.under_vacuum),
        ("through a drive", conditions.through_drive),
        ("power not locked out", conditions.power_locked_out is False),
    )
    return tuple(name for name, state in states if state)


def _unstated(conditions: InsulationConditions) -> tuple[str, ...]:
    names = ("under_vacuum", "through_drive", "power_locked_out", "liquid_refrigerant")
    return tuple(name for name in names if getattr(conditions, name) is None)


def _not_proven(conditions: InsulationConditions, machine: dict[str, Any]) -> tuple[Condition, ...]:
    """What a valid test needs and was not stated; the shell of an open-drive motor knows no vacuum."""
    names: tuple[Condition, ...] = ("through_drive", "power_locked_out")
    needed: tuple[Condition, ...] = ("under_vacuum", *names) if machine["hermetic"] else names
    return tuple(name for name in needed if getattr(conditions, name) is None)


def _verdict(reading: InsulationReading, machine: dict[str, Any], minima: tuple[MinimumCheck, ...]) -> Verdict:
    standings = {m.standing for m in minima}
    maker = reading.maker_minimum is not None
    if standings == {"within"}:
        return "meets the maker's minimum" if maker else "meets every stated minimum"
    if reading.conditions.at_least:
        return "cannot tell"
    if _upper(reading.resistance) < data()["liquid_refrigerant"]["dead_ground"]:
        return "grounded"
    if machine["hermetic"] and _may_be_soaked(reading.conditions):
        return "warm up and repeat"
    return _mixed(standings, maker)


def _mixed(standings: set[Standing], maker: bool) -> Verdict:  # noqa: FBT001 - whose minimum was held against it
    """Where not every minimum is clearly met."""
    fails, meets = standings & {"outside", "sources disagree"}, standings & {"within", "sources disagree"}
    if fails and meets:
        return "sources disagree"
    if standings != {"outside"}:
        return "cannot tell"
    return "below the maker's minimum" if maker else "below every stated minimum"


def _upper(value: Measured) -> float:
    return value.value + COVERAGE * value.uncertainty


def _may_be_soaked(conditions: InsulationConditions) -> bool:
    """Whether cold liquid refrigerant may explain a low reading: not ruled out, and not warm for long enough."""
    if conditions.liquid_refrigerant is False:
        return False
    return conditions.heater_on is None or conditions.heater_on < data()["liquid_refrigerant"]["warm_up"]


def _polarisation(reading: InsulationReading, machine: dict[str, Any]) -> Polarisation | None:
    if reading.ten_minutes is None or reading.resistance.value < LEAST_FOR_INDEX:
        return None
    table = data()["polarisation"]
    index = ratio(reading.ten_minutes, reading.resistance)
    minimum = table[reading.insulation_class] if reading.insulation_class else None
    meaningful = machine.get("form_wound", False) and reading.resistance.value <= table["meaningless_above"]
    return Polarisation(index, minimum, _index_verdict(index, minimum, meaningful and not reading.conditions.at_least))


def _index_verdict(index: Measured, minimum: float | None, meaningful: bool) -> PolarisationVerdict:  # noqa: FBT001
    """A resistance that falls under voltage is a bad sign in any winding; the minima are for form-wound ones."""
    if _upper(index) < 1:
        return "low"
    if not meaningful or minimum is None:
        return "means little here"
    spread = COVERAGE * index.uncertainty
    if index.value - spread >= minimum:
        return "sufficient"
    return "low" if index.value + spread < minimum else "cannot tell"
