"""Points round the readings: all at once where the gas lies on the surfaces, one by one elsewhere."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from witnessmark.calculations.compressor.compression_gas import Gas
from witnessmark.calculations.compressor.compression_points import AtPoints
from witnessmark.calculations.compressor.compression_series import DRAWS


@pytest.mark.parametrize("keys", [{"isentropic_efficiency"}, {"isentropic_efficiency", "suction_superheat"}])
@pytest.mark.parametrize("spread", [1.0, 25.0])
def test_many_points_give_what_each_gives(keys: set[str], spread: float) -> None:
    """The wide ones lie partly off the surfaces, and partly where there is no efficiency."""
    work, generator = AtPoints(Gas("R-134a"), ()), np.random.default_rng(3)
    values: dict[str, Any] = {
        "suction_pressure": 0.2e6, "discharge_pressure": 1e6, "air": 0.0, "_basis": 0.0, "_loss": 0.05,
        "_efficiency": 0.7, "suction_temperature": 280.0,
        "discharge_temperature": generator.normal(345.0, spread, DRAWS),
    }  # fmt: skip
    found = work.many(frozenset(keys), values)
    assert found is not None
    for k in range(0, DRAWS, 7):
        one = {key: float(value[k]) if np.ndim(value) else value for key, value in values.items()}
        known = work.only(frozenset(keys))(one)
        assert dict(found[k]) == {key: known[key] for key in keys & known.keys()}


def test_a_map_is_asked_one_by_one() -> None:
    assert AtPoints(Gas("R-32/125 (60/40)"), ()).many(frozenset({"suction_superheat"}), {}) is None
