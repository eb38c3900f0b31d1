"""Learning on a small simulated shop: closer to the truth, and no harm where the elicited figures are the truth."""

from __future__ import annotations

import pytest

from tests.evaluation.learning import HABIT, Labels, closed, shop
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.simulation import Scenario, simulate


def test_a_shop_with_a_truth_of_its_own() -> None:
    loss = shop(1, (1000,), 60)
    assert loss["truth"].mean() < loss["1000"].mean() < loss["elicited"].mean()


def test_where_the_elicited_figures_are_the_truth() -> None:
    """Not worse: the change is below a five-hundredth of the loss."""
    loss = shop(2, (200,), 60, sd=0.0)
    change = loss["200"] - loss["elicited"]
    assert change.mean() <= 0.002 * loss["elicited"].mean()


def test_a_few_hundred_jobs_teach_something() -> None:
    loss = shop(22, (250,), 60)
    assert loss["250"].mean() < loss["elicited"].mean() - 0.05


@pytest.mark.parametrize("habit", [{}, HABIT])
def test_wrong_labels_are_as_many_and_of_the_kind_that_was_asked(habit: dict[str, str]) -> None:
    simulated = simulate(knowledge(), Scenario(findings=(3, 3)), 400, 1)
    right, wrong = (closed(knowledge(), simulated, labels, 1) for labels in (Labels(), Labels(0.3, habit)))
    pairs = [(set(a.confirmed_modes), set(b.confirmed_modes)) for a, b in zip(right, wrong, strict=True)]
    if habit:
        pairs = [pair for pair in pairs if pair[0] & set(habit)]
        assert all(b in (a, {habit.get(key, key) for key in a}) for a, b in pairs)
    changed = sum(a != b for a, b in pairs) / len(pairs)
    assert 0.15 < changed < 0.45
