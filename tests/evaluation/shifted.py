"""Tests that draw at random, under other seeds than their own: what a gate says must not hang on the luck of one seed.

Every generator that a test seeds itself gets another seed, by the same shift for all. Streams that are keyed by ids
(`inference/random_streams.py`) are not touched: their gates have seeds of their own (`python -m tests.evaluation`).
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

VARIABLE = "WITNESSMARK_SEED_SHIFT"
"""Of the environment: by how much; 0 or nothing leaves the seeds as they stand in the tests."""
STEP = 1_000_003
"""More than the seeds that any test counts through, so that no shift comes to the draws of another."""


def shift(by: int) -> None:
    """Shift the seeds of all generators made from now on."""
    if by:
        np.random.default_rng = with_shift(np.random.default_rng, by)
        random.Random = _shifted(by)  # type: ignore[misc]


def with_shift(make: Callable[[Any], Any], by: int) -> Callable[..., Any]:
    """A maker of generators with every seed shifted; one without a seed stays without."""
    return lambda seed=None: make(seed if seed is None else moved(seed, by))


def moved(seed: Any, by: int) -> Any:
    """Another seed: a number further on, a longer key; a generator is itself.

    >>> moved(7, 2), moved((1, 2), 3), moved("name", 1)
    (2000013, (1, 2, 3), 'name 1')
    """
    if isinstance(seed, int | np.integer):
        return int(seed) + by * STEP
    if isinstance(seed, str):
        return f"{seed} {by}"
    return (*seed, by) if isinstance(seed, Sequence) else seed


def _shifted(by: int) -> type[random.Random]:
    class Shifted(random.Random):
        """Seeded otherwise."""

        def __init__(self, seed: Any = None) -> None:
            super().__init__(seed if seed is None else moved(seed, by))

    return Shifted
