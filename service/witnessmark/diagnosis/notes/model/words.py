"""Text to words with their places, and the n-grams of words and letters that the learned reader weighs.

Accents and case do not count (Spanish is often written without), numbers count by their size. Linear in the text.
"""

from __future__ import annotations

import math
import re
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from witnessmark.diagnosis.notes.tokens import AIRCON, NAMES, fold, is_asset, number, one_spelling

_PIECE = re.compile(rf"{NAMES}|" r"\d+(?:[.,]\d+)*|\.\d+|[^\W\d_]+(?:'[^\W\d_]+)*|[^\w\s]|\n")
_STOPS = frozenset(".;!?\n")
_NUMBERED = "#id"
"""What the number of a machine, an order or a part counts as."""
LONGEST_UNIT = 45
"""Words after which a text without stops is cut: as long as the longest line that was learned from."""
PACKED = 12
"""Words of sentences that are read together: a middling line that was learned from."""
MOST = 5000
"""Words that are read: a note of 20,000 characters has some 4,000."""
_LONGEST_WORD = 24
_AC = {AIRCON: "ac"}
"""The shortest spelling has no letters in common with a stream of air."""
_GRAMS = (2, 3, 4, 5)
_MOST_DIGITS = 15


@dataclass(frozen=True, slots=True)
class Word:
    """A word, number or mark: `text` is compared, `size` is finer for numbers, `start` and `end` are characters."""

    text: str
    size: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Gram:
    """A feature of the text: its key and the words `first` to `last` (included) that it is made of."""

    key: int
    first: int
    last: int


@lru_cache(1 << 16)
def key(text: str) -> int:
    """32 bits that stand for a feature; the same on every machine."""
    return zlib.crc32(text.encode())


def words(text: str) -> list[Word]:
    """The first MOST words, numbers and marks in order; a mark repeated at once counts once."""
    folded, places = fold(text.replace("’", "'"))
    read: list[Word] = []
    for m in _PIECE.finditer(folded):
        if read and read[-1].text == m.group() and not m.group().isalnum():
            continue
        read.append(Word(*_compared(m.group()), places[m.start()], places[m.end() - 1] + 1))
        if len(read) == MOST:
            break
    return read


@lru_cache(4096)
def _compared(piece: str) -> tuple[str, str]:
    """What counts of a word (itself) or of a number: its power of ten, and a third of that for the finer size."""
    if not (piece[0].isdecimal() or (piece[0] == "." and len(piece) > 1)):
        return _NUMBERED if is_asset(piece) else _AC.get(one_spelling(piece), piece[:_LONGEST_WORD]), ""
    plain = re.sub(r",(?=\d{3}(?!\d))", "", piece).replace(",", ".")
    value = number(plain) if plain.count(".") <= 1 and len(plain) <= _MOST_DIGITS else 0.0
    if value <= 0:
        return "#z", "#z"
    decades = math.log10(value)
    return f"#{math.floor(decades)}", f"#{math.floor(3 * decades)}"


def units(sequence: Sequence[Word]) -> Iterator[Sequence[Word]]:
    """Sentences read together while they have at most PACKED words; a text without stops is cut at LONGEST_UNIT."""
    start = end = 0
    for sentence in _sentences(len(sequence), [k for k, word in enumerate(sequence) if word.text in _STOPS]):
        if start < end and sentence - start > PACKED:
            yield sequence[start:end]
            start = end
        end = sentence
    if start < end:
        yield sequence[start:end]


def _sentences(count: int, stops: Sequence[int]) -> Iterator[int]:
    """The end of each sentence, a long one cut."""
    start = 0
    for stop in (*(stop + 1 for stop in stops), count):
        yield from range(start + LONGEST_UNIT, stop, LONGEST_UNIT)
        start = stop
        yield stop


def word_key(word: str) -> int:
    """The key of a single word."""
    return key(f"w {word}")


def word_grams(sequence: Sequence[Word]) -> Iterator[Gram]:
    """One, two and three words in a row."""
    for first, word in enumerate(sequence):
        text = f"w {word.text}"
        yield Gram(key(text), first, first)
        for last in range(first + 1, min(first + 3, len(sequence))):
            text = f"{text} {sequence[last].text}"
            yield Gram(key(text), first, last)


def letter_grams(sequence: Sequence[Word]) -> Iterator[Gram]:
    """Two to five letters of a word, its beginning and end marked."""
    for place, word in enumerate(sequence):
        for one in letters(word.text):
            yield Gram(one, place, place)


@lru_cache(4096)
def letters(word: str) -> tuple[int, ...]:
    """Keys of the runs of letters of a word; none of a number or a mark."""
    if not word[0].isalpha():
        return ()
    marked = f"<{word}>"
    return tuple(key(f"c {marked[k : k + n]}") for n in _GRAMS for k in range(len(marked) - n + 1))
