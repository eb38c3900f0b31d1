"""What people write round a designation: everyday words before and behind it, and a second name in brackets."""

from __future__ import annotations

import re
from collections.abc import Collection

_PAIR = re.compile(
    r"\s*(?P<first>[^()]+?)\s*(?:\((?P<inner>[^()]{3,})\)|"
    r"(?<=[\w])\s+(?P<word>[^\W\d_]{4,}(?:\s[^\W\d_]{4,}){0,2}))\s*"
)
_TURNED = re.compile(r"\s*(?P<word>[^\W\d_]{4,}(?:\s[^\W\d_]{4,}){0,2})[\s,]*\(?(?P<number>R?[\s-]?\d+\w*)\)?\s*")


def without(name: str, words: Collection[str]) -> str:
    """A name without the everyday words that stand apart in it; as it is where nothing else would be left.

    >>> without("Refrigerant: R-410A gas", {"refrigerant", "gas"}), without("gas", {"gas"})
    ('R-410A', 'gas')
    """
    parts = name.replace(":", ": ").split()
    kept = [part for part in parts if part.strip(":.,").casefold() not in words]
    return " ".join(kept) if kept and len(kept) < len(parts) else name


def two_names(name: str) -> tuple[str, str] | None:
    """Two names that somebody gives for one thing, a designation and a kind or a substance; None where it is one.

    >>> two_names("R-717 (ammonia)"), two_names("R 290 propane"), two_names("propane R-290"), two_names("R-1234ze(E)")
    (('R-717', 'ammonia'), ('R 290', 'propane'), ('R-290', 'propane'), None)
    """
    if found := _TURNED.fullmatch(name):
        return found["number"].strip(), found["word"]
    if (found := _PAIR.fullmatch(name)) and any(letter.isdecimal() for letter in found["first"]):
        other = found["inner"] or found["word"]
        return (found["first"], other) if other[:1].isalpha() else None
    return None
