"""Estimates and words of the liquid model."""

from __future__ import annotations

from witnessmark.calculations.compressor import liquid_rules as rules


def test_estimates_have_spread_and_words_exist() -> None:
    for key in ("share", "coefficient", "give_way", "turns"):
        found = rules.estimated("gaps", key)
        assert 0 < found.uncertainty < found.value
    assert rules.response_time("electronic") < rules.response_time("thermal")
    assert rules.words("slug").startswith("A slug")
