"""Streams by name: the published generator, even and normal numbers, and no stream that hangs on its neighbours."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from witnessmark.diagnosis.inference.random_streams import Keys, integers, joined, keys, normal, uniform

PUBLISHED = (
    6457827717110365317,
    3203168211198807973,
    9817491932198370423,
    4593380528125082431,
    16408922859458223821,
)
"""First numbers of SplitMix64 from the state 1234567 (Rosetta Code, "Pseudo-random numbers/Splitmix64")."""


def a_state(number: int) -> Keys:
    return np.array([number], np.uint64)


def test_the_published_generator() -> None:
    assert tuple(integers(a_state(1234567), 5)[:, 0].tolist()) == PUBLISHED


def test_a_single_key_needs_no_axis() -> None:
    assert integers(a_state(1234567).reshape(()), 5).tolist() == list(PUBLISHED)


def test_ends_are_excluded() -> None:
    """The mixing maps 0 to 0 and is a bijection, so the state one step below 0 gives the least number there is."""
    least = a_state(2**64 - 0x9E3779B97F4A7C15)
    assert integers(least, 1).item() == 0
    assert uniform(least, 1).item() == 2.0**-53
    assert (2.0**52 - 1 + 0.5) * 2.0**-52 < 1


def test_numbers_are_even_and_normal_within_and_across_streams() -> None:
    """Kolmogorov and Smirnov's test, over the numbers of one stream and over the first numbers of many streams."""
    many = joined(keys(["a purpose"]), keys(range(4000)))
    for sample in (uniform(many[:1], 4000)[:, 0], uniform(many, 1)[0]):
        assert stats.kstest(sample, "uniform").pvalue > 0.01
    for sample in (normal(many[:1], 4000)[:, 0], normal(many, 1)[0]):
        assert stats.kstest(sample, "norm").pvalue > 0.01
    neighbours = uniform(many, 2)
    for first, other in (neighbours, (neighbours[0, :-1], neighbours[0, 1:])):
        assert abs(stats.pearsonr(first, other).statistic) < 4 / np.sqrt(4000)


def test_a_name_has_its_stream_wherever_it_stands() -> None:
    first, other = keys(["a", "b", "c"]), keys(["a", "new", "b", "c"])
    assert uniform(first, 3).tolist() == uniform(other, 3)[:, [0, 2, 3]].tolist()


def test_the_order_of_names_matters_and_shapes_are_broadcast() -> None:
    a, b = keys(["a", "b"])
    assert joined(a, b) != joined(b, a)
    grid = joined(keys(["seed"]), keys("ab")[:, None], keys("cd"))
    assert grid.shape == (2, 2)
    assert grid[1, 0] == joined(keys(["seed"]), keys(["b"]), keys(["c"]))[0]
    assert len(np.unique(grid)) == 4


@pytest.mark.parametrize("name", ["x", 7])
def test_names_may_be_numbers(name: object) -> None:
    assert keys([name]).dtype == np.uint64
    assert keys([name]).tolist() == keys([str(name)]).tolist()
