"""Rows put in order: gaps, jumps of the clock, doubles, rails, several compressors."""

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.errors import InputError
from witnessmark.trend import log as trend_log
from witnessmark.trend.channels import Column
from witnessmark.trend.tables import ColumnTable

START = 1_767_225_600.0
LOW = Column("low", "suction_pressure", 1e5)


def read(times: list[float], values: list[float | None] | None = None, *columns: Column) -> trend_log.Log:
    cells = [1.0 + n for n in range(len(times))] if values is None else values
    table = ColumnTable({"t": times, "low": cells})
    return trend_log.read(table, "t", "epoch-seconds", None, columns or (LOW,))[0]


def minutes(count: int, first: float = START) -> list[float]:
    return [first + 60.0 * n for n in range(count)]


def test_rows_in_order_stay_as_they_are() -> None:
    log = read(minutes(20))
    assert log.columns["suction_pressure"].tolist() == [1e5 * (1 + n) for n in range(20)]
    quality = log.quality
    assert (quality.rows, quality.kept, quality.step, quality.gaps, quality.jumps) == (20, 20, 60.0, 0, 0)
    assert log.missing == {"suction_pressure": 0.0}


def test_gaps_part_the_log() -> None:
    log = read(minutes(10) + minutes(10, START + 7200.0))
    assert log.quality.gaps == 1
    assert log.quality.longest_gap == log.quality.gap_seconds == 7200.0 - 540.0
    assert log.segment.tolist() == [0] * 10 + [1] * 10


def test_a_clock_that_goes_back_leaves_out_what_overlaps() -> None:
    log = read(minutes(30) + minutes(30, START + 20 * 60.0))
    assert (log.quality.jumps, log.quality.overlapping, log.quality.kept) == (1, 10, 50)
    assert (np.diff(log.time) > 0).all()
    assert log.columns["suction_pressure"][30] == 1e5 * 41


def test_a_clock_that_lost_its_battery_is_joined_on() -> None:
    log = read(minutes(20) + minutes(20, START - 10_000 * 86_400.0 / 2))
    assert (log.quality.resets, log.quality.jumps, log.quality.kept) == (1, 0, 40)
    assert (np.diff(log.time) == 60.0).all()


def test_a_clock_that_was_set_again_after_a_reset() -> None:
    log = read(minutes(20) + minutes(5, START - 5_000 * 86_400.0) + minutes(20, START + 3600.0))
    assert log.quality.resets == 1
    assert log.quality.kept == 45
    assert log.time[-1] == START + 3600.0 + 19 * 60.0


def test_the_newest_row_first() -> None:
    log = read(minutes(200)[::-1])
    assert log.quality.reordered
    assert log.columns["suction_pressure"][0] == 1e5 * 200


def test_double_rows_and_rows_without_a_time() -> None:
    log = read([*minutes(20), START + 19 * 60.0, float("nan")])
    assert (log.quality.doubled, log.quality.without_time, log.quality.kept) == (1, 1, 20)


def test_what_no_sound_sensor_reads_is_missing() -> None:
    hot = Column("low", "suction_temperature", 1.0, 273.15)
    values: list[float | None] = [5.0 + n % 3 for n in range(30)]
    values[3] = values[9] = values[20] = -40.0
    values[5] = 9999.0
    values[6] = None
    log = read(minutes(30), values, hot)
    assert np.flatnonzero(np.isnan(log.columns["suction_temperature"])).tolist() == [3, 5, 6, 9, 20]
    nothing = read(minutes(30), [None] * 30, hot)
    assert np.isnan(nothing.columns["suction_temperature"]).all()


def test_a_speed_in_any_unit_is_a_share() -> None:
    log = read(minutes(20), [float(n) for n in range(20)], Column("low", "speed"))
    assert log.columns["speed"].max() == 1.0


@pytest.mark.parametrize(
    ("times", "columns", "field"),
    [
        (minutes(5), (LOW,), "log"),
        ([START] * 20, (LOW,), "log"),
        (minutes(20), (Column("high", "discharge_pressure"),), "columns.0.header"),
        (minutes(20), (LOW, Column("low", "suction_pressure")), "columns.1.quantity"),
    ],
)
def test_what_is_no_log(times: list[float], columns: tuple[Column, ...], field: str) -> None:
    with pytest.raises(InputError) as fault:
        read(times, None, *columns)
    assert fault.value.field == field


def test_no_such_column_of_times() -> None:
    with pytest.raises(InputError) as fault:
        trend_log.read(ColumnTable({"t": minutes(20)}), "time", "iso", None, (LOW,))
    assert fault.value.field == "time_column"


def test_coarse_steps_are_no_end_of_a_scale() -> None:
    """A logger with whole degrees: when liquid comes back both lines step down and stand there."""
    columns = machine.sound(0.1, on=10_000)
    wet = machine.between(columns, 0.7, 2.4)
    columns["suction_temperature"] = np.where(wet, 277.35, 287.15)
    columns["discharge_temperature"] = np.where(wet, 323.15, 348.15)
    log = machine.logs(columns)[0]
    assert log.missing["suction_temperature"] == log.missing["discharge_temperature"] == 0.0
