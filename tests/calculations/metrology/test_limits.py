"""Limits that sources state differently: safest wins, the maker overrides, both are shown."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from witnessmark.calculations.metrology.limits import (
    Limit,
    Safer,
    Standing,
    StatedLimit,
    judge,
    side,
)
from witnessmark.calculations.metrology.uncertainty import Measured

ONE, TWO = "common-practice", "coolprop"


def limit(safer: Safer, *values: float) -> Limit:
    return Limit(safer, tuple(StatedLimit(v, ONE) for v in values))


def test_one_source_rules_alone() -> None:
    ruling = limit("lower", 0.02).rule()
    assert (ruling.value, ruling.laxest, ruling.basis) == (0.02, 0.02, "one source")


def test_sources_that_agree_are_no_conflict() -> None:
    ruling = limit("lower", 0.02, 0.02).rule()
    assert (ruling.basis, ruling.laxest) == ("sources agree", 0.02)


@pytest.mark.parametrize(("safer", "safest", "laxest"), [("lower", 1.0, 5.0), ("higher", 5.0, 1.0)])
def test_of_conflicting_sources_the_safest_wins(safer: Safer, safest: float, laxest: float) -> None:
    ruling = limit(safer, 1.0, 5.0, 2.0).rule()
    assert (ruling.value, ruling.laxest) == (safest, laxest)
    assert ruling.basis == "safest of conflicting sources"


def test_the_maker_overrides_and_the_ruling_says_so() -> None:
    ruling = limit("higher", 5e6, 2e6).rule(maker=1.5e6, document="Guide 7, page 2")
    assert (ruling.value, ruling.laxest, ruling.basis) == (1.5e6, 1.5e6, "maker")
    assert ruling.looser_than_published
    assert [stated.value for stated in ruling.stated] == [5e6, 2e6]


def test_a_stricter_maker_is_not_called_loose() -> None:
    assert not limit("lower", 0.05, 0.02).rule(maker=0.01).looser_than_published
    assert not limit("lower", 0.05).rule().looser_than_published


def test_each_source_is_named_once() -> None:
    stated = (StatedLimit(1.0, TWO), StatedLimit(2.0, ONE), StatedLimit(3.0, TWO))
    assert Limit("lower", stated).rule().sources == (TWO, ONE)


@pytest.mark.parametrize(
    ("value", "uncertainty", "expected"),
    [
        (0.5, 0.1, "within"),
        (1.0, 0.0, "within"),
        (3.0, 0.1, "sources disagree"),
        (6.0, 0.1, "outside"),
        (1.0, 0.1, "cannot tell"),
        (5.0, 0.3, "cannot tell"),
        (3.0, 1.5, "cannot tell"),
    ],
)
def test_judging_against_conflicting_maxima(value: float, uncertainty: float, expected: Standing) -> None:
    assert judge(Measured(value, uncertainty), limit("lower", 1.0, 5.0).rule()) == expected


@pytest.mark.parametrize(
    ("value", "uncertainty", "expected"),
    [(9.0, 0.5, "within"), (3.0, 0.5, "sources disagree"), (0.5, 0.1, "outside"), (5.0, 0.1, "cannot tell")],
)
def test_judging_against_conflicting_minima(value: float, uncertainty: float, expected: Standing) -> None:
    assert judge(Measured(value, uncertainty), limit("higher", 5.0, 1.0).rule()) == expected


def test_a_single_figure_never_gives_disagreement() -> None:
    ruling = limit("lower", 1.0).rule()
    assert {judge(Measured(v, 0.01), ruling) for v in (0.5, 1.0, 1.5)} == {"within", "cannot tell", "outside"}


def test_side_of_a_minimum() -> None:
    assert side(Measured(2.0, 0.1), 1.0, "higher") == "within"
    assert side(Measured(0.5, 0.1), 1.0, "higher") == "outside"


@pytest.mark.parametrize(
    ("value", "expected"),
    [(7.99, "within"), (8.0, "within"), (8.01, "cannot tell"), (12.0, "cannot tell"), (12.01, "outside")],
)
def test_two_standard_uncertainties_decide_and_their_end_belongs_to_the_milder_word(
    value: float, expected: str
) -> None:
    assert side(Measured(value, 1.0), 10.0, "lower") == expected
    assert side(Measured(20.0 - value, 1.0), 10.0, "higher") == expected


def test_a_limit_without_figures_or_side_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 1 item"):
        Limit("lower", ())
    with pytest.raises(ValueError, match="'lower' or 'higher'"):
        limit("sideways", 1.0)  # type: ignore[arg-type]


def test_an_unknown_source_is_refused() -> None:
    with pytest.raises(ValidationError, match="no such source: hearsay"):
        StatedLimit(1.0, "hearsay")
