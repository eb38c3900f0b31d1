"""Two sensors that change places while the log runs."""

from itertools import combinations

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.refrigerants import saturation
from witnessmark.trend import exchanged

LINES = ("suction_temperature", "discharge_temperature", "liquid_temperature", "ambient_temperature")
PAIRS = (*combinations(LINES, 2), ("suction_pressure", "discharge_pressure"))
HOUR = 3600.0


def swap(columns: machine.Columns, pair: tuple[str, str], rows: machine.Array) -> None:
    first, second = (columns[name].copy() for name in pair)
    columns[pair[0]], columns[pair[1]] = np.where(rows, second, first), np.where(rows, first, second)


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize(("first", "last"), [(12.0, 24.0), (10.0, 18.0), (0.0, 12.0), (20.0, 24.0)])
def test_sensors_exchanged_within_a_day_are_told_from_when_on(pair: tuple[str, str], first: float, last: float) -> None:
    columns = machine.sound(1.0)
    swap(columns, pair, machine.between(columns, first, last))
    (episode,) = machine.judged(columns).episodes
    assert {episode.sensor, episode.other} == {*pair}
    assert abs(episode.start - machine.BEGIN - first * HOUR) <= max(episode.within, HOUR / 2)
    assert abs(episode.end - machine.BEGIN - last * HOUR) <= HOUR / 2


@pytest.mark.parametrize("pair", PAIRS)
def test_exchanged_from_the_first_row_to_the_last(pair: tuple[str, str]) -> None:
    columns = machine.sound(1.0)
    swap(columns, pair, np.ones(columns["time"].size, np.bool_))
    (episode,) = machine.judged(columns).episodes
    assert {episode.sensor, episode.other} == {*pair}


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("without", [("running",), ("running", "current")])
def test_it_is_told_where_running_is_read_from_other_channels(pair: tuple[str, str], without: tuple[str, ...]) -> None:
    columns = machine.sound(1.0)
    swap(columns, pair, machine.between(columns, 12.0, 24.0))
    found = machine.judged(columns, without).episodes
    assert {frozenset((e.sensor, e.other)) for e in found} == {frozenset(pair)}


def test_temperatures_of_a_controller_are_exchanged_too() -> None:
    columns = machine.sound(1.0)
    for side, name in (("suction", "evaporating"), ("discharge", "condensing")):
        pressure = columns.pop(f"{side}_pressure")
        columns[f"{name}_temperature"] = saturation.dew_temperature(machine.GAS, pressure)
    swap(columns, ("evaporating_temperature", "condensing_temperature"), machine.between(columns, 12.0, 24.0))
    (episode,) = [one for one in machine.judged(columns).episodes if one.kind == "sensors-swapped"]
    assert (episode.sensor, episode.other) == ("evaporating_temperature", "condensing_temperature")


def test_liquid_is_found_in_the_log_as_it_was_before_the_exchange() -> None:
    columns = machine.sound(2.0)
    machine.wet(columns, machine.between(columns, 30.0, 34.0))
    sound = machine.kinds(machine.judged(columns))
    swap(columns, ("suction_temperature", "liquid_temperature"), machine.between(columns, 24.0, 48.0))
    found = machine.judged(columns)
    assert machine.kinds(found) == {*sound, "sensors-swapped"}
    assert abs(machine.only(found, "liquid-returning").start - machine.BEGIN - 30 * HOUR) <= HOUR


def test_what_changes_places_all_the_time_was_exchanged_by_nobody() -> None:
    columns = machine.sound(2.0, on=100_000)
    hours = (columns["time"] - machine.BEGIN) / HOUR
    swap(columns, ("suction_temperature", "liquid_temperature"), hours // 3 % 2 == 1)
    assert exchanged.told(machine.view(columns))[0] == ()


def test_two_lines_that_meet_and_part_were_not_exchanged() -> None:
    columns = machine.sound(1.0, on=100_000)
    turn = np.clip((columns["time"] - machine.BEGIN) / HOUR - 12.0, 0.0, 2.0) / 2.0  # in two hours
    first, second = columns["suction_temperature"].copy(), columns["liquid_temperature"].copy()
    columns["suction_temperature"] = first + turn * (second - first)
    columns["liquid_temperature"] = second + turn * (first - second)
    assert exchanged.told(machine.view(columns))[0] == ()


def test_a_log_of_short_runs_or_of_none() -> None:
    columns = machine.sound(1.0, on=6, off=14)
    swap(columns, ("suction_temperature", "discharge_temperature"), machine.between(columns, 12.0, 24.0))
    ((episode,), _) = exchanged.told(machine.view(columns))
    assert (episode.sensor, episode.other) == ("suction_temperature", "discharge_temperature")
    columns["running"] = np.zeros_like(columns["running"])
    assert exchanged.told(machine.view(columns))[0] == ()


def test_air_that_moves_with_running_is_no_exchange_while_every_line_moves_too() -> None:
    columns = machine.sound(1.0)
    columns["ambient_temperature"] = columns["ambient_temperature"] + 8.0 * columns["running"]
    assert [e for e in machine.judged(columns).episodes if e.kind == "sensors-swapped"] == []


def test_a_line_that_stands_still_beside_air_that_moves_makes_no_worse_circuit_of_it() -> None:
    columns = machine.sound(1.0)
    columns["ambient_temperature"] = columns["ambient_temperature"] + 10.0 * columns["running"]
    columns["discharge_temperature"] = np.full_like(columns["time"], machine.ICE + 78.0)
    assert [e for e in machine.judged(columns).episodes if e.kind == "sensors-swapped"] == []


def test_days_and_nights_between_long_runs_are_no_step_at_a_start() -> None:
    """Worst: a machine that rests by night has its air and its suction line put the wrong way round."""
    columns = machine.sound(8.0, on=720, off=720)
    hours = (columns["time"] - machine.BEGIN) / HOUR % 24.0
    columns["ambient_temperature"] = machine.ICE + 20.0 + 12.0 * np.sin(np.pi * hours / 12.0)
    columns["suction_temperature"] = np.full_like(columns["time"], machine.ICE + 15.0)
    assert [e for e in machine.judged(columns).episodes if e.kind == "sensors-swapped"] == []
