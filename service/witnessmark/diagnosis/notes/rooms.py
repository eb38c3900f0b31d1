"""How warm it is where goods are kept or people are: `walk in is up to 58`, `freezer -9, should be -20`.

A temperature that no door or defrost explains is a machine that does not hold it (`capacity-low`). Nobody says which
scale: a number counts where both say the same, where a unit stands, or where it is far from what is wanted. Linear in
the clause.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.notes.mentions import Clause, Mention, mention
from witnessmark.diagnosis.notes.tokens import fold
from witnessmark.reference import SourceId

FINDING = "capacity-low"
Kind = Literal["cold", "frozen", "people"]
_WARM, _KEPT = 0.85, 0.8
"""Scores of a place that is plainly too warm, and of one that is told to be kept as it should (judgement)."""
_OFF_C, _OFF_F = 3.0, 5.0
"""How far from what is wanted a temperature must be, K and degrees F: more than a thermostat's difference."""
_NUMBER = (
    r"(?P<{0}>(?:minus |-|−)?\d{{1,3}}(?:[.,]\d)?)"
    r"(?:\s?(?:°|deg(?:rees?)?)?\s?(?P<{0}_unit>f|c|fahrenheit|celsius)(?![a-z])|\s?(?:°|deg(?:rees?|s)?\b)|\b)"
)
_OTHER_UNITS = (
    *(
        "%",
        r"below\b",
        r":\d",
        "/",
        r"\.\d",
        r",\d",
        r"am\b",
        r"pm\b",
        r"a\.m",
        r"p\.m",
        r"h\b",
        r"hrs?\b",
        r"hours?\b",
    ),
    *("min", "sec", r"days?\b", r"weeks?\b", r"months?\b", r"years?\b", "o'?clock", "psi", r"bar\b", r"k\b", r"kg"),
    *(r"lbs?\b", "oz", r"amps?\b", r"a\b", r"v\b", r"volts?\b", "ohm", r"hp\b", r"kw\b", r"tons?\b", r"doors?\b"),
    *(r"feet\b", r"ft\b", r"(?:th|st|nd|rd)\b", r"times\b", "litres?", "liters?", "gal", "de la", "horas?", "of them"),
    *("ppm", "micron", "and a half", r"in the (?:morning|evening)"),
)
_SCALE = r"(?:,? (?:in )?(?:degrees )?(?P<scale>celsius|centigrade|fahrenheit)\b)?"
"""The scale, where it stands behind all else."""
_NO_UNIT = rf"(?!\s?(?:{'|'.join(_OTHER_UNITS)}))"


class Rooms(Row):
    """The whole file; all lists of wordings."""

    source: SourceId
    reviewed: str
    cold: tuple[str, ...]
    frozen: tuple[str, ...]
    people: tuple[str, ...]
    links: tuple[str, ...]
    wanted: tuple[str, ...]
    aside: tuple[str, ...]
    kept: tuple[str, ...]


ROOMS = data.table(PACKAGE, f"{FOLDER}/rooms.toml", Rooms)


@dataclass(frozen=True, slots=True)
class _Limits:
    """Of a kind of place: from where it is plainly too warm, and up to where it is kept; degrees C and F."""

    warm_c: float
    warm_f: float
    kept_c: float
    kept_f: float
    coldest: float
    """No number below it is a temperature of such a place in either scale that nobody would remark on."""


_LIMITS: dict[Kind, _Limits] = {
    "cold": _Limits(8.0, 46.0, 5.0, 41.0, 0.0),
    "frozen": _Limits(-10.0, 12.0, -15.0, 5.0, -40.0),
    "people": _Limits(27.0, 80.0, 24.0, 75.0, 16.0),
}
_HOTTEST = {"cold": (35.0, 90.0), "frozen": (30.0, 75.0), "people": (45.0, 110.0)}


def warm_places(clause: Clause) -> list[Mention]:
    """What temperatures of places in the clause say of the machine that should keep them."""
    folded, places = fold(clause.words.replace("’", "'"))
    if not any(letter.isdigit() for letter in folded) or _listed("aside").search(folded):
        return []
    found = []
    for m in (*_pattern().finditer(folded), *_behind().finditer(folded)):
        if stated := _judged(m, folded):
            start, end = clause.start + places[m.start()], clause.start + places[m.end() - 1] + 1
            score = _WARM if stated == "present" else _KEPT
            one = mention(clause, FINDING, start, end, score, stated)
            found.append(replace(one, firm=stated == "present"))
    return found


def _judged(m: re.Match[str], clause: str) -> Literal["present", "absent"] | None:
    kind, is_, unit = _kind(m["place"]), _value(m["is"]), _scale(m["is_unit"] or m["due_unit"] or m["scale"])
    if m["due"] is not None:
        return "present" if _beyond(is_, _value(m["due"]), unit, heats=kind == "people") else None
    if m["link"] is None and m["is_unit"] is None and is_ > _LIMITS["frozen"].kept_c:
        return None
    scales = (unit,) if unit else ("c", "f")
    if all(_too_warm(kind, is_, scale) for scale in scales):
        return "present"
    well = any(_well(kind, is_, scale) for scale in scales) and all(not _plainly(kind, is_, s) for s in scales)
    return "absent" if well and kind != "people" and _listed("kept").search(clause) else None


def _too_warm(kind: Kind, value: float, scale: str) -> bool:
    """Too warm in this scale, or no temperature of such a place in it at all."""
    limit, (hottest_c, hottest_f) = _LIMITS[kind], _HOTTEST[kind]
    if scale == "c":
        return value >= limit.warm_c
    least_f = _LEAST_F[kind]
    return limit.warm_f <= value <= hottest_f or (limit.warm_c <= value < min(least_f, hottest_c))


_LEAST_F: dict[Kind, float] = {"cold": 26.0, "frozen": -10.0, "people": 45.0}
"""Nobody tells of a place that is so cold in degrees F that it is too warm: the number is then degrees C."""


def _plainly(kind: Kind, value: float, scale: str) -> bool:
    limit, hottest = _LIMITS[kind], _HOTTEST[kind][0 if scale == "c" else 1]
    return (limit.warm_c if scale == "c" else limit.warm_f) <= value <= hottest


def _well(kind: Kind, value: float, scale: str) -> bool:
    limit = _LIMITS[kind]
    least = limit.coldest if scale == "c" else limit.coldest * 1.8 + 32.0
    return least <= value <= (limit.kept_c if scale == "c" else limit.kept_f)


def _beyond(is_: float, due: float, scale: str | None, *, heats: bool) -> bool:
    """Warmer than wanted by more than a thermostat's difference; of rooms for people either way."""
    off = is_ - due
    least = _OFF_C if scale == "c" else _OFF_F if scale == "f" or max(abs(is_), abs(due)) > _LEAST_F["cold"] else _OFF_C
    return off >= least or (heats and -off >= least)


def _kind(place: str) -> Kind:
    single = place.removesuffix("s") if place not in (*ROOMS().frozen, *ROOMS().people, *ROOMS().cold) else place
    return "frozen" if single in ROOMS().frozen else "people" if single in ROOMS().people else "cold"


def _value(text: str) -> float:
    """The number as it is written, `minus 9` and `2,5` too."""
    plain = text.replace("minus ", "-").replace("−", "-").replace(",", ".")
    return float(plain)


def _scale(unit: str | None) -> str | None:
    return unit[0] if unit else None


def _alternatives(wordings: Iterator[str] | tuple[str, ...]) -> str:
    escaped = (re.escape(word).replace(r"\ ", "[ -]") for word in sorted(wordings, key=len, reverse=True))
    return "|".join(escaped).replace("wont", "won'?t").replace("cant", "can'?t")


@cache
def _listed(name: Literal["aside", "kept"]) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{_alternatives(getattr(ROOMS(), name))})\b")


@cache
def _behind() -> re.Pattern[str]:
    """How warm it is before the place: `38 degrees in the box in Celsius`; the scale may stand last."""
    row = ROOMS()
    place = rf"(?P<place>(?:{_alternatives((*row.cold, *row.frozen, *row.people))})s?)(?![\w-])"
    number = r"(?<![\w.,-])(?P<is>(?:minus |-|−)?\d{1,3}(?:[.,]\d)?)\s?(?P<link>°|deg(?:rees?|s)?\b|)\s?"
    unit = r"(?P<is_unit>f|c|fahrenheit|celsius|centigrade)?(?![a-z0-9%/])"
    inside = r" (?:in|inside|en) (?:(?:the|our|my|his|her|la|el) )?"
    never = r"(?:(?!)(?P<due>)(?P<due_unit>))?"
    return re.compile(number + unit + inside + place + _SCALE + never)


@cache
def _pattern() -> re.Pattern[str]:
    """A place, what links it, how warm it is, and what is wanted."""
    row = ROOMS()
    place = rf"(?<![\w-])(?P<place>(?:{_alternatives((*row.cold, *row.frozen, *row.people))})s?)(?:'s)?"
    where = r"(?: (?:by|in|near|behind|out|on|of|beside|under|next)(?: [a-z]+){1,4}?)?"
    asset = r"(?: (?:no\.? ?|#)?\d{1,2}(?= (?:at|is|up|reads|showing)\b))?"
    link = rf"(?:(?:[ ,:;=]{{1,2}}| - )(?P<link>{_alternatives(row.links)})(?: about| around| like)?)?"
    is_ = rf"(?:[ ,:;=]{{1,2}}| - ){_NUMBER.format('is')}{_NO_UNIT}"
    between = r"(?:[ ,;:(-]|and|but|it|he|she|they|wants|we|want|is){1,6}?"
    wanted = rf"(?:{_alternatives(row.wanted)})[ :=]{{1,2}}{_NUMBER.format('due')}{_NO_UNIT}"
    due = rf"(?:{between}{wanted})?"
    return re.compile(place + where + asset + link + is_ + _SCALE + due)
