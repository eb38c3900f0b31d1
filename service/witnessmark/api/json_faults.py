"""Where JSON breaks the rules of I-JSON (RFC 7493): looked for once it was refused, so that a problem names fields."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

from witnessmark.api.plain_text import Path, below

LONGEST_WHOLE_NUMBER = 4300
"""Digits; Python reads no longer ones (its own guard against numbers that take forever)."""
LONGEST_SEARCHED = 32_768
"""Characters: a larger body is refused without naming fields, since looking for them costs more than reading it."""
NOT_A_NUMBER = "NaN and Infinity are not JSON"
TOO_LARGE = "a number is too large for double precision"
TOO_LONG = "a number has too many digits"
TWICE = "an object names the same member twice"
HALF = "a string holds half of a surrogate pair"
_ACCEPTED = {
    NOT_A_NUMBER: "a finite number",
    TOO_LARGE: "a number between -1e308 and 1e308",
    TOO_LONG: "a number of fewer digits",
    TWICE: "each name once",
    HALF: "whole characters",
}


@dataclass(frozen=True, slots=True)
class _Fault:
    text: str


_NAN = _Fault(NOT_A_NUMBER)
_BIG = _Fault(TOO_LARGE)


def faults(text: str, most: int) -> list[tuple[Path, str]]:
    """The first places that break a rule, with what is wrong and what is accepted; none where the text is no JSON."""
    if len(text) > LONGEST_SEARCHED:
        return []
    decoder = json.JSONDecoder(
        object_pairs_hook=_pairs, parse_constant=lambda _: _NAN, parse_float=_real, parse_int=_whole
    )
    try:
        value = decoder.decode(text)
    except (ValueError, RecursionError):
        return []
    return [(path, f"{fault.text}; accepted: {_ACCEPTED[fault.text]}") for path, fault in islice(_walk(value), most)]


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    members: dict[str, Any] = {}
    for name, value in pairs:
        members[name] = _Fault(TWICE) if name in members else value
    return members


def _real(token: str) -> float | _Fault:
    value = float(token)
    return value if math.isfinite(value) else _BIG


def _whole(token: str) -> int | _Fault:
    return int(token) if len(token) < LONGEST_WHOLE_NUMBER else _Fault(TOO_LONG)


def _walk(value: Any) -> Iterator[tuple[Path, _Fault]]:
    """In the order of the text; without recursion, since a body may be nested as deep as the decoder goes."""
    waiting: list[Iterator[tuple[Path, Any]]] = [iter([((), value)])]
    while waiting:
        path, part = next(waiting[-1], (None, None))
        if path is None:
            waiting.pop()
        elif isinstance(part, _Fault):
            yield path, part
        elif isinstance(part, str) and _halved(part):
            yield path, _Fault(HALF)
        elif isinstance(part, list):
            waiting.append(below(path, enumerate(part)))
        elif isinstance(part, dict):
            yield from (((*path, name), _Fault(HALF)) for name in part if _halved(name))
            waiting.append(below(path, part.items()))


def _halved(text: str) -> bool:
    return any("\ud800" <= character <= "\udfff" for character in text)
