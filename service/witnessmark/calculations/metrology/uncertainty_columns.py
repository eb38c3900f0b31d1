"""How uncertainty travels through a calculation over columns of readings: `uncertainty.propagate_all` row by row.

Each row gives to the last bit what it gives alone, where series hold; the rows where they do not are told, since random
draws are for one row at a time.

>>> import numpy as np
>>> sides = {"a": (np.array([3.0]), np.array([0.03])), "b": (np.array([2.0]), np.array([0.04]))}
>>> area = propagate_columns(lambda v: {"area": v["a"] * v["b"]}, sides)["area"]
>>> area.value.tolist(), area.uncertainty.round(3).tolist(), area.holds.tolist()
([6.0], [0.134], [True])
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark.arithmetic import Array
from witnessmark.calculations.metrology.uncertainty import NODE, SecondOrder, signs_of

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
