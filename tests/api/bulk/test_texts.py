"""A row with a text that could steer a terminal is refused by itself, whatever form it came in, and never goes back."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pyarrow as pa
import pytest

from witnessmark.api.bulk import compute_batch, work
from witnessmark.api.bulk.texts import UNSAFE, refuse_unsafe
from witnessmark.bulk import csv_rows
from witnessmark.bulk.tables import Numbers, Table, Values, Words, column

STEERS = ["R-410A\x1b[2J", "R-410A\x00", "R-410A\u202e", "R-410A\x9b", "R-410A\x7f"]
HEAD = ["refrigerant", "pressure[psig]", "temperature[degF]", "job"]
PLAIN = ["R-410A", 118, 52, "job 7\tpart 2"]


def rows(cell: str) -> list[list[Any]]:
    """Plain, with the cell in a field, with it in a column that is kept, plain."""
    return [PLAIN, [cell, *PLAIN[1:]], [*PLAIN[:3], cell], PLAIN]


def answered(folder: Path, media: str, body: bytes, gives: str = work.NDJSON) -> bytes:
    (folder / work.IN).write_bytes(body)
    done = work.worked(work.Job("superheat", str(folder), media, gives, 60.0, (), ("job",)))
    assert isinstance(done, work.Done), done
    assert (done.rows, done.failed) == (4, 2)
    return done.head + (folder / work.OUT).read_bytes()


def as_csv(cell: str) -> bytes:
    out = io.StringIO()
    csv.writer(out).writerows([HEAD, *rows(cell)])
    return out.getvalue().encode()


def as_lines(cell: str) -> bytes:
    return "\n".join(json.dumps(dict(zip(HEAD, row, strict=True))) for row in rows(cell)).encode()


def as_columns(cell: str) -> bytes:
    return json.dumps({"columns": dict(zip(HEAD, map(list, zip(*rows(cell), strict=True)), strict=True))}).encode()


def as_stream(cell: str) -> bytes:
    table = pa.table(dict(zip(HEAD, map(list, zip(*rows(cell), strict=True)), strict=True)))
    sink = io.BytesIO()
    with pa.ipc.new_stream(sink, table.schema) as stream:
        stream.write_table(table)
    return sink.getvalue()


FORMS = {work.CSV: as_csv, work.NDJSON: as_lines, work.JSON: as_columns, work.ARROW: as_stream}


@pytest.mark.parametrize("steers", STEERS, ids=ascii)
@pytest.mark.parametrize("media", FORMS)
def test_the_row_is_refused_and_no_other(media: str, steers: str, tmp_path: Path) -> None:
    _, *lines = [json.loads(line) for line in answered(tmp_path, media, FORMS[media](steers)).splitlines()]
    assert [line["error_code"] for line in lines] == [None, "unusable-input", "unusable-input", None]
    assert lines[0]["margin[K]"] == lines[3]["margin[K]"] is not None
    assert [line["job"] for line in lines] == [PLAIN[3], PLAIN[3], None, PLAIN[3]]
    assert all(UNSAFE in line["error_message"] for line in lines[1:3])


@pytest.mark.parametrize("way", ["columnar", "cell by cell"])
@pytest.mark.parametrize("steers", STEERS, ids=ascii)
def test_an_answer_in_comma_separated_values_steers_nothing(
    way: str, steers: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if way == "cell by cell":
        monkeypatch.setattr(csv_rows, "fast", None)
    answer = answered(tmp_path, work.CSV, as_csv(steers), work.CSV).decode()
    assert not any(mark in answer for mark in "\x1b\x00\u202e\x9b\x7f")
    assert [row["error_code"] for row in csv.DictReader(io.StringIO(answer))][1:3] == ["unusable-input"] * 2


def test_a_name_that_steers_is_not_repeated(tmp_path: Path) -> None:
    line = {"refrigerant": "R-410A", "pressure[psig]": 118, "temperature[degF]": 52}
    body = "\n".join(json.dumps(row) for row in (line, {**line, "a\x1b[2J": 1}, {**line, "maker": {"x\x1b": 1}}, line))
    answer = answered(tmp_path, work.NDJSON, body.encode(), work.CSV).decode()
    assert "\x1b" not in answer
    assert [row["error_code"] for row in csv.DictReader(io.StringIO(answer))][1:3] == ["unusable-input"] * 2


def test_a_column_to_keep_whose_name_steers_is_refused(tmp_path: Path) -> None:
    (tmp_path / work.IN).write_bytes(b'{"refrigerant":"R-410A","pressure[psig]":118,"temperature[degF]":52}')
    done = work.worked(work.Job("superheat", str(tmp_path), work.NDJSON, work.CSV, 60.0, (), ("a\x1b[2J",)))
    assert isinstance(done, work.Refused)
    assert (done.slug, [one.pointer for one in done.errors]) == ("unusable-columns", ["#/keep"])


def test_the_same_for_columns_of_this_process() -> None:
    columns = {"refrigerant": ["R-410A", "R-410A\x1b"], "pressure[psig]": [118.0] * 2, "temperature[degF]": [52.0] * 2}
    found = compute_batch("superheat", columns)
    assert found.columns["error_code"] == [None, "unusable-input"]


def test_columns_of_every_kind_are_looked_at() -> None:
    own = {
        "n": column([1.0, 2.0, 3.0], 3),
        "w": Words.of(["a", "b\x1b", None]),
        "v": Values([1, None, {"k": ["\x1b"]}]),
    }
    kept = {
        "list": ["x", "y", "\x1b"], "mixed": [1, None, ["\x07"]], "moment": pa.array([1, 2, 3], pa.timestamp("ns")),
        "arrow": pa.array(["\x1b", "b", "c"]).dictionary_encode(),
    }  # fmt: skip
    table = Table(3, own, kept)
    assert isinstance(own["n"], Numbers)
    refuse_unsafe(table)
    assert table.faults == {0: f"arrow: {UNSAFE}", 1: f"w: {UNSAFE}", 2: f"v: {UNSAFE}"}
    assert table.kept["moment"] is kept["moment"]
    assert table.kept["list"] == ["x", "y", None]
    assert table.kept["mixed"] == [1, None, None]
    assert table.kept["arrow"].to_pylist() == [None, "b", "c"]
