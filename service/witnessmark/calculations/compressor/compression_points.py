"""The numbers of one analysis at points round the readings, where derivatives do not tell (`compression_series`)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from witnessmark.calculations.compressor.compression_gas import Gas, GasColumns
from witnessmark.calculations.compressor.compression_numbers import EFFICIENCY, Values, derive, efficiency_alone
from witnessmark.calculations.compressor.compression_series import DRAWS
from witnessmark.calculations.compressor.performance_map import PerformanceMap
from witnessmark.calculations.metrology.uncertainty import NO_ANSWER, Function


@dataclass(frozen=True, slots=True)
class AtPoints:
    """Everything that readings tell, or, for random draws of the efficiency alone, no more than that."""

    gas: Gas
    maps: tuple[PerformanceMap, ...]

    def everything(self, values: Values) -> dict[str, float]:
        """Every number."""
        return derive(self.gas, values, self.maps)

    def only(self, keys: frozenset[str]) -> Function:
        """What gives at least these numbers."""
        return self._efficiency if keys == {EFFICIENCY} else self.everything

    def _efficiency(self, values: Values) -> dict[str, float]:
        return efficiency_alone(self.gas, values)

    def many(self, keys: frozenset[str], values: Values) -> list[Mapping[str, float]] | None:
        """The same at columns of readings; one by one where the gas lies off the surfaces. None with maps."""
        if self.maps or self.gas.surfaces is None:
            return None
        columns = GasColumns(self.gas.designation, DRAWS)
        whole = {name: value if np.ndim(value) else np.full(DRAWS, value) for name, value in values.items()}
        with np.errstate(all="ignore"):  # what has no answer is left out
            found = (efficiency_alone if keys == {EFFICIENCY} else derive)(columns, whole)
        table = np.array([np.broadcast_to(found[key], DRAWS) for key in keys & found.keys()]).T.tolist()
        rows: list[Mapping[str, float]] = (
            [self._finite(zip(keys & found.keys(), row, strict=True)) for row in table] if table else [{}] * DRAWS
        )
        for k in np.flatnonzero(~columns.plain).tolist():
            rows[k] = self._one(keys, {name: float(v[k]) if np.ndim(v) else v for name, v in values.items()})
        return rows

    def _one(self, keys: frozenset[str], values: Values) -> Mapping[str, float]:
        try:
            return self._finite(self.only(keys)(values).items())
        except NO_ANSWER:
            return {}

    @staticmethod
    def _finite(results: Iterable[tuple[str, float]]) -> dict[str, float]:
        return {key: value for key, value in results if math.isfinite(value)}
