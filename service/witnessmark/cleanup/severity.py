"""How badly a circuit is contaminated: a score anyone can recompute, with the source of each item.

Points add up, and some signs alone set a lowest grade; the grade is the higher of the two. Nothing that was not looked
at counts as clean. Data: `severity.toml`; limits of the oil: `calculations.oil_quality`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.calculations.samples.oil_quality import OilItem, OilProperty
from witnessmark.cleanup.tables import table
from witnessmark.errors import ConflictError, located
from witnessmark.vocabulary import Oil

AcidTest = Literal["negative", "positive"]
Smell = Literal["none", "slight", "burnt"]
Burn = Literal["none", "spot", "winding"]
Debris = Literal["metal fines", "metal fragments", "carbonised oil", "copper plating", "desiccant dust"]
Dirt = Literal["carbon in suction line", "carbon in drier", "sludge in discharge line", "sludge in suction line"]
Grade = Literal[0, 1, 2, 3]


@dataclass(frozen=True, slots=True)
class Signs:
    """What the opened compressor, its oil and its lines show. None means: not looked at."""

    oil: Oil
    acid_number: Measured | None = None
    acid_test: AcidTest | None = None
    colour: Measured | None = None
    water: Measured | None = None
    smell: Smell | None = None
    burn: Burn | None = None
    burnt_while_turning: bool | None = None
    debris: frozenset[Debris] = frozenset()
    dirt: frozenset[Dirt] = frozenset()
    repeated: bool | None = None
    maker_limits: dict[OilProperty, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ScoreItem:
    """One item of the score."""

    id: str
    points: int
    floor: int
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Severity:
    """Grade 0 (mechanical only) to 3 (sludge or repeated), the score, its items, and what was not looked at."""

    grade: Grade
    name: str
    text: str
    score: int
    items: tuple[ScoreItem, ...]
    not_looked_at: tuple[str, ...]
    oil_items: tuple[OilItem, ...]


def severity(signs: Signs) -> Severity:
    """Grade of contamination.

    ConflictError where signs exclude each other, OutOfRangeError for a reading out of range.
    """
    _check(signs)
    oil_items = _oil(signs)
    items = tuple(_item(key) for key in (*_from_oil(signs, oil_items), *_from_parts(signs)))
    score = sum(item.points for item in items)
    grade = max(_by_points(score), *(item.floor for item in items), 0)
    row = table("severity")["grade"][grade]
    return Severity(_as_grade(grade), row["name"], row["text"], score, items, _not_looked_at(signs), oil_items)


def _check(signs: Signs) -> None:
    if signs.burnt_while_turning and signs.burn == "none":
        raise ConflictError(
            ("teardown.burnt_while_turning", "teardown.burn"), "no burn, yet burnt while turning", "signs that agree"
        )
    act = oil_quality.deciding(signs.oil, "acid_number", "act")
    far = act is not None and signs.acid_number is not None and signs.acid_number.value > 10 * act.value
    if far and signs.acid_test == "negative":
        raise ConflictError(
            ("oil.acid_test", "oil.acid_number"),
            "a negative kit against ten times the limit",
            "test again, leave one out",
        )


def _oil(signs: Signs) -> tuple[OilItem, ...]:
    given: dict[OilProperty, Measured | None] = {
        "acid_number": signs.acid_number, "colour": signs.colour, "water": signs.water,
    }  # fmt: skip
    readings = {quantity: reading for quantity, reading in given.items() if reading is not None}
    with located(oil="oil.type", acid_number="oil.acid_number", colour="oil.colour", water="oil.water"):
        return oil_quality.judge(signs.oil, readings, signs.maker_limits).items if readings else ()


_OIL_ITEMS = {
    ("acid_number", "over"): "acid-over",
    ("acid_number", "cannot tell"): "acid-unsure",
    ("acid_number", "watch"): "acid-raised",
    ("colour", "over"): "colour-over",
    ("colour", "cannot tell"): "colour-over",
    ("colour", "watch"): "colour-raised",
    ("water", "over"): "water-over",
    ("water", "cannot tell"): "water-over",
}


def _from_oil(signs: Signs, items: tuple[OilItem, ...]) -> Iterator[str]:
    yield from (_OIL_ITEMS[key] for item in items if (key := (item.quantity, item.standing)) in _OIL_ITEMS)
    if signs.acid_test == "positive":
        yield "acid-positive"
    if signs.acid_test is None and signs.acid_number is None:
        yield "acid-not-tested"
    if signs.colour is None:
        yield "oil-not-seen"


def _from_parts(signs: Signs) -> Iterator[str]:
    facts = {
        "smell-burnt": signs.smell == "burnt",
        "smell-slight": signs.smell == "slight",
        "winding-burnt": signs.burn == "winding",
        "spot-burn": signs.burn == "spot",
        "burnt-while-turning": bool(signs.burnt_while_turning),
        "carbon-suction": bool(signs.dirt & {"carbon in suction line", "carbon in drier"}),
        "sludge-discharge": "sludge in discharge line" in signs.dirt,
        "sludge-suction": "sludge in suction line" in signs.dirt,
        "repeated": bool(signs.repeated),
    }
    yield from (key for key, present in facts.items() if present)
    yield from sorted(kind.replace(" ", "-") for kind in signs.debris)


def _item(key: str) -> ScoreItem:
    row: dict[str, Any] = table("severity")["item"][key]
    return ScoreItem(id=key, **row)


def _by_points(score: int) -> int:
    thresholds: list[int] = table("severity")["thresholds"]
    return sum(score >= threshold for threshold in thresholds) - 1


def _as_grade(grade: int) -> Grade:
    grades: tuple[Grade, ...] = (0, 1, 2, 3)
    return grades[grade]


def _not_looked_at(signs: Signs) -> tuple[str, ...]:
    looked = {
        "acid": signs.acid_number or signs.acid_test,
        "oil colour": signs.colour,
        "smell": signs.smell,
        "winding": signs.burn,
        "earlier failures": None if signs.repeated is None else "known",
    }
    return tuple(name for name, value in looked.items() if value is None)
