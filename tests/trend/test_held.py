"""What rests on a sensor that stands still accuses nobody for certain; what another sensor shows as well does."""

from __future__ import annotations

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.trend.doubt.held import MOST_CERTAIN, of_held_sensors
from witnessmark.trend.episode import Episode


@pytest.mark.parametrize("held", [101_325.0, 20_000.0])
def test_a_suction_transducer_without_signal_is_no_certain_vacuum(held: float) -> None:
    columns = machine.sound(3.0)
    dead = machine.between(columns, 30.0, 43.0)
    columns["suction_pressure"] = np.where(dead, held, columns["suction_pressure"])
    found = {one.kind: one for one in machine.judged(columns).episodes}
    assert found["sensor-stuck"].sensor == "suction_pressure"
    assert found["vacuum-running"].certainty <= MOST_CERTAIN


def test_a_discharge_transducer_at_its_upper_end_is_no_certain_head_pressure() -> None:
    columns = machine.sound(3.0)
    dead = machine.between(columns, 30.0, 43.0)
    columns["discharge_pressure"] = np.where(dead, 4.5e6, columns["discharge_pressure"])
    found = {one.kind: one for one in machine.judged(columns).episodes}
    assert found["sensor-stuck"].sensor == "discharge_pressure"
    assert found["high-head-pressure"].certainty <= MOST_CERTAIN


def test_a_vacuum_before_the_sensor_stood_still_stays_certain() -> None:
    columns = machine.sound(3.0)
    low = machine.between(columns, 20.0, 24.0) & (columns["running"] > 0)
    wiggle = np.random.default_rng(2).normal(0.0, 3000.0, low.size)
    columns["suction_pressure"] = np.where(low, 60_000.0 + wiggle, columns["suction_pressure"])
    dead = machine.between(columns, 40.0, 55.0)
    columns["suction_pressure"] = np.where(dead, 950_000.0, columns["suction_pressure"])
    found = {one.kind: one for one in machine.judged(columns).episodes}
    assert "sensor-stuck" in found
    assert found["vacuum-running"].certainty > MOST_CERTAIN


def test_what_other_sensors_show_too_stays_certain() -> None:
    columns = machine.sound(1.0)
    temperatures = {"evaporating_temperature": machine.ICE + 6.0, "condensing_temperature": machine.ICE + 45.0}
    held = Episode("sensor-stuck", 0, 0.0, 9e4, 9e4, 1, 0.5, 0.95, 0.0, (), "discharge_pressure")
    ratio = Episode("high-ratio", 0, 1e4, 2e4, 1e4, 1, 0.9, 0.99, 0.0, ())
    alone = machine.view(columns)
    beside = machine.view(columns | {name: np.full(1440, value) for name, value in temperatures.items()})
    assert [one.certainty for one in of_held_sensors(alone, [held, ratio])] == [0.95, MOST_CERTAIN]
    assert [one.certainty for one in of_held_sensors(beside, [held, ratio])] == [0.95, 0.99]
