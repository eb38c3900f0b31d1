"""Fit and data snooping on models small enough to check by hand."""

import math

import numpy as np
import pytest

from witnessmark.calculations import reconciliation
from witnessmark.calculations.reconciliation import (
    Assumption,
    Observation,
    Parameter,
    Vector,
    fit,
    suspicion,
)

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


def test_an_exact_reading_still_has_a_weight() -> None:
    found = fit(repeated, [X], [Observation("a", 2.0, 0.0), Observation("b", 2.5, 1.0)])
    assert found.values["a"] == pytest.approx(2.0, abs=1e-6)


def test_bounds_hold() -> None:
    found = fit(repeated, [Parameter(500.0, 0.0, 1.0, 1.0)], readings(3.0))
    assert found.values["a"] == pytest.approx(1.0, abs=1e-3)


def test_a_solver_that_runs_out_of_evaluations_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reconciliation, "MOST_EVALUATIONS", 2)
    found = fit(lambda u: {"a": math.exp(u[0])}, [Parameter(-5.0, -9.0, 9.0, 1.0)], [Observation("a", 50.0, 1e-3)])
    assert not found.settled
