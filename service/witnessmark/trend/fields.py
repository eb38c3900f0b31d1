"""Delimited text into columns, by arrays of bytes: no loop over rows, so that millions of them take a second or two."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from witnessmark import effort
from witnessmark.errors import InputError
from witnessmark.trend.channels import Array
from witnessmark.trend.reading import preamble

Bytes = NDArray[np.uint8]
Positions = NDArray[np.int32]
DELIMITERS = (b",", b";", b"\t", b"|")
NEWLINE, QUOTE = 10, 34
WIDEST = 48
"""Bytes of a field: a longer one is no number and no time."""
BLOCK = 1 << 16
"""Rows worked on at a time: what is gathered stays in the processor's cache."""
MOST_COLUMNS, LONGEST_HEAD = 500, 65_536
MOST_DIGITS = 15
"""So many decimal digits fit a double exactly; numbers with more, or with an exponent, are read one by one."""
_WORDS = {
    b"on": 1.0, b"true": 1.0, b"yes": 1.0, b"run": 1.0, b"running": 1.0,
    b"off": 0.0, b"false": 0.0, b"no": 0.0, b"stop": 0.0, b"stopped": 0.0,
}  # fmt: skip
"""Words of a controller that stand for a flag."""
_POWERS = 10.0 ** np.arange(MOST_DIGITS + 1)


@dataclass(frozen=True, slots=True)
class Fields:
    """Rows of equal length: headers, the bytes, where each field begins and ends. unreadable: rows left out."""

    headers: tuple[str, ...]
    content: Bytes
    starts: Positions
    ends: Positions
    unreadable: int
    decimal_comma: bool

    @property
    def rows(self) -> int:
        """How many."""
        return len(self.starts)

    def characters(self, column: int, first: int, last: int) -> Bytes:
        """The fields of some rows as a matrix, one column a row, filled up with zeros; longer ones are cut."""
        return self._taken(self.starts[first:last, column], self.ends[first:last, column])

    def _taken(self, starts: Positions, ends: Positions) -> Bytes:
        width = int(min((ends - starts).max(initial=1), WIDEST))
        places = starts + np.arange(max(width, 1), dtype=np.int32)[:, None]
        taken = self.content[np.minimum(places, self.content.size - 1)]
        taken[places >= ends] = 0
        return np.asarray(taken, np.uint8)

    def numbers(self, header: str) -> Array:
        """The column as numbers; NaN where the field is empty or none."""
        column = self.headers.index(header)
        read = np.empty(self.rows)
        point = b","[0] if self.decimal_comma else b"."[0]
        for first in range(0, self.rows, BLOCK):
            effort.check()
            starts, ends = (side[first : first + BLOCK, column] for side in (self.starts, self.ends))
            value, odd = _aligned(self.content, starts, ends, point)
            if odd.size:
                value[odd] = numbers(self._taken(starts[odd], ends[odd]), point)
            read[first : first + BLOCK] = value
        return read

    def texts(self, header: str) -> list[str]:
        """The column as text, stripped."""
        column = self.headers.index(header)
        content = self.content.tobytes()
        spans = zip(self.starts[:, column].tolist(), self.ends[:, column].tolist(), strict=True)
        return [content[start : min(end, start + WIDEST)].decode("utf-8", "replace").strip() for start, end in spans]


LONGEST_FIELD = 131_072
"""Characters of one field in quotes."""


def split(body: bytes) -> Fields:
    """The rows of delimited text whose first line names the columns. Errors: InputError (log.csv).

    What an exporting program writes before that line, its settings and a few lines of words, is left out and counted.
    """
    body = body.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    body, before, told = preamble.without(body[:LONGEST_HEAD], body, DELIMITERS)
    head, _, _ = body[:LONGEST_HEAD].partition(b"\n")
    delimiter = told or _delimiter(head)
    if b'"' in body:
        body = _unquoted(body, delimiter)
    headers = _headers(body, delimiter)
    content = np.frombuffer(body if body.endswith(b"\n") else body + b"\n", np.uint8)
    marks = content == delimiter[0]
    marks |= content == NEWLINE
    ends = np.flatnonzero(marks).astype(np.int32)
    starts = np.empty_like(ends)
    starts[0], starts[1:] = 0, ends[:-1] + 1
    comma = delimiter != b"," and _has_comma(body, content)
    found = _rows(headers, content, (starts, ends), comma=comma)
    return replace(found, unreadable=found.unreadable + before)


def _rows(headers: tuple[str, ...], content: Bytes, spans: tuple[Positions, Positions], *, comma: bool) -> Fields:
    starts, ends = spans
    columns = len(headers)
    if ends.size % columns == 0 and _rectangular(content, ends, columns):
        return Fields(headers, content, starts.reshape(-1, columns)[1:], ends.reshape(-1, columns)[1:], 0, comma)
    whole, unreadable = _whole_rows(content, ends, columns)
    fields = whole[:, None] + np.arange(columns)
    return Fields(headers, content, starts[fields], ends[fields], unreadable, comma)


def _rectangular(content: Bytes, ends: Positions, columns: int) -> bool:
    """Whether every line has as many fields as the first."""
    last = content[ends[columns - 1 :: columns]] == NEWLINE
    return bool(last.all()) and int(np.count_nonzero(content == NEWLINE)) == last.size


def _has_comma(body: bytes, content: Bytes) -> bool:
    """Numbers with a decimal comma: only where the comma separates nothing, and no decimal point is there."""
    first = body.partition(b"\n")[2]
    return b"," in first and int(np.count_nonzero(content == b","[0])) > first.count(b".")


def _delimiter(head: bytes) -> bytes:
    """The one that the first line has most of; a comma where it has none."""
    return max(DELIMITERS, key=head.count)


def _headers(body: bytes, delimiter: bytes) -> tuple[str, ...]:
    line, found, _ = body[:LONGEST_HEAD].partition(b"\n")
    try:
        names = tuple(part.decode("utf-8").strip() for part in line.split(delimiter))
    except UnicodeDecodeError:
        accepted = "UTF-8 text whose first line names columns"
        raise InputError("log.csv", "the first line is not UTF-8", accepted) from None
    if not found or len(names) > MOST_COLUMNS or len(set(names)) < len(names):
        fault = "no rows, a column named twice, or more columns than are taken"
        raise InputError("log.csv", fault, f"a first line of up to {MOST_COLUMNS} different names, then rows")
    return names


def _whole_rows(content: Bytes, ends: Positions, columns: int) -> tuple[Positions, int]:
    """Which separator ends the first field of each row that has all its fields; how many rows have not."""
    lines = np.flatnonzero(content[ends] == NEWLINE)
    first = np.concatenate(([0], lines[:-1] + 1))
    lengths = lines - first + 1
    empty = (lengths == 1) & (ends[lines] - np.where(first > 0, ends[first - 1] + 1, 0) == 0)
    whole = (lengths == columns) & ~empty
    whole[0] = False
    return first[whole], int(np.count_nonzero(~whole[1:] & ~empty[1:]))


def _unquoted(body: bytes, delimiter: bytes) -> bytes:
    """The text without quotes: they are dropped where no separator stands inside of one, else read one by one."""
    content = np.frombuffer(body, np.uint8)
    inside = np.cumsum(content == QUOTE) % 2 == 1
    separators = (content == delimiter[0]) | (content == NEWLINE)
    if not (inside & separators).any():
        return bytes(content[content != QUOTE].tobytes())
    rows = csv.reader(io.StringIO(body.decode("utf-8", "replace"), newline=""), delimiter=delimiter.decode())
    clean = str.maketrans(dict.fromkeys((delimiter.decode(), "\n", '"'), " "))
    try:
        read = list(rows)
    except csv.Error:
        raise _endless() from None
    if any(len(field) > LONGEST_FIELD for row in read for field in row):  # the reader's own limit is the process's
        raise _endless()
    lines = [delimiter.decode().join(field.translate(clean) for field in row) for row in read]
    return ("\n".join(lines) + "\n").encode()


def _endless() -> InputError:
    return InputError("log.csv", "quotes that do not end", "delimited text (RFC 4180)")


def _aligned(content: Bytes, starts: Positions, ends: Positions, point: int) -> tuple[Array, Positions]:
    """Plain decimal numbers whose points stand at one place counted from the right; which rows are none such."""
    minus = content[starts] == 45  # noqa: PLR2004
    begins = starts + minus
    width = int(max((ends - begins).max(initial=0), 1))
    if width > MOST_DIGITS:
        return np.empty(starts.size), np.arange(starts.size, dtype=np.int32)
    places = ends + np.arange(-width, 0, dtype=np.int32)[:, None]
    digits = content[np.maximum(places, 0)]
    digits[places < begins] = 48
    dots = np.flatnonzero(np.count_nonzero(digits == point, axis=1) > starts.size // 2)
    row = int(dots[0]) if dots.size else -1
    odd = ends <= begins
    if row >= 0:
        odd |= digits[row] != point
        digits[row] = 48
    digits -= 48
    odd |= (digits > 9).any(0)  # noqa: PLR2004
    decimals = width - 1 - row if row >= 0 else 0
    whole = width - decimals - (row >= 0)
    powers = np.concatenate((_POWERS[:whole][::-1] * _POWERS[decimals], _POWERS[:decimals][::-1]))
    weights = np.insert(powers, row, 0.0) if row >= 0 else powers
    value: Array = (weights @ digits) / _POWERS[decimals]
    value[minus] *= -1.0
    return value, np.flatnonzero(odd).astype(np.int32)


def numbers(characters: Bytes, point: int = 46) -> Array:
    """Decimal numbers of a matrix with one row a character, rounded as the language rounds them; NaN for none.

    >>> numbers(np.frombuffer(b"1.5", np.uint8)[:, None]).tolist()
    [1.5]
    """
    count = characters.shape[1]
    mantissa, digits = np.zeros(count, np.int64), np.zeros(count, np.int16)
    decimals, seen = np.zeros(count, np.int16), np.zeros(count, np.bool_)
    minus, odd = np.zeros(count, np.bool_), np.zeros(count, np.bool_)
    for row in characters:
        digit = row - np.uint8(48)
        is_digit = digit < 10  # noqa: PLR2004
        np.multiply(mantissa, 10, out=mantissa, where=is_digit)
        np.add(mantissa, digit, out=mantissa, where=is_digit)
        digits += is_digit
        decimals += is_digit & seen
        is_point, is_minus = row == point, row == 45  # noqa: PLR2004
        odd |= (is_point & seen) | (is_minus & ((digits > 0) | minus | seen))
        seen |= is_point
        minus |= is_minus
        odd |= ~(is_digit | is_point | is_minus | (row == 0) | (row == 32))  # noqa: PLR2004
    value = mantissa / _POWERS[np.minimum(decimals, MOST_DIGITS)]
    value[minus] *= -1.0
    odd |= digits > MOST_DIGITS
    odd |= _inner_space(characters)
    value[digits == 0] = np.nan
    for place in np.flatnonzero(odd).tolist():
        value[place] = _number(characters[:, place].tobytes().rstrip(b"\0"), point)
    return value


def _inner_space(characters: Bytes) -> NDArray[np.bool_]:
    """Whether something stands before a space and something after it."""
    solid = (characters != 0) & (characters != 32)  # noqa: PLR2004
    first, last = solid.argmax(0), len(solid) - 1 - solid[::-1].argmax(0)
    inner: NDArray[np.bool_] = solid.any(0) & (solid.sum(0) < last - first + 1)
    return inner


def _number(field: bytes, point: int) -> float:
    text = field.strip()
    if (word := _WORDS.get(text.lower())) is not None:
        return word
    try:
        value = float(text.replace(bytes([point]), b".")) if b"_" not in text else np.nan
    except ValueError:
        return float("nan")
    return value if np.isfinite(value) else float("nan")


def matrix(texts: Sequence[str]) -> Bytes:
    """Texts as the matrix that `numbers` and the times are read from."""
    packed = np.array([text.encode("utf-8", "replace")[:WIDEST] for text in texts] or [b""], dtype=np.bytes_)
    width = max(packed.dtype.itemsize, 1)
    return np.ascontiguousarray(packed.view(np.uint8).reshape(len(packed), width)[: len(texts)].T)
