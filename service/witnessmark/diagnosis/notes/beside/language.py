"""In which language a note is written, by its little words, and whether that language is read."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from functools import cache

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.notes.tokens import fold
from witnessmark.reference import SourceId

ENGLISH, UNCERTAIN, OTHER = "English", "not certain", "another"
_WORD = re.compile(r"[^\W\d_]+")
_LEAST = 2
"""Little words of a language that must be found before a note counts as written in it."""
_LATIN = re.compile(r"[a-z]")
_SHARE = 1.5
"""So many times as much as English must another language have: job notes are English with gaps."""


class LanguageWords(Row):
    """The whole file: the languages that are read, and the little words of each known one."""

    source: SourceId
    reviewed: str
    read: tuple[str, ...]
    words: dict[str, str]


LANGUAGES = data.table(PACKAGE, f"{FOLDER}/language.toml", LanguageWords)


@dataclass(frozen=True, slots=True)
class Language:
    """Name of the language, `not certain` or `another`; read: whether findings are read from it."""

    name: str
    read: bool


@cache
def _languages_of() -> dict[str, tuple[str, ...]]:
    """For each little word the languages that have it."""
    table: dict[str, tuple[str, ...]] = {}
    for language, words in LANGUAGES().words.items():
        for word in set(words.split()):
            table[word] = (*table.get(word, ()), language)
    return table


def language_of(text: str) -> Language:
    """The language of a note. A note with too few little words is `not certain` and is read."""
    words = _WORD.findall(fold(text)[0])
    if words and sum(bool(_LATIN.match(word)) for word in words) * 2 < len(words):
        return Language(OTHER, read=False)
    votes: Counter[str] = Counter()
    for word in set(words):
        languages = _languages_of().get(word, ())
        votes.update(dict.fromkeys(languages, 1.0 if ENGLISH in languages else 1 / max(len(languages), 1)))
    if not votes or max(votes.values()) < _LEAST:
        return Language(UNCERTAIN, read=True)
    best = max(LANGUAGES().words, key=lambda name: (votes[name], name == ENGLISH))
    best = best if votes[best] > _SHARE * votes[ENGLISH] else ENGLISH
    return Language(best, read=best in LANGUAGES().read)
