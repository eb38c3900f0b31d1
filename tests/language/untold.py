"""English that is left inside a text of another language."""

import re


def english_left(ours: str, other: str) -> set[str]:
    """Three words in a row that are the same in both.

    >>> sorted(english_left("Stop: high ratio, little charge.", "Pare: high ratio, little charge."))
    ['high ratio little', 'ratio little charge']
    """
    return _runs(ours) & _runs(other)


def _runs(text: str) -> set[str]:
    found = re.findall(r"[^\W\d_]{2,}", text)
    return {" ".join(found[at : at + 3]) for at in range(len(found) - 2)}


SAME = {
    "contactor",
    "sensor",
    "rotor",
    "compressor",
    "motor",
    "normal",
    "scroll",
    "mbar",
    "Torr",
    "material",
    "min",
    "bronze",
    "1 material",
    "mg/kg (ppm by mass)",
}
"""Words and units that are the same in Spanish or Portuguese."""
ENGLISH = re.compile(r"\b(the|and|is|are|was|of|with|not|has|have|its|from|this|were|been|which|unknown|what|does)\b")


def rests(english: str, other: str) -> bool:
    """Whether English is left: the same text, three words in a row, or a word that only English has."""
    if english in SAME:
        return False
    if english == other:
        return re.search("[a-z]{4}", english) is not None
    return bool(english_left(english, other) or ENGLISH.search(other))
