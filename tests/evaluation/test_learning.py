"""Learning on a small simulated shop: closer to the truth, and no harm where the elicited figures are the truth."""

from __future__ import annotations

from tests.evaluation.learning import shop


def test_a_shop_with_a_truth_of_its_own() -> None:
    loss = shop(1, (400,), 60)
    assert loss["truth"].mean() < loss["400"].mean() < loss["elicited"].mean()


def test_where_the_elicited_figures_are_the_truth() -> None:
    """Not worse beyond noise: the change lies within two standard errors of none, or below a fiftieth of the loss."""
    loss = shop(2, (200,), 60, sd=0.0)
    change = loss["200"] - loss["elicited"]
    assert change.mean() < max(2 * change.std(ddof=1) / len(change) ** 0.5, 0.02 * loss["elicited"].mean())
