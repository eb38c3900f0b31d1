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
