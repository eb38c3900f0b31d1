from __future__ import annotations

import math

import numpy as np
import pytest

from witnessmark.arithmetic import Array
from witnessmark.refrigerants.surfaces import lattice
from witnessmark.refrigerants.surfaces.build import sites_of, splined
from witnessmark.refrigerants.surfaces.lattice import FAR, NEAR, Lattice

EDGES = np.array([0.0, 0.4, 1.5, 2.0, 3.0])
ROWS = 4
ALONG = np.linspace(0.0, 1.0, ROWS + 1)


def known(x: float, y: float) -> float:
    """A polynomial of fifth degree in both, which a quintic spline meets everywhere."""
    return 1.0 + x**5 - 3.0 * x**2 * y**5 + 2.0 * x * y - y**3


@pytest.fixture(scope="module")
def tried() -> Lattice:
    grid = np.array([[known(x, y) for y in sites_of(ALONG)] for x in sites_of(EDGES)])
    line = np.array([x**4 for x in sites_of(EDGES)])
    return Lattice(EDGES, ROWS, {"surface": splined(grid, EDGES, ALONG), "line": splined(line, EDGES)})


def spread(count: int) -> tuple[Array, Array]:
    generator = np.random.default_rng(3)
    return generator.uniform(0.0, 3.0, count), generator.uniform(0.0, 1.0, count)


def test_a_polynomial_of_its_own_degree_comes_back(tried: Lattice) -> None:
    for x, y in zip(*(part.tolist() for part in spread(200)), strict=True):
        strip, a = tried.across(x)
        cell, b = tried.along(strip, y)
        assert 0.0 <= a <= 1.0
        assert 0.0 <= b <= 1.0
        assert tried.at("surface", cell, a, b) == pytest.approx(known(x, y), abs=1e-9)
        assert tried.line("line", strip, a) == pytest.approx(x**4, abs=1e-9)
        assert tried.line(f"surface{NEAR}", strip, a) == pytest.approx(known(x, 0.0), abs=1e-9)
        assert tried.line(f"surface{FAR}", strip, a) == pytest.approx(known(x, 1.0), abs=1e-9)


def test_section_and_its_slope(tried: Lattice) -> None:
    strip, a = tried.across(1.1)
    cell, b = tried.along(strip, 0.6)
    section = tried.section("surface", cell, a)
    assert lattice.polynomial(section, b) == pytest.approx(known(1.1, 0.6), abs=1e-9)
    per_y = -15.0 * 1.1**2 * 0.6**4 + 2.0 * 1.1 - 3.0 * 0.6**2
    assert lattice.slope(section, b) * ROWS == pytest.approx(per_y, abs=1e-8)


def test_numbers_and_columns_agree_to_the_last_bit(tried: Lattice) -> None:
    xs, ys = spread(500)
    xs[:5], ys[:5] = EDGES, ALONG
    strips, a = tried.across(xs)
    cells, b = tried.along(strips, ys)
    sections = tried.section("surface", cells, a)
    columns = [tried.at("surface", cells, a, b), tried.line("line", strips, a), lattice.slope(sections, b)]
    for k, (x, y) in enumerate(zip(xs.tolist(), ys.tolist(), strict=True)):
        strip, one = tried.across(x)
        cell, two = tried.along(strip, y)
        section = tried.section("surface", cell, one)
        alone = [tried.at("surface", cell, one, two), tried.line("line", strip, one), lattice.slope(section, two)]
        assert [column[k] for column in columns] == alone
        assert lattice.polynomial(section, two) == alone[0]


def test_an_edge_belongs_to_the_strip_above_it_and_what_lies_beyond_to_the_outer_one(tried: Lattice) -> None:
    assert [tried.across(x)[0] for x in (-1.0, 0.0, 0.4, 3.0, 9.0)] == [0, 0, 1, 3, 3]
    assert tried.across(np.array([-1.0, 0.0, 0.4, 3.0, 9.0]))[0].tolist() == [0, 0, 1, 3, 3]
    assert [tried.along(2, y)[0] for y in (0.0, 0.25, 1.0, 1.2)] == [8, 9, 11, 11]
    assert tried.along(np.array([2, 2, 2, 2, 2]), np.array([0.0, 0.25, 1.0, 1.2, -1.0]))[0].tolist() == [
        8,
        9,
        11,
        11,
        8,
    ]


def test_roots_and_logarithms_of_numbers_and_columns() -> None:
    values = np.array([2.0, 0.0, -1e-9])
    assert lattice.root(values).tolist() == [lattice.root(value) for value in values.tolist()] == [2.0**0.5, 0.0, 0.0]
    assert lattice.logarithm(np.array([3.0]))[0] == lattice.logarithm(3.0) == math.log(3.0)


def test_what_is_no_number_lies_in_some_cell(tried: Lattice) -> None:
    """Columns hold rows that mean nothing; they must harm no other."""
    strips, a = tried.across(np.array([np.nan, 1.1]))
    cells, b = tried.along(strips, np.array([0.5, np.nan]))
    assert np.isnan(tried.at("surface", cells, a, b)).all()


def test_a_surface_with_its_derivatives_as_a_number_and_in_a_column(tried: Lattice) -> None:
    xs, ys = spread(200)
    strips, across = tried.across(xs)
    cells, along = tried.along(strips, ys)
    columns = lattice.around(tried.sections("surface", cells, across), along)
    lines = tried.line_around("line", strips, across)
    for k, (x, y) in enumerate(zip(xs.tolist(), ys.tolist(), strict=True)):
        strip, a = tried.across(x)
        cell, b = tried.along(strip, y)
        number = lattice.around(tried.sections("surface", cell, a), b)
        assert number == tuple(column[k] for column in columns)
        assert number[0] == tried.at("surface", cell, a, b)
        per, rows = tried.per_width(strip), float(ROWS)
        true = (
            (5 * x**4 - 6 * x * y**5 + 2 * y) / per,
            (-15 * x**2 * y**4 + 2 * x - 3 * y**2) / rows,
            (20 * x**3 - 6 * y**5) / per**2,
            (-30 * x * y**4 + 2) / (per * rows),
            (-60 * x**2 * y**3 - 6 * y) / rows**2,
        )
        assert number[1:] == pytest.approx(true, rel=1e-7, abs=1e-7)
        line = tried.line_around("line", strip, a)
        assert line == tuple(column[k] for column in lines)
        assert line == pytest.approx((x**4, 4 * x**3 / per, 12 * x**2 / per**2), rel=1e-7, abs=1e-7)
