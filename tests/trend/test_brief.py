"""Liquid that comes for minutes: slugs in the middle of a run, and starts that chill a warm discharge line."""

from __future__ import annotations

import numpy as np
import pytest
from tests.trend import machine
from tests.trend.machine import GAS, Columns

from witnessmark.refrigerants import saturation


def finer(columns: Columns, every: int) -> Columns:
    """The same with a row every so many seconds."""
    time = np.arange(columns["time"][0], columns["time"][-1], every)
    fine = {name: np.interp(time, columns["time"], values) for name, values in columns.items()}
    fine["running"] = (fine["running"] >= 0.5).astype(float)
    return fine


def slug(columns: Columns, hour: float, minutes: float, depth: float = 38.0) -> None:
    """Liquid for so many minutes: the line at its dew temperature, the discharge falling within the first of them."""
    since = columns["time"] - machine.BEGIN - hour * 3600.0
    rows = (since >= 0) & (since < minutes * 60.0)
    assert columns["running"][rows].all()
    low = saturation.dew_temperature(GAS, columns["suction_pressure"])
    fall = depth * np.clip((since + 10.0) / 90.0, 0.0, 1.0)
    columns["suction_temperature"] = np.where(rows, low - 0.5, columns["suction_temperature"])
    hot = columns["discharge_temperature"]
    columns["discharge_temperature"] = np.where(rows, hot - fall, hot)


@pytest.mark.parametrize("every", [10, 60])
@pytest.mark.parametrize("minutes", [3.0, 5.0])
def test_a_single_slug_of_minutes_is_told(every: int, minutes: float) -> None:
    columns = finer(machine.sound(2.0), every)
    slug(columns, 20.25, minutes, 30.0)
    episode = machine.only(machine.judged(columns), "liquid-returning")
    begin, end = ((at - machine.BEGIN) / 60.0 for at in (episode.start, episode.end))
    assert 20.25 * 60 - 1 <= begin <= end <= 20.25 * 60 + minutes + 2
    assert episode.certainty == pytest.approx(0.7)
    assert episode.word == "marked"


def test_slugs_that_come_each_hour_are_one_episode_and_surer() -> None:
    columns = machine.sound(2.0)
    for hour in range(4, 12):
        slug(columns, hour + 0.3, 5.0, 30.0)
    episode = machine.only(machine.judged(columns), "liquid-returning")
    assert episode.parts == 8
    assert episode.certainty == pytest.approx(0.85)


def test_a_suction_line_that_dips_while_the_discharge_stays_hot_is_no_slug() -> None:
    columns = machine.sound(2.0)
    slug(columns, 20.3, 5.0, 5.0)
    assert machine.judged(columns).episodes == ()


def test_a_discharge_that_falls_behind_dry_gas_is_no_slug() -> None:
    columns = machine.sound(2.0)
    dry = columns["suction_temperature"]
    slug(columns, 20.3, 5.0, 30.0)
    columns["suction_temperature"] = dry
    assert machine.judged(columns).episodes == ()


def test_rows_of_five_minutes_show_no_minutes() -> None:
    columns = {name: values[::5] for name, values in machine.sound(3.0, on=200, off=40).items()}
    slug(columns, 22.3, 4.0, 30.0)
    assert machine.judged(columns).episodes == ()


def flooded(columns: Columns, minutes: int, each: int = 1) -> None:
    """Starts whose first minutes are liquid: the suction at dew, the discharge at saturation at once."""
    begins = np.flatnonzero(np.diff(columns["running"]) > 0)[::each] + 1
    rows = np.zeros(columns["time"].size, np.bool_)
    for begin in begins:
        rows[begin : begin + minutes] = True
    low = saturation.dew_temperature(GAS, columns["suction_pressure"])
    high = saturation.dew_temperature(GAS, columns["discharge_pressure"])
    columns["suction_temperature"] = np.where(rows, low, columns["suction_temperature"])
    columns["discharge_temperature"] = np.where(rows, high - 1.0, columns["discharge_temperature"])


def warm_at_rest(columns: Columns) -> None:
    """The discharge line cools by a third while the machine stands for some minutes."""
    hot = columns["discharge_temperature"]
    settled = float(np.median(hot[columns["running"] > 0]))
    columns["discharge_temperature"] = np.where(columns["running"] > 0, hot, np.maximum(hot, settled - 8.0))


@pytest.mark.parametrize("each", [1, 3])
@pytest.mark.parametrize("minutes", [3, 5])
def test_starts_flooded_for_minutes_after_a_short_rest_are_told_by_the_chill(minutes: int, each: int) -> None:
    columns = machine.sound(2.0, on=25, off=12)
    warm_at_rest(columns)
    assert machine.judged(columns).episodes == ()
    flooded(columns, minutes, each)
    episode = machine.only(machine.judged(columns), "flooded-start")
    assert episode.parts >= 20 / each
    assert episode.word == "severe"


def test_two_such_starts_are_chance() -> None:
    columns = machine.sound(2.0, on=25, off=12)
    warm_at_rest(columns)
    flooded(columns, 3, 40)
    assert machine.judged(columns).episodes == ()


def test_nothing_is_asked_of_a_log_without_a_discharge_line() -> None:
    columns = machine.sound(1.0)
    assert "liquid-returning" not in machine.kinds(machine.judged(columns, ["discharge_temperature"]))


def test_a_log_of_rest_has_no_starts() -> None:
    columns = machine.sound(1.0)
    columns["running"] = np.ones_like(columns["time"])
    assert "flooded-start" not in machine.kinds(machine.judged(columns))
