"""In which language a note is written, by its little words, and whether that language is read."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from functools import cache

from pydantic import Field

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
    """The whole file: the languages that are read, those of which danger is, and the little words of each known one."""

    source: SourceId
    reviewed: str
    read: tuple[str, ...]
    danger: tuple[str, ...]
    letters: dict[str, str]
    no_denial: dict[str, dict[str, str]] = Field(alias="no-denial")
    words: dict[str, str]


LANGUAGES = data.table(PACKAGE, f"{FOLDER}/language.toml", LanguageWords)


@dataclass(frozen=True, slots=True)
class Language:
    """Name of the language, `not certain` or `another`; read: whether findings are read from it."""

    name: str
    read: bool

    @property
    def danger(self) -> bool:
        """Whether its words of danger are known, and how they are told."""
        return self.read or self.name in LANGUAGES().danger

    @property
    def no_denial(self) -> dict[str, str]:
        """Words that deny something elsewhere and nothing in this language, with what they are read as."""
        return LANGUAGES().no_denial.get(self.name, {})


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
    letters = set(text.lower())
    votes.update(name for name, of_it in LANGUAGES().letters.items() if not letters.isdisjoint(of_it))
    if not votes or max(votes.values()) < _LEAST:
        return Language(UNCERTAIN, read=True)
    best = max(LANGUAGES().words, key=lambda name: (votes[name], name == ENGLISH))
    best = best if votes[best] > _SHARE * votes[ENGLISH] else ENGLISH
    return Language(best, read=best in LANGUAGES().read)
