"""The wording that points to findings, loaded from knowledge/phrases.toml and compiled once.

A concept is a name for words that mean the same (`OIL`: oil, lubricant, lube). A pattern is a row of slots that must
all stand near one another in a sentence: `OIL DARK|burnt` is a word of OIL and either a word of DARK or `burnt`, in any
order; `>` before a slot asks that it follow the one before. Names in capitals are concepts, all else is a literal word.
A topic is a thing one can report on: from it come `TOPIC OK` (absent, or normal), for three-way findings `TOPIC LOW`
and `TOPIC HIGH`, for the findings under `bad` `TOPIC BAD`, and what "not checked" refers to.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files
from typing import Any, get_args

from witnessmark.diagnosis.case import State
from witnessmark.diagnosis.notes.tokens import Lexicon, stem

STATES = frozenset(get_args(State))
Target = tuple[str, State]
"""A finding, or a normal, and the state that a pattern puts it in."""


@dataclass(frozen=True, slots=True)
class Slot:
    """Names of which one must be found; `after_previous` if it must follow the slot before."""

    names: tuple[str, ...]
    after_previous: bool = False


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of a dimension: SI value = number * factor + offset. most: larger numbers are not written without it."""

    name: str
    dimension: str
    words: frozenset[str]
    factor: float
    offset: float
    most: float


@dataclass(frozen=True, slots=True)
class Quantity:
    """Words that a number belongs to. readings: ids in the engine's catalogue, which must all agree.

    own: finding and highest value in order, SI, where the catalogue has no such reading.
    form: `value` in a unit of the dimension; `difference` of two; `share` as percent or `8 of 21`; `pair` only as
    `190 V on a 230 V`; `unbalance` as percent or three values; `three` only as three values.
    bare: names of the units that a number without one may have.
    """

    readings: tuple[str, ...]
    own: tuple[tuple[str, float], ...]
    dimension: str
    form: str
    bare: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """Slots that must all be found, and what they say together. `anchor` is the slot with the fewest wordings.

    A topic says nothing by itself; it matters only where the note says that nobody looked. One with a quantity says
    something together with a number. A tight one must stand within a clause: no comma between its words.
    """

    text: str
    targets: tuple[Target, ...]
    slots: tuple[Slot, ...] = ()
    weight: float = 1.0
    anchor: int = 0
    topic: bool = False
    tight: bool = False
    quantity: Quantity | None = None


@dataclass(slots=True)
class Branch:
    """A tree of wordings, stem by stem. names: concepts of which the stems so far are a wording."""

    names: list[str] = field(default_factory=list)
    further: dict[str, Branch] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Everything compiled. wordings: of all concepts. patterns: by the anchor's names."""

    lexicon: Lexicon
    wordings: Branch
    patterns: Mapping[str, tuple[Pattern, ...]]
    topics: frozenset[str]
    fillers: frozenset[str]
    articles: frozenset[str]
    units: tuple[Unit, ...]
    unit_words: frozenset[str]

    def all_patterns(self) -> Iterator[Pattern]:
        """Every pattern once, topics included."""
        seen: set[Pattern] = set()
        for group in self.patterns.values():
            for pattern in group:
                if pattern not in seen:
                    seen.add(pattern)
                    yield pattern


@cache
def vocabulary() -> Vocabulary:
    """The wording that ships with the package."""
    return compiled(tomllib.loads(files("witnessmark").joinpath("diagnosis/knowledge/phrases.toml").read_text("utf-8")))


def compiled(table: Mapping[str, Any]) -> Vocabulary:
    """Compile the file's tables; ValueError names the row that uses an unknown concept or state."""
    concepts: dict[str, list[str]] = {**table["concepts"], "DECOY": table["decoys"]["words"]}
    short = {key: tuple(words.split()) for key, words in table["words"]["abbreviations"].items()}
    patterns = [
        replace(pattern, slots=_slots(pattern.text, short))
        for pattern in (*_phrases(table["phrase"]), *_topics(table["topic"]), *_quantities(table["quantity"]))
    ]
    names = {name for pattern in patterns for slot in pattern.slots for name in slot.names}
    wordings = _wordings(concepts, names, short)
    lists = table["words"]["lists"]
    units = tuple(_unit(row) for row in table["unit"])
    lexicon = Lexicon(
        abbreviations=short,
        stems=frozenset(word for stems, _ in wordings for word in stems),
        plain=frozenset(stem(word.lower()) for word in lists["plain"].split()),
    )
    return Vocabulary(
        lexicon=lexicon,
        wordings=_tree(wordings),
        patterns=_by_anchor(patterns, {name: len(words) for name, words in concepts.items()}),
        topics=frozenset(table["heads"]["names"]),
        fillers=frozenset(stem(word) for word in lists["function"].split()),
        articles=frozenset(stem(word) for word in lists["articles"].split()),
        units=units,
        unit_words=frozenset(word for unit in units for word in unit.words),
    )


def _phrases(rows: Iterable[Mapping[str, Any]]) -> Iterator[Pattern]:
    for row in rows:
        state = row.get("state", "present")
        if state not in STATES:
            raise ValueError(f"phrase for {row['findings']}: no such state as {state}")
        targets: tuple[Target, ...] = tuple((finding, state) for finding in row["findings"])
        for words in row["words"]:
            yield Pattern(words, targets, weight=row.get("weight", 1.0), tight=row.get("tight", False))


def _topics(rows: Iterable[Mapping[str, Any]]) -> Iterator[Pattern]:
    for row in rows:
        three_way, ok = row.get("three_way", False), row.get("ok", ["OK"])
        says: list[tuple[str, list[str], State]] = [
            ("|".join(ok), row["findings"] if ok else [], "normal" if three_way else "absent"),
            ("LOW", row["findings"] if three_way else [], "low"),
            ("HIGH", row["findings"] if three_way else [], "high"),
            ("BAD", row.get("bad", []), "present"),
        ]
        for words in row["words"]:
            yield Pattern(words, tuple((f, "unknown") for f in row["findings"]), topic=True)
            for suffix, findings, state in says:
                text = f"{words} {suffix}"
                if findings:
                    targets = tuple((f, state) for f in findings)
                    yield Pattern(text, targets, weight=row.get("weight", 1.0), tight=True)


def _quantities(rows: Iterable[Mapping[str, Any]]) -> Iterator[Pattern]:
    for row in rows:
        own = tuple((limit["finding"], float(limit["high"])) for limit in row.get("own", ()))
        names, bare = tuple(row.get("readings", ())), tuple(row.get("bare", ()))
        quantity = Quantity(names, own, row["dimension"], row.get("form", "value"), bare)
        for words in row["words"]:
            yield Pattern(words, (), quantity=quantity)


def _unit(row: Mapping[str, Any]) -> Unit:
    words = frozenset(stem(word) for word in row["words"])
    numbers = (float(row["factor"]), float(row.get("offset", 0.0)), float(row.get("most", "inf")))
    return Unit(row["name"], row["dimension"], words, *numbers)


def _slots(text: str, short: Mapping[str, tuple[str, ...]]) -> tuple[Slot, ...]:
    parts = [(part.removeprefix(">"), part.startswith(">")) for part in text.split()]
    return tuple(Slot(tuple(_name(n, short) for n in names.split("|")), after) for names, after in parts)


def _name(name: str, short: Mapping[str, tuple[str, ...]]) -> str:
    """A concept as it is, a literal word as it comes out of the tokeniser."""
    return name if name.isupper() else "".join(stem(word) for word in short.get(name, (name,)))


_Wording = tuple[tuple[str, ...], str]


def _wordings(
    concepts: Mapping[str, list[str]], used: Iterable[str], short: Mapping[str, tuple[str, ...]]
) -> list[_Wording]:
    """Stems and concept of every wording; a literal word of a pattern is its own concept."""
    found = {(_stems(text, short), name) for name, texts in concepts.items() for text in texts}
    for name in sorted(used):
        if name.isupper() and name not in concepts:
            raise ValueError(f"a pattern uses the concept {name}, which is not defined")
        if not name.isupper():
            found.add(((name,), name))
    return sorted(found)


def _tree(wordings: Iterable[_Wording]) -> Branch:
    root = Branch()
    for stems, name in wordings:
        branch = root
        for word in stems:
            branch = branch.further.setdefault(word, Branch())
        branch.names.append(name)
    return root


def _stems(text: str, short: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(stem(part) for word in text.split() for part in short.get(word, (word,)))


def _by_anchor(patterns: Iterable[Pattern], counts: Mapping[str, int]) -> dict[str, tuple[Pattern, ...]]:
    found: dict[str, list[Pattern]] = {}
    for pattern in patterns:
        sizes = [sum(counts.get(name, 1) for name in slot.names) for slot in pattern.slots]
        anchor = sizes.index(min(sizes))
        for name in pattern.slots[anchor].names:
            found.setdefault(name, []).append(replace(pattern, anchor=anchor))
    return {name: tuple(group) for name, group in found.items()}
