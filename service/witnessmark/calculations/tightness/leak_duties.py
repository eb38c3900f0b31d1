"""What the rules on leaks ask for, country by country (leak_duties.toml), and the day up to which they were read.

Masses kg. Advice for whoever looks the rule up, never a legal opinion: much is second hand or memory, and says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

from pydantic import Field, field_validator

from witnessmark import data
from witnessmark.calculations.tightness import leak_rules
from witnessmark.calculations.tightness.leak_checks import LeakCheck, leak_check
from witnessmark.calculations.tightness.leak_rate import Appliance, LeakRate
from witnessmark.calculations.tightness.leak_rules import POUND, ApplianceCategory
from witnessmark.reference import SourceId, source
from witnessmark.refrigerants.unserved import Bare
from witnessmark.vocabulary import Country, words

DutyWhen = Literal["always", "covered", "exceeded", "chronic", "detection", "ozone-depleting"]
"""What brings a duty about; the words are those of the data file."""


class DutyRow(data.Row):
    """One duty; masses in pounds as the rules print them."""

    country: Country
    regulation: str
    when: DutyWhen
    text: str
    within_days: int | None = None
    categories: frozenset[ApplianceCategory] = frozenset()
    least_charge_lb: float = 0.0
    below_charge_lb: float = float("inf")
    least_gwp: float = 0.0
    start: date | None = Field(None, validation_alias="from")
    source: SourceId

    def fits(self, appliance: Appliance, gwp: float, day: date) -> bool:
        """Whether the row is for such plant on that day."""
        pounds = appliance.full_charge.value / POUND
        return (
            (not self.categories or appliance.category in self.categories)
            and self.least_charge_lb <= pounds < self.below_charge_lb
            and gwp >= self.least_gwp
            and (self.start is None or day >= self.start)
        )


class DutyTable(data.Row):
    """The data file."""

    as_of: dict[Country, date]
    duty: tuple[DutyRow, ...]

    @field_validator("as_of")
    @classmethod
    def _complete(cls, days: dict[Country, date]) -> dict[Country, date]:
        if missing := set(words(Country)) - days.keys():
            raise ValueError(f"no day for {', '.join(sorted(missing))}")
        return days


TABLE = data.table(__package__, "leak_duties.toml", DutyTable)


@dataclass(frozen=True, slots=True)
class Duty:
    """Something the rules ask for; trust: how far its source can be trusted."""

    country: Country
    regulation: str
    text: str
    within_days: int | None
    source: str
    trust: str


@dataclass(frozen=True, slots=True)
class RulesAsOf:
    """The day up to which the rules of a country were read, by whomever the sources name."""

    country: Country
    day: date


@dataclass(frozen=True, slots=True)
class LeakRules:
    """What the rules of one country, or of each of them side by side, make of the plant.

    leak_check: of the European Union; None where its rules were not asked for.
    """

    leak_check: LeakCheck | None
    duties: tuple[Duty, ...]
    rules_as_of: tuple[RulesAsOf, ...]


def leak_rules_of(
    appliance: Appliance,
    rate: LeakRate,
    country: Country | None = None,
    *,
    hermetic: bool = False,
    detection: bool = False,
) -> LeakRules:
    """The duties on the day of the last addition; country None: those of every country known here, side by side.

    hermetic, detection: as for `leak_check`; without a composition (`Bare`) there is no check, nor duty by warming.
    Errors: UnknownNameError (refrigerant).
    """
    countries = (country,) if country else words(Country)
    check = None
    if not isinstance(appliance.refrigerant, Bare):
        check = leak_check(
            appliance.refrigerant, appliance.full_charge, rate.day, hermetic=hermetic, detection=detection
        )
    gwp = 0.0 if check is None else check.gwp
    rows = (r for r in TABLE().duty if r.country in countries and r.fits(appliance, gwp, rate.day))
    found = tuple(_duty(row) for row in rows if row.when in _reasons(row, rate, check))
    return LeakRules(
        check if "european-union" in countries else None,
        found,
        tuple(RulesAsOf(name, TABLE().as_of[name]) for name in countries),
    )


def _duty(row: DutyRow) -> Duty:
    return Duty(row.country, row.regulation, row.text, row.within_days, row.source, source(row.source).trust)


def _reasons(row: DutyRow, rate: LeakRate, check: LeakCheck | None) -> set[DutyWhen]:
    return set(_european(check, rate) if row.country == "european-union" else _american(row.regulation, rate))


def _european(check: LeakCheck | None, rate: LeakRate) -> Iterator[DutyWhen]:
    yield "always"
    if check is not None and check.months is not None:
        yield "covered"
    if check is not None and check.detection_required:
        yield "detection"
    if rate.substance in ("ozone-depleting", "mixed"):
        yield "ozone-depleting"


def _american(regulation: str, rate: LeakRate) -> Iterator[DutyWhen]:
    held = [t for t in rate.triggers if t.trigger.regulation == regulation and t.applies]
    if held:
        yield "covered"
    if any(t.exceeded for t in held):
        yield "exceeded"
    if held and rate.chronic:
        yield "chronic"


@data.checked
def duties_name_a_trigger() -> None:
    """DataError where a duty of the United States names a rule that has no trigger."""
    named = {t.regulation for t in leak_rules.TABLE().trigger}
    lost = [r.regulation for r in TABLE().duty if r.country == "united-states" and r.regulation not in named]
    if lost:
        raise data.DataError([f"leak_duties.toml: no such trigger: {', '.join(sorted(set(lost)))}"])
