"""An answer to rows: texts by code and texts of a row's own stand where they belong, however they came."""

import json

import numpy as np
import pytest

from witnessmark.bulk.sheets import Sheet, Text


def rows(*places: int) -> np.ndarray:
    return np.array(places, dtype=np.intp)


def mixed() -> Text:
    """Nothing, two words, and three texts of their own that came in two runs; one of these was answered anew."""
    text = Text(np.full(7, -1, dtype=np.int32))
    text.owned(rows(5, 1), ["five", "one"])
    text.owned(rows(3), ["three"])
    text.codes[2] = text.code("word")
    text.codes[5] = text.code("again")
    text.codes[6] = text.code("word")
    return text


WANTED = [None, "one", "word", "three", None, "again", "word"]


def test_texts_of_their_own_among_others() -> None:
    assert mixed().texts() == WANTED
    spelled = mixed().texts(json.dumps, "null")
    assert spelled == ["null" if one is None else json.dumps(one) for one in WANTED]


def test_the_columnar_library_has_them_in_the_same_rows() -> None:
    pytest.importorskip("pyarrow")
    from witnessmark.bulk import arrow_rows  # noqa: PLC0415 - an extra of the package

    sheet = Sheet(7, {"a": "text"}, texts={})
    sheet.texts["a"] = mixed()
    assert arrow_rows.to_batch(sheet, {}, np.arange(7))["a"].to_pylist() == WANTED


def test_rows_that_are_emptied() -> None:
    sheet = Sheet(3, {"n": "number", "t": "text"})
    sheet.numbers["n"][:] = 1.0
    sheet.texts["t"].owned(rows(0, 1, 2), ["a", "b", "c"])
    sheet.empty(rows(1))
    assert sheet.python()["t"] == ["a", None, "c"]
    assert np.isnan(sheet.numbers["n"]).tolist() == [False, True, False]
