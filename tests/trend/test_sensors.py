"""Sensors that mislead."""

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.refrigerants import saturation
from witnessmark.trend import sensors


@pytest.mark.parametrize("channel", ["suction_temperature", "discharge_pressure", "current", "liquid_temperature"])
@pytest.mark.parametrize("wiggle", [False, True])
def test_a_stuck_sensor(channel: str, wiggle: bool) -> None:  # noqa: FBT001
    columns = machine.sound(3.0)
    rows = machine.between(columns, 30.0, 50.0)
    step = 1000.0 if channel.endswith("pressure") else 0.1
    held = columns[channel][1805] + step * np.random.default_rng(3).integers(-1, 2, rows.size) * wiggle
    columns[channel] = np.where(rows, held, columns[channel])
    (episode,) = sensors.sensor_stuck(machine.view(columns))
    assert (str(episode.sensor), episode.parts) == (channel, 1)
    assert abs(episode.start - machine.BEGIN - 30 * 3600) <= 1800
    assert abs(episode.end - machine.BEGIN - 50 * 3600) <= 1800


def test_a_machine_at_rest_holds_its_values_and_that_is_no_fault() -> None:
    columns = machine.sound(3.0)
    rest = machine.between(columns, 20.0, 60.0)
    for channel in (
        "suction_pressure",
        "discharge_pressure",
        "suction_temperature",
        "discharge_temperature",
        "current",
    ):
        columns[channel] = np.where(rest, np.median(columns[channel]) * (channel != "current"), columns[channel])
    columns["running"] = np.where(rest, 0.0, columns["running"])
    assert not list(sensors.sensor_stuck(machine.view(columns)))


def test_a_sensor_of_coarse_steps_is_not_stuck() -> None:
    columns = machine.sound(12.0)
    hours = (columns["time"] - machine.BEGIN) / 3600.0
    columns["liquid_temperature"] = 300.0 + 5.0 * (hours // 5.0 % 2)
    assert not list(sensors.sensor_stuck(machine.view(columns)))


def test_air_that_stands_still_for_more_than_a_day() -> None:
    columns = machine.sound(4.0)
    columns["ambient_temperature"] = np.where(
        machine.between(columns, 30.0, 70.0), 300.0, columns["ambient_temperature"]
    )
    (episode,) = sensors.sensor_stuck(machine.view(columns))
    assert episode.sensor == "ambient_temperature"


def test_while_it_runs_on_the_others_must_have_moved() -> None:
    columns = machine.sound(3.0, on=100_000)
    columns["suction_temperature"] = np.where(
        machine.between(columns, 20.0, 60.0), 285.0, columns["suction_temperature"]
    )
    (episode,) = sensors.sensor_stuck(machine.view(columns))
    assert episode.sensor == "suction_temperature"


@pytest.mark.parametrize(
    ("channel", "rail"),
    [("suction_temperature", np.nan), ("liquid_temperature", 233.15), ("suction_pressure", 0.0), ("current", 0.0)],
)
def test_drop_outs(channel: str, rail: float) -> None:
    columns = machine.sound(3.0)
    lost = machine.between(columns, 30.0, 50.0) & (np.random.default_rng(2).random(columns["time"].size) < 0.2)
    columns[channel] = np.where(lost, rail, columns[channel])
    (episode,) = sensors.sensor_drop_out(machine.view(columns))
    assert episode.sensor == channel
    assert abs(episode.start - machine.BEGIN - 30 * 3600) <= 3600
    assert abs(episode.end - machine.BEGIN - 50 * 3600) <= 3600


def test_a_few_lost_cells_and_lost_rows_are_normal() -> None:
    columns = machine.sound(3.0)
    columns["suction_temperature"][[5, 900, 2000, 2001]] = np.nan
    for channel in columns:
        if channel not in {"time", "running"}:
            columns[channel][1500:1560] = np.nan
    assert not list(sensors.sensor_drop_out(machine.view(columns)))


SWAPS = [
    ("suction_pressure", "discharge_pressure"),
    ("suction_temperature", "discharge_temperature"),
    ("suction_temperature", "liquid_temperature"),
    ("discharge_temperature", "liquid_temperature"),
    ("liquid_temperature", "ambient_temperature"),
]


@pytest.mark.parametrize("pair", SWAPS)
def test_swapped_from_one_day_on(pair: tuple[str, str]) -> None:
    columns = machine.sound(6.0)
    rows = machine.between(columns, 48.0, 200.0)
    first, second = (columns[name].copy() for name in pair)
    columns[pair[0]], columns[pair[1]] = np.where(rows, second, first), np.where(rows, first, second)
    (episode,) = sensors.sensors_swapped(machine.view(columns))
    assert {episode.sensor, episode.other} == set(pair)
    assert episode.start == machine.BEGIN + 48 * 3600


def test_nothing_to_compare() -> None:
    assert not list(sensors.sensors_swapped(machine.view(machine.sound(3.0))))
    still = machine.sound(1.0)
    still["running"] = np.zeros(still["time"].size)
    assert not list(sensors.sensors_swapped(machine.view(still)))
    assert not list(
        sensors.sensors_swapped(
            machine.view(
                machine.sound(1.0),
                ("discharge_pressure", "suction_temperature", "discharge_temperature", "liquid_temperature"),
            )
        )
    )


def test_pressures_and_lines_swapped_together() -> None:
    columns = machine.sound(3.0)
    for side in ("pressure", "temperature"):
        low, high = f"suction_{side}", f"discharge_{side}"
        columns[low], columns[high] = columns[high], columns[low]
    (episode,) = sensors.sensors_swapped(machine.view(columns))
    assert {episode.sensor, episode.other} == {"suction_pressure", "discharge_pressure"}
    assert "no-pressure-difference" not in machine.kinds(machine.judged(columns))


@pytest.mark.parametrize("channel", ["suction_temperature", "suction_pressure", "discharge_temperature"])
def test_frozen_over_starts_and_stops(channel: str) -> None:
    """200 minutes at one value to the last digit, in a log of six hours."""
    columns = machine.sound(0.25)
    rows = machine.between(columns, 2.0, 2.0 + 200 / 60)
    columns[channel] = np.where(rows, columns[channel][120], columns[channel])
    (episode,) = sensors.sensor_stuck(machine.view(columns))
    assert episode.sensor == channel


def at_rest(days: float, first: float, last: float, value: float | None = None) -> machine.Columns:
    """A machine that stands between two hours; its lines at the air, or all at one value."""
    columns = machine.sound(days)
    rows = machine.between(columns, first, last)
    lines = columns["ambient_temperature"] if value is None else value
    for channel in ("suction_temperature", "discharge_temperature", "liquid_temperature"):
        columns[channel] = np.where(rows, lines, columns[channel])
    equal = saturation.dew_pressure(machine.GAS, columns["ambient_temperature"])
    for channel in ("suction_pressure", "discharge_pressure"):
        columns[channel] = np.where(rows, equal, columns[channel])
    for channel in ("running", "current"):
        columns[channel] = np.where(rows, 0.0, columns[channel])
    return columns


REST = ((3.0, 20, 60), (2.0, 0, 40), (1.0, 6, 24), (7.0, 20, 150))


@pytest.mark.parametrize(("days", "first", "last"), REST)
@pytest.mark.parametrize("value", [None, machine.ICE + 20.0])
@pytest.mark.parametrize("silent", [(), ("current",), ("current", "discharge_temperature")])
@pytest.mark.parametrize("without", [(), ("ambient_temperature",)])
def test_a_machine_at_rest_drops_no_sensor(
    days: float, first: float, last: float, value: float | None, silent: tuple[str, ...], without: tuple[str, ...]
) -> None:
    columns = at_rest(days, first, last, value)
    for channel in silent:
        columns[channel] = np.where(columns["running"] > 0, columns[channel], np.nan)
    assert machine.judged(columns, without).episodes == ()


@pytest.mark.parametrize("channel", ["current", "discharge_temperature", "liquid_temperature"])
def test_a_log_that_writes_nothing_at_rest_still_shows_a_sensor_that_drops_out_while_it_runs(channel: str) -> None:
    columns = machine.sound(3.0)
    columns[channel] = np.where(columns["running"] > 0, columns[channel], np.nan)
    lost = machine.between(columns, 30.0, 40.0) & (np.random.default_rng(5).random(columns["time"].size) < 0.5)
    columns[channel] = np.where(lost, np.nan, columns[channel])
    (episode,) = machine.judged(columns).episodes
    assert (str(episode.kind), str(episode.sensor)) == ("sensor-drop-out", channel)
    assert abs(episode.start - machine.BEGIN - 30 * 3600) <= 7200


def test_a_sensor_lost_in_the_middle_of_a_rest_is_told() -> None:
    columns = at_rest(3.0, 20, 60)
    lost = machine.between(columns, 30.0, 40.0)
    columns["suction_pressure"] = np.where(lost, np.nan, columns["suction_pressure"])
    assert [str(e.sensor) for e in machine.judged(columns).episodes] == ["suction_pressure"]


def test_a_loose_wire_of_a_machine_that_mostly_rests_is_no_state_of_it() -> None:
    columns = at_rest(3.0, 5, 70, machine.ICE + 20.0)
    loose = machine.between(columns, 5.0, 70.0) & (np.random.default_rng(5).random(columns["time"].size) < 0.05)
    columns["discharge_temperature"] = np.where(loose, machine.ICE - 40.0, columns["discharge_temperature"])
    assert {str(e.sensor) for e in machine.judged(columns).episodes} == {"discharge_temperature"}


def test_a_current_that_tells_of_the_running_is_missed_where_it_is_read_at_rest_too() -> None:
    columns = machine.sound(3.0)
    lost = machine.between(columns, 30.0, 33.0)
    columns["current"] = np.where(lost, np.nan, columns["current"])
    found = machine.judged(columns, ("running",))
    assert "current" in {str(e.sensor) for e in found.episodes}


def steady(days: float = 4.0) -> machine.Columns:
    """A machine that never stops, at even load in even air, its pressures written in steps of half a bar."""
    columns = machine.sound(days, on=round(days * 1440), off=1)
    settled = columns["time"] > machine.BEGIN + 1800.0
    columns = {name: values[settled] for name, values in columns.items()}
    for name in ("suction_pressure", "discharge_pressure"):
        columns[name] = 50e3 * np.round(columns[name] / 50e3)
    return columns


def test_a_pressure_in_coarse_steps_that_should_not_have_moved_by_one_is_not_stuck() -> None:
    columns = steady()
    columns["suction_pressure"] = np.full_like(columns["time"], 1_000e3)
    assert "sensor-stuck" not in machine.kinds(machine.judged(columns))


def test_a_pressure_in_coarse_steps_that_stands_while_liquid_and_air_move_is_stuck() -> None:
    columns = steady()
    rows = machine.between(columns, 30.0, 54.0)
    columns["discharge_pressure"] = np.where(rows, 2_600e3, columns["discharge_pressure"])
    episode = machine.only(machine.judged(columns), "sensor-stuck")
    assert episode.sensor == "discharge_pressure"


@pytest.mark.parametrize(
    ("values", "step"),
    [
        ([220e3, 230e3, 250e3], 10e3),
        ([220e3], 20e3),
        ([220.3e3], 0.0),
        ([101_325.0 + 2 * 6_894.757], 6_894.757),
        ([], 0.0),
    ],
)
def test_the_step_of_a_column_is_read_off_its_values(values: list[float], step: float) -> None:
    assert sensors.resolution(np.array(values), "suction_pressure") == pytest.approx(step)
    assert sensors.resolution(np.array([280.0, 280.0]), "suction_temperature") == 0.0
