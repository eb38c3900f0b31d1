"""One time as loggers and spreadsheets write it: what its words and digits say, and what else would read it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime

import numpy as np

from witnessmark.errors import InputError

HOUR, MINUTE = 3_600.0, 60.0
YEARS = (1990, 2200)
FURTHEST = (-43_200.0, 50_400.0)
"""Offsets from UTC that clocks on Earth have, s: -12 h to +14 h."""
CENTURY = 2000
"""What a year of two digits counts from."""
_CLOCK = (
    rb"(?:[T ,]+(?P<hour>\d{1,2}):(?P<minute>\d{2})"
    rb"(?::(?P<second>\d{2})(?:[.,](?P<fraction>\d{1,9})| (?P<parts>\d{3}))?)?)?"
    rb"\s*(?P<half>[AaPp]\.?[Mm]\.?)?\s*(?:(?P<offset>Z|z|[+-]\d{2}(?::?\d{2})?)(?:\[[A-Za-z0-9_/+-]{1,40}\])?)?\s*"
)
_ISO = re.compile(rb"\s*(?P<year>\d{4})(?P<mark>[-/.])(?P<month>\d{1,2})(?P=mark)(?P<day>\d{1,2})" + _CLOCK)
_BASIC = re.compile(
    rb"\s*(?P<year>\d{4})(?P<month>\d{2})(?P<day>\d{2})T(?P<hour>\d{2})(?P<minute>\d{2})(?P<second>\d{2})?"
    rb"(?:[.,](?P<fraction>\d{1,9}))?(?P<offset>Z|[+-]\d{2}(?::?\d{2})?)?\s*"
)
_NAMED = re.compile(
    rb"\s*(?P<day>\d{1,2})[ ./-]+(?P<name>[A-Za-z]{3,10})\.?[ ./,-]+(?P<year>\d{4}|\d{2})(?!\d)" + _CLOCK
)
_NAME_FIRST = re.compile(rb"\s*(?P<name>[A-Za-z]{3,10})\.? +(?P<day>\d{1,2})[ ,]+(?P<year>\d{4})(?!\d)" + _CLOCK)
_DAY_FIRST = re.compile(rb"\s*(?P<day>\d{1,2})[/.-](?P<month>\d{1,2})[/.-](?P<year>\d{4}|\d{2})(?!\d)" + _CLOCK)
_MONTH_FIRST = re.compile(rb"\s*(?P<month>\d{1,2})[/.-](?P<day>\d{1,2})[/.-](?P<year>\d{4}|\d{2})(?!\d)" + _CLOCK)
_ANY = (_NAMED, _NAME_FIRST)
"""Where the month is a word nothing is left open."""
FORMS: Mapping[str, tuple[re.Pattern[bytes], ...]] = {
    "iso": (_ISO, _BASIC, *_ANY),
    "day-first": (_DAY_FIRST, *_ANY),
    "month-first": (_MONTH_FIRST, *_ANY),
}
_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            ("jan", "ene"), ("feb", "fev"), ("mar",), ("apr", "abr"), ("may", "mai"), ("jun",), ("jul",),
            ("aug", "ago"), ("sep", "set"), ("oct", "out", "okt"), ("nov",), ("dec", "dic", "dez"),
        ),
        start=1,
    )
    for name in names
}  # fmt: skip
"""By their first three letters, in English, Spanish, Portuguese and German."""
NOTHING = (np.nan, np.nan)
LONGEST_SHOWN = 40


def moment(text: bytes, form: str) -> tuple[float, float]:
    """Seconds since 1970 as if the clock showed UTC, and the offset written behind; NaN where there is none.

    >>> moment(b"14-Jul-26 00:00:00", "iso") == moment(b"7/14/26 12:00 AM", "month-first")
    True
    """
    for pattern in FORMS[form]:
        if found := pattern.fullmatch(text):
            return _told({name: part for name, part in found.groupdict().items() if part})
    return NOTHING


def _told(part: Mapping[str, bytes]) -> tuple[float, float]:
    year = int(part["year"]) + (CENTURY if len(part["year"]) == 2 else 0)  # noqa: PLR2004
    month = _MONTHS.get(part["name"][:3].decode().lower(), 0) if "name" in part else int(part["month"])
    hour, minute, second = (int(part.get(name, 0)) for name in ("hour", "minute", "second"))
    if half := part.get("half"):
        hour = hour % 12 + (12 if half[:1] in b"pP" else 0)
    try:
        shown = datetime(year, month, int(part["day"]), hour, minute, min(second, 59), tzinfo=UTC).timestamp()
    except ValueError:
        return NOTHING
    if not YEARS[0] <= year < YEARS[1]:
        return NOTHING
    shown += float(b"0." + part.get("fraction", part.get("parts", b"0")))
    offset = _offset(part["offset"]) if "offset" in part else np.nan
    return NOTHING if offset is None else (shown, offset)


def _offset(tail: bytes) -> float | None:
    """The offset, s; None for one that no clock on Earth has."""
    if tail in b"Zz":
        return 0.0
    digits = tail[1:].replace(b":", b"").ljust(4, b"0")
    offset = (int(digits[:2]) * HOUR + int(digits[2:]) * MINUTE) * (-1.0 if tail.startswith(b"-") else 1.0)
    return offset if digits[2:] < b"60" and FURTHEST[0] <= offset <= FURTHEST[1] else None


def unreadable(cells: Sequence[bytes], form: str, readable: float) -> InputError:
    """What is said of a column most of whose times nothing reads: how the first of them is written, and what reads it.

    Its digits and letters are not repeated: what stands there may be no time at all.
    """
    odd = next((cell.strip() for cell in cells if cell.strip() and np.isnan(moment(cell, form)[0])), b"")
    told = f": they are written like {_shape(odd)}" if odd else ""
    others = [name for name in FORMS if name != form and _share(cells, name) >= readable]
    accepted = f"time_form {' or '.join(others)}, by which they can be read" if others else _way_on(odd)
    return InputError("time_form", f"most times of the log cannot be read{told}", accepted)


def _shape(cell: bytes) -> str:
    """A cell with a 9 for each digit and an A for each letter.

    >>> _shape(b"7/14/26 12:30 AM")
    "'9/99/99 99:99 AA'"
    """
    letters = re.sub(rb"[^\x20-\x7e]", b"?", cell[:LONGEST_SHOWN])
    return repr(re.sub(rb"[A-Za-z]", b"A", re.sub(rb"\d", b"9", letters)).decode())


def _share(cells: Sequence[bytes], form: str) -> float:
    return float(np.mean([not np.isnan(moment(cell, form)[0]) for cell in cells])) if cells else 0.0


_WAYS: tuple[tuple[re.Pattern[bytes], str], ...] = (
    (
        re.compile(rb"-?\d+([.,]\d+)?([eE]\+?\d+)?"),
        "dates with a time; of counts those since 1970 (time_form epoch-seconds or epoch-milliseconds), no serial days",
    ),
    (
        re.compile(rb".*\d\s*[A-Za-z]{2,5}"),
        "times without the letters of a zone behind them, which mean several: the zone goes into time_zone",
    ),
    (re.compile(rb".*\b(19[0-8]\d)\b.*"), "years from 1990 on: the clock of the logger was not set"),
)
USUAL = "times such as 2026-03-07T14:00:00-06:00, or time_form that says how they are written"


def _way_on(cell: bytes) -> str:
    return next((words for pattern, words in _WAYS if pattern.fullmatch(cell)), USUAL)


Cells = Callable[[int, int], "np.ndarray[tuple[int, ...], np.dtype[np.uint8]]"]
"""The characters of some rows, one row of the matrix a character."""


def cells_of(taken: Cells, rows: int) -> list[bytes]:
    """Some of the cells of a column, as they are written."""
    characters = taken(0, min(rows, MOST_TRIED))
    return [characters[:, place].tobytes().rstrip(b"\0") for place in range(characters.shape[1])]


MOST_TRIED = 200
