"""A column that says whether something runs, in words: those that are known as 1 and 0, others are refused by name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import cache

import numpy as np

from witnessmark import data
from witnessmark.errors import InputError
from witnessmark.trend.channels import Array

LEAST_SHARE = 0.01
"""Share of the rows up to which an unknown word is a reading that is missing."""
MOST_SHOWN = 5


class FlagWords(data.Row):
    """Words for running, for standing, and for no reading, in small letters."""

    running: tuple[str, ...]
    standing: tuple[str, ...]
    nothing: tuple[str, ...]


WORDS = data.table(__package__, "words.toml", FlagWords)


@data.checked
def _no_word_for_both() -> None:
    words = WORDS()
    both = {*words.running} & {*words.standing} | ({*words.running, *words.standing} & {*words.nothing})
    if both:
        raise data.DataError([f"trend/reading/words.toml: {', '.join(sorted(both))} stand for two things"])


@cache
def _meaning() -> dict[str, float]:
    words = WORDS()
    known = dict.fromkeys(words.running, 1.0) | dict.fromkeys(words.standing, 0.0)
    return known | dict.fromkeys(words.nothing, float("nan"))


def told(texts: Sequence[str], field: str) -> Array:
    """What the cells of a column say: 1, 0 or nothing. Errors: InputError (field) naming words that are not known."""
    plain = [" ".join(text.split()).casefold() for text in texts]
    meaning = {word.casefold(): value for word, value in _meaning().items()}
    unknown = Counter(word for word in plain if word not in meaning and not _is_number(word))
    if unknown.total() > LEAST_SHARE * len(plain):
        shown = ", ".join(repr(word[:30]) for word, _ in unknown.most_common(MOST_SHOWN))
        fault = f"words that do not say whether it runs: {shown}"
        raise InputError(field, fault, "1 and 0, or words such as on and off, yes and no, running and stopped")
    return np.array([meaning.get(word, np.nan) for word in plain], np.float64)


def _is_number(word: str) -> bool:
    try:
        float(word.replace(",", "."))
    except ValueError:
        return False
    return True
