"""How badly a circuit is contaminated: a score anyone can recompute, with the source of each item.

Points add up, and some signs alone set a lowest grade; the grade is the higher of the two. Nothing that was not looked
at counts as clean. Data: `severity.toml`; limits of the oil: `calculations.samples.oil_quality`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import AfterValidator, Field
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.cleanup.maker_limits import NO_LIMITS, MakerLimits
from witnessmark.cleanup.rows import KEYED, RISING, Identified, complete
from witnessmark.errors import ConflictError, located
from witnessmark.reference import SourceId
from witnessmark.vocabulary import AcidTest, BurnoutGrade, Oil, words

Smell = TypeAliasType("Smell", Literal["none", "slight", "burnt"])
"""How oil or refrigerant smell."""
Burn = TypeAliasType("Burn", Literal["none", "spot", "winding"])
"""How much of the winding is burnt: nothing, a small part, a large part."""
Debris = TypeAliasType(
    "Debris", Literal["metal-fines", "metal-fragments", "carbonised-oil", "copper-plating", "desiccant-dust"]
)
"""What is loose in the opened compressor or covers its parts."""
Deposit = TypeAliasType(
    "Deposit",
    Literal["carbon-in-suction-line", "carbon-in-drier", "sludge-in-discharge-line", "sludge-in-suction-line"],
)
"""What lies in the lines, and where."""
Solids = TypeAliasType("Solids", Literal["not looked at", "none found", "fines", "fragments"])
"""How bad the solids are: an axis beside that of acid and carbon."""


@dataclass(frozen=True, slots=True)
class Signs:
    """What the opened compressor, its oil and its lines show. None means: not looked at.

    acid_number in mg KOH/g, colour by ASTM D1500, water as mass fraction.
    """

    acid_number: Measured | None = None
    acid_test: AcidTest | None = None
    colour: Measured | None = None
    water: Measured | None = None
    smell: Smell | None = None
    burn: Burn | None = None
    burnt_while_turning: bool | None = None
    debris: frozenset[Debris] | None = None
    deposits: frozenset[Deposit] | None = None
    repeated_failure: bool | None = None

    @property
    def burnt(self) -> bool:
        """Whether anything shows a burnt motor."""
        return bool(self.burn in {"spot", "winding"} or self.burnt_while_turning or self.smell == "burnt")

    @property
    def seen(self) -> frozenset[Debris | Deposit]:
        """What was found loose or lying in the lines."""
        return (self.debris or frozenset[Debris]()) | (self.deposits or frozenset[Deposit]())

    @property
    def solids(self) -> Solids:
        """The worst of the solids that were found."""
        if "metal-fragments" in self.seen:
            return "fragments"
        if self.seen & {"metal-fines", "desiccant-dust"}:
            return "fines"
        return "not looked at" if self.debris is None else "none found"


OilReadings = dict[oil_quality.OilProperty, Measured | None]
NO_SIGNS = Signs()
"""Nothing was looked at."""
_SIGNS = frozenset((
    *(f"{quantity} {standing}" for quantity in oil_quality.RANGES for standing in ("over", "cannot tell", "watch")),
    *(f"smell-{smell}" for smell in words(Smell)),
    *(f"burn-{burn}" for burn in words(Burn)),
    *words(Debris), *words(Deposit),
    "acid-test-positive", "acid-not-tested", "colour-not-known", "burnt-while-turning",
    "repeated-spoiled", "repeated-clean",
))  # fmt: skip
"""All that can be a sign in the data file."""


class ScoreItem(Identified):
    """One item of the score; any of `signs`, or its own id, brings it. floor: the lowest grade it allows by itself.

    unknown: it says no more than that nobody looked.
    """

    signs: frozenset[str] = frozenset()
    points: Annotated[int, Field(ge=0)]
    floor: BurnoutGrade
    unknown: bool = False
    text: str


class GradeText(data.Row):
    """A grade in words."""

    name: str
    text: str


class UnknownGrade(GradeText):
    """What stands for the grade where nothing was looked at."""

    grade: BurnoutGrade


def _with_signs(items: dict[str, ScoreItem]) -> dict[str, ScoreItem]:
    signed = {key: row.model_copy(update={"signs": row.signs or frozenset({key})}) for key, row in items.items()}
    if unknown := frozenset().union(*(row.signs for row in signed.values())) - _SIGNS:
        raise ValueError(f"unknown signs: {', '.join(sorted(unknown))}")
    return signed


class SeverityRules(data.Row):
    """The file: points from which grades 0, 1 and 2 begin, the grades, the items."""

    thresholds: Annotated[tuple[int, int, int], RISING]
    thresholds_source: SourceId
    grade: tuple[GradeText, GradeText, GradeText, GradeText]
    unknown: UnknownGrade
    solids: Annotated[dict[Solids, str], complete(Solids)]
    item: Annotated[dict[str, ScoreItem], KEYED, AfterValidator(_with_signs)]


SEVERITY = data.table(__package__, "severity.toml", SeverityRules)


@dataclass(frozen=True, slots=True)
class Severity:
    """Grade of acid and carbon, 0 (none) to 3 (sludge or repeated), its score and items; the solids beside it.

    name: of the grade, or "unknown" where it only stands in.
    """

    grade: BurnoutGrade
    name: str
    text: str
    solids: Solids
    solids_text: str
    score: int
    items: tuple[ScoreItem, ...]
    not_looked_at: tuple[str, ...]
    oil_items: tuple[oil_quality.OilItem, ...]

    @property
    def wet(self) -> bool:
        """Whether the oil holds more water than it may, or may do so."""
        return any(item.quantity == "water" and item.standing in ("over", "cannot tell") for item in self.oil_items)


def severity(oil: Oil, signs: Signs, maker_limits: MakerLimits = NO_LIMITS) -> Severity:
    """Grade of contamination.

    UnknownNameError (oil), ConflictError where signs exclude each other and OutOfRangeError for a reading out of range
    (signs.…).

    >>> found = severity("POE", Signs(acid_test="positive", burn="winding", repeated_failure=False))
    >>> found.grade, found.score, [item.id for item in found.items]
    (2, 8, ['acid-positive', 'oil-not-seen', 'winding-burnt'])
    """
    if signs.burnt_while_turning and signs.burn == "none":
        fields = ("signs.burnt_while_turning", "signs.burn")
        raise ConflictError(fields, "no burn, yet burnt while turning", "signs that agree")
    oil_items = _judged_oil(oil, signs, maker_limits)
    shown = {f"{item.quantity} {item.standing}" for item in oil_items} | set(_signs(signs))
    items = _items(shown)
    if signs.repeated_failure:
        spoiled = any(item.floor for item in items)
        items = _items(shown | {"repeated-spoiled" if spoiled else "repeated-clean"})
    score = sum(item.points for item in items)
    by_points = sum(score >= threshold for threshold in SEVERITY().thresholds) - 1
    grade = words(BurnoutGrade)[max(by_points, *(item.floor for item in items), 0)]
    named: GradeText = SEVERITY().grade[grade]
    if _nothing_known(signs, items):
        grade, named = max(grade, SEVERITY().unknown.grade), SEVERITY().unknown
    solids = SEVERITY().solids[signs.solids]
    return Severity(grade, named.name, named.text, signs.solids, solids, score, items, _not_looked_at(signs), oil_items)


def _items(shown: set[str]) -> tuple[ScoreItem, ...]:
    return tuple(item for item in SEVERITY().item.values() if item.signs & shown)


def _nothing_known(signs: Signs, items: tuple[ScoreItem, ...]) -> bool:
    """Whether nobody has looked at anything that tells of acid and carbon."""
    looks = (signs.acid_number, signs.acid_test, signs.colour, signs.water, signs.smell, signs.burn)
    telling = [item for item in items if item.points and not item.unknown and item.id != "repeated"]
    return not telling and all(look is None for look in (*looks, signs.burnt_while_turning))


def _judged_oil(oil: Oil, signs: Signs, maker_limits: MakerLimits) -> tuple[oil_quality.OilItem, ...]:
    act = oil_quality.deciding(oil, "acid_number", "act")
    far = act is not None and signs.acid_number is not None and signs.acid_number.value > 10 * act.value
    if far and signs.acid_test == "negative":
        fields = ("signs.acid_test", "signs.acid_number")
        raise ConflictError(fields, "a negative kit against ten times the limit", "test again, leave one out")
    measured: OilReadings = {"acid_number": signs.acid_number, "colour": signs.colour, "water": signs.water}
    readings = {quantity: reading for quantity, reading in measured.items() if reading is not None}
    with located(**{quantity: f"signs.{quantity}" for quantity in readings}):
        judged = oil_quality.judge(oil, readings, maker_limits.oil, maker_limits.document) if readings else None
    return judged.items if judged else ()


def _signs(signs: Signs) -> Iterator[str]:
    """Every sign but those of measured oil, as the data file names it."""
    yield from (*signs.seen, f"smell-{signs.smell}", f"burn-{signs.burn}")
    facts = {
        "acid-test-positive": signs.acid_test == "positive",
        "acid-not-tested": signs.acid_test is None and signs.acid_number is None,
        "colour-not-known": signs.colour is None,
        "burnt-while-turning": signs.burnt_while_turning,
    }
    yield from (sign for sign, present in facts.items() if present)


def _not_looked_at(signs: Signs) -> tuple[str, ...]:
    looked_at = {
        "acid": signs.acid_number or signs.acid_test,
        "oil colour": signs.colour,
        "smell": signs.smell,
        "winding": signs.burn,
        "loose solids": None if signs.debris is None else "known",
        "lines": None if signs.deposits is None else "known",
        "earlier failures": None if signs.repeated_failure is None else "known",
    }
    return tuple(name for name, sign in looked_at.items() if sign is None)
