"""Whole lines of a file, a block at a time, so that memory does not grow with the file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO

BLOCK = 1 << 20
"""Bytes read at a time."""
LONGEST_LINE = 1 << 20
"""Bytes of one line: more is no row of readings."""


class LineTooLongError(ValueError):
    """A line that does not end."""


def blocks(file: BinaryIO, *, quoted: bool = False, size: int = BLOCK) -> Iterator[bytes]:
    """Blocks that end where a line ends. quoted: a line end between double quotes belongs to its cell.

    LineTooLongError where a line is longer than LONGEST_LINE and `size` together.
    """
    rest = b""
    while block := file.read(size):
        rest += block
        end = _end(rest, quoted=quoted)
        if end:
            yield rest[:end]
            rest = rest[end:]
        elif len(rest) > LONGEST_LINE + size:
            raise LineTooLongError
    if rest:
        yield rest


def _end(block: bytes, *, quoted: bool) -> int:
    """How far whole lines go."""
    end = block.rfind(b"\n") + 1
    while quoted and end and block.count(b'"', 0, end) % 2:
        end = block.rfind(b"\n", 0, end - 1) + 1
    return end
