"""Comma-separated values, by the columnar library and cell by cell."""

import io
from typing import Any

import numpy as np
import pytest

from witnessmark.bulk import csv_rows
from witnessmark.bulk.sheets import Sheet
from witnessmark.bulk.tables import Table, texts

KINDS = {"p": "number", "w": "text", "k": "kept"}
NAMES = ["p", "w", "k"]


@pytest.fixture(params=["columnar", "cell by cell"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Any:
    if request.param == "cell by cell":
        monkeypatch.setattr(csv_rows, "fast", None)
    return request.param


def read(text: str) -> list[Table]:
    return list(csv_rows.tables(io.BytesIO(text.encode()), NAMES, KINDS))


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("1", 1.0), ("-2.50", -2.5), ("1e3", 1000.0), (" 7 ", 7.0), ("", None), ("abc", "?"), ("nan", "?"),
        ("inf", "?"),
        ("1e999", "?"), ("1_000", "?"), ("0x10", "?"), ("1,5", "ragged"), ('"3"', 3.0), ("+4", 4.0), (".5", 0.5),
        ("5.", 5.0),
    ],
)  # fmt: skip
def test_a_number_is_a_number_either_way_and_whatever_stands_beside_it(way: Any, cell: str, value: Any) -> None:
    for other in ("2", "x"):
        (table,) = read(f"{cell},w,k\n{other},w,k\n")
        if value == "ragged":
            assert list(table.faults) == [0]
        else:
            assert table.columns["p"].cell(0) == value, way


def test_texts_and_kept_columns(way: Any) -> None:
    (table,) = read('1,"a\n,""b""",z\n2,,\n')
    assert [table.columns["w"].cell(k) for k in range(2)] == ['a\n,"b"', None], way
    assert texts(table.kept["k"]) == ["z", None]


def test_rows_are_written(way: Any) -> None:
    sheet = Sheet(2, {"n": "number", "k": "integer", "t": "text"})
    sheet.put(0, [("n", 2.5), ("k", 7), ("t", 'a,"b"')])
    text = (
        csv_rows.header_line(sheet, {"own": ["x", None]})
        + csv_rows.written(sheet, {"own": ["x", None]}, np.array([5, 6]))
    ).decode()
    assert text.splitlines()[0] == "row,own,n,k,t"
    assert text.splitlines()[1].replace('"x"', "x") == '5,x,2.5,7,"a,""b"""', way
    assert text.splitlines()[2] == "6,,,,"


def test_bytes_that_are_no_text(way: Any) -> None:
    with pytest.raises(csv_rows.HeaderError, match="line 3 is not UTF-8"):
        list(csv_rows.tables(io.BytesIO(b"1,w,k\n1,\xff,k\n"), NAMES, KINDS))
    assert way


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_blank_lines_are_no_rows_and_keep_their_numbers(way: Any, end: str) -> None:
    """The third line behind the header is row 2 in any editor, whatever stands before it; a cell may hold lines."""
    (table,) = read(end.join(["1,w,k", "", '2,"a', "", 'b",k', "", "", "x,w,k,one too many", "4,w,k", "", ""]))
    assert table.rows == 4, way
    assert table.numbered(100).tolist() == [100, 102, 105, 106]
    assert table.lines == 8
    assert list(table.faults) == [2]
    (plain,) = read(end.join(["1,w,k", "2,w,k", ""]))
    assert (plain.numbered(7).tolist(), plain.lines) == ([7, 8], None)
