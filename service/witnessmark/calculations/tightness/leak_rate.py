"""Leak rate of an appliance by the two methods of the United States rules, held against dated triggers.

Annualising method: what was added since the last addition, spread over the shorter of the days between them and 365.
Rolling method: everything added within the last 365 days (or since the last repair, if that is later). Both in shares
of the full charge a year. Source: 40 CFR 82.152, definition of leak rate; 40 CFR 84.102 in the same words.
Masses in kg. Triggers, dates and recovery levels are data (leak_rate.toml).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured, propagate
from witnessmark.calculations.tightness import leak_rules
from witnessmark.calculations.tightness.leak_rules import ApplianceCategory, RecoveryLevel, Substance, Trigger
from witnessmark.errors import ConflictError, InputError, OutOfRangeError
from witnessmark.refrigerants.unserved import Bare

YEAR = 365
LeakStanding = TypeAliasType("LeakStanding", Literal["over", "not over", "too close to tell"])
"""Where a leak rate stands against a trigger, by the uncertainty of scale and charge."""
MASS_RANGE = (1e-3, 1e6)


@dataclass(frozen=True, slots=True)
class Addition:
    """Refrigerant added on one day, in one visit, kg."""

    day: date
    mass: Measured


@dataclass(frozen=True, slots=True)
class Appliance:
    """What leaks. full_charge kg; substance None: taken from the designation.

    new_recovery_machine: made on or after 15 November 1993.
    """

    refrigerant: str
    full_charge: Measured
    category: ApplianceCategory
    substance: Substance | None = None
    residential_light_commercial: bool = False
    new_recovery_machine: bool = True


@dataclass(frozen=True, slots=True)
class TriggerVerdict:
    """A leak rate against a limit.

    exceeded is the regulation's arithmetic, on the numbers as written down; standing says whether scale and charge are
    known well enough for it to be more than luck.
    """

    exceeded: bool
    standing: LeakStanding


@dataclass(frozen=True, slots=True)
class TriggerCheck:
    """One trigger held against the leak rate of the day by both methods; None where the trigger does not apply."""

    trigger: Trigger
    limit: float
    reason: str
    annualising: TriggerVerdict | None
    rolling: TriggerVerdict | None

    @property
    def applies(self) -> bool:
        """Whether the appliance is covered on the day."""
        return self.annualising is not None

    @property
    def exceeded(self) -> bool:
        """Whether the leak rate is over the trigger by either method."""
        return any(verdict is not None and verdict.exceeded for verdict in (self.annualising, self.rolling))


@dataclass(frozen=True, slots=True)
class LeakRate:
    """Leak rate on the day of the last addition; shares of the full charge a year (0.10 is 10 %).

    days: the span of the annualising method. calendar_year: share added within the calendar year of the last addition.
    """

    refrigerant: str
    day: date
    substance: Substance
    days: int
    annualising: Measured
    rolling: Measured
    triggers: tuple[TriggerCheck, ...]
    calendar_year: Measured
    chronic: bool
    recovery: RecoveryLevel | None


def annualised(added: float, full_charge: float, days: float) -> float:
    """Annualising method, share a year: added / full charge / (the shorter of `days` and 365, over 365).

    Example: 5 kg of 100 kg after 73 days: 0.05 * 365 / 73 = 0.25.
    """
    return added / full_charge * YEAR / min(days, YEAR)


def leak_rate(appliance: Appliance, additions: Sequence[Addition], repaired: date | None = None) -> LeakRate:
    """Leak rate on the day of the last addition by both methods, against every trigger of that day; recovery level.

    A refrigerant without properties (`Bare`) has no recovery level, and counts as mixed unless the appliance says.
    additions: in any order, at most one a day; the earliest one may stand for the day of the last known full charge
    (mass 0). repaired: when leaks were last repaired; the rolling method then counts from there.
    Errors: InputError and OutOfRangeError with fields `additions…`, `full_charge`; ConflictError for a repeated day.
    """
    ordered = _checked(appliance, additions)
    substance = appliance.substance or leak_rules.substance_of(appliance.refrigerant)
    last, rules = ordered[-1], leak_rules.triggers(substance)
    days, rate, rolled = _rates(appliance, ordered, _counts_from(rules, last.day), repaired)
    yearly = _share(appliance, [a for a in ordered if a.day.year == last.day.year])
    triggers = tuple(
        _judge(t, appliance, last.day, _rates(appliance, ordered, t.counts_from, repaired)[1:]) for t in rules
    )
    chronic = yearly.value >= leak_rules.TABLE().chronic.share and any(t.applies for t in triggers)
    return LeakRate(
        appliance.refrigerant,
        last.day,
        substance,
        days,
        rate,
        rolled,
        triggers,
        yearly,
        chronic,
        _recovery(appliance, substance),
    )


def _counts_from(rules: Sequence[Trigger], day: date) -> date | None:
    """The day from which additions count for every rule in force; None where one of them counts them all."""
    days = [t.counts_from for t in rules if t.in_force(day)]
    return None if not days or None in days else max(d for d in days if d)


def _rates(
    appliance: Appliance, ordered: Sequence[Addition], counted: date | None, repaired: date | None
) -> tuple[int, Measured, Measured]:
    """Span of the annualising method, and the rates by both methods, of additions that count from a day."""
    last, days = ordered[-1], _days(ordered, counted)
    rate = propagate(lambda added, full: annualised(added, full, days), last.mass, appliance.full_charge)
    return days, rate, _share(appliance, _within(ordered, _rolling_start(last.day, counted, repaired)))


def _recovery(appliance: Appliance, substance: Substance) -> RecoveryLevel | None:
    if substance == "exempt" or isinstance(appliance.refrigerant, Bare):
        return None
    pressure_class = leak_rules.pressure_class(appliance.refrigerant)
    return leak_rules.recovery_level(
        pressure_class, appliance.full_charge.value, new_machine=appliance.new_recovery_machine
    )


def _checked(appliance: Appliance, additions: Sequence[Addition]) -> list[Addition]:
    if not additions:
        raise InputError("additions", "empty", "at least one addition of refrigerant")
    if not MASS_RANGE[0] <= appliance.full_charge.value <= MASS_RANGE[1]:
        raise OutOfRangeError("full_charge", appliance.full_charge.value, *MASS_RANGE, "mass")
    for k, addition in enumerate(additions):
        if not 0 <= addition.mass.value <= MASS_RANGE[1]:
            raise OutOfRangeError(f"additions.{k}.mass", addition.mass.value, 0.0, MASS_RANGE[1], "mass")
        _check_room(appliance.full_charge, addition.mass, k)
    ordered = sorted(additions, key=lambda a: a.day)
    if len({a.day for a in ordered}) < len(ordered):
        raise ConflictError(("additions",), "two additions on one day", "one addition a day: sum those of one visit")
    return ordered


def _check_room(charge: Measured, added: Measured, k: int) -> None:
    """ConflictError (additions.k.mass, full_charge) where one visit added what the appliance has no room for.

    Example: 40 lb into a plant of 10 lb; 1 kg into one of 12 g.
    """
    most = leak_rules.TABLE().one_visit.most
    if added.value > most * charge.value:
        why = f"{added.value / charge.value:.3g} times the full charge in one visit: another mass, or another unit"
        raise ConflictError(
            (f"additions.{k}.mass", "full_charge"), why, f"at most {most:g} times the full charge a day"
        )


def _days(ordered: Sequence[Addition], counted: date | None) -> int:
    """Days since the addition before; 365 where the rule knows of none (first one, or first since the rule counts)."""
    last, before = ordered[-1].day, ordered[-2].day if len(ordered) > 1 else None
    if before is None or (counted and before < counted <= last):
        return YEAR
    return (last - before).days


def _rolling_start(day: date, counted: date | None, repaired: date | None) -> date:
    """First day that counts: 365 days back, or the last repair, or the day from which the rule counts at all."""
    starts = [day - timedelta(days=YEAR - 1)]
    starts += [start for start in (repaired, counted) if start]
    return max(start for start in starts if start <= day)


def _within(ordered: Sequence[Addition], start: date) -> list[Addition]:
    return [a for a in ordered if a.day >= start]


def _share(appliance: Appliance, additions: Sequence[Addition]) -> Measured:
    added = Measured(math.fsum(a.mass.value for a in additions), math.hypot(*(a.mass.uncertainty for a in additions)))
    return propagate(lambda mass, full: mass / full, added, appliance.full_charge)


def _judge(trigger: Trigger, appliance: Appliance, day: date, rates: Sequence[Measured]) -> TriggerCheck:
    limit = trigger.rates[appliance.category]
    applies, reason = _applies(trigger, appliance, day)
    annualising, rolling = (_verdict(rate, limit) if applies else None for rate in rates)
    return TriggerCheck(trigger, limit, reason, annualising, rolling)


def _verdict(rate: Measured, limit: float) -> TriggerVerdict:
    exceeded = rate.value > limit
    if abs(rate.value - limit) <= COVERAGE * rate.uncertainty:
        return TriggerVerdict(exceeded, "too close to tell")
    return TriggerVerdict(exceeded, "over" if exceeded else "not over")


def _applies(trigger: Trigger, appliance: Appliance, day: date) -> tuple[bool, str]:
    if not trigger.in_force(day):
        return False, "not in force on the day of the addition"
    if appliance.residential_light_commercial and trigger.exempt:
        return False, "residential and light commercial air conditioning and heat pumps are exempt"
    if appliance.full_charge.value < trigger.charge:
        return False, "the full charge is below the size the rule covers"
    return True, "in force, and the appliance is covered"
