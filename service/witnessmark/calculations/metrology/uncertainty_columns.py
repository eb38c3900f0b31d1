"""How uncertainty travels through a calculation over columns of readings: `uncertainty.propagate_all` row by row.

Each row gives to the last bit what it gives alone, where series hold; the rows where they do not are told, and
`at_draws` makes their random draws.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark.arithmetic import Array, root_sum_square
from witnessmark.calculations.metrology.uncertainty import NEAR, NODE, SecondOrder, offsets_of, signs_of

Column = Any
"""Numbers row by row, or one for all rows."""
Results = Mapping[str, Column]


@dataclass(frozen=True, slots=True)
class MeasuredColumn:
    """A result with its standard uncertainty row by row; holds: where series of the function hold."""

    value: Array
    uncertainty: Array
    holds: NDArray[np.bool_]


def propagate_columns(
    function: Callable[[Mapping[str, Column]], Results], readings: Mapping[str, tuple[Column, Column]]
) -> dict[str, MeasuredColumn]:
    """Every result of `function` at the readings (value, standard uncertainty), row by row.

    A reading whose uncertainty is the number 0 is exact in all rows; a column of uncertainties must have none that is 0
    (a row alone leaves an exact reading out). The function gets the same column object for the same readings.

    >>> sides = {"a": (np.array([3.0]), np.array([0.03])), "b": (np.array([2.0]), np.array([0.04]))}
    >>> area = propagate_columns(lambda v: {"area": v["a"] * v["b"]}, sides)["area"]
    >>> area.value.tolist(), area.uncertainty.round(3).tolist(), area.holds.tolist()
    ([6.0], [0.134], [True])
    """
    moved = _Moved({name: value for name, (value, _) in readings.items()}, readings)
    centre = function(moved.at(()))
    count = len(moved.names)
    if not count:
        return {key: _exact(value) for key, value in centre.items()}
    nodes = [
        tuple(function(moved.at([z * (i == k) for i in range(count)])) for z in (NODE, -NODE)) for k in range(count)
    ]
    corners = [(signs, function(moved.at(signs))) for signs in signs_of(count)]
    found = {}
    for key, value in centre.items():
        pairs = [(up[key], down[key]) for up, down in nodes]
        order = SecondOrder.of(value, pairs, [(signs, results[key]) for signs, results in corners])
        found[key] = MeasuredColumn(value, order.spread, order.holds)
    return found


def _exact(value: Array) -> MeasuredColumn:
    return MeasuredColumn(value, np.zeros_like(value), np.ones(value.shape, dtype=np.bool_))


class _Moved:
    """The readings, moved by numbers of standard uncertainties; each moved column is made once."""

    def __init__(self, centre: Mapping[str, Column], readings: Mapping[str, tuple[Column, Column]]) -> None:
        self.centre = centre
        self.widths = {name: width for name, (_, width) in readings.items()}
        self.names = [name for name, width in self.widths.items() if np.ndim(width) or width]
        self.made: dict[tuple[str, float], Column] = {}

    def at(self, offsets: Sequence[float]) -> dict[str, Column]:
        values = dict(self.centre)
        for name, z in zip(self.names, offsets, strict=False):
            if z:
                values[name] = self._column(name, float(z))
        return values

    def _column(self, name: str, z: float) -> Column:
        if (name, z) not in self.made:
            self.made[name, z] = self.centre[name] + z * self.widths[name]
        return self.made[name, z]


def at_draws(readings: Mapping[str, tuple[Column, Column]], rows: NDArray[np.intp], draws: int) -> dict[str, Column]:
    """The readings of these rows at all random draws of `uncertainty.propagate_all`, row after row.

    >>> at_draws({"a": (np.array([1.0, 2.0]), 0.0), "b": (3.0, 0.5)}, np.array([1]), 4)["a"].tolist()
    [2.0, 2.0, 2.0, 2.0]
    """
    names = [name for name, (_, width) in readings.items() if np.ndim(width) or width]
    offsets = dict(zip(names, np.array(offsets_of(len(names), draws)).T, strict=True))
    values: dict[str, Column] = {}
    for name, (value, width) in readings.items():
        middle = np.reshape(value[rows], (-1, 1)) if np.ndim(value) else value
        if name in offsets:
            wide = np.reshape(width[rows], (-1, 1)) if np.ndim(width) else width
            whole = np.broadcast_to(middle + offsets[name] * wide, (rows.size, draws))
            values[name] = np.ascontiguousarray(whole).ravel()
        else:
            values[name] = np.repeat(middle, draws, axis=1).ravel() if np.ndim(middle) else middle
    return values


def spreads(results: Array, draws: int) -> tuple[Array, Array]:
    """Standard deviation over the draws of each row that have a result, and the share of those.

    >>> [part.tolist() for part in spreads(np.array([1.0, 3.0, 2.0, np.nan]), 2)]
    [[1.0, 0.0], [1.0, 0.5]]
    """
    table = results.reshape(-1, draws)
    kept = np.count_nonzero(np.isfinite(table), axis=1) / draws
    width = np.std(table, axis=1)
    for row in np.flatnonzero((kept > 0) & (kept < 1)).tolist():
        width[row] = np.std(table[row][np.isfinite(table[row])])
    return np.asarray(width), np.asarray(kept)


def slopes_near(
    function: Callable[[Mapping[str, Column]], Results], readings: Mapping[str, tuple[Column, Column]], key: str
) -> Array:
    """Standard uncertainty that the slopes near the readings give one result, as where draws are lost.

    >>> slopes_near(lambda v: {"twice": 2 * v["a"]}, {"a": (np.array([1.0]), np.array([0.5]))}, "twice").tolist()
    [1.0]
    """
    moved = _Moved({name: value for name, (value, _) in readings.items()}, readings)
    value = function(moved.at(()))[key]
    found = []
    for k in range(len(moved.names)):
        slope, open_ = np.zeros_like(value), np.ones(value.shape, dtype=np.bool_)
        for z in NEAR:
            offsets = [z * (i == k) for i in range(len(moved.names))]
            up, down = function(moved.at(offsets))[key], function(moved.at([-one for one in offsets]))[key]
            both, above, below = (up - down) / (z + z), (up - value) / z, (down - value) / -z
            here = np.where(np.isfinite(both), both, np.where(np.isfinite(up), above, below))
            told = open_ & np.isfinite(here)
            slope[told], open_ = here[told], open_ & ~told
        found.append(slope)
    return root_sum_square(*found)
