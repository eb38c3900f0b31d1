"""How often plant in the European Union is checked for leaks: by t CO2e, or kg of unsaturated or ozone-depleting gas.

Masses in kg, warming in t CO2e. Source: Regulation (EU) 2024/573, articles 5 and 6, second hand (leak_checks.toml).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness import leak_rules
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue

LeakCheckKind = TypeAliasType("LeakCheckKind", Literal["warming", "unsaturated", "ozone"])
"""What decides how often: t CO2e of annex I gases, kg of unsaturated ones, or kg of ozone-depleting ones."""
KILOGRAMS_A_TONNE = 1000.0


class CheckStep(data.Row):
    """From this much on, a check every so many months."""

    start: float = Field(validation_alias="from")
    months: int


class CheckSteps(data.Row):
    """Steps of one kind, the greatest first; hermetically sealed plant below `hermetic_below` is exempt."""

    unit: str
    hermetic_below: float
    steps: tuple[CheckStep, ...]

    def months(self, amount: float, *, hermetic: bool) -> int | None:
        """Months between checks of this much; None where none is asked for."""
        if hermetic and amount < self.hermetic_below:
            return None
        return next((step.months for step in self.steps if amount >= step.start), None)


class CheckRules(data.Row):
    """Sources, the day from which unsaturated gases count, and how many times the term with leak detection."""

    source: SourceId
    gwp_source: SourceId
    blend_source: SourceId
    ozone_source: SourceId
    unsaturated: frozenset[str]
    start: date = Field(validation_alias="from")
    with_detection: int


class CheckTable(data.Row):
    """The data file."""

    gwp: dict[str, Annotated[float, Field(gt=0)]]
    rules: CheckRules
    kinds: dict[LeakCheckKind, CheckSteps]
    detection: dict[LeakCheckKind, float]


TABLE = data.table(__package__, "leak_checks.toml", CheckTable)


@dataclass(frozen=True, slots=True)
class CheckAmount:
    """How much of one kind the plant holds, in its unit, and the months between checks for it; None: none is asked."""

    kind: LeakCheckKind
    unit: str
    amount: Measured
    months: int | None


@dataclass(frozen=True, slots=True)
class LeakCheck:
    """How often the plant is checked for leaks, months; None where no check is asked for.

    gwp: of the annex I gases in it, per kg of refrigerant. near_a_step: the charge is not known well enough to say on
    which side of a step it lies, and the shorter term stands here.
    """

    gwp: float
    amounts: tuple[CheckAmount, ...]
    months: int | None
    near_a_step: bool
    detection_required: bool
    detection_counted: bool
    sources: tuple[str, ...]


def gwp(designation: str) -> float:
    """Warming potential of the annex I gases of a refrigerant, per kg of it (kg CO2e/kg).

    Example: R-410A is half R-32 (675) and half R-125 (3500): 2087.5. UnknownNameError (refrigerant).
    """
    return sum(share * TABLE().gwp.get(name, 0.0) for name, share in catalogue.recipe(designation).components.items())


def leak_check(
    designation: str, charge: Measured, day: date, *, hermetic: bool = False, detection: bool = False
) -> LeakCheck:
    """How often plant with this charge [kg] is checked for leaks on that day.

    hermetic: hermetically sealed and labelled so. detection: a leak detection system is fitted.
    Example: 10 kg of R-410A are 20.9 t CO2e: every 12 months, every 24 with leak detection.
    """
    held = tuple(_amounts(designation, charge, day))
    now = tuple(CheckAmount(kind, unit, amount, _months(kind, amount.value, hermetic)) for kind, unit, amount in held)
    terms = [_months(kind, a.value + COVERAGE * a.uncertainty, hermetic) for kind, _, a in held]
    shortest, sure = _shortest(terms), _shortest([a.months for a in now])
    times = TABLE().rules.with_detection if detection else 1
    return LeakCheck(
        gwp(designation),
        now,
        None if shortest is None else shortest * times,
        shortest != sure,
        any(amount.value >= TABLE().detection.get(kind, float("inf")) for kind, _, amount in held),
        detection,
        tuple(_sources(kind for kind, _, _ in held)),
    )


def _shortest(terms: list[int | None]) -> int | None:
    return min((term for term in terms if term is not None), default=None)


def _months(kind: LeakCheckKind, amount: float, hermetic: bool) -> int | None:  # noqa: FBT001
    return TABLE().kinds[kind].months(amount, hermetic=hermetic)


def _amounts(designation: str, charge: Measured, day: date) -> Iterator[tuple[LeakCheckKind, str, Measured]]:
    """What counts of this charge: shares of it that are zero are left out."""
    table, parts = TABLE(), catalogue.recipe(designation).components
    unsaturated = sum(share for name, share in parts.items() if name in table.rules.unsaturated)
    ozone = leak_rules.substance_of(designation) in ("ozone-depleting", "mixed")
    shares: dict[LeakCheckKind, float] = {
        "warming": gwp(designation) / KILOGRAMS_A_TONNE,
        "unsaturated": unsaturated if day >= table.rules.start else 0.0,
        "ozone": 1.0 if ozone else 0.0,
    }
    for kind, share in shares.items():
        if share:
            yield kind, table.kinds[kind].unit, Measured(share * charge.value, share * charge.uncertainty)


def _sources(kinds: Iterator[LeakCheckKind]) -> Iterator[str]:
    rules, held = TABLE().rules, set(kinds)
    if held & {"warming", "unsaturated"}:
        yield rules.source
    if "warming" in held:
        yield rules.gwp_source
    if {"warming", "unsaturated"} <= held:
        yield rules.blend_source
    if "ozone" in held:
        yield rules.ozone_source
