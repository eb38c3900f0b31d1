"""Texts that are safe wherever they are shown again: a terminal, a form, a log of somebody else.

Refused are the control characters (category Cc of Unicode; escape sequences begin with one) but tab and the ends of
lines (a carriage return alone is none: what follows overwrites the line on a terminal), and those that turn the
direction of writing (bidirectional formatting characters of Unicode Standard Annex 9, 2.1 to 2.3, but the marks), so
that a text never reads otherwise than it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

Path = tuple[str | int, ...]
SAID = "holds a control character, or one that turns the direction of writing; accepted: text, tabs, ends of lines"
_TOLD: dict[str, str] = {}


def shape(pattern: str, words: str) -> str:
    """The pattern, of which a problem says in these words what a text should be."""
    _TOLD[pattern] = words
    return pattern


def shape_in_words(pattern: str) -> str | None:
    """What a text of this pattern is, in plain words; None where nobody said."""
    return _TOLD.get(pattern)


ONE_LINE = shape(r"^[^\x00-\x1f\x7f]*$", "one line of text, without tabs and control characters")
"""Pattern of a name: neither tab nor end of line."""
_CONTROLS = "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]"
_UNSAFE = re.compile(_CONTROLS + "|\r(?!\n)")
_RAW = re.compile(_CONTROLS)
"""In JSON as it is written: a carriage return there stands between texts, never in one."""
PLAIN = re.compile(rb"[\t\n\r -\[\]-~]*")
"""JSON of plain ASCII without an escape, in which none of them can stand."""
_WRITTEN = re.compile(
    r"(?<!\\)(?:\\\\)*\\(?:[bf]|u(?:00(?:0[0-8bcef]|1[0-9a-f]|7f|[89][0-9a-f])|202[a-e]|206[6-9])"
    r"|(?:r|u000d)(?!\\(?:n|u000a)))",
    re.IGNORECASE,
)
"""The same as escapes of JSON; an even number of backslashes before one is text."""


def is_safe(text: str) -> bool:
    """Whether the JSON of this text holds none of them, written or escaped."""
    return not (_RAW.search(text) or ("\\" in text and _WRITTEN.search(text)))


def safe(text: str) -> str:
    """The text, for a field that is looked at by itself. ValueError."""
    if _UNSAFE.search(text):
        raise ValueError(SAID)
    return text


def unsafe_places(value: Any, most: int) -> list[Path]:
    """The first places of a value of JSON where they stand, in the order of the text; a name counts as its member."""
    return list(islice(_walk(value), most))


def _walk(value: Any) -> Iterator[Path]:
    """Without recursion, since a body may be nested as deep as the decoder goes."""
    waiting: list[Iterator[tuple[Path, Any]]] = [iter([((), value)])]
    while waiting:
        path, part = next(waiting[-1], (None, None))
        if path is None:
            waiting.pop()
        elif isinstance(part, str):
            yield from [path] if _UNSAFE.search(part) else []
        elif isinstance(part, list):
            waiting.append(below(path, enumerate(part)))
        elif isinstance(part, dict):
            yield from ((*path, name) for name in part if _UNSAFE.search(name))
            waiting.append(below(path, part.items()))


def below(path: Path, parts: Iterable[tuple[str | int, Any]]) -> Iterator[tuple[Path, Any]]:
    """One level further down, an element at a time: the first faults are found without going through the rest."""
    return (((*path, step), part) for step, part in parts)
