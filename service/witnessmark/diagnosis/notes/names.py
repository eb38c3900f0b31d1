"""Names of people, firms and streets that sound like danger: `Tingle & Sons`, `Hurt Road 12`, `Mr Spark`.

Only words with a capital of their own count, next to what makes a name (knowledge/danger.toml, [names]); the first word
of a sentence only right beside it. A note that writes each word so tells nothing by it, and one that cries for help is
believed: `Fire hotel, come quick`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise

from witnessmark.diagnosis.notes.danger_rows import DANGER
from witnessmark.diagnosis.notes.tokens import Token, stem

_SPOKEN = 3
"""Words with small letters that a sentence must have before its capitals tell anything."""
_LINKS = frozenset({"and", "de", "del", "la", "las", "los", "do", "da", "dos", "das", "e", "y", "don"})


def names(tokens: Sequence[Token]) -> list[frozenset[int]]:
    """The tokens of each name in a sentence, with the words that make it one."""
    words = [token for token in tokens if token.kind == "word"]
    pleas = (t for before, t in pairwise([None, *words]) if t and t.stem in _words("pleas") and not _denied(before))
    if sum(not token.capital for token in words) < _SPOKEN or any(pleas):
        return []
    return [*dict.fromkeys(run for run in _runs(tokens) if _is_name(tokens, min(run), max(run) + 1))]


def _denied(before: Token | None) -> bool:
    """`no hurry` cries for nothing."""
    return before is not None and before.stem in {"no", "not", "sin", "sem"}


def _runs(tokens: Sequence[Token]) -> Iterator[frozenset[int]]:
    """Words with capitals one behind the other, with what stands on either side of them."""
    start = 0
    while start < len(tokens):
        end = start
        while end < len(tokens) and (tokens[end].capital or (end > start and _links(tokens, end))):
            end += 1
        if end > start:
            yield frozenset(range(max(start - 1, 0), min(end + 2, len(tokens))))
        start = end + 1


def _links(tokens: Sequence[Token], k: int) -> bool:
    further = k + 1 if k + 1 < len(tokens) and tokens[k + 1].stem in _LINKS else k
    return tokens[k].stem in _LINKS and further + 1 < len(tokens) and tokens[further + 1].capital


def _is_name(tokens: Sequence[Token], start: int, end: int) -> bool:
    """Whether a word of these makes a name of the capitals beside it."""
    beside = range(start, end)
    titled = any(tokens[a].stem in _words("titles") and tokens[b].capital for a, b in pairwise(beside))
    acting = any(tokens[a].stem in _words("roles") and tokens[b].capital for a, b in pairwise(beside))
    people = acting and sum(tokens[k].capital for k in beside) > 1
    return titled or people or _street(tokens, start, end) or _firm(tokens, start, end)


def _street(tokens: Sequence[Token], start: int, end: int) -> bool:
    """`3 Smoke Rise Drive`, `Hurt Road 12`, `Calle del Fuego 22`; not `Smoke Main Street 5`."""
    numbered = any(tokens[k].kind == "number" for k in range(start, min(end + 1, len(tokens))))
    first = next(k for k in range(start, end) if tokens[k].capital)
    for k in range(start, end) if numbered else ():
        led = tokens[k].stem in _words("streets_first") and k <= first
        opens = first == 0 and k > first + 1
        if led or (tokens[k].stem in _words("streets") and k > first and not opens):
            return True
    return False


def _firm(tokens: Sequence[Token], start: int, end: int) -> bool:
    """`Tingle & Sons`; `Fuego restaurant,` where the name ends with it; `taqueria La Chispa`, where it begins."""
    first = next(k for k in range(start, end) if tokens[k].capital)
    if any(tokens[k].stem in _words("partners") for k in range(first + 1, end)):
        return True
    last = max((k for k in range(first + 1, end) if tokens[k].stem in _words("firms")), default=0)
    if any(tokens[k].stem in _words("firms_first") and _begins(tokens, k + 1) for k in range(start, end - 1)):
        return True
    ends = last + 1 == len(tokens) or tokens[last + 1].kind != "word" or tokens[last + 1].stem in _words("verbs")
    return bool(last) and ends


def _begins(tokens: Sequence[Token], k: int) -> bool:
    """A word with a capital stands there, or behind a word that links names."""
    return tokens[k].capital or (tokens[k].stem in _LINKS and k + 1 < len(tokens) and tokens[k + 1].capital)


@cache
def _words(kind: str) -> frozenset[str]:
    return frozenset(map(stem, getattr(DANGER().names, kind)))
