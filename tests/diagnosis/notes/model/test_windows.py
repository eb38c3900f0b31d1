"""Windows over words: neighbours in a row, attention that adds up to one, each word's part."""

import numpy as np
import pytest

from witnessmark.diagnosis.notes.model.linear import quantised
from witnessmark.diagnosis.notes.model.windows import Windows, beside, softmax


def test_each_word_stands_with_its_neighbours() -> None:
    rows = beside(np.array([[1.0], [2.0], [3.0]], np.float32), 3)
    assert rows.tolist() == [[0, 1, 2], [1, 2, 3], [2, 3, 0]]


def test_attention_is_shared_among_the_words() -> None:
    shares = softmax(np.array([[0.0, 100.0], [0.0, 0.0]], np.float32))
    assert shares == pytest.approx(np.array([[0.5, 1.0], [0.5, 0.0]]))


def made() -> Windows:
    """A unit that opens at words of vector 1; the first finding attends to it, the second to all words alike."""
    units = quantised(np.array([[0.0], [1.0], [0.0]]), np.zeros(1))
    return Windows(
        units,
        quantised(np.array([[50.0, 0.0]]), np.zeros(2)),
        quantised(np.array([[4.0, 4.0]]), np.array([-1.0, -1.0])),
    )


def test_a_finding_listens_to_the_words_that_it_attends_to() -> None:
    heard = made().heard(np.array([[1.0], [0.0], [0.0], [0.0]], np.float32))
    assert heard.odds == pytest.approx([3.0, 0.0], abs=1e-3)


def test_the_words_bear_the_whole() -> None:
    heard = made().heard(np.array([[1.0], [0.5], [0.0]], np.float32))
    assert heard.by_word([1]).sum(axis=0) - 1 == pytest.approx(heard.odds[1:], abs=1e-5)
    assert heard.by_word([0])[:, 0].argmax() == 0
