"""Job-note text to tokens: folding, splitting, stems, abbreviations and bounded spelling correction.

Every token keeps the character span of the note it came from, so that a reader can see which words counted. All steps
are linear in the length of the text; nothing here knows what a compressor is. Method: suffix stripping and deletion
neighbourhoods as commonly used in information retrieval; edit distance after Damerau (1964), Communications of the ACM
7(3), in the restricted form (one transposition of neighbours counts as one edit).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from itertools import combinations
from typing import Literal

Kind = Literal["word", "number", "sign", "pause", "stop"]

_AIRCON = r"(?<![^\W_])(?:a/?c|a[/-]con[a-z]*|air[ /-]?con(?:d|s|ds|di[a-z]*)?|aires? acondicionados?)(?![^\W_])"
"""An air conditioner as people write it: a/c, a/con, air con, air-cond, aircon, air conditioning; also in Spanish."""
_ASSET = r"(?<![^\W_])(?!(?:r|hfc|hcfc|cfc|iso|hp|lp|sp|dp|sh|sc)\d)[a-z]{1,4}\d{3,6}[a-z]?(?![^\W_])"
"""Letters glued to three digits or more: the number of a machine, an order or a part, but no refrigerant or reading."""
NAMES = rf"{_AIRCON}|{_ASSET}"
"""What is one word however it is written."""
AIRCON = "aircon"
_IS_AIRCON, _IS_ASSET = re.compile(_AIRCON), re.compile(_ASSET)

_PIECE = re.compile(
    rf"{NAMES}|"
    r"\d+(?:,\d{3})+(?!\d)(?:\.\d+)?|\d+(?:[.,]\d+)?|\.\d+"  # 1,200  0.4  0,4  .4
    r"|(?<![^\W_])(?:[^\W\d_]\d+[a-z]?|r-?\d{2,4}[a-z]{0,3}|[^\W\d_]{2}\d{3,5})(?![^\W_])"  # t1, r410a, ok5862
    r"|[^\W\d_]+(?:['’`´][^\W\d_]+)*|\n|[^\w\s]"  # words with an apostrophe; marks
)
_PAUSES = frozenset(",()[]|:-–—")
_STOPS = frozenset(".;!?\n")
_SHORTEST_INDEXED, _SHORTEST_CORRECTED = 4, 6
_LONGEST_CORRECTED = 16
_TWO_EDITS_FROM = 9
_ONE_EDIT, _TWO_EDITS = 0.92, 0.84
OF_ALARM = 0.95
"""Quality of a word of alarm that was spelt with a slip."""
_EXPANSION, _GROWTH = 4, 1000
"""Letters that one may turn into, and by which the whole text may grow: more of that is no writing."""
_KEPT, _LONGEST_KEPT = 1 << 13, 24
"""Words of which it is kept what they turn into, and how long they may be."""
_MANY = 3
_NUMBERED = 20
_THOUSANDS = re.compile(r"\d+(?:,\d{3})+(?:\.\d+)?")


def one_spelling(text: str) -> str:
    """The text (lower case) with every way to write an air conditioner as AIRCON."""
    return _IS_AIRCON.sub(AIRCON, text)


def is_asset(word: str) -> bool:
    """Whether it is the number of a machine, an order or a part (`cr871`), which means nothing by itself."""
    return _IS_ASSET.fullmatch(word) is not None


@dataclass(frozen=True, slots=True)
class Token:
    """One word, number or mark: `stem` is compared, `start` and `end` are characters of the note, `quality` is 0..1.

    capital: written with a capital and small letters, as names are.
    """

    stem: str
    kind: Kind
    start: int
    end: int
    quality: float = 1.0
    value: float = 0.0
    capital: bool = False


@dataclass(frozen=True)
class Lexicon:
    """What words may turn into: abbreviations (to one or more words), known stems, words never to be corrected.

    alarm: the word of alarm that is meant by one with a slip, however short; None where none is.
    same: the long word of alarm that sounds exactly like one; None where none does.
    """

    abbreviations: Mapping[str, tuple[str, ...]]
    stems: frozenset[str]
    plain: frozenset[str]
    alarm: Callable[[str], str | None] = lambda _: None
    same: Callable[[str], str | None] = lambda _: None
    _neighbours: dict[str, tuple[str, ...]] = field(init=False, repr=False, compare=False)
    words: Callable[[str], tuple[tuple[str, float], ...]] = field(init=False, repr=False, compare=False)
    """What a word turns into, and how good that is; kept for the next time."""

    def __post_init__(self) -> None:
        table: dict[str, set[str]] = {}
        for word in sorted(self.stems):
            if len(word) >= _SHORTEST_INDEXED:
                for shorter in _deletions(word, _edits(word)):
                    table.setdefault(shorter, set()).add(word)
        object.__setattr__(self, "_neighbours", {key: tuple(sorted(words)) for key, words in table.items()})
        object.__setattr__(self, "words", lru_cache(_KEPT)(partial(_words, lexicon=self)))

    def correct(self, word: str) -> tuple[str, float]:
        """The known stem nearest to `word` and how good that is; the word itself and 1 when there is none."""
        if word in self.stems or word in self.plain or len(word) > _LONGEST_CORRECTED:
            return word, 1.0
        near = {known for key in _deletions(word, _edits(word)) for known in self._neighbours.get(key, ())}
        ranked = sorted((distance(word, known), known) for known in near if _same_beginning(word, known))
        allowed = [(edits, known) for edits, known in ranked if edits <= min(_edits(word), _edits(known))]
        if not allowed:
            return word, 1.0
        return allowed[0][1], _ONE_EDIT if allowed[0][0] == 1 else _TWO_EDITS


def _edits(word: str) -> int:
    return 1 if len(word) < _TWO_EDITS_FROM else 2


def _deletions(word: str, most: int) -> Iterator[str]:
    yield word
    for count in range(1, most + 1):
        for gone in combinations(range(len(word)), count):
            yield "".join(letter for k, letter in enumerate(word) if k not in gone)


def _same_beginning(word: str, known: str) -> bool:
    """People seldom get the first letter wrong; `siezed` and `esized` may swap the first two."""
    return word[0] == known[0] or word[:2] == known[1::-1]


def distance(word: str, other: str) -> int:
    """Restricted Damerau-Levenshtein distance: insert, delete, replace a letter, or swap two neighbours."""
    before: list[int] = []
    last = list(range(len(other) + 1))
    for i, a in enumerate(word, 1):
        row = [i]
        for j, b in enumerate(other, 1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and word[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        before, last = last, row
    return last[-1]


def fold(text: str) -> tuple[str, list[int]]:
    """Lower case, compatibility forms and no accents; with the position in `text` of every folded character."""
    if text.isascii():
        return text.lower(), list(range(len(text)))
    letters: list[str] = []
    places: list[int] = []
    for place, letter in enumerate(text):
        parts = _plain_letters(letter)
        for part in parts if len(letters) - place < _GROWTH else parts[:1]:
            letters.append(part)
            places.append(place)
    return "".join(letters), places


@lru_cache(maxsize=4096)
def _plain_letters(letter: str) -> str:
    if letter.isascii():
        return letter.lower()
    parts = unicodedata.normalize("NFKD", letter).casefold()[:_EXPANSION]
    return "".join(part for part in parts if unicodedata.category(part) not in {"Mn", "Cf", "Cs"})


def stem(word: str) -> str:
    """The word without plural, -ed and -ing, last letters single: knocks, knocked, knocking -> knock."""
    word = word.replace("’", "'").removesuffix("'s")
    if len(word) <= _MANY:
        return word
    for ending, rest in (("ies", "y"), ("sses", "s"), ("shes", "sh"), ("ches", "ch"), ("xes", "x")):
        if word.endswith(ending):
            return word.removesuffix(ending) + rest
    word = _without_ending(word)
    word = word[:-1] if len(word) > _MANY and word.endswith("e") else word
    while len(word) > _MANY and word[-1] == word[-2]:
        word = word[:-1]
    return word


def _without_ending(word: str) -> str:
    word = word[:-1] if word.endswith("s") and word[-2] not in "sui" else word
    for ending in ("ing", "ed"):
        rest = word.removesuffix(ending)
        if rest != word and len(rest) >= _MANY and any(vowel in rest for vowel in "aeiouy"):
            return rest
    return word


@dataclass(frozen=True, slots=True)
class _Piece:
    text: str
    start: int
    end: int


def tokens(text: str, lexicon: Lexicon) -> list[Token]:
    """All tokens of the note in order. An abbreviation of several words gives several tokens with one span."""
    folded, places = fold(text)
    pieces = [_Piece(m.group(), places[m.start()], places[m.end() - 1] + 1) for m in _PIECE.finditer(folded)]
    read: list[Token] = []
    for piece in _without_hyphens(list(_joined(pieces, lexicon.abbreviations))):
        read.extend(_read(piece, lexicon))
    return _without_numbering(_without_false_stops(_capitals(read, text), text, lexicon))


def _capitals(read: list[Token], text: str) -> list[Token]:
    """Words that are written as names are."""
    if text.islower():
        return read
    return [replace(t, capital=True) if t.kind == "word" and _capital(text[t.start : t.end]) else t for t in read]


def _capital(word: str) -> bool:
    return word[0].isupper() and word[1:].islower()


def _joined(pieces: list[_Piece], abbreviations: Mapping[str, tuple[str, ...]]) -> Iterator[_Piece]:
    """Put `s/h`, `w/o`, `a/c` back together where the list knows them."""
    k = 0
    while k < len(pieces):
        whole = _whole(pieces, k)
        if whole is not None and whole.text in abbreviations:
            yield whole
            k += _MANY
        else:
            yield pieces[k]
            k += 1


def _whole(pieces: list[_Piece], k: int) -> _Piece | None:
    """Three pieces that touch, with a mark that joins between them."""
    if k + 2 >= len(pieces) or pieces[k + 1].text not in {"/", "&", "-"}:
        return None
    first, mark, last = pieces[k : k + 3]
    touching = first.end == mark.start and mark.end == last.start
    return _Piece(first.text + mark.text + last.text, first.start, last.end) if touching else None


def _without_hyphens(pieces: list[_Piece]) -> Iterator[_Piece]:
    """A hyphen that touches a word on either side joins (`over-current`, `SH-2K`); between numbers it stays."""
    for k, piece in enumerate(pieces):
        inner = piece.text == "-" and 0 < k < len(pieces) - 1
        if not inner or not _joins(*pieces[k - 1 : k + 2]):
            yield piece


def _joins(before: _Piece, hyphen: _Piece, after: _Piece) -> bool:
    touched = before.end == hyphen.start and hyphen.end == after.start
    return touched and not (before.text[-1].isdecimal() and after.text[0].isdecimal())


def _read(piece: _Piece, lexicon: Lexicon) -> Iterable[Token]:
    first = piece.text[0]
    if first in "&+":
        return [Token("and", "word", piece.start, piece.end)]
    if first.isdecimal() or (first == "." and len(piece.text) > 1):
        return [Token(piece.text, "number", piece.start, piece.end, value=number(piece.text))]
    if first.isalpha():
        short = len(piece.text) <= _LONGEST_KEPT
        words = lexicon.words(piece.text) if short else _words(piece.text, lexicon)
        return [Token(word, "word", piece.start, piece.end, quality) for word, quality in words]
    kind: Kind = "pause" if first in _PAUSES else "stop" if first in _STOPS else "sign"
    return [Token(first, kind, piece.start, piece.end)]


def number(text: str) -> float:
    """`1,200` is a thousand and two hundred, `0,4` is four tenths; infinity where there are too many digits."""
    if _THOUSANDS.fullmatch(text):
        return float(text.replace(",", ""))
    return float(text.replace(",", "."))


def _without_numbering(sequence: list[Token]) -> list[Token]:
    """`No 2 compressor`, `comp no. 3`: a number, not a denial."""
    kept = list(sequence)
    for k in (k for k, token in enumerate(sequence[:-1]) if token.stem == "no"):
        after = sequence[k + 2] if sequence[k + 1].stem == "." and k + 2 < len(sequence) else sequence[k + 1]
        small = after.kind == "number" and after.value <= _NUMBERED and after.value == int(after.value)
        glued = any(other.start == after.end and other.kind == "word" for other in sequence[k + 2 : k + 4])
        if small and not glued:
            kept[k] = replace(sequence[k], stem="number")
    return kept


def _words(text: str, lexicon: Lexicon) -> tuple[tuple[str, float], ...]:
    text = one_spelling(text.replace("’", "'").replace("`", "'").replace("´", "'"))
    if text in lexicon.abbreviations:
        return tuple((stem(word), 1.0) for word in lexicon.abbreviations[text])
    if same := lexicon.same(text):
        return ((stem(same), OF_ALARM),)
    root = stem(text)
    if root in lexicon.stems or root in lexicon.plain:
        return ((root, 1.0),)
    if meant := lexicon.alarm(text):
        return ((stem(meant), OF_ALARM),)
    short = len(text) < _SHORTEST_CORRECTED or len(root) < _SHORTEST_INDEXED
    return ((root, 1.0),) if short else (lexicon.correct(root),)


def _without_false_stops(sequence: list[Token], text: str, lexicon: Lexicon) -> list[Token]:
    """`comp. knocks`: a full stop between a short form and a small letter is a pause, not the end of a sentence."""
    kept = list(sequence)
    for k in (k for k in range(1, len(sequence) - 1) if sequence[k].stem == "."):
        before, token, after = sequence[k - 1 : k + 2]
        small = after.kind == "word" and text[after.start].islower()
        if small and text[before.start : before.end].lower() in lexicon.abbreviations:
            kept[k] = replace(token, kind="pause")
    return kept
