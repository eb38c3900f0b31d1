"""Reconciliation and data snooping on models small enough to check by hand."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from witnessmark.calculations.metrology import least_squares, reconciliation
from witnessmark.calculations.metrology.dogleg import Vector
from witnessmark.calculations.metrology.least_squares import Observation, Parameter
from witnessmark.calculations.metrology.reconciliation import Assumption, fit, suspicion
from witnessmark.errors import InputError

X = Parameter(1.0, -100.0, 100.0, 1.0)


def repeated(unknowns: Vector) -> dict[str, float]:
    """One quantity read by four instruments."""
    return dict.fromkeys("abcd", float(unknowns[0]))


def readings(*values: float, sigma: float = 1.0) -> list[Observation]:
    return [Observation(name, value, sigma) for name, value in zip("abcd", values, strict=False)]


def test_repeated_readings_give_the_weighted_mean() -> None:
    found = fit(repeated, [X], [Observation("a", 1.0, 1.0), Observation("b", 4.0, 2.0)])
    weighted = (1.0 / 1 + 4.0 / 4) / (1 / 1 + 1 / 4)
    assert found.values["c"] == pytest.approx(weighted, abs=1e-6)
    assert found.uncertainties["c"] == pytest.approx(math.sqrt(1 / (1 + 1 / 4)))
    assert found.chi_squared == pytest.approx(9 / 5)
    assert found.degrees == 1
    assert [r.fitted for r in found.residuals] == pytest.approx([weighted, weighted], abs=1e-6)
    assert [r.redundancy for r in found.residuals] == pytest.approx([1 / 5, 4 / 5])  # 1 - its share of the weight


def test_a_curved_model_agrees_with_random_draws_within_5_percent() -> None:
    def curved(u: Vector) -> dict[str, float]:
        return {"a": math.exp(u[0]), "b": u[0] ** 2, "c": u[0]}

    truth, spreads = {"a": math.e, "b": 1.0}, {"a": 0.03, "b": 0.04}
    generator = np.random.default_rng(7)
    drawn = [
        fit(curved, [X], [Observation(n, generator.normal(truth[n], s), s) for n, s in spreads.items()]).values["c"]
        for _ in range(500)
    ]
    found = fit(curved, [X], [Observation(n, truth[n], s) for n, s in spreads.items()])
    assert found.uncertainties["c"] == pytest.approx(float(np.std(drawn)), rel=0.05)


def test_normalised_residual_squared_is_the_fall_of_chi_squared() -> None:
    """The property data snooping rests on: leave the reading out and chi-squared falls by w²."""
    observed = readings(0.1, -0.4, 0.2, 5.0)
    found = fit(repeated, [X], observed)
    without = fit(repeated, [X], observed[:-1])
    assert found.residuals[-1].normalised ** 2 == pytest.approx(found.chi_squared - without.chi_squared, rel=1e-6)
    assert found.residuals[-1].error == pytest.approx(5.0 - without.values["d"], rel=1e-6)


def test_the_odd_one_out_is_named() -> None:
    found = suspicion(fit(repeated, [X], readings(0.1, -0.4, 0.2, 8.0)))
    assert found.verdict == "one reading"
    assert [r.observation.name for r in found.suspects] == ["d"]


def test_two_readings_that_differ_cannot_accuse_each_other() -> None:
    found = suspicion(fit(repeated, [X], readings(0.0, 8.0)))
    assert found.verdict == "one of several"
    assert {r.observation.name for r in found.suspects} == {"a", "b"}


def test_two_against_two_is_more_than_one() -> None:
    assert suspicion(fit(repeated, [X], readings(0.0, 0.1, 20.0, 20.1))).verdict == "more than one"


def test_agreement_is_consistent() -> None:
    assert suspicion(fit(repeated, [X], readings(0.0, 0.5, -0.5, 0.2))).verdict == "consistent"


def test_without_redundancy_nothing_is_checked() -> None:
    found = fit(repeated, [X], readings(3.0))
    assert suspicion(found).verdict == "not checkable"
    assert found.probability == 1.0
    assert (found.residuals[0].normalised, found.residuals[0].redundancy) == (0.0, 0.0)


def test_an_assumption_is_suspected_only_within_what_can_be() -> None:
    reading = Observation("a", 8.0, 1.0)
    free, bound = Assumption("b", 0.0, 1.0), Assumption("b", 0.0, 1.0, low=-1.0, high=2.0)
    assert len(suspicion(fit(repeated, [X], [reading, free])).suspects) == 2
    accused = suspicion(fit(repeated, [X], [reading, bound]))
    assert accused.verdict == "one reading"
    assert accused.suspects[0].observation.name == "a"


BENT = Parameter(1.0, -50.0, 100.0, 1.0, kink=0.0)


def wet_or_dry(unknowns: Vector) -> dict[str, float]:
    """A thermometer that follows x above zero only, and heats that follow it everywhere, below three times as much."""
    x = float(unknowns[0])
    heat = x if x > 0 else 3 * x
    return {"shown": max(x, 0.0), "a": heat, "b": heat}


def test_a_pinned_unknown_counts_as_known() -> None:
    found = fit(wet_or_dry, [BENT], [Observation("shown", -1.0, 1.0), Observation("a", 0.0, 1.0)])
    assert found.pinned == (0,)
    assert found.degrees == 2
    assert found.chi_squared == pytest.approx(1.0)


def test_at_a_kink_the_variances_of_both_sides_count_alike() -> None:
    """Above, three readings of one each hold x to 1/sqrt(3); below, two of three times x hold heat to 1/sqrt(2)."""
    observed = [Observation("shown", -1.0, 1.0), Observation("a", 0.0, 1.0), Observation("b", 0.0, 1.0)]
    found = fit(wet_or_dry, [BENT], observed)
    assert found.uncertainties["shown"] == pytest.approx(math.sqrt(1 / 3 / 2))
    assert found.uncertainties["a"] == pytest.approx(math.sqrt((1 / 3 + 1 / 2) / 2))


@pytest.mark.parametrize(("heat", "share"), [(0.5, 0.308_54), (3.0, 0.001_35), (-6.0, 0.0)])
def test_the_far_side_counts_by_the_chance_of_lying_there(heat: float, share: float) -> None:
    """X is known to 1 above and to 1/3 below (normal distribution, tables); at -2 the kink is six such away."""
    found = fit(wet_or_dry, [BENT], [Observation("a", heat, 1.0)])
    own, other = (1.0, 0.0) if heat > 0 else (0.0, 1.0)
    assert found.uncertainties["shown"] == pytest.approx(math.sqrt((1 - share) * own + share * other), rel=1e-4)


@pytest.mark.parametrize("slope", [0.0, 1e-3])
def test_a_side_that_no_reading_holds_lends_no_uncertainty(slope: float) -> None:
    found = fit(lambda u: {"a": u[0] if u[0] > 0 else slope * u[0]}, [BENT], [Observation("a", -0.5, 1.0)])
    assert found.uncertainties["a"] == pytest.approx(1.0)


def test_near_a_kink_the_liar_is_named_by_fits_without_each_reading() -> None:
    """Three heats agree on x = 2; the thermometer says 9 below the kink. To first order at the kink they look alike."""

    def model(u: Vector) -> dict[str, float]:
        return wet_or_dry(u) | {"c": wet_or_dry(u)["a"]}

    found = fit(model, [BENT], [Observation("shown", -9.0, 0.5), *(Observation(n, 2.0, 1.0) for n in "abc")])
    told = suspicion(found)
    assert [r.observation.name for r in told.suspects] == ["shown"]
    assert told.suspects[0].error == pytest.approx(-11.0)
    assert told.suspects[0].normalised ** 2 == pytest.approx(found.chi_squared)


def test_a_reading_without_which_there_is_no_answer_keeps_its_first_order_residual() -> None:
    """Without "a" or "b" the model is asked where it has none, or the solver does not settle."""
    observed = readings(0.0, 0.2, 30.0)
    usual = fit(repeated, [X], observed).residuals

    def picky(u: Vector) -> dict[str, float]:
        if u[0] > 11:
            raise InputError("a", "too far", "less")
        return repeated(u)

    kept = fit(picky, [X], observed).residuals
    assert kept[0].error == pytest.approx(usual[0].error)
    assert kept[2].error == pytest.approx(29.9)


def test_residuals_of_fits_that_do_not_settle_are_not_used(monkeypatch: pytest.MonkeyPatch) -> None:
    def hasty(model: least_squares.FitModel, parameters: Any, observations: Any) -> least_squares.Solution:
        return replace(least_squares.solve(model, parameters, observations), settled=len(observations) == 3)

    monkeypatch.setattr(reconciliation, "solve", hasty)
    found = fit(lambda u: {n: math.exp(u[0]) for n in "abc"}, [X], readings(1.0, 1.1, 9.0, sigma=0.5))
    third = found.residuals[2]
    assert third.error == pytest.approx((9.0 - found.values["c"]) / third.redundancy)


def test_what_nothing_checks_is_left_alone_where_others_contradict() -> None:
    def two(u: Vector) -> dict[str, float]:
        return {"a": u[0], "b": u[0], "d": u[1]}

    found = fit(two, [X, X], [Observation("a", 0.0, 1.0), Observation("b", 9.0, 1.0), Observation("d", 3.0, 1.0)])
    assert (found.residuals[2].error, found.residuals[2].redundancy) == (0.0, 0.0)


def test_whether_the_solver_settled_is_passed_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(least_squares, "MOST_EVALUATIONS", 2)
    found = fit(lambda u: {"a": math.exp(u[0])}, [Parameter(-5.0, -9.0, 9.0, 1.0)], [Observation("a", 50.0, 1e-3)])
    assert not found.settled


def told(*residuals: reconciliation.Residual, probability: float = 0.001) -> reconciliation.Suspicion:
    """The suspicion of a fit of which only residuals, chi-squared and its probability matter."""
    return suspicion(reconciliation.Reconciliation({}, {}, residuals, 5.0, 4, probability, settled=True))


def residual(name: str, normalised: float, error: float = 0.0) -> reconciliation.Residual:
    return reconciliation.Residual(Assumption(name, 0.0, 1.0, -1.0, 2.0), 0.0, error, normalised, 0.5)


def test_one_in_a_hundred_is_still_consistent(monkeypatch: pytest.MonkeyPatch) -> None:
    assert told(probability=0.01).verdict == "consistent"
    assert told(residual("a", 2.0), probability=0.009_99).verdict == "one reading"
    monkeypatch.setattr(reconciliation, "_probability", lambda *_: 0.01)
    monkeypatch.setattr(reconciliation, "_left_out", None)  # would fail if it were called
    assert fit(repeated, [X], readings(1.0, 2.0)).probability == 0.01


def test_an_assumption_can_be_as_wrong_as_its_range_is_wide() -> None:
    for error, verdict in ((1.0, "one of several"), (1.01, "one reading"), (-2.0, "one of several")):
        assert told(residual("a", 2.0), residual("b", 1.9, error)).verdict == verdict


def test_suspects_within_the_odds_are_named_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """2 ln(e²) = 4: the second suspect may explain chi-squared worse by 4."""
    monkeypatch.setattr(reconciliation, "ODDS", math.exp(2))
    assert told(residual("a", 2.0), residual("b", 0.0)).verdict == "one of several"
    assert told(residual("a", 2.01), residual("b", 0.0)).verdict == "one reading"


def test_a_thousandth_of_redundancy_is_the_least_that_checks_a_reading() -> None:
    observation = Observation("a", 3.0, 2.0)
    checked = reconciliation._residual(observation, 0.5, 1e-3)  # noqa: SLF001
    assert (checked.fitted, checked.redundancy) == (2.0, 1e-3)
    assert (checked.error, checked.normalised) == pytest.approx((1000.0, 0.5 / math.sqrt(1e-3)))
    assert reconciliation._residual(observation, 0.5, 0.99e-3).redundancy == 0.0  # noqa: SLF001


@pytest.mark.parametrize(("left", "verdict"), [(0.01, "one reading"), (0.009_99, "more than one")])
def test_without_its_suspect_the_rest_agrees_from_one_in_a_hundred_on(
    left: float, verdict: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reconciliation, "_probability", lambda *_: left)
    assert told(residual("a", 2.0)).verdict == verdict


@pytest.mark.parametrize(("gain", "used"), [(1e-3, True), (0.9e-3, False)])
def test_a_fit_without_a_reading_counts_from_a_gain_of_a_thousandth_on(
    monkeypatch: pytest.MonkeyPatch,
    gain: float,
    used: bool,  # noqa: FBT001 - a table's parameter
) -> None:
    """What it gains is the square of its normalised residual, by definition."""
    solve, solve_from = least_squares.solve, least_squares.solve_from
    monkeypatch.setattr(reconciliation, "solve", lambda *given: replace(solve(*given), chi_squared=gain))
    monkeypatch.setattr(reconciliation, "solve_from", lambda *given: replace(solve_from(*given), chi_squared=0.0))
    monkeypatch.setattr(reconciliation, "_probability", lambda *_: 0.0)  # as if they contradicted each other
    third = fit(repeated, [X], readings(0.0, 0.2, 30.0)).residuals[2]
    assert (third.normalised == pytest.approx(math.sqrt(gain))) is used
