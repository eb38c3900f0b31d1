"""The characters of a note as numbers, words and marks with their places; linear in the length of the note.

`0,4`, `.4`, `1,200`, `2½`, `two point five`, `a hundred and eighteen` and `half` are numbers; times of day, dates,
names of refrigerants and short codes (`L1`, `R410A`) are words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875}
_SAME = {
    **dict.fromkeys("µμ", "u"),
    **dict.fromkeys("ΩΩ", "ω"),
    **dict.fromkeys("º˚", "°"),
    **dict.fromkeys("−–—‐‑", "-"),
    **dict.fromkeys("’‘´`", "'"),
    **dict.fromkeys("″“”", '"'),
    **dict.fromkeys("\u00a0\u2009\u202f\t\r", " "),
    "℃": "c",
    "℉": "f",
    "×": "x",
    "≈": "~",
    "Δ": "δ",
}
_WIDE = {code: chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)}
_PLAIN = str.maketrans(_SAME) | _WIDE
_WORD, _NUMBER, _TIME = "w", "n", "t"
_LEXEME = re.compile(
    r"(?P<t>\d{1,2}[:h]\d{2}(?::\d{2})?(?![\d.])|\d{1,2}/\d{1,2}/(?:19|20)\d\d(?!\d)|\d{1,2}/(?:19|20)\d\d(?!\d)|(?:19|20)\d\d-\d\d-\d\d)"
    r"|(?P<r>(?<![a-z\d])(?:r-\d{2,4}[a-z]{0,2}|[a-z]\d{1,4}[a-z]{0,2}|1234[yz][fe]|(?:134|404|407|410|422|427|438|448|449"
    r"|450|452|454|507|513)[a-f])(?![a-z\d]))"
    r"|(?P<n>\d{1,3} \d{3}(?= ?(?:microns?|h|hrs?|hours?|run|ohms?|rpm|ppm)\b)|\d{1,3}(?:,\d{3})+(?:\.\d+)?(?!\d)"
    r"|(?:\d+(?:[.,]\d+)?|(?<!\d)\.\d+)?[½¼¾⅓⅔⅛⅜⅝⅞]|\d+(?:[.,]\d+)?|(?<!\d)\.\d+)"
    r"|(?P<w>[a-zα-ω]+(?:'[a-z]+)?)"
    r"|(?P<m>\n|[^\w\s])"
)
MOST, MOST_LEXEMES = 300, 8_000
"""Numbers and lexemes that are read: more than a note of a technician has."""
_LETTER = re.compile(r"[a-zA-ZωΩΩ]|^\s*\d{3} ?/ ?\d{3} ?/ ?\d{3}\s*$")
_ENDLESS = frozenset({"ol", "inf", "infinite", "infinity", "open"})
_DIGITS = 15
"""Longer rows of digits are no readings."""
_SMALL = {
    word: float(value)
    for value, words in enumerate(
        [
            "zero nought nil",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
    for word in words.split()
}
_TENS = {
    word: 10.0 * k
    for k, word in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], 2)
}
_LARGE = {"hundred": 100.0, "thousand": 1000.0}
_SPOKEN = frozenset((*_SMALL, *_TENS, *_LARGE, "point", "half", "minus"))
_COUNTED_IN = (
    "amp",
    "volt",
    "ohm",
    "bar",
    "psi",
    "kelvin",
    "degree",
    "meg",
    "gig",
    "micron",
    "kg",
    "kilo",
    "pound",
    "hour",
    "minute",
)
"""Units behind `one`, which else is no number but `this one`."""
_MANY = 3


class Lexeme(NamedTuple):
    """A number (`n`), word (`w`), time or date (`t`) or mark (`m`) at characters `start` to `end` of the note."""

    text: str
    kind: str
    start: int
    end: int
    value: float = 0.0
    spoken: bool = False


def worded(text: str) -> bool:
    """Whether there is a letter, or nothing but three lines (`480/482/460`): other numbers alone are no readings."""
    return _LETTER.search(text) is not None


def folded(text: str) -> str:
    """Lower case and one sign for signs that look alike, character by character: places stay what they are."""
    low = text.translate(_PLAIN)
    lowered = low.lower()
    return lowered if len(lowered) == len(text) else "".join(c.lower() if len(c.lower()) == 1 else c for c in low)


def lexemes(text: str) -> list[Lexeme]:
    """The note in order, up to MOST numbers or MOST_LEXEMES of any kind."""
    plain = folded(text)
    read: list[Lexeme] = []
    numbers = 0
    for found in _LEXEME.finditer(plain):
        if numbers >= MOST or len(read) >= MOST_LEXEMES:
            break
        kind, start, end = str(found.lastgroup), found.start(), found.end()
        word = found.group()
        if kind == "n":
            if end - start > _DIGITS or (plain[start - 1 : start] == "'" and end - start == 2):  # noqa: PLR2004 - '22
                read.append(Lexeme(word, _TIME, start, end))
                continue
            value = _value(word)
            if _negative(plain, start, read):
                read.pop()
                start, value = start - 1, -value
            read.append(Lexeme(word, _NUMBER, start, end, value))
            numbers += 1
        else:
            numbers += word in _ENDLESS
            read.append(Lexeme(word, _WORD if kind == "r" else kind, start, end))
    return list(_with_spoken(read)) if any(one.text in _SPOKEN for one in read) else read


def _negative(plain: str, start: int, before: Sequence[Lexeme]) -> bool:
    """`-0.4` after a blank; no range (`30 -35`) and no hyphen (`SH-2`)."""
    if not before or before[-1].text != "-" or before[-1].end != start:
        return False
    ahead = plain[start - 2 : start - 1]
    return (not ahead or not (ahead.isalnum() or ahead in ")%°")) and not (len(before) > 1 and before[-2].kind == "n")


def _value(word: str) -> float:
    word = word.replace(" ", "")
    part = _FRACTIONS.get(word[-1])
    if part is not None:
        return (_value(word[:-1]) if len(word) > 1 else 0.0) + part
    if word.count(",") == 1 and (word.startswith("0,") or len(word) - word.index(",") != _MANY + 1):
        return float(word.replace(",", "."))
    return float(word.replace(",", ""))


def _with_spoken(read: Sequence[Lexeme]) -> Iterator[Lexeme]:
    k = 0
    while k < len(read):
        found = _spoken(read, k)
        if found is None:
            yield read[k]
            k += 1
        else:
            value, end = found
            yield Lexeme("number", _NUMBER, read[k].start, read[end - 1].end, value, spoken=True)
            k = end


def _spoken(read: Sequence[Lexeme], k: int) -> tuple[float, int] | None:
    """The number that words from `k` on make, and one past its last word; None where they make none."""
    texts = [one.text for one in read[k : k + 9]]
    if texts[:2] == ["half", "a"] or texts[:2] == ["half", "an"]:
        return 0.5, k + 2
    if texts[0] == "half" and len(texts) > 1 and texts[1].startswith(("meg", "bar")):
        return 0.5, k + 1
    if texts[0] == "minus":
        return _minus(read, k)
    whole, n = _whole(texts)
    digits = _digits(texts[n + 1 :]) if texts[n : n + 1] == ["point"] else ""
    if digits:
        return whole + float("0." + digits), k + n + 1 + len(digits)
    if n and texts[n : n + 3] == ["and", "a", "half"]:
        return whole + 0.5, k + n + 3
    lone = n == 1 and texts[0] == "one" and not (texts[1:2] and texts[1].startswith(_COUNTED_IN))
    return (whole, k + n) if n and not lone else None


def _minus(read: Sequence[Lexeme], k: int) -> tuple[float, int] | None:
    if k + 1 < len(read) and read[k + 1].kind == "n":
        return -read[k + 1].value, k + 2
    found = _spoken(read, k + 1) if k + 1 < len(read) and read[k + 1].text != "minus" else None
    return (-found[0], found[1]) if found else None


def _whole(texts: Sequence[str]) -> tuple[float, int]:
    """`a hundred and eighteen`, `twenty-two`, `one twenty`: the number and how many words it takes, 0 where none."""
    total, n, started = 0.0, 0, False
    if texts[0] == "a" and texts[1:2] and texts[1] in _LARGE:
        total, n, started = _LARGE[texts[1]], 2, True
    while n < len(texts):
        at = n + 1 if started and texts[n] in {"and", "-"} else n
        word = texts[at] if at < len(texts) else ""
        if word in _LARGE and started and at == n:
            total *= _LARGE[word]
        elif (word in _TENS or word in _SMALL) and _fits(total, word, started=started):
            total += _TENS.get(word, _SMALL.get(word, 0.0))
        elif word in _TENS and started and 0 < total < 10:  # noqa: PLR2004 - `one twenty` is said for 120
            total = total * 100 + _TENS[word]
        else:
            break
        n, started = at + 1, True
    return total, n if started else 0


def _fits(total: float, word: str, *, started: bool) -> bool:
    """Whether the word may be added: units behind tens, either behind hundreds."""
    if not started:
        return True
    value = _TENS.get(word, _SMALL.get(word, 0.0))
    room = 100.0 if total % 100 == 0 else 10.0 if total % 10 == 0 and word in _SMALL else 0.0
    return total > 0 and 0 < value < room


def _digits(texts: Sequence[str]) -> str:
    digits = ""
    for text in texts:
        if text not in _SMALL or _SMALL[text] > 9:  # noqa: PLR2004 - digits end at nine
            break
        digits += str(int(_SMALL[text]))
    return digits
