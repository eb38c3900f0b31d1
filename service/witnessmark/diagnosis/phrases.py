"""Joining names into sentences."""

from __future__ import annotations

from collections.abc import Sequence

_NAMES = ("Oldham",)
_SURE = 0.995


def listed(names: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`; `a, b; c; and d` where a name holds a comma itself."""
    if len(names) < 2:  # noqa: PLR2004 - one name needs no joining
        return "".join(names)
    if any("," in name for name in names):
        return f"{'; '.join(names[:-1])}; and {names[-1]}"
    return f"{', '.join(names[:-1])} and {names[-1]}"


def lower(text: str) -> str:
    """Ready for the middle of a sentence; abbreviations and names stay as they are."""
    kept = (text[:2].isalpha() and text[:2].isupper()) or text.startswith(_NAMES)
    return text if kept else text[:1].lower() + text[1:]


def percent(probability: float) -> str:
    """In whole per cent; nothing is called certain."""
    if probability >= _SURE:
        return "over 99 %"
    return "under 1 %" if probability < 1 - _SURE else f"{100 * probability:.0f} %"


def quoted(names: Sequence[str]) -> str:
    """Names in the middle of a sentence."""
    return listed([lower(name) for name in names])
