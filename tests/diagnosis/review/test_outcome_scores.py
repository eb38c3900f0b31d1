"""Scores of past answers: intervals against figures printed elsewhere, and what must never be said of too little."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binomtest

from witnessmark.diagnosis.review.outcome_scores import LEAST, PastAnswer, score, share

TRUE_SKILL = 1 / (1 + 3)
"""Of claims drawn from a Dirichlet of concentration 3: the variance of a share is p (1 - p) / (1 + 3)."""


def shop(number: int, seed: int, *, sure: float = 1.0, blind: bool = False) -> list[PastAnswer]:
    """Answers of three modes that say what they know; sure: log-odds stretched so; blind: they know the rates alone."""
    rng, rates = np.random.default_rng(seed), np.array([0.5, 0.3, 0.2])
    answers = []
    for k in range(number):
        claimed = rates if blind else rng.dirichlet(3 * rates)
        true = rng.choice(3, p=claimed)
        stretched = claimed**sure / (claimed**sure + (1 - claimed) ** sure)
        order = np.argsort(-stretched)
        answers.append(
            PastAnswer(f"job {k}", tuple((f"m{m}", float(stretched[m])) for m in order), frozenset([f"m{true}"]))
        )
    return answers


# Newcombe 1998, "Two-sided confidence intervals for the single proportion", Stat. Med. 17, table I, method 3: memory.
@pytest.mark.parametrize(
    ("true", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_interval_of_a_share(true: int, of: int, low: float, high: float) -> None:
    interval = share(true, of)
    assert (interval.low, interval.high) == pytest.approx((low, high), abs=6e-5)
    other = binomtest(true, of).proportion_ci(method="wilson")
    assert (interval.low, interval.high) == pytest.approx((other.low, other.high), abs=1e-12)


def test_by_hand() -> None:
    first = PastAnswer("a", (("x", 0.8), ("y", 0.1)), frozenset("x"))
    second = PastAnswer("b", (("x", 0.6), ("y", 0.3)), frozenset("y"), cost=5.0)
    scores = score([first, second])
    assert (scores.top_1.value, scores.top_3.value) == (0.5, 1.0)
    assert scores.brier.value == pytest.approx((0.04 + 0.01 + 0.36 + 0.49) / 4)
    assert scores.known_nothing_brier == pytest.approx(0.25)
    assert scores.mistakes_in_all == 1
    (mistake,) = scores.mistakes
    assert (mistake.reference, mistake.first, mistake.place, mistake.cost) == ("b", "x", 2, 5.0)


def test_two_of_two_are_no_praise() -> None:
    """Worst wrong answer: a shop acts on probabilities because both of its two jobs were right."""
    scores = score(shop(2, 1))
    assert scores.skill is None
    assert "too few" in scores.text
    assert {part.verdict for part in scores.calibration} == {"cannot tell"}
    assert score(shop(LEAST - 1, 1)).skill is None
    assert score(shop(LEAST, 1)).skill is not None


@pytest.mark.parametrize("seed", range(3))
def test_one_who_knows_something_is_told_from_one_who_does_not(seed: int) -> None:
    knowing, blind = score(shop(600, seed)), score(shop(600, seed, blind=True))
    assert knowing.skill is not None
    assert blind.skill is not None
    assert knowing.skill.low > 0.1
    assert knowing.text.startswith("Better")
    assert blind.skill.low <= 0
    assert not blind.text.startswith("Better")


def test_skill_is_that_of_theory() -> None:
    skill = score(shop(6000, 0)).skill
    assert skill is not None
    assert skill.value == pytest.approx(TRUE_SKILL, abs=4 * (skill.high - skill.low) / 4)


def test_too_sure_is_told() -> None:
    fair, sure = score(shop(800, 4)), score(shop(800, 4, sure=4.0))
    assert sum(part.verdict == "as claimed" for part in fair.calibration) >= 8
    assert sure.calibration[-1].verdict == "too sure"
    assert sure.calibration[0].verdict == "not sure enough"
    worse = score([PastAnswer(a.reference, tuple((k, 1 - p) for k, p in a.ranked), a.confirmed) for a in shop(200, 4)])
    assert worse.text.startswith("Worse")


def test_same_outcome_always() -> None:
    """Nobody can be better than one who always says the only thing there is."""
    scores = score([PastAnswer(f"{k}", (("x", 0.9),), frozenset("x")) for k in range(40)])
    assert scores.skill is None
    assert "hardly differs" in scores.text


def test_unknown_outcomes_count_neither_way() -> None:
    open_first = PastAnswer("a", (("x", 0.8), ("y", 0.1)), frozenset("y"), frozenset("x"))
    scores = score([open_first])
    assert scores.top_1.value == 1.0
    assert scores.brier.value == pytest.approx(0.81)


def test_confirmed_and_never_listed() -> None:
    scores = score([PastAnswer("a", (("x", 0.8),), frozenset(["z"]))])
    assert scores.never_ranked == ("z",)
    assert scores.mistakes[0].place is None
    assert scores.brier.value == pytest.approx((0.64 + 1.0) / 2)


def test_costliest_first_then_surest() -> None:
    rows = [("a", 0.9, None), ("b", 0.5, 7.0), ("c", 0.6, 9.0), ("d", 0.95, None)]
    scores = score([PastAnswer(name, (("x", p),), frozenset(), cost=cost) for name, p, cost in rows])
    assert [mistake.reference for mistake in scores.mistakes] == ["c", "b", "d", "a"]
