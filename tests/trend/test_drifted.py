"""A sensor that drifts until it stands beyond another was not exchanged with it."""

from __future__ import annotations

import numpy as np
from tests.trend import machine


def drifting(kelvin: float, first: float = 10.0, days: float = 60.0) -> machine.Columns:
    columns = machine.sound(days)
    day = (columns["time"] - machine.BEGIN) / 86_400.0
    drift = kelvin * np.clip((day - first) / (days - first), 0.0, 1.0)
    columns["liquid_temperature"] = columns["liquid_temperature"] + drift
    return columns


def test_a_liquid_line_that_drifts_below_the_air_is_told_as_drifting_alone() -> None:
    found = machine.judged(drifting(-13.0))
    episode = machine.only(found, "sensor-drift")
    assert episode.sensor == "liquid_temperature"
    assert "sensors-swapped" not in machine.kinds(found)


def test_sensors_that_stand_exchanged_from_the_first_day_are_told_so() -> None:
    columns = machine.sound(60.0)
    air, line = columns["ambient_temperature"], columns["liquid_temperature"]
    columns["ambient_temperature"], columns["liquid_temperature"] = line, air
    assert {"sensors-swapped"} <= machine.kinds(machine.judged(columns))
