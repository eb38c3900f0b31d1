"""Logs as other programs export them: a line that names the separator, lines of words, blanks round names."""

from __future__ import annotations

import pytest

from witnessmark.trend import fields, log, tables
from witnessmark.trend.channels import Column

ROWS = "".join(f"2026-07-14T00:{minute:02d}:00Z,9.{minute % 10},27.1\n" for minute in range(20))
TEXT = f"Time , PS ,pd\n{ROWS}"
COLUMNS = [Column(" PS", "suction_pressure", 1e5), Column("pd", "discharge_pressure", 1e5)]


def read(text: str) -> log.Log:
    return log.read(tables.text(text.encode()), "Time", "iso", None, COLUMNS)[0]


def with_semicolons(text: str) -> str:
    return text.replace(",", ";")


@pytest.mark.parametrize(
    ("text", "left_out"),
    [
        (TEXT, 0),
        ("sep=,\n" + TEXT, 0),
        ('"sep=;"\r\n' + with_semicolons(TEXT).replace("\n", "\r\n"), 0),
        ("SEP=;\n" + with_semicolons(TEXT).replace(".", ","), 0),
        ("Logger 7, plant room\nexported on Monday\n\n" + TEXT, 3),
        ('sep=;\n"Site; one, two"\nserial 12\n' + with_semicolons(TEXT), 2),
        ("From: a, to: b, c, d, e\n" + TEXT, None),
    ],
)
def test_what_stands_before_the_names_is_left_out_and_counted(text: str, left_out: int | None) -> None:
    if left_out is None:  # it may be the names of more columns than the rows have
        assert fields.split(text.encode()).headers[0] == "From: a"
        return
    found = read(text)
    assert (found.quality.kept, found.quality.unreadable) == (20, left_out)
    assert found.columns["suction_pressure"][3] == pytest.approx(9.3e5)


@pytest.mark.parametrize("text", ["a\n1\n2\n", "a,b\n1,2\n", "words\nmore words\n", "sep=x\na,b\n1,2\n", ""])
def test_short_texts_are_read_from_their_first_line(text: str) -> None:
    if not text.count("\n"):
        with pytest.raises(Exception, match="no rows"):
            fields.split(text.encode())
        return
    assert fields.split(text.encode()).headers[0] == text.partition("\n")[0].partition(",")[0]


def test_names_that_differ_by_blanks_alone_are_not_chosen_between() -> None:
    table = tables.columns({"a ": [1.0], " a": [2.0], "b ": [3.0]})
    assert [log.named(table, name) for name in ("a", "a ", "b", "c")] == ["a", "a ", "b ", "c"]
