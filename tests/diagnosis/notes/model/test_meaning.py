"""What a text means: a margin of its own beside the n-grams, borne by its words."""

from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.notes.model.linear import quantised
from witnessmark.diagnosis.notes.model.meaning import Meaning
from witnessmark.diagnosis.notes.model.reader import together
from witnessmark.diagnosis.notes.model.store import shipped
from witnessmark.diagnosis.notes.model.vectors import Vectors
from witnessmark.diagnosis.notes.model.windows import Windows
from witnessmark.diagnosis.notes.model.words import words

ONE = np.ones(1, np.float32)
VECTORS = Vectors({"stinks": 0, "box": 1}, np.array([[1], [-1]], np.int8), ONE)


def meaning() -> Meaning:
    """One component, one unit that opens at a positive mean; the windows say nothing."""
    silent = quantised(np.zeros((1, 1)), np.zeros(1))
    inner = quantised(np.array([[2.0], [0.0], [0.0]]), np.zeros(1))
    return Meaning(
        VECTORS,
        np.zeros(3, np.float32),
        inner,
        quantised(np.ones((1, 1)), np.array([-1.0])),
        Windows(silent, silent, silent),
    )


def test_the_words_make_the_odds() -> None:
    heard = meaning().heard(words("stinks"), ONE)
    assert heard.odds == pytest.approx([1.0], abs=0.01)
    assert heard.by_word([0]) == pytest.approx(np.array([[2.0]]), abs=0.02)
    assert meaning().heard(words("box"), ONE).odds == pytest.approx([-1.0])


def test_odds_and_margins_together() -> None:
    low, high = together(np.array([-1.0, 1.0], np.float32), np.array([-14.0, 5.0], np.float32))
    assert low < -0.8 < high


def test_the_shipped_reader_hears_words_that_no_sentence_had() -> None:
    """Without the meaning of words the margin is lower."""
    text = words("horrid pong of scorched varnish from the drained lubricant")
    at = shipped().findings.index("oil-burnt")
    assert shipped().named(text).margins[at] > replace(shipped(), meaning=None).named(text).margins[at]
