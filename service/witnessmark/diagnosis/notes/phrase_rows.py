"""The rows of knowledge/phrases.toml: what each table of the wording may hold. How it is read: see vocabulary.py."""

from __future__ import annotations

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.reference import SourceId


class PhraseRow(Row):
    """Words that put findings in a state; without findings they mean something else and are read as a whole.

    firm: words so plain that the learned reader has no say in them.
    """

    findings: tuple[str, ...]
    words: tuple[str, ...]
    state: ReportState = "present"
    weight: float = 1.0
    tight: bool = False
    firm: bool = False


class TopicRow(Row):
    """What one can report on, and the findings that its being OK, LOW, HIGH or BAD speaks of."""

    findings: tuple[str, ...]
    words: tuple[str, ...]
    ok: tuple[str, ...] = ("OK",)
    bad: tuple[str, ...] = ()
    three_way: bool = False
    weight: float = 1.0


class WordLists(Row):
    """Words without meaning, words that may stand inside a wording, words that are no misspelt trade words."""

    function: str
    articles: str
    plain: str


class Words(Row):
    """Short forms with the words they stand for, and lists of words."""

    abbreviations: dict[str, str]
    lists: WordLists


class Heads(Row):
    """Concepts that are the things one reports on."""

    names: tuple[str, ...]


class Decoys(Row):
    """Expressions that hold trade words and say nothing of a compressor."""

    words: tuple[str, ...]


class InsteadRow(Row):
    """Findings that the learned reader takes the words of another for."""

    finding: str
    of: tuple[str, ...]


class Phrases(Row):
    """The whole file."""

    source: SourceId
    reviewed: str
    words: Words
    concepts: dict[str, tuple[str, ...]]
    heads: Heads
    decoys: Decoys
    phrase: tuple[PhraseRow, ...]
    topic: tuple[TopicRow, ...]
    instead: tuple[InsteadRow, ...] = ()


PHRASES = data.table(PACKAGE, f"{FOLDER}/phrases.toml", Phrases)


class OtherLanguage(Row):
    """Words of another language for the concepts of the wording, and wording of its own."""

    source: SourceId
    reviewed: str
    concepts: dict[str, tuple[str, ...]]
    phrase: tuple[PhraseRow, ...]


SPANISH = data.table(PACKAGE, f"{FOLDER}/spanish.toml", OtherLanguage)
