"""From the answers to the rows of a log to the hours that somebody should look at."""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from witnessmark_client._files import FileError

SOUND = ("within", "no limit known", "cannot tell")
"""Verdicts that accuse nobody."""
_STAMP = re.compile(
    r"(\d{4})(?:([-/])(\d\d)\2(\d\d)[T ](\d\d)(?::\d\d){0,2}|(\d\d)(\d\d)T(\d\d)(?:\d\d){0,2})"
    r"(?:[.,]\d+)?\s?(Z|[+-]\d\d:?\d\d)?"
)
MOST_UNREADABLE = 0.5
"""Share of the rows without a stamp that can be read from which hours say nothing."""
ERROR, VERDICT = "error_code", "verdict"
Group = tuple[str, ...]
"""The hour, and the cells of the other columns that were kept."""


@dataclass(frozen=True, slots=True)
class Looked:
    """How hours are looked for.

    time: the column with the stamps (ISO 8601); others: kept columns that tell machines apart; share: of the rows of an
    hour that must be suspect.
    """

    time: str
    others: tuple[str, ...] = ()
    sound: tuple[str, ...] = SOUND
    share: float = 0.1


@dataclass(frozen=True, slots=True)
class Hour:
    """One hour of one machine; what: how many rows by verdict or error, those that are suspect alone."""

    group: Group
    rows: int
    what: Mapping[str, int]

    @property
    def suspect(self) -> int:
        """Rows that are."""
        return sum(self.what.values())


@lru_cache(4096)
def hour_of(stamp: str) -> str:
    """The hour that a stamp lies in, with its offset, so that one that comes twice in autumn is two.

    >>> hour_of("2026-10-25T02:41:00+01:00"), hour_of("2026-01-05 07:00"), hour_of("Monday")
    ('2026-10-25T02+01:00', '2026-01-05T07', '')
    >>> hour_of("20260105T0712"), hour_of("2026/01/05 07:12"), hour_of("01/05/2026 07:12")
    ('2026-01-05T07', '2026-01-05T07', '')
    """
    if (found := _STAMP.fullmatch(stamp.strip())) is None:
        return ""
    year, _, *parts, offset = found.groups()
    month, day, hour = filter(None, parts)
    return f"{year}-{month}-{day}T{hour}{offset or ''}"


def suspect_hours(file: str, form: str, looked: Looked) -> list[Hour]:
    """The hours of an answer in which enough rows are suspect, in their order; rows without a stamp are in none.

    FileError where a column is missing, or most stamps cannot be read.
    """
    counts: dict[Group, Counter[str]] = {}
    for (stamp, *others, verdict, error), rows in _cells(file, form, looked).items():
        counts.setdefault((hour_of(stamp), *others), Counter())[error or verdict] += rows
    _check_stamps(counts, looked)
    hours = []
    for group, words in sorted((group, words) for group, words in counts.items() if group[0]):
        rows, what = words.total(), {word: n for word, n in words.most_common() if word and word not in looked.sound}
        if what and sum(what.values()) >= looked.share * rows:
            hours.append(Hour(group, rows, what))
    return hours


def _check_stamps(counts: Mapping[Group, Counter[str]], looked: Looked) -> None:
    rows = sum(words.total() for words in counts.values())
    nameless = sum(words.total() for group, words in counts.items() if not group[0])
    if nameless > MOST_UNREADABLE * rows:
        told = f"{nameless:,} of {rows:,} rows have no ISO stamp such as 2026-07-01T10:00 in {looked.time!r}"
        raise FileError(f"--hours: {told}; the answer itself is complete")


def _cells(file: str, form: str, looked: Looked) -> Counter[Group]:
    """How often the cells that count stand together, the stamp cut to what tells its hour."""
    wanted = [looked.time, *looked.others, VERDICT, ERROR]
    counts: Counter[Group] = Counter()
    for part in _READERS[form](file, wanted):
        counts.update(part)
    return counts


def _of_rows(rows: Iterator[Mapping[str, Any]], wanted: Sequence[str]) -> Iterator[Counter[Group]]:
    names, counts = wanted[1:], Counter[Group]()
    for row in rows:
        _present(wanted, row)
        counts[(_whole(hour_of(row[wanted[0]] or "")), *(str(row.get(name) or "") for name in names))] += 1
    yield counts


def _whole(hour: str) -> str:
    """An hour as a stamp again, so that all readers hand over the same."""
    return f"{hour[:13]}:00{hour[13:]}" if hour else ""


def _present(wanted: Sequence[str], names: Any) -> None:
    if absent := [name for name in wanted if name not in names and name != VERDICT]:
        raise FileError(f"no column {absent[0]!r} in the answer: keep it with --keep")


def _of_csv(file: str, wanted: Sequence[str]) -> Iterator[Counter[Group]]:
    try:
        from pyarrow import csv as arrow  # noqa: PLC0415 - an extra of the package
    except ModuleNotFoundError:
        with Path(file).open(encoding="utf-8", newline="") as text:
            yield from _of_rows(iter(csv.DictReader(text)), wanted)
        return
    with Path(file).open(encoding="utf-8", newline="") as text:
        names = next(csv.reader(text), [])
    _present(wanted, names)
    there = [name for name in wanted if name in names]
    options = arrow.ConvertOptions(
        include_columns=there, column_types=dict.fromkeys(there, "string"), strings_can_be_null=False
    )
    with arrow.open_csv(file, convert_options=options) as batches:
        yield from (_of_batch(batch, wanted) for batch in batches)


def _of_parquet(file: str, wanted: Sequence[str]) -> Iterator[Counter[Group]]:
    from pyarrow import parquet  # noqa: PLC0415 - it was written with it

    whole = parquet.ParquetFile(file)
    _present(wanted, whole.schema_arrow.names)
    there = [name for name in wanted if name in whole.schema_arrow.names]
    for batch in whole.iter_batches(columns=there):
        yield _of_batch(batch, wanted)


def _of_batch(batch: Any, wanted: Sequence[str]) -> Counter[Group]:
    """The same of a batch of columns, without a look at each row."""
    import pyarrow as pa  # noqa: PLC0415 - whoever has batches has it
    from pyarrow import compute as pc  # noqa: PLC0415

    empty = pa.repeat("", batch.num_rows)
    cells = {name: batch[name].cast("string").fill_null("") if name in batch.schema.names else empty for name in wanted}
    stamps = cells[wanted[0]]
    cells[wanted[0]] = pc.binary_join_element_wise(
        pc.utf8_slice_codeunits(stamps, 0, 13),
        pc.replace_substring_regex(pc.utf8_slice_codeunits(stamps, 13), r"^(:\d\d){1,2}([.,]\d+)?", ":00"),
        "",
    )
    grouped = pa.table(cells).group_by(list(wanted)).aggregate([([], "count_all")]).to_pylist()
    return Counter({tuple(row[name] for name in wanted): row["count_all"] for row in grouped})


def _of_ndjson(file: str, wanted: Sequence[str]) -> Iterator[Counter[Group]]:
    with Path(file).open(encoding="utf-8") as lines:
        next(lines, None)  # the notes
        yield from _of_rows((json.loads(line) for line in lines), wanted)


_READERS: dict[str, Callable[[str, Sequence[str]], Iterator[Counter[Group]]]] = {
    "csv": _of_csv, "parquet": _of_parquet, "ndjson": _of_ndjson,
}  # fmt: skip


def write(hours: Sequence[Hour], looked: Looked, out: str) -> None:
    """The hours as CSV."""
    with Path(out).open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(["hour", *looked.others, "rows", "suspect", "what"])
        rows.writerows([*hour.group, hour.rows, hour.suspect, words(hour)] for hour in hours)


def words(hour: Hour) -> str:
    """What was found in an hour: `above 41; out-of-range 2`."""
    return "; ".join(f"{word} {count}" for word, count in hour.what.items())


def told(hours: Sequence[Hour], out: str, most: int = 5) -> str:
    """For a person: how many hours, and the worst of them."""
    worst = sorted(hours, key=lambda hour: -hour.suspect)[:most]
    lines = [f"{len(hours):,} suspect hours: {out}"]
    lines += [
        f"  {' '.join(filter(None, hour.group))}: {hour.suspect} of {hour.rows} rows, {words(hour)}" for hour in worst
    ]
    return "".join(f"{line}\n" for line in lines)
