"""Does the machine run where it may: discharge temperature, pressure ratio, discharge superheat, suction in vacuum.

Limits are data by refrigerant, type, application and what cools the gas (operating_limits.toml); where sources differ
the safest decides and all are shown. SI: Pa absolute, K. A machine that pumps may still be outside its limits.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.calculations.metrology.limits import Limit, Ruling, Safer, Standing, StatedLimit, judge
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text
from witnessmark.refrigerants import saturation
from witnessmark.vocabulary import Application, Compressor, Cooling

OperatingQuantity = TypeAliasType(
    "OperatingQuantity", Literal["discharge_temperature", "pressure_ratio", "discharge_superheat", "suction_pressure"]
)
"""What is held against an operating limit."""
OperatingVerdict = TypeAliasType(
    "OperatingVerdict", Literal["within limits", "outside limits", "cannot tell", "not judged"]
)
"""Whether the machine runs within its limits; "not judged": no reading reaches a limit."""


class OperatingLimit(data.Row):
    """One figure and the machines it is stated for (no list: every one); `special` rows replace the general ones."""

    quantity: Literal["discharge_temperature", "pressure_ratio", "discharge_superheat"]
    value: float
    source: SourceId
    note: str = ""
    refrigerants: tuple[str, ...] = ()
    compressors: tuple[Compressor, ...] = ()
    applications: tuple[Application, ...] = ()
    cooling: tuple[Cooling, ...] = ()
    special: bool = False

    def holds_for(self, machine: OperatingMachine) -> bool:
        """Whether it may be meant for this machine: what is known does not speak against it.

        A special row is meant only where all that it names is known.
        """
        facts: tuple[tuple[tuple[str, ...], str | None], ...] = (
            (self.refrigerants, machine.refrigerant),
            (self.compressors, machine.compressor),
            (self.applications, machine.application),
            (self.cooling, machine.cooling),
        )
        return all(not named or known in named or (known is None and not self.special) for named, known in facts)


class Vacuum(data.Row):
    """Refrigerants that boil above this at one atmosphere, K, are usually drawn into vacuum; others are not.

    coldest: dew temperature, K, below which none is, whatever it boils at. comfort_boiling_point, comfort_coldest: the
    same in air conditioning, where chillers of low pressure are.
    """

    comfort_boiling_point: Annotated[float, Field(gt=0)]
    comfort_coldest: Annotated[float, Field(gt=0)]
    boiling_point: Annotated[float, Field(gt=0)]
    source: SourceId
    coldest: Annotated[float, Field(gt=0)]
    coldest_source: SourceId


class LowStage(data.Row):
    """Plants so cold that their suction is in vacuum all its life; no colder than `coldest`, K at the dew point.

    usual: refrigerants of which that is so; perhaps: of which it may be where the pressure ratio lies below `ratio`, as
    it does in the low stage of two, and not where a feed is blocked; text: what is said of them.
    """

    usual: tuple[str, ...]
    perhaps: tuple[str, ...]
    coldest: Annotated[float, Field(gt=0)]
    ratio: Annotated[float, Field(gt=1)]
    source: SourceId
    text: Text


class OperatingLimits(data.Row):
    """The data file: limits, the rule of vacuum, and what is said of a quantity outside its limit.

    cold: said of a discharge that stands far enough above its dew temperature and yet is colder than dry gas leaves it;
    dry: of one that stands nearer, and no nearer than dry gas leaves it.
    """

    limit: tuple[OperatingLimit, ...]
    vacuum: Vacuum
    low_stage: LowStage
    outside: dict[OperatingQuantity, Text]
    unsure: dict[OperatingQuantity, Text]
    cold: Text
    dry: Text


LIMITS = data.table(__package__, "operating_limits.toml", OperatingLimits)
SAFER: dict[OperatingQuantity, Safer] = {"discharge_superheat": "higher", "suction_pressure": "higher"}
"""Which way is the safe side; lower where it is not named."""


@dataclass(frozen=True, slots=True)
class OperatingMachine:
    """What decides which limits hold; None is not known. air_pressure: local, Pa."""

    refrigerant: str
    compressor: Compressor | None = None
    application: Application | None = None
    cooling: Cooling | None = None
    air_pressure: float = SEA_LEVEL_PRESSURE


@dataclass(frozen=True, slots=True)
class OperatingCheck:
    """One quantity against its limit; text says what it means where it does not lie within, else empty."""

    quantity: OperatingQuantity
    value: Measured
    limit: Ruling
    standing: Standing
    text: str


@dataclass(frozen=True, slots=True)
class Operation:
    """The verdict over all checks, and the checks."""

    verdict: OperatingVerdict
    checks: tuple[OperatingCheck, ...]


def operation(machine: OperatingMachine, values: dict[OperatingQuantity, Measured | None]) -> Operation:
    """Every value that there is against its limit.

    "outside limits": one of them is outside what every source allows, or where sources differ outside the safest.

    >>> hot = operation(OperatingMachine("R-22", "scroll"), {"discharge_temperature": Measured(422.0, 2.0)})
    >>> hot.verdict, round(hot.checks[0].limit.value - 273.15)
    ('outside limits', 107)
    """
    checks = tuple(_check(machine, quantity, value) for quantity, value in values.items() if value is not None)
    ratio = values.get("pressure_ratio")
    judged = tuple(_of_low_stage(machine, check, ratio) for check in checks if check is not None)
    return Operation(_verdict(check.standing for check in judged), judged)


def left_open(found: Operation, quantity: OperatingQuantity) -> Operation:
    """The same with this quantity, where it lies within, as one that cannot be told: other readings speak against it.

    >>> close = {"discharge_superheat": Measured(15.0, 1.0)}
    >>> left_open(operation(OperatingMachine("R-22", "scroll"), close), "discharge_superheat").verdict
    'cannot tell'
    """
    checks = tuple(
        replace(check, standing="cannot tell", text=LIMITS().cold)
        if check.quantity == quantity and check.standing == "within"
        else check
        for check in found.checks
    )
    return replace(found, checks=checks, verdict=_verdict(check.standing for check in checks))


def passed_as_dry(found: Operation, *, surely: bool) -> Operation:
    """The same with the discharge superheat as what dry gas leaves, where it lies below its limit; else as not to tell.

    >>> close = operation(OperatingMachine("R-1234yf"), {"discharge_superheat": Measured(7.0, 1.0)})
    >>> [passed_as_dry(close, surely=told).verdict for told in (True, False)]
    ['within limits', 'cannot tell']
    """
    standing: Standing = "within" if surely else "cannot tell"
    checks = tuple(
        replace(check, standing=standing, text=LIMITS().dry if surely else LIMITS().unsure[check.quantity])
        if check.quantity == "discharge_superheat" and check.standing != "within"
        else check
        for check in found.checks
    )
    return replace(found, checks=checks, verdict=_verdict(check.standing for check in checks))


def _of_low_stage(machine: OperatingMachine, check: OperatingCheck, ratio: Measured | None) -> OperatingCheck:
    """A suction in vacuum that may be that of a plant so cold, and not of a blocked feed, is left open."""
    rule = LIMITS().low_stage
    named = machine.application == "low-temperature" and machine.refrigerant in rule.perhaps
    if check.quantity != "suction_pressure" or check.standing != "outside" or not named or ratio is None:
        return check
    small = math.log(ratio.value) + COVERAGE * ratio.uncertainty / ratio.value < math.log(rule.ratio)
    deepest = float(saturation.dew_pressure(machine.refrigerant, rule.coldest))
    if not small or check.value.value + COVERAGE * check.value.uncertainty < deepest:
        return check
    return replace(check, standing="cannot tell", text=rule.text)


def _verdict(standings: Iterable[Standing]) -> OperatingVerdict:
    distinct = set(standings)
    if distinct & {"outside", "sources disagree"}:
        return "outside limits"
    if "cannot tell" in distinct:
        return "cannot tell"
    return "within limits" if distinct else "not judged"


def _check(machine: OperatingMachine, quantity: OperatingQuantity, value: Measured) -> OperatingCheck | None:
    ruling = ruling_for(machine, quantity)
    if ruling is None:
        return None
    standing = _log_judge(value, ruling) if quantity == "pressure_ratio" else judge(value, ruling)
    if _unsettled_by_facts(machine, quantity, standing):
        standing = "cannot tell"
    words = LIMITS().unsure if standing == "cannot tell" else LIMITS().outside
    return OperatingCheck(quantity, value, ruling, standing, "" if standing == "within" else words[quantity])


def _unsettled_by_facts(machine: OperatingMachine, quantity: OperatingQuantity, standing: Standing) -> bool:
    """Figures for different machines disagree only because nobody said which machine it is."""
    unknown = quantity == "pressure_ratio" and None in (machine.application, machine.cooling)
    return unknown and standing == "sources disagree"


def ruling_for(machine: OperatingMachine, quantity: OperatingQuantity) -> Ruling | None:
    """The limit of this quantity for this machine; None where none is stated for such a one.

    >>> ruling_for(OperatingMachine("R-22", "scroll"), "pressure_ratio").value
    6.0
    """
    return _ruling(_Table(LIMITS()), machine, quantity)


@dataclass(frozen=True, slots=True, eq=False)
class _Table:
    """The data file, known by its identity."""

    limits: OperatingLimits

    def __hash__(self) -> int:
        return id(self.limits)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Table) and other.limits is self.limits


@lru_cache(1024)
def _ruling(table: _Table, machine: OperatingMachine, quantity: OperatingQuantity) -> Ruling | None:
    """As `ruling_for`; one machine is asked about again and again."""
    if quantity == "suction_pressure":
        return _vacuum(machine)
    rows = [row for row in table.limits.limit if row.quantity == quantity and row.holds_for(machine)]
    rows = [row for row in rows if row.special] or rows
    if not rows:
        return None
    stated = tuple(StatedLimit(row.value, row.source, row.note) for row in rows)
    return Limit(SAFER.get(quantity, "lower"), stated).rule()


def _vacuum(machine: OperatingMachine) -> Ruling:
    """Not below the air pressure, unless this refrigerant usually is, and then not far, less so in air conditioning."""
    rule, name = LIMITS().vacuum, machine.refrigerant
    comfort = machine.application == "air-conditioning"
    boils = rule.comfort_boiling_point if comfort else rule.boiling_point
    stated = StatedLimit(machine.air_pressure, rule.source, "the air pressure of the site")
    lowest, highest = saturation.temperature_range(name)
    end, source = rule.comfort_coldest if comfort else rule.coldest, rule.coldest_source
    stage = LIMITS().low_stage
    staged = machine.application == "low-temperature" and name in stage.usual
    end, source = (stage.coldest, stage.source) if staged else (end, source)
    if staged or saturation.dew_pressure(name, min(max(boils, lowest), highest)) < SEA_LEVEL_PRESSURE:
        coldest = max(end, lowest)
        deepest = float(saturation.dew_pressure(name, coldest))
        note = f"evaporating at {coldest - 273.15:.0f} degC"
        stated = StatedLimit(min(deepest, machine.air_pressure), source, note)
    return Limit("higher", (stated,)).rule()


def _log_judge(ratio: Measured, ruling: Ruling) -> Standing:
    """A ratio is as uncertain upward as downward in its logarithm, not in itself."""
    value = Measured(math.log(ratio.value), ratio.uncertainty / ratio.value)
    return judge(value, replace(ruling, value=math.log(ruling.value), laxest=math.log(ruling.laxest)))
