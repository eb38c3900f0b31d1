"""Delimited text into columns."""

import csv

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.errors import InputError
from witnessmark.trend import fields


def read(text: str, header: str = "a") -> list[float]:
    return list(fields.split(text.encode()).numbers(header).tolist())


def same(found: list[float], wanted: list[float]) -> bool:
    return bool(np.array_equal(found, wanted, equal_nan=True))


NAN = float("nan")


@pytest.mark.parametrize(
    ("cells", "wanted"),
    [
        (["1.5", "-2.25", "10.00"], [1.5, -2.25, 10.0]),
        (["1", "22", "-333"], [1.0, 22.0, -333.0]),
        (["1.5", "", "2"], [1.5, NAN, 2.0]),
        (["nan", "n/a", "---", "1-2", "1.2.3", "1 2", "_1"], [NAN] * 7),
        (["1e3", "2.5E-1", " 7 ", "+4"], [1000.0, 0.25, 7.0, 4.0]),
        (["on", "OFF", "True", "stopped"], [1.0, 0.0, 1.0, 0.0]),
        (["0.1234567890123456789", "12345678901234567"], [0.1234567890123456789, 12345678901234567.0]),
        (["inf", "1e999"], [NAN, NAN]),
    ],
)
def test_numbers(cells: list[str], wanted: list[float]) -> None:
    rows = "".join(f"x,{cell}\n" for cell in cells)
    assert same(read(f"t,a\n{rows}"), wanted)


@given(st.lists(st.decimals(-(10**6), 10**6, places=3, allow_nan=False), min_size=1, max_size=40))
def test_numbers_are_rounded_as_the_language_rounds_them(values: list[object]) -> None:
    assert read("t,a\n" + "".join(f"x,{value}\n" for value in values)) == [float(str(value)) for value in values]


def test_decimal_commas_where_the_comma_separates_nothing() -> None:
    assert read("t;a\nx;1,5\nx;-2,25\n") == [1.5, -2.25]
    assert read("t;a\nx;1.5\nx;2.5\n") == [1.5, 2.5]
    assert read("t\ta\nx\t1,5\n") == [1.5]


def test_rows_of_another_length_are_left_out_and_counted() -> None:
    found = fields.split(b"t,a\nx,1\nshort\nx,2\nx,3,4\n\nx,5\n")
    assert found.numbers("a").tolist() == [1.0, 2.0, 5.0]
    assert found.unreadable == 2


def test_quotes() -> None:
    assert fields.split(b'"t","a"\n"x","1.5"\n').numbers("a").tolist() == [1.5]
    inside = fields.split(b'"t","a"\n"x, y","1.5"\n"z ""q""","2"\n')
    assert inside.numbers("a").tolist() == [1.5, 2.0]
    assert inside.texts("t") == ["x  y", "z  q"]


def test_line_ends_of_any_system_and_a_byte_order_mark() -> None:
    assert fields.split(b"\xef\xbb\xbft,a\r\nx,1\r\nx,2").numbers("a").tolist() == [1.0, 2.0]
    assert fields.split(b"t,a\rx,1\rx,2\r").headers == ("t", "a")


@pytest.mark.parametrize(
    "body", [b"", b"a", b"a,a\n1,2\n", b"\xff\xfe,a\n1,2\n", b",".join(b"%d" % n for n in range(600)) + b"\n"]
)
def test_what_is_no_table(body: bytes) -> None:
    with pytest.raises(InputError) as fault:
        fields.split(body)
    assert fault.value.field == "log.csv"


@pytest.mark.parametrize("limit", [131_072, 4_194_304])
def test_quotes_that_never_end_are_no_table(limit: int) -> None:
    """Whatever limit the process has set for its readers of delimited text."""
    huge = b'a,b\n"' + b"x,\n" * 60_000
    before = csv.field_size_limit(limit)
    try:
        with pytest.raises(InputError) as fault:
            fields.split(huge)
    finally:
        csv.field_size_limit(before)
    assert fault.value.field == "log.csv"


def test_more_rows_than_one_block() -> None:
    count = fields.BLOCK + 5
    body = "t,a\n" + "".join(f"x,{n}.5\n" for n in range(count))
    assert fields.split(body.encode()).numbers("a").tolist() == [n + 0.5 for n in range(count)]


def test_texts_as_a_matrix() -> None:
    assert fields.matrix([]).shape == (1, 0)
    assert fields.numbers(fields.matrix(["1.5", "x", ""])).tolist()[0] == 1.5
