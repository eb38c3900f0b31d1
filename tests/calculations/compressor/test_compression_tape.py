"""What the written lines ask of a refrigerant, as a number and as a column; each refrigerant with surfaces has it."""

from __future__ import annotations

import numpy as np
import pytest

from witnessmark.calculations.compressor.compression_tape import surroundings
from witnessmark.refrigerants import saturation, states


@pytest.mark.parametrize("name", ["R-134a", "R-454B"])
def test_numbers_and_columns_are_the_same_and_those_of_the_states(name: str) -> None:
    near = surroundings(name)
    assert near is not None
    pressure, temperature = float(saturation.dew_pressure(name, 278.15)), 290.0
    log = near.log(pressure)
    strip, a, _ = near.across(log)
    line = near.saturated(strip, a)[0]
    v, cell, b = near.place(strip, (temperature - line) / (near.far - line))
    enthalpy = near.surface("enthalpy", cell, a, b)
    known = states.gas(name, pressure, temperature)
    assert enthalpy[0] == known.enthalpy
    assert 1.0 / near.dew(log)[0] == saturation.dew_temperature(name, pressure)
    assert 1.0 / near.bubble(log)[0] == saturation.bubble_temperature(name, pressure)
    found = near.inverse("entropy", strip, a, known.entropy)
    assert line + (near.far - line) * found[0] ** 2 == pytest.approx(temperature, abs=1e-6)
    logs = near.log(np.array([pressure, pressure]))
    strips, places, _ = near.across(logs)
    cells = near.place(strips, np.full(2, (temperature - line) / (near.far - line)))
    for one, column in zip(enthalpy, near.surface("enthalpy", cells[1], places, cells[2]), strict=True):
        assert column.tolist() == [one, one]
    assert v == cells[0][0]


def test_a_mixture_has_none() -> None:
    assert surroundings("R-32/125 (60/40)") is None
