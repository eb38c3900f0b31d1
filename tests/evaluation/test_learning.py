"""Learning on a small simulated shop: closer to the truth, and no harm where the elicited figures are the truth."""

from __future__ import annotations

from tests.evaluation.learning import shop


def test_a_shop_with_a_truth_of_its_own() -> None:
    loss = shop(1, (1000,), 60)
    assert loss["truth"].mean() < loss["1000"].mean() < loss["elicited"].mean()


def test_where_the_elicited_figures_are_the_truth() -> None:
    """Not worse: the change is below a five-hundredth of the loss."""
    loss = shop(2, (200,), 60, sd=0.0)
    change = loss["200"] - loss["elicited"]
    assert change.mean() <= 0.002 * loss["elicited"].mean()
