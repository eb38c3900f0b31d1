"""Words of knowledge/numbers.toml compiled into one tree, and where they stand in a note."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from witnessmark.diagnosis.notes.numbers.words.lexer import Lexeme, lexemes
from witnessmark.diagnosis.notes.numbers.words.rows import NUMBERS, NumberWords, QuantityRow, UnitRow

WITH_UNIT = "!"
"""Behind the name of a quantity that a label names only for numbers with a unit."""


class Found(NamedTuple):
    """The longest term of a kind at a place: one past its last lexeme, and what it may stand for."""

    end: int
    names: tuple[str, ...]


@dataclass(slots=True)
class Branch:
    """A tree of terms, lexeme by lexeme. names: by kind, what the lexemes so far may stand for."""

    names: dict[str, tuple[str, ...]] = field(default_factory=dict)
    further: dict[str, Branch] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Terms:
    """Everything compiled. glued: unit words that count only where they touch the number or stand in capitals."""

    root: Branch
    quantities: Mapping[str, QuantityRow]
    units: Mapping[str, UnitRow]
    glued: frozenset[str]


@cache
def terms() -> Terms:
    """The words that ship with the package."""
    return compiled(NUMBERS())


def compiled(file: NumberWords) -> Terms:
    """One tree of all words; a word may be of several kinds and stand for several things."""
    root = Branch()
    for kind, name, words in _all(file):
        branch = root
        for lexeme in lexemes(words):
            branch = branch.further.setdefault(lexeme.text, Branch())
        branch.names[kind] = tuple(dict.fromkeys((*branch.names.get(kind, ()), name)))
    return Terms(
        root,
        {row.id: row for row in file.quantity},
        {row.name: row for row in file.unit},
        frozenset(word for row in file.unit for word in row.glued),
    )


def _all(file: NumberWords) -> Iterator[tuple[str, str, str]]:
    yield from (
        ("touching" if row.touching else "label", f"{name}{WITH_UNIT if row.with_unit else ''}", words)
        for row in file.label
        for words in row.words
        for name in row.quantities
    )
    yield from (("unit", row.name, words) for row in file.unit for words in row.words)
    yield from ((kind, kind, words) for kind, texts in file.words.items() for words in texts)
    for row in file.tag:
        places = enumerate(row.places)
        yield from (("tag", f"{row.set}:{k}", words) for k, texts in places for words in texts)


def find(read: Sequence[Lexeme], root: Branch) -> list[dict[str, Found]]:
    """For each lexeme the longest term of each kind that begins there."""
    texts = [one.text.removesuffix("'s") for one in read]
    return [_at(texts, k, root) for k in range(len(texts))]


_NOTHING: dict[str, Found] = {}


def _at(texts: Sequence[str], k: int, root: Branch) -> dict[str, Found]:
    branch = root.further.get(texts[k])
    if branch is None:
        return _NOTHING
    found: dict[str, Found] = {}
    end = k + 1
    while branch is not None:
        for kind, names in branch.names.items():
            found[kind] = Found(end, names)
        branch = branch.further.get(texts[end]) if end < len(texts) else None
        end += 1
    return found
