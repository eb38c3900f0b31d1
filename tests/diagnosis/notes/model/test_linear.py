"""N-grams to margins, and what each word bears of them."""

import numpy as np
import pytest

from witnessmark.diagnosis.notes.model.linear import ORDER_NORM, NGrams, find, hashed, ordered, quantised
from witnessmark.diagnosis.notes.model.words import key, words

KEYS = np.array(sorted(map(key, ["w black", "w oil black", "c <bl"])), np.uint32)
GRAMS = NGrams(KEYS, np.array([1.0, 2.0, 3.0], np.float32), np.isin(KEYS, [key("c <bl")]))


def test_unknown_keys_are_not_found() -> None:
    rows, known = find(KEYS, [int(KEYS[2]), 7, 2**32 - 1])
    assert known.tolist() == [True, False, False]
    assert rows[0] == 2


def test_words_and_letters_have_length_one_each() -> None:
    spread = GRAMS.spread(words("oil black, black"))
    letters = GRAMS.letters[spread.rows]
    assert np.sum(spread.values[letters] ** 2) == pytest.approx(1)
    assert np.sum(spread.values[~letters] ** 2) == pytest.approx(1)
    assert len(spread.rows) == 3
    assert len(spread.occurrence) == 5


def test_the_words_bear_the_whole_margin() -> None:
    spread = GRAMS.spread(words("the oil black, black"))
    linear = quantised(np.array([[1.0, -2.0], [0.5, 1.0], [-1.0, 0.25]]), np.array([0.25, -0.5]))
    borne = spread.by_word(linear.of(spread.rows), 5)
    assert borne.sum(axis=0) + linear.offset == pytest.approx(linear.margins(spread.rows, spread.values), abs=1e-5)
    assert not borne[0].any(), "a word that nothing is known of bears nothing"


def test_a_text_of_nothing_known_is_the_offset() -> None:
    spread = GRAMS.spread(words("zz"))
    linear = quantised(np.ones((3, 1)), np.array([-1.0]))
    assert linear.margins(spread.rows, spread.values).tolist() == [-1.0]
    assert spread.by_word(linear.of(spread.rows), 1).tolist() == [[0.0]]


def test_eight_bits_keep_the_greatest_weight_and_come_near_to_the_others() -> None:
    weights = np.array([[3.0, 0.0], [-1.3, 0.0], [0.01, 0.0]])
    linear = quantised(weights, np.zeros(2))
    assert linear.of(np.arange(3)) == pytest.approx(weights, abs=3 / 254)


def test_features_of_order_have_one_length() -> None:
    keys = np.array(sorted([key("first:a"), key("last:b")]), np.uint32)
    found = {key("first:a"): (1.0, 0), key("last:b"): (0.5, 3), key("unknown"): (1.0, 1)}
    _, values, places = ordered(keys, hashed(found))
    assert sorted(places.tolist()) == [0, 3]
    assert np.sqrt(np.sum(values**2)) == pytest.approx(ORDER_NORM)
    rows, values, _ = ordered(keys, hashed({key("unknown"): (1.0, 0)}))
    assert len(rows) == len(values) == 0
