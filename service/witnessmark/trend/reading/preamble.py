"""What exporting programs write before the line that names the columns: the separator they use, and lines of words."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

MOST_LINES, LOOKED_AT = 30, 80
"""Lines of words that may stand before the names, and lines that are looked at."""
LEAST_ALIKE = 3
"""Lines with as many separators as the names have that must follow."""
_SETTING = re.compile(rb"\"?sep=(.)\"?[ \t]*\n", re.IGNORECASE)
_QUOTED = re.compile(rb'"[^"\n]*"')


def without(head: bytes, body: bytes, delimiters: Sequence[bytes]) -> tuple[bytes, int, bytes | None]:
    r"""The text from the names on, how many lines stood before them, and the separator where the first line says it.

    head: its beginning. A line of words before the names has fewer separators than the rows have.

    >>> without(b"sep=;\na;b\n", b"sep=;\na;b\n", [b";"])
    (b'a;b\n', 0, b';')
    """
    told = None
    if (found := _SETTING.match(head)) and found[1] in delimiters:
        told, head, body = found[1], head[found.end() :], body[found.end() :]
    lines = [_QUOTED.sub(b"", line) for line in head.split(b"\n")[:LOOKED_AT]]
    skipped = _before_the_names(lines, [told] if told else delimiters)
    for _ in range(skipped):
        body = body.partition(b"\n")[2]
    return body, skipped, told


def _before_the_names(lines: Sequence[bytes], delimiters: Sequence[bytes]) -> int:
    """How many lines stand before the one that begins as many fields as the rows have; 0 where the first may be it."""
    delimiter = max(delimiters, key=lambda mark: _usual(lines, mark))
    usual = _usual(lines, delimiter)
    counts = [line.count(delimiter) for line in lines]
    if not usual or counts[0] >= usual:
        return 0
    first = counts.index(usual)
    alike = counts[first:].count(usual) >= min(LEAST_ALIKE, len(lines) - first - 1)
    return first if first <= MOST_LINES and alike else 0


def _usual(lines: Sequence[bytes], mark: bytes) -> int:
    """How many of a mark most lines have that have any; 0 where it is seldom."""
    counts = Counter(count for line in lines if (count := line.count(mark)))
    if not counts:
        return 0
    usual, often = counts.most_common(1)[0]
    return usual if often >= LEAST_ALIKE else 0
