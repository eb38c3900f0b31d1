"""Rows as columns."""

import numpy as np

from witnessmark.bulk.sheets import Sheet
from witnessmark.bulk.tables import UNREADABLE, Numbers, Values, Words, column, constant


def test_cells_by_kind() -> None:
    numbers = column([1, None, 2.5, 10**400], 4)
    assert isinstance(numbers, Numbers)
    assert [numbers.cell(k) for k in range(4)] == [1.0, None, 2.5, UNREADABLE]
    assert numbers.given().tolist() == [True, False, True, True]
    words = column(["a", None, "b", "a"], 4)
    assert isinstance(words, Words)
    assert ([words.cell(k) for k in range(4)], words.words) == (["a", None, "b", "a"], ["a", "b"])
    mixed = column([1, "a", None, [2]], 4)
    assert isinstance(mixed, Values)
    assert mixed.given().tolist() == [True, True, False, True]
    flags = column([True, False], 2)
    assert isinstance(flags, Values)
    assert column(numbers, 4) is numbers


def test_arrays_and_one_for_all() -> None:
    array = column(np.array([1.0, np.inf]), 2)
    assert isinstance(array, Numbers)
    assert [array.cell(k) for k in range(2)] == [1.0, UNREADABLE]
    assert [column("R-32", 2).cell(k) for k in range(2)] == ["R-32", "R-32"]
    assert [column(3, 2).cell(k) for k in range(2)] == [3.0, 3.0]
    assert [constant("5", 5.0, 2).cell(1), constant("x", None, 2).cell(1)] == [5.0, "x"]


def test_nothing_but_empty_cells() -> None:
    assert column([None, None], 2).given().tolist() == [False, False]


def test_a_sheet_is_filled_by_rows_and_by_runs() -> None:
    sheet = Sheet(3, {"n": "number", "k": "integer", "t": "text", "f": "flag"})
    sheet.put(1, [("n", 2.5), ("k", 7), ("t", "b"), ("f", True), ("t", None)])
    sheet.texts["t"].fill(np.array([0, 2]), np.array([1, 0], dtype=np.int32), ["a", "b"])
    found = sheet.python()
    assert found["t"] == ["b", "b", "a"]
    assert found["f"] == [None, "true", None]
    assert np.isnan(found["n"]).tolist() == [True, False, True]
    assert found["k"][1] == 7
