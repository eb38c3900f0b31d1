"""Boosted trees: held against the same sums by hand, and against the library that grew them."""

import numpy as np
import pytest
from sklearn.ensemble import HistGradientBoostingClassifier
from tests.notes_model.fitting import SEED, grown

from witnessmark.diagnosis.notes.model.trees import Trees

STUMPS = Trees(
    feature=np.array([0, 0, 0, 1, 0, 0], np.int16),
    threshold=np.array([0.5, 0.0, 0.0, 2.0, 0.0, 0.0]),
    left=np.array([1, 1, 2, 4, 4, 5], np.int32),
    right=np.array([2, 1, 2, 5, 4, 5], np.int32),
    value=np.array([0.0, -1.0, 1.0, 0.0, -0.5, 0.5]),
    roots=np.array([0, 3], np.int32),
    start=np.array([0.25]),
)


def test_each_tree_adds_the_value_of_its_leaf() -> None:
    """0.25 - 1 - 0.5 = -1.25, and 0.25 + 1 + 0.5 = 1.75, through 1/(1 + exp(-x))."""
    assert STUMPS.chances([(0.5, 2.0), (0.6, 2.1)]) == pytest.approx([0.22270, 0.85195], abs=1e-5)
    assert STUMPS.chances([]) == []


def test_they_say_what_the_library_says_that_grew_them() -> None:
    draw = np.random.default_rng(0)
    x = draw.normal(size=(2000, 4))
    y = x[:, 0] * x[:, 1] + 0.3 * draw.normal(size=2000) > 0
    library = HistGradientBoostingClassifier(
        max_iter=80, max_leaf_nodes=12, learning_rate=0.08, min_samples_leaf=40, l2_regularization=5.0,
        early_stopping=False, random_state=SEED,
    ).fit(x, y)  # fmt: skip
    assert grown(x, y).chances([*x[:200]]) == pytest.approx(library.predict_proba(x[:200])[:, 1], abs=1e-9)
