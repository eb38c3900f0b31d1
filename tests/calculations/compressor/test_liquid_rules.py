"""Estimates and advice of the liquid model."""

from __future__ import annotations

from witnessmark.calculations.compressor.liquid_rules import RULES, AdviceId
from witnessmark.vocabulary import words


def test_estimates_have_spread_and_advice_exists() -> None:
    rules = RULES()
    for estimate in (rules.gaps.share, rules.gaps.coefficient, rules.gaps.give_way, rules.gaps.turns):
        assert 0 < estimate.uncertainty < estimate.value
    assert rules.protection.electronic < rules.protection.thermal
    assert rules.advice.keys() == set(words(AdviceId))
    assert rules.advice["slug"].startswith("A slug")
