"""Words to vectors by their pieces, and a text's vectors as one row."""

import numpy as np
import pytest

from witnessmark.diagnosis.notes.model.store import vectors
from witnessmark.diagnosis.notes.model.vectors import Vectors, pooled
from witnessmark.diagnosis.notes.model.words import words

PIECES = {"oil": 0, "##y": 1, "won": 2, "t": 3, "'": 4, "##il": 5, "o": 6}
FEW = Vectors(PIECES, np.arange(-7, 7, dtype=np.int8).reshape(7, 2), np.array([0.5, 1.0], np.float32))


def test_the_longest_piece_is_taken_first() -> None:
    assert FEW.rows("oil") == [0]
    assert FEW.rows("oily") == [0, 1]


def test_both_sides_of_an_apostrophe_are_words() -> None:
    assert FEW.rows("won't") == [2, 3]
    assert FEW.rows("'") == [4]


def test_a_word_of_which_a_part_is_unknown_has_no_pieces() -> None:
    assert FEW.rows("oilß") == []
    assert FEW.of(words("ß")).tolist() == [[0.0, 0.0]]


def test_vectors_of_words_have_length_one() -> None:
    assert np.linalg.norm(FEW.of(words("oily oil won't")), axis=1) == pytest.approx(1, abs=1e-6)


def test_like_words_are_near() -> None:
    whole = vectors()
    smell, stink, pressure = whole.of(words("smell stink pressure"))
    assert float(smell @ stink) > float(smell @ pressure) + 0.2


def test_every_size_of_number_has_a_vector() -> None:
    assert np.linalg.norm(vectors().of(words("0 0.05 7 480 120000")), axis=1) == pytest.approx(1, abs=1e-6)


def test_the_row_is_mean_greatest_and_least() -> None:
    row = pooled(np.array([[1.0, 0.0], [0.0, -1.0]], np.float32), np.array([3.0, 4.0], np.float32)).row
    assert row.tolist() == pytest.approx([0.6, -0.8, 1.0, 0.0, 0.0, -1.0])


def test_the_words_bear_what_the_row_differs_by() -> None:
    draw = np.random.default_rng(1)
    whole = pooled(draw.normal(size=(4, 3)).astype(np.float32), np.ones(4, np.float32))
    slope, middle = draw.normal(size=(9, 2)).astype(np.float32), np.zeros(9, np.float32)
    assert whole.by_word(slope, middle).sum(axis=0) == pytest.approx(whole.row @ slope, abs=1e-5)
