"""Texts that rows have of their own: the columnar library and the language write the same, to the last character."""

import json

import numpy as np
import pytest

from witnessmark.arithmetic import Array, ten_digits
from witnessmark.bulk import own_texts

DRAWN = np.random.default_rng(5)
ODD = [
    0.0,
    -0.0,
    5.0,
    -5.0,
    1e-4,
    9.999e-5,
    1e-7,
    1e9,
    9_999_999_999.5,
    1e10,
    1.5e10,
    1e15,
    1e16,
    1e22,
    np.nan,
    0.1,
    1e-300,
]
COLUMNS = {
    "odd": np.array(ODD),
    "of every size": ten_digits(DRAWN.choice([-1.0, 1.0], 5000) * 10.0 ** DRAWN.uniform(-9, 13, 5000)),
    "usual": ten_digits(DRAWN.uniform(0.0, 400.0, 5000)),
    "whole": np.arange(-50.0, 50.0),
}


@pytest.mark.parametrize("name", [*COLUMNS])
def test_both_ways_write_the_same(name: str) -> None:
    pytest.importorskip("pyarrow")
    column = np.resize(COLUMNS[name], max(COLUMNS[name].size, own_texts.FEW + 1))
    pieces: list[str | Array] = ['[{"value":', column, ',"uncertainty":', np.abs(column[::-1]), "}]"]
    found = own_texts.joined(pieces, column.size)
    assert not isinstance(found, list)
    assert found.to_pylist() == own_texts.slowly(pieces, column.size)


def test_every_number_is_read_back_as_it_was() -> None:
    for column in COLUMNS.values():
        told = [json.loads(cell) for cell in own_texts.slowly([column], column.size)]
        assert [np.nan if cell is None else cell for cell in told] == pytest.approx(
            column.tolist(), abs=0, rel=0, nan_ok=True
        )


def test_texts_without_a_number() -> None:
    assert own_texts.joined(["[]"], 3) == ["[]"] * 3


def test_few_rows_do_not_wait_for_the_columnar_library() -> None:
    assert own_texts.joined(["<", np.array([1.5] * own_texts.FEW), ">"], own_texts.FEW) == ["<1.5>"] * own_texts.FEW


def test_without_the_columnar_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(own_texts, "fast", None)
    assert own_texts.joined(["<", np.array([1.5] * 99), ">"], 99) == ["<1.5>"] * 99
