"""Words of the controller that the circuit contradicts."""

import numpy as np
from tests.trend import machine

from witnessmark.refrigerants import saturation
from witnessmark.trend import run_signal
from witnessmark.trend.episode import Episode

GAUGES = ("suction_temperature", "discharge_temperature", "liquid_temperature", "ambient_temperature", "current")
"""All but the pressures and the word."""


def wrong(columns: machine.Columns, without: tuple[str, ...] = (), **more: object) -> tuple[Episode, ...]:
    return run_signal.contradicted(machine.view(columns, without, **more))[0]


def long_runs() -> machine.Columns:
    return machine.sound(2.0, on=200, off=40)


def test_reported_off_while_it_runs_is_told_and_put_right() -> None:
    columns = long_runs()
    rows = machine.between(columns, 20.0, 30.0)
    truly = columns["running"].copy()
    columns["running"] = np.where(rows, 0.0, truly)
    (episode,), view = run_signal.contradicted(machine.view(columns))
    assert (episode.kind, episode.sensor) == ("sensor-stuck", "running")
    assert episode.start <= machine.BEGIN + 21 * 3600
    assert np.mean(view.running.on[rows] == (truly[rows] > 0)) > 0.9
    assert episode in machine.judged(columns).episodes


def test_short_runs_count_together() -> None:
    columns = machine.sound(2.0, on=15, off=15)
    columns["running"] = np.where(machine.between(columns, 20.0, 30.0), 0.0, columns["running"])
    assert len(wrong(columns)) == 1


def test_hot_gas_tells_where_no_current_is_read() -> None:
    columns = long_runs()
    columns["running"] = np.where(machine.between(columns, 20.0, 30.0), 0.0, columns["running"])
    assert len(wrong(columns, ("current",))) == 1


def test_never_reported_on() -> None:
    columns = long_runs()
    columns["running"] = np.zeros(columns["time"].size)
    assert len(wrong(columns)) == 1
    (apart,) = wrong(columns, GAUGES)
    assert apart.certainty < 0.7


def test_a_machine_that_stands_is_not_accused() -> None:
    columns = machine.sound(3.0)
    rest = machine.between(columns, 20.0, 60.0)
    air = columns["ambient_temperature"]
    for channel in ("suction_pressure", "discharge_pressure"):
        columns[channel] = np.where(rest, saturation.dew_pressure(machine.GAS, air), columns[channel])
    for channel in ("suction_temperature", "discharge_temperature", "liquid_temperature"):
        columns[channel] = np.where(rest, air, columns[channel])
    columns["current"] = np.where(rest, 0.3, columns["current"])
    columns["running"] = np.where(rest, 0.0, columns["running"])
    assert wrong(columns) == ()
    assert wrong(columns, GAUGES) == ()


def test_pressures_that_a_pump_down_holds_apart_are_no_contradiction() -> None:
    columns = machine.sound(2.0)
    rest = machine.between(columns, 10.0, 30.0)
    columns["suction_pressure"] = np.where(rest, 2.5e5, columns["suction_pressure"])
    columns["running"] = np.where(rest, 0.0, columns["running"])
    assert wrong(columns, GAUGES, pump_down=True) == ()
    assert len(wrong(columns, GAUGES)) == 1


def test_reported_on_while_it_stands() -> None:
    columns = machine.sound(2.0)
    columns["running"] = np.where(machine.between(columns, 20.0, 40.0), 1.0, columns["running"])
    (episode,) = wrong(columns)
    assert episode.parts == 20
    assert not any(found.kind == "sensor-drop-out" for found in machine.judged(columns).episodes)


def test_reported_on_with_equal_pressures_is_told_as_running_without_pumping() -> None:
    columns = machine.sound(2.0)
    rest = machine.between(columns, 20.0, 24.0)
    columns["running"] = np.where(rest, 1.0, columns["running"])
    columns["discharge_pressure"] = np.where(rest, columns["suction_pressure"] * 1.02, columns["discharge_pressure"])
    assert "no-pressure-difference" in {found.kind for found in machine.judged(columns).episodes}


def test_a_sump_heater_that_draws_as_much_as_the_motor_tells_nothing() -> None:
    columns = machine.sound(1.0)
    columns["current"] = np.full(columns["time"].size, 4.0)
    assert wrong(columns, ("discharge_temperature",)) == ()


def test_what_is_read_from_current_or_pressures_has_no_word_to_contradict() -> None:
    assert wrong(machine.sound(1.0), ("running",)) == ()
