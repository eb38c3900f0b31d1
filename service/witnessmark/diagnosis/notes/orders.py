"""Work orders: clauses that name parts and work and say of nothing how it is, in which nothing learned is believed.

Short lines without a finding are the commonest thing that people write, and sentences to learn from have few of them: a
reader of single words hears a finding in the name of a part.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.notes.mentions import Clause, Sentence
from witnessmark.diagnosis.notes.phrase_rows import PHRASES
from witnessmark.diagnosis.notes.tokens import is_asset, stem
from witnessmark.reference import SourceId


class Orders(Row):
    """The whole file; each a list of words parted by blanks."""

    source: SourceId
    reviewed: str
    plant: str
    parts: str
    work: str
    places: str
    trouble: str
    calm: str
    filling: str


ORDERS = data.table(PACKAGE, f"{FOLDER}/orders.toml", Orders)


def names_only(clauses: Sequence[Clause], named: Iterable[tuple[int, int]]) -> bool:
    """Whether words (characters `named`) that decided a finding are names alone, in clauses that say nothing of them.

    Words of trouble that name nothing say something of a part, and nothing of the machine as a whole.
    """
    places = [*named]
    return bool(places) and all(any(_within(clause, start, end) for clause in clauses) for start, end in places)


def calm_stems() -> frozenset[str]:
    """Names of plant, parts, work and places, and words that say that all is well, as stems."""
    return _stems("plant", "parts", "work", "places", "calm")


def bare(sentence: Sentence, tokens: frozenset[int]) -> bool:
    """Whether a clause says nothing but these tokens: of which machine, and words that add nothing, do not count.

    So short a note gives a reader of single words nothing to go by, while the wording leaves nothing open.
    """
    words = (token.stem for k, token in enumerate(sentence.tokens) if k not in tokens and k not in sentence.idle)
    return all(word in _stems("plant", "filling") or is_asset(word) for word in words)


def _within(clause: Clause, start: int, end: int) -> bool:
    if not clause.start <= start < clause.end:
        return False
    further = _further(clause)
    word = {clause.sentence.tokens[k].stem for k in clause.tokens_of(start, end)}
    return not further or (further <= _stems("trouble") and word.isdisjoint(_stems("parts")))


def _further(clause: Clause) -> frozenset[str]:
    """The words of the clause that are no names, work or places, and no word without meaning."""
    words = ((k, token.stem) for k, token in enumerate(clause.sentence.tokens) if token.kind == "word")
    further = (word for k, word in words if k not in clause.sentence.idle and not is_asset(word))
    return frozenset(further) - _stems("plant", "parts", "work", "places")


@cache
def _stems(*lists: str) -> frozenset[str]:
    """Words of these lists as they come out of the tokeniser."""
    short = PHRASES().words.abbreviations
    words = [word for name in lists for word in str(getattr(ORDERS(), name)).split()]
    return frozenset(stem(part) for word in words for part in short.get(word, word).split())
