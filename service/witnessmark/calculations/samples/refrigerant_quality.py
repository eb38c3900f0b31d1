"""Purity of a refrigerant sample: water, acidity, gas that does not condense, residue, chloride, particulates.

Limits are data (`refrigerant_quality.toml`) by family of refrigerant, each with its source. They are written for
refrigerant that is charged; of refrigerant in service they are the level at which to look for the cause, and only some
sources say when to act. SI: mass fractions in kg/kg, shares of the vapour and of the volume as fractions.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal, Self

from pydantic import model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.sample_limits import LimitLevel, MakerLimit, SampleItem, SampleLimit, judge_sample
from witnessmark.errors import InputError
from witnessmark.reference import SourceId
from witnessmark.refrigerants.catalogue import known
from witnessmark.vocabulary import words

SampleUse = TypeAliasType("SampleUse", Literal["to-be-charged", "in-service"])
"""Refrigerant before it goes into a circuit, or out of a circuit that runs or ran."""
Impurity = TypeAliasType("Impurity", Literal["water", "acidity", "non_condensables", "residue_volume", "residue_mass"])
"""What is measured on a refrigerant sample; the names are those of the fields that take it."""
PurityCheck = TypeAliasType("PurityCheck", Literal["chloride", "particulates"])
"""A check of the sample that is passed or failed."""
CheckOutcome = TypeAliasType("CheckOutcome", Literal["pass", "fail"])
"""How such a check came out."""
PurityVerdict = TypeAliasType(
    "PurityVerdict",
    Literal["measured values within limits", "sample again", "do not charge", "clean or replace", "cannot tell"],
)
"""What the sample says."""
RefrigerantItem = SampleItem[Impurity]

RANGES: dict[Impurity, tuple[float, float]] = {
    "water": (0.0, 0.1),
    "acidity": (0.0, 0.1),
    "non_condensables": (0.0, 1.0),
    "residue_volume": (0.0, 1.0),
    "residue_mass": (0.0, 1.0),
}
RESIDUES: tuple[Impurity, ...] = ("residue_volume", "residue_mass")
"""Two ways of stating one thing. In service the oil that travels along is residue: it is not judged then."""
OTHER = "fluorocarbon"
"""The family of every refrigerant that stands in none of the others."""
MASSES: tuple[Impurity, ...] = ("water", "acidity", "residue_mass")


def unit_of(quantity: Impurity) -> tuple[str, float]:
    """Unit of the limits in the data file, and what one of it is in SI: mg/kg is 1e-6, a percent 0.01."""
    return ("mg/kg", 1e-6) if quantity in MASSES else ("%", 0.01)


class Family(data.Row):
    """Refrigerants that share limits."""

    text: str
    refrigerants: frozenset[str]


class PurityLimitRow(data.Row):
    """One limit of one source, for families or single refrigerants."""

    quantity: Impurity
    families: frozenset[str] = frozenset()
    refrigerants: frozenset[str] = frozenset()
    use: SampleUse
    level: LimitLevel
    value: float
    source: SourceId
    note: str = ""

    @property
    def limit(self) -> SampleLimit[Impurity]:
        """The limit in SI."""
        value = self.value * unit_of(self.quantity)[1]
        return SampleLimit(self.quantity, self.level, value, self.source, note=self.note)


class PurityCheckRow(data.Row):
    """Who asks for a check; `asked`: missed where it was not done."""

    check: PurityCheck
    families: frozenset[str]
    asked: bool = True
    source: SourceId
    note: str


class PurityTable(data.Row):
    """The data file."""

    family: dict[str, Family]
    limit: tuple[PurityLimitRow, ...]
    check: tuple[PurityCheckRow, ...]

    @model_validator(mode="after")
    def _families(self) -> Self:
        families = {*self.family, OTHER}
        named = {name for limit in self.limit for name in limit.families} | {n for c in self.check for n in c.families}
        if unknown := named - families:
            raise ValueError(f"no such family: {', '.join(sorted(unknown))}")
        asked = {(name, row.check) for row in self.check for name in row.families}
        if missing := {(name, check) for name in families for check in words(PurityCheck)} - asked:
            raise ValueError(f"no row for {sorted(missing)}")
        return self


TABLE = data.table(__package__, "refrigerant_quality.toml", PurityTable)


@dataclass(frozen=True, slots=True)
class CheckItem:
    """A check that is passed or failed, and who asks for it."""

    check: PurityCheck
    outcome: CheckOutcome
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class RefrigerantQuality:
    """Verdict on the sample; `missing`: what the specification asks for and nobody measured."""

    refrigerant: str
    family: str
    use: SampleUse
    items: tuple[RefrigerantItem, ...]
    checks: tuple[CheckItem, ...]
    not_judged: tuple[Impurity, ...]
    missing: tuple[str, ...]
    verdict: PurityVerdict


def family(designation: str) -> str:
    """The family whose limits apply; UnknownNameError (field "refrigerant") for a designation not in the catalogue."""
    name = known(designation)
    return next((key for key, row in TABLE().family.items() if name in row.refrigerants), OTHER)


def limits(designation: str, use: SampleUse, quantity: Impurity) -> tuple[SampleLimit[Impurity], ...]:
    """All limits for this refrigerant and use, SI, the strictest first.

    A limit of refrigerant that is charged is a "watch" level of refrigerant in service.
    """
    return tuple(sorted(_limits(designation, use, quantity), key=lambda limit: limit.strictness))


def _limits(designation: str, use: SampleUse, quantity: Impurity) -> Iterator[SampleLimit[Impurity]]:
    kin, name = family(designation), known(designation)
    for row in TABLE().limit:
        if row.quantity != quantity or not (kin in row.families or name in row.refrigerants):
            continue
        if row.use == use:
            yield row.limit
        elif use == "in-service":
            note = f"of refrigerant that is charged; {row.note}".rstrip("; ")
            yield replace(row.limit, level="watch", note=note)


def judge(
    designation: str,
    use: SampleUse,
    readings: Mapping[Impurity, Measured],
    checks: Mapping[PurityCheck, CheckOutcome],
    maker: Mapping[Impurity, float] | None = None,
    document: str = "",
) -> RefrigerantQuality:
    """Hold a sample against the limits. `maker`: act limits of the maker by this document; as far as they count.

    Example: R-410A to be charged with 12 mg/kg of water is over the 10 mg/kg of the standard: "do not charge".
    Errors: UnknownNameError (refrigerant), OutOfRangeError (the quantity's name), InputError when nothing was read.
    """
    if not readings and not checks:
        raise InputError(
            "", "nothing was measured", "water, acidity, non-condensables, residue, chloride, particulates"
        )
    for quantity, reading in readings.items():
        within(quantity, reading, RANGES[quantity], "mass_fraction" if quantity in MASSES else "number")
    not_judged = tuple(q for q in readings if use == "in-service" and q in RESIDUES)
    kin, makers = family(designation), {q: MakerLimit(value, document) for q, value in (maker or {}).items()}
    items = tuple(
        judge_sample(q, reading, limits(designation, use, q), makers.get(q))
        for q, reading in readings.items()
        if q not in not_judged
    )
    check_items = tuple(_check_item(kin, check, outcome) for check, outcome in checks.items())
    wanted = (q for q in words(Impurity) if limits(designation, use, q))
    missing = tuple(_missing(kin, use, wanted, {*readings, *checks}))
    verdict = _verdict(use, items, check_items, missing)
    return RefrigerantQuality(designation, kin, use, items, check_items, not_judged, missing, verdict)


def _check_item(kin: str, check: PurityCheck, outcome: CheckOutcome) -> CheckItem:
    row = _check_row(kin, check)
    return CheckItem(check, outcome, row.source, row.note)


def _check_row(kin: str, check: PurityCheck) -> PurityCheckRow:
    return next(row for row in TABLE().check if row.check == check and kin in row.families)


def _missing(kin: str, use: SampleUse, wanted: Iterable[Impurity], done: set[str]) -> Iterator[str]:
    """What a full analysis holds and this one does not; residue counts once, however it is stated."""
    yield from (quantity for quantity in wanted if quantity not in done and quantity not in RESIDUES)
    if use == "to-be-charged" and not done & {*RESIDUES}:
        yield "residue"
    yield from (check for check in words(PurityCheck) if check not in done and _check_row(kin, check).asked)


def _verdict(
    use: SampleUse, items: tuple[RefrigerantItem, ...], checks: tuple[CheckItem, ...], missing: tuple[str, ...]
) -> PurityVerdict:
    standings = {item.standing for item in items}
    charged = use == "to-be-charged"
    if "over" in standings or any(check.outcome == "fail" for check in checks):
        return "do not charge" if charged else "clean or replace"
    if standings & {"cannot tell", "no limit known"} or (charged and missing) or not (items or checks):
        return "cannot tell"
    return "sample again" if "watch" in standings else "measured values within limits"
