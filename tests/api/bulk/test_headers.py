"""Files as other programs write them, for every calculation over rows: what is wrong is named, and no row is lost."""

import csv
import io
from pathlib import Path
from typing import Any

import pytest

from witnessmark.api.bulk.calculations import calculations
from witnessmark.api.bulk.inputs import inputs
from witnessmark.api.bulk.work import CSV, IN, OUT, Done, Job, Refused, worked

NAMES = sorted(calculations())
ROWS = 7


def headers(name: str) -> list[str]:
    """The columns of a file of this calculation: those that it must have, else the first that it can have."""
    fields = inputs(calculations()[name].request)
    wanted = [path for path, field in fields.items() if field.required] or [next(iter(fields))]
    units = {path: fields[path].quantity for path in wanted}
    return [path if (kind := units[path]) is None else f"{path}[{kind.table.shown('SI')}]" for path in wanted]


def asked(name: str, body: str | bytes, tmp_path: Path) -> Any:
    (tmp_path / IN).write_bytes(body.encode() if isinstance(body, str) else body)
    return worked(Job(name, str(tmp_path), CSV, CSV, 600.0))


def written(names: list[str], rows: int = ROWS, mark: str = ",", end: str = "\n") -> str:
    cells = ["R-410A" if name == "refrigerant" else "12" for name in names]
    return end.join([mark.join(names), *[mark.join(cells)] * rows]) + end


def numbered(tmp_path: Path) -> list[int]:
    """The numbers of the rows of an answer."""
    return [int(row[0]) for row in csv.reader(io.StringIO((tmp_path / OUT).read_text("utf-8")))]


def faults(found: Any) -> dict[str, str]:
    assert isinstance(found, Refused)
    assert found.slug == "unusable-columns"
    return {fault.pointer: fault.detail for fault in found.errors}


@pytest.mark.parametrize("name", NAMES)
def test_a_misspelt_column_is_named_and_so_is_the_one_that_it_stands_in_place_of(name: str, tmp_path: Path) -> None:
    own = headers(name)
    for place, column in enumerate(own):
        path, bracket, unit = column.partition("[")
        alien = f"{path[:-1]}{bracket}{unit}" if len(path) > 3 else f"{path}x{bracket}{unit}"
        told = faults(asked(name, written([*own[:place], alien, *own[place + 1 :]]), tmp_path))
        assert any(detail.startswith("no such column; accepted: ") for detail in told.values())
        if inputs(calculations()[name].request)[path].required:
            detail = told[f"#/{path}"]
            assert detail.startswith("is required")
            assert f"the nearest column here is `{alien}`" in detail
            assert f"as `{column}`" in detail or not unit


@pytest.mark.parametrize("name", NAMES)
def test_an_alien_column_in_place_of_a_needed_one_leaves_that_named(name: str, tmp_path: Path) -> None:
    own = headers(name)
    for place, column in enumerate(own):
        told = faults(asked(name, written([*own[:place], "zzz", *own[place + 1 :]]), tmp_path))
        path = column.partition("[")[0]
        needed = inputs(calculations()[name].request)[path].required
        assert told["#/zzz"] == "no such column"
        assert (f"#/{path}" in told) == needed
        assert "nearest" not in told.get(f"#/{path}", "")


@pytest.mark.parametrize("name", NAMES)
def test_every_missing_column_is_named(name: str, tmp_path: Path) -> None:
    own = headers(name)
    needed = {path for path, field in inputs(calculations()[name].request).items() if field.required}
    for column in own:
        path = column.partition("[")[0]
        others = [one for one in inputs(calculations()[name].request) if one not in needed and one != path]
        rest = [one for one in own if one != column] or others[:1]
        found = asked(name, written(rest), tmp_path)
        if path in needed:
            assert f"#/{path}" in faults(found)


@pytest.mark.parametrize("name", NAMES)
def test_a_column_given_twice_or_in_no_unit_of_its_kind(name: str, tmp_path: Path) -> None:
    own = headers(name)
    told = faults(asked(name, written([*own, own[0]]), tmp_path))
    assert [detail for detail in told.values() if "twice" in detail] == ["is given twice; accepted: once"]
    for place, column in enumerate(own):
        path, bracket, _ = column.partition("[")
        if bracket:
            told = faults(asked(name, written([*own[:place], f"{path}[furlong]", *own[place + 1 :]]), tmp_path))
            assert next(iter(told.values())).startswith("no such unit; ")
            assert f"#/{path}" not in told


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    "change",
    [
        lambda text: b"\xef\xbb\xbf" + text.encode(),
        lambda text: text.replace("\n", "\r\n").encode(),
        lambda text: text.rstrip("\n").encode(),
        lambda text: "\n".join(
            ",".join(f'"{cell}"' for cell in line.split(",")) for line in text.splitlines()
        ).encode(),
    ],
)
def test_a_mark_line_ends_and_quotes_change_nothing(name: str, change: Any, tmp_path: Path) -> None:
    text = written(headers(name))
    plain = asked(name, text, tmp_path)
    answer = (tmp_path / OUT).read_bytes()
    assert isinstance(plain, Done)
    changed = asked(name, change(text), tmp_path)
    assert isinstance(changed, Done)
    assert (changed.rows, changed.failed) == (ROWS, plain.failed)
    assert (tmp_path / OUT).read_bytes() == answer


@pytest.mark.parametrize("name", NAMES)
def test_blank_lines_are_no_rows_and_shift_no_number(name: str, tmp_path: Path) -> None:
    first, *rows = written(headers(name)).splitlines()
    found = asked(name, "\n".join([first, "", rows[0], "", "", *rows[1:], ""]) + "\n", tmp_path)
    assert (found.rows, numbered(tmp_path)) == (ROWS, [1, 4, 5, 6, 7, 8, 9])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("mark", "word"), [(";", "semicolons"), ("\t", "tabs"), ("|", "bars")])
def test_another_separator_is_named(name: str, mark: str, word: str, tmp_path: Path) -> None:
    own = headers(name)
    found = asked(name, written(own if len(own) > 1 else [*own, "place"], mark=mark), tmp_path)
    assert isinstance(found, Refused)
    assert found.detail == f"the first line separates its names by {word}; accepted: commas"


@pytest.mark.parametrize("name", NAMES)
def test_a_separator_at_the_end_of_the_lines(name: str, tmp_path: Path) -> None:
    text = written(headers(name))
    told = faults(asked(name, text.replace("\n", ",\n"), tmp_path))
    assert told["#/"].startswith("a column without a name")
    first, *rows = text.splitlines()
    found = asked(name, "\n".join([first, *(f"{row}," for row in rows)]) + "\n", tmp_path)
    assert (found.rows, found.failed) == (ROWS, ROWS)
    assert "decimals stand behind a point" in (tmp_path / OUT).read_text("utf-8")


def test_a_decimal_comma_is_told_in_the_row_that_has_it_and_in_no_other(tmp_path: Path) -> None:
    head = "refrigerant,pressure[psig],temperature[degF]\n"
    found = asked("superheat", head + 'R-410A,118,55\nR-410A,118,5,55\nR-410A,"118,5",55\nR-410A,118,55\n', tmp_path)
    assert (found.rows, found.failed) == (4, 2)
    rows = list(csv.reader(io.StringIO((tmp_path / OUT).read_text("utf-8"))))
    assert [bool(row[-1]) for row in rows] == [False, True, True, False]
    assert "decimals stand behind a point" in rows[1][-1]
    assert "pressure" in rows[2][-1]


def test_a_quote_that_is_never_closed_takes_no_row_with_it_unsaid(tmp_path: Path) -> None:
    head, row = "refrigerant,pressure[psig],temperature[degF]\n", "R-410A,118,55\n"
    found = asked("superheat", head + row * 3 + 'R-410A,"118,55\n' + row * 3, tmp_path)
    assert isinstance(found, Refused)
    assert found.detail == "a double quote that is never closed, in line 5 or after it"
    found = asked("superheat", head + row + 'R-410A,"118,55\n' + row * 2 + 'R-410A,118",55,1\n' + row, tmp_path)
    assert (found.rows, found.failed) == (3, 1)
    assert "reaches over 4 lines" in (tmp_path / OUT).read_text("utf-8")


@pytest.mark.parametrize("line", ["", "# made on Monday", "\r"])
def test_a_first_line_that_is_no_header_is_refused_as_a_whole(line: str, tmp_path: Path) -> None:
    body = f"{line}\nrefrigerant,pressure[psig],temperature[degF]\nR-410A,118,55\n"
    assert isinstance(asked("superheat", body, tmp_path), Refused)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    "spelt",
    [
        lambda column: column.replace("[", " ["),
        lambda column: column.replace("[", " ( ").replace("]", " ) "),
        lambda column: f" {column[:1].upper()}{column[1:]} ",
        lambda column: column.partition("[")[0].upper().replace("_", " ") + "".join(column.partition("[")[1:]),
    ],
    ids=["blank", "round", "capital", "words"],
)
def test_blanks_capitals_and_round_brackets_change_no_column(name: str, spelt: Any, tmp_path: Path) -> None:
    text = written(headers(name))
    plain = asked(name, text, tmp_path)
    answer = (tmp_path / OUT).read_bytes()
    changed = asked(name, text.replace(",".join(headers(name)), ",".join(map(spelt, headers(name)))), tmp_path)
    assert (changed.rows, changed.failed) == (ROWS, plain.failed)
    assert (tmp_path / OUT).read_bytes() == answer


def test_one_field_in_two_spellings_is_refused_row_by_row(tmp_path: Path) -> None:
    head = "refrigerant,pressure[psig],Pressure (psig),temperature[degF]\n"
    found = asked("superheat", head + "R-410A,118,118,55\n", tmp_path)
    assert (found.rows, found.failed) == (1, 1)
    assert "given in two columns" in (tmp_path / OUT).read_text("utf-8")


@pytest.mark.parametrize(
    "column", ["pressure psig", "pressure_psig", "pressure[psig)", "pressure (PSIG)", "pressure(psig)(low)"]
)
def test_a_unit_that_stands_otherwise_is_still_asked_for(column: str, tmp_path: Path) -> None:
    told = faults(asked("superheat", f"refrigerant,{column},temperature[degF]\nR-410A,118,55\n", tmp_path))
    assert any("psig" in detail or "unit" in detail or "pressure[" in detail for detail in told.values())
