from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.polynomial import chebyshev

from witnessmark.refrigerants import catalogue, curves, series
from witnessmark.refrigerants.series import Series

TWO = Series((0.0, 1.0, 3.0), ((1.0, 2.0, 0.5), (3.5, 1.0)))


def test_one_value_is_the_chebyshev_sum_of_its_piece() -> None:
    for x, coefficients, t in ((0.25, TWO.pieces[0], -0.5), (2.5, TWO.pieces[1], 0.5)):
        assert TWO.at(x) == pytest.approx(chebyshev.chebval(t, coefficients), abs=1e-15)


def test_a_column_equals_value_by_value_in_every_order_and_block() -> None:
    x = np.random.default_rng(1).uniform(-0.1, 3.1, 3 * series.BLOCK + 17)
    assert TWO.over(x) == pytest.approx([TWO.at(float(value)) for value in x], abs=1e-14)


def test_a_column_within_one_piece_and_an_empty_one() -> None:
    x = np.array([0.1, 0.9, 0.5])
    assert TWO.over(x) == pytest.approx([TWO.at(value) for value in x.tolist()], abs=1e-15)
    assert TWO.over(np.array([])).size == 0


def test_the_edge_belongs_to_the_upper_piece() -> None:
    assert TWO.at(1.0) == TWO.over(np.array([0.5, 1.0]))[1] == pytest.approx(3.5 - 1.0)


def test_derivative_against_finite_differences() -> None:
    slope = TWO.derivative()
    for x in (0.3, 0.8, 1.7, 2.9):
        assert slope.at(x) == pytest.approx((TWO.at(x + 1e-6) - TWO.at(x - 1e-6)) / 2e-6, rel=1e-8)


def test_fit_follows_an_analytic_function_within_its_tolerance() -> None:
    edges = (0.5, 2.0)
    nodes = series.points(edges, 40)
    coefficients = series.fit(nodes, np.exp(nodes), edges, 1e-9)
    fitted = Series(edges, (coefficients,))
    x = np.linspace(*edges, 301)
    assert fitted.over(x) == pytest.approx(np.exp(x), abs=2e-9)
    assert len(coefficients) < 15


def test_points_are_ascending_and_inside() -> None:
    nodes = series.points((1.0, 2.0), 8)
    assert np.all(np.diff(nodes) > 0)
    assert 1.0 < nodes[0] < nodes[-1] < 2.0


@pytest.mark.parametrize("edges", [(0.0, 1.0), (0.0, 1.0, 1.0), (0.0, 2.0, 1.0)])
def test_edges_must_ascend_and_fit_the_pieces(edges: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="ascending edges"):
        Series(edges, ((1.0,), (2.0,)))


def test_powers_lose_nothing_on_any_shipped_curve() -> None:
    """Numpy's Clenshaw recurrence on the shipped coefficients is the reference; temperatures: 4e-12 is 1 nK.

    Helium's densities, which change tenfold over less than 3 K, lose two digits more: 1e-10, where its equation itself
    is given to 1e-3.
    """
    t = np.linspace(-0.999, 0.999, 40)
    for designation in catalogue.designations():
        fine = 1e-10 if designation == "R-704" else 4e-12
        found = curves.load(designation)
        for one in (getattr(line, name) for line in (found.bubble, found.dew) for name in curves.Line.model_fields):
            for (low, high), piece in zip(pairwise(one.edges), one.pieces, strict=True):
                expected = chebyshev.chebval(t, piece)
                x = (low + high) / 2 + (high - low) / 2 * t
                assert one.over(x) == pytest.approx(expected, rel=fine, abs=fine)


def test_value_and_slope_in_one_pass_are_those_of_the_series_and_its_derivative() -> None:
    line = curves.load("R-454B").dew.temperature
    derivative = line.derivative()
    for x in np.linspace(line.edges[0], line.edges[-1], 50).tolist():
        value, slope = line.with_slope(x)
        assert value == line.at(x)
        assert slope == pytest.approx(derivative.at(x), rel=1e-9)


@pytest.mark.parametrize(
    ("tolerance", "kept"), [(0.05, 3), (0.25, 2), (0.249, 3), (0.75, 1), (0.749, 2), (9.0, 1), (1e-3, 3)]
)
def test_the_last_terms_go_as_long_as_their_sum_is_within_the_tolerance(tolerance: float, kept: int) -> None:
    """By hand: 2 T0 - 0.5 T1 + 0.25 T2 = 2 - 0.5 t + 0.25 (2 t² - 1) on its own nodes."""
    t = series.points((-1.0, 1.0), 3)
    coefficients = series.fit(t, 2 - 0.5 * t + 0.25 * (2 * t**2 - 1) + 0 * t, (-1.0, 1.0), tolerance * (1 + 1e-12))
    assert coefficients == pytest.approx((2.0, -0.5, 0.25)[:kept], abs=1e-12)


@pytest.mark.parametrize("holes", [[0], [5], [-1], [0, 1, 2], list(range(0, 12, 2)), list(range(12))])
def test_what_is_no_number_stays_none_and_harms_no_neighbour(holes: list[int]) -> None:
    x = np.linspace(-0.1, 3.1, 12)
    broken = x.copy()
    broken[holes] = np.nan
    with np.errstate(invalid="ignore"):
        found = TWO.over(broken)
    assert np.isnan(found[holes]).all()
    rest = np.setdiff1d(np.arange(12), np.arange(12)[holes])
    assert found[rest].tolist() == TWO.over(x)[rest].tolist()


@pytest.mark.parametrize("hole", [0, 3, 8])
def test_no_number_among_many_blocks(hole: int) -> None:
    x = np.random.default_rng(2).uniform(0.0, 3.0, 2 * series.BLOCK + 9)
    broken = x.copy()
    broken[hole::9] = np.nan
    found, slopes = TWO.over(broken), TWO.over_with_slope(broken)
    assert np.isnan(found).sum() == np.isnan(broken).sum()
    kept = ~np.isnan(broken)
    assert (found[kept] == TWO.over(x)[kept]).all()
    assert (slopes[1][kept] == TWO.over_with_slope(x)[1][kept]).all()


def test_both_derivatives_of_a_number_and_a_column() -> None:
    step = 1e-5
    x = np.array([0.3, 0.8, 1.7, 2.9])
    value, slope, bend = TWO.over_with_slopes(x)
    for k, one in enumerate(x.tolist()):
        assert TWO.with_slopes(one) == (value[k], slope[k], bend[k])
        assert TWO.with_slopes(one)[:2] == TWO.with_slope(one)
        assert bend[k] == pytest.approx(
            (TWO.with_slope(one + step)[1] - TWO.with_slope(one - step)[1]) / (2 * step), abs=1e-6
        )


def sharp() -> Series:
    """Needs many terms: its pole lies a tenth of a piece beyond the end."""
    nodes = series.points((0.0, 1.0), 60)
    return Series((0.0, 1.0, 3.0), (series.fit(nodes, 1 / (1.1 - nodes), (0.0, 1.0), 1e-11), (3.5, 1.0)))


def test_cut_pieces_have_few_terms_and_follow_the_series() -> None:
    whole = sharp()
    assert max(map(len, whole.pieces)) > 25
    for terms, tolerance in ((7, 1e-9), (4, 1e-6)):
        cut = whole.cut(terms, tolerance)
        assert max(map(len, cut.pieces)) <= terms
        assert cut.edges[0] == 0.0
        assert cut.edges[-2:] == (1.0, 3.0)
        assert set(whole.edges) <= set(cut.edges)
        x = np.linspace(0.0, 3.0, 2001)
        assert np.max(np.abs(cut.over(x) - whole.over(x))) <= tolerance * (1 + 1e-6)
    assert np.max(np.abs(whole.cut(4, 1e-6).over(x) - whole.over(x))) > 1e-8  # the tolerance is used


def test_a_number_and_a_column_of_short_and_long_pieces_are_the_same_to_the_last_bit() -> None:
    cut = sharp().cut(7, 1e-9)
    assert len(set(map(len, cut.pieces))) > 1
    x = np.sort(np.random.default_rng(3).uniform(0.0, 3.0, series.BLOCK + 100))
    assert cut.over(x).tolist() == [cut.at(value) for value in x.tolist()]
    columns = cut.over_with_slopes(x)
    assert [tuple(row) for row in np.array(columns).T.tolist()] == [cut.with_slopes(value) for value in x.tolist()]


def test_branches_give_what_a_number_gives_from_one_end_to_the_other() -> None:
    cut = sharp().cut(7, 1e-9)
    lines = ["def one(x):", *cut.branches((-0.01, 3.01), "return {}", "return None")]
    one = series.written("one", lines, {})
    for x in (-0.01, 0.0, *cut.edges, *np.linspace(0.0, 3.0, 301).tolist(), 3.01):
        assert one(x) == cut.at(x)
    for x in (-0.0100001, 3.0100001, -9.0, 9.0, float("nan"), float("inf"), -float("inf")):
        assert one(x) is None


def test_before_and_after_are_done_block_by_block() -> None:
    x = np.random.default_rng(4).uniform(0.5, 2.0, series.BLOCK + 3)
    assert (TWO.over(x, np.reciprocal, np.negative) == -TWO.over(1.0 / x)).all()


def test_more_pieces_than_a_byte_counts_are_refused() -> None:
    with pytest.raises(ValueError, match="256"):
        Series(tuple(map(float, range(258))), ((1.0,),) * 257)
