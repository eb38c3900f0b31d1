"""Plain facts in a note: refrigerant, kind of machine, age, hours, when it was replaced, how urgent, who speaks.

A fact that a denial stands before is left out. Of two values that cannot both be so (`scroll`, `screw`) both are given:
who reads it asks. Numbers of time are in SI.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from witnessmark.diagnosis.notes.assertions.cue_rows import MARK as CUE
from witnessmark.diagnosis.notes.beside.fact_rows import FACTS, RUNS_ON, FactKind, name_of
from witnessmark.diagnosis.notes.danger import alarm_words
from witnessmark.diagnosis.notes.danger_rows import ALARM, ALONE
from witnessmark.diagnosis.notes.mentions import Place, Sentence
from witnessmark.diagnosis.notes.tokens import Token, stem
from witnessmark.refrigerants.catalogue import designations

HOUR, DAY = 3600.0, 86_400.0
_UNITS = {"hour": HOUR, "day": DAY, "week": 7 * DAY, "month": 30.4375 * DAY, "year": 365.25 * DAY}
_WORDS = {
    stem(word): amount
    for word, amount in {
        "one": 1,
        "two": 2,
        "three": 3,
        "four": 4,
        "five": 5,
        "six": 6,
        "couple": 2,
        "a": 1,
        "few": 3,
        "last": 1,
    }.items()
}
_REPLACED = frozenset({"replac", "swap", "chang", "instal", "new", "fit"})
_OLD = frozenset({"old", "age", "servic"})
_RUN = frozenset({"run", "running", "met", "meter", "clock", "operat", "h"})
_GROUPED = 1000
_IS = frozenset({"is", "are"})
_UNSETTLED = tuple(
    f"{CUE}{name}" for name in ("hypothetical", "history", "resolved", "advice", "norm", "well-now", "other-subject")
)
_ARTICLES = frozenset({"the", "a", "an", "el", "la", "los", "las", "de", "del"})
_REFRIGERANT = re.compile(
    r"(?<![a-z0-9])(?:r|hfo|hfc|hcfc|freon)[\s-]{0,2}(\d{2,4})[\s-]?([a-z]{0,2}(?:\([ez]\))?)(?![a-z0-9])"
)
_DESIGNATION = re.compile(r"\b[rR]-? ?(\d{2,4}[a-zA-Z]{0,2})\b")


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact: its kind, its value (a word, or "" where it is a number), seconds where it is a time; characters."""

    kind: FactKind
    value: str
    start: int
    end: int
    seconds: float | None = None


def facts(sentences: Sequence[Sentence], text: str) -> tuple[Fact, ...]:
    """The facts of a note, each kind and value once, in the order of the note."""
    found = [*_refrigerants(text), *(fact for sentence in sentences for fact in _of_sentence(sentence))]
    once: dict[tuple[str, str], Fact] = {}
    ends: dict[str, int] = {}
    for fact in sorted(found, key=lambda f: (f.start, -f.end)):
        if fact.end > ends.get(fact.kind, -1):  # `hermetic` within `semi-hermetic` is no fact of its own
            once.setdefault((fact.kind, fact.value), fact)
            ends[fact.kind] = fact.end
    return tuple(_one_speaker(once.values()))


def told_to_run(sentences: Iterable[Sentence]) -> bool:
    """Whether a note says of its machine that it runs, whatever else is wrong: `it is running but not cooling`.

    Not where the same clause denies, doubts, asks or tells of another time: such a word leaves it open.
    """
    said = (one for one in sentences if RUNS_ON in one.places and not one.positions(*_UNSETTLED))
    return any(one.tokens[-1].stem != "?" for one in said)


def _one_speaker(found: Iterable[Fact]) -> Iterator[Fact]:
    """Whoever can be heard; an operator's words and a caller's own outweigh those of the trade, which all may use."""
    every = [*found]
    heard = {fact.value for fact in every if fact.kind == "speaker"}
    chosen = next((who for who in ("operator", "caller", "technician") if who in heard), "")
    yield from (fact for fact in every if fact.kind != "speaker" or fact.value == chosen)


@cache
def _names() -> dict[str, tuple[int, FactKind, str]]:
    """Of every concept that tells a fact its place in the file, the kind and the value."""
    told = [(kind, value) for kind, values in FACTS().facts.items() for value in values]
    return {name_of(kind, value): (k, kind, value) for k, (kind, value) in enumerate(told)}


def _of_sentence(sentence: Sentence) -> Iterator[Fact]:
    denied = {place.end for place in sentence.places.get(f"{CUE}negation", ())}
    for name in sorted(_names().keys() & sentence.places.keys(), key=lambda name: _names()[name]):
        kind, value = _names()[name][1:]
        places = [p for p in sentence.places[name] if p.start not in denied]
        places = [p for p in places if kind != "urgency" or not _aside(sentence, p)]
        if places:
            yield _fact(sentence, kind, value, min(places, key=lambda p: (p.start, -p.end)))
    alarms = [p for _, p in alarm_words(sentence, ALARM, ALONE) if p.start not in denied]
    for k in sorted({k for p in alarms for k in range(p.start, p.end)}):
        token = sentence.tokens[k]
        yield Fact("alarm", token.stem, token.start, token.end)
    yield from _times(sentence.tokens)


def _aside(sentence: Sentence, place: Place) -> bool:
    """`Hospital Street`, `pharmacy sign`, `vaccines fine`, `across from the clinic`: nothing of it is at stake."""
    behind, ahead = _beside()
    tokens = sentence.tokens
    at = place.end + (place.end < len(tokens) and tokens[place.end].stem in _IS)
    following = [token.stem for token in tokens[at : at + 2]]
    if following and (following[0] in behind or " ".join(following) in behind):
        return True
    k = place.start - 1
    while k > 0 and tokens[k].stem in _ARTICLES:
        k -= 1
    return k >= 0 and (tokens[k].stem in ahead or (k > 0 and f"{tokens[k - 1].stem} {tokens[k].stem}" in ahead))


@cache
def _beside() -> tuple[frozenset[str], frozenset[str]]:
    """The words behind and ahead as they come out of the tokeniser."""
    rows = (FACTS().aside_behind, FACTS().aside_ahead)
    behind, ahead = (frozenset(" ".join(map(stem, text.split())) for text in row) for row in rows)
    return behind, ahead


def _fact(sentence: Sentence, kind: FactKind, value: str, place: Place) -> Fact:
    return Fact(kind, value, sentence.tokens[place.start].start, sentence.tokens[place.end - 1].end)


def _times(tokens: Sequence[Token]) -> Iterator[Fact]:
    """`22 years old`, `41 000 h`, `replaced two weeks ago`."""
    for k, token in enumerate(tokens[:-1]):
        amount, end = _amount(tokens, k)
        unit = _UNITS.get(
            "hour" if end < len(tokens) and tokens[end].stem == "h" else tokens[end].stem if end < len(tokens) else ""
        )
        if amount is None or unit is None:
            continue
        before, after = _stems(tokens[max(k - 5, 0) : k]), _stems(tokens[end + 1 : end + 3])
        kind = _kind_of_time(amount, unit, before, after)
        if kind:
            yield Fact(kind, "", token.start, tokens[end].end, amount * unit)


def _stems(tokens: Sequence[Token]) -> set[str]:
    return {token.stem for token in tokens}


def _kind_of_time(amount: float, unit: float, before: set[str], after: set[str]) -> FactKind | None:
    if "ago" in after and before & _REPLACED:
        return "replaced"
    if unit == _UNITS["year"] and after & _OLD:
        return "age"
    if unit == HOUR and amount >= _GROUPED:
        return "running hours"
    return None


def _amount(tokens: Sequence[Token], k: int) -> tuple[float | None, int]:
    """A number from here (`41 000` is one) or a word for one, and where its unit would stand."""
    token = tokens[k]
    if token.kind == "number" and (k == 0 or tokens[k - 1].kind != "number"):
        third = k + 1 < len(tokens) and tokens[k + 1].kind == "number" and len(tokens[k + 1].stem) == len("000")
        grouped = third and token.value < _GROUPED and tokens[k + 1].start - token.end == 1
        return (token.value * _GROUPED + tokens[k + 1].value, k + 2) if grouped else (token.value, k + 1)
    if token.stem in _WORDS:
        return float(_WORDS[token.stem]), k + 1 + (k + 1 < len(tokens) and tokens[k + 1].stem == "of")
    return None, k + 1


@cache
def _known() -> dict[str, str]:
    """Designations by number and letters: `410a` is R-410A."""
    return {name.removeprefix("R-").lower(): name for name in designations()}


def _refrigerants(text: str) -> Iterator[Fact]:
    lower = text.lower()
    for found in _REFRIGERANT.finditer(lower if len(lower) == len(text) else text):
        for letters in (found.group(2), ""):
            name = _known().get(found.group(1) + letters)
            if name:
                yield Fact("refrigerant", name, found.start(), found.end(2) if letters else found.end(1))
                break


def unmixed(text: str) -> frozenset[str]:
    """Nothing was mixed where the same refrigerant is named both times: `topped off the R404A unit with R404A`.

    What the rules hear of it (`mixed`, `wrong gas`) stands.
    """
    named = [m.group(1).lower() for m in _DESIGNATION.finditer(text)]
    return frozenset({"refrigerant-mixed"}) if len(named) > 1 and len(set(named)) == 1 else frozenset()
