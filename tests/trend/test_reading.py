"""Words of controllers, and columns that are written at changes, at a slower rate, or one a row."""

from __future__ import annotations

import numpy as np
import pytest
from tests.trend import machine
from tests.trend.machine import Columns

from witnessmark.errors import InputError
from witnessmark.trend import log as trend_log
from witnessmark.trend.channels import Column
from witnessmark.trend.running import running
from witnessmark.trend.tables import ColumnTable, text

DEADBANDS = {
    "suction_pressure": 1e4, "discharge_pressure": 3e4, "suction_temperature": 0.5, "discharge_temperature": 1.0,
    "liquid_temperature": 0.5, "ambient_temperature": 0.5, "current": 0.5, "running": 0.5,
}  # fmt: skip


def at_changes(columns: Columns) -> Columns:
    """As a building controller writes them: a cell only where a column has moved by its deadband."""
    thin = dict(columns)
    for name, band in DEADBANDS.items():
        values, last = columns[name].copy(), np.nan
        for row, value in enumerate(columns[name]):
            if np.isnan(last) or abs(value - last) >= band:
                last = value
            else:
                values[row] = np.nan
        thin[name] = values
    return thin


def slower(columns: Columns) -> Columns:
    """Temperatures every five minutes beside pressures every minute."""
    off = np.arange(columns["time"].size) % 5 > 0
    names = [name for name in columns if name.endswith("_temperature")]
    return columns | {name: np.where(off, np.nan, columns[name]) for name in names}


def one_a_row(columns: Columns) -> Columns:
    names = [name for name in columns if name != "time"]
    row = np.arange(columns["time"].size)
    return columns | {name: np.where(row % len(names) == k, columns[name], np.nan) for k, name in enumerate(names)}


SHAPES = [at_changes, slower]


@pytest.mark.parametrize("shape", SHAPES)
def test_a_sound_machine_in_a_thin_log_shows_nothing(shape: object) -> None:
    found = machine.judged(shape(machine.sound(3.0)))  # type: ignore[operator]
    assert (found.verdict, found.episodes) == ("nothing found", ())
    assert found.views[0].running.on.mean() == pytest.approx(40 / 60, abs=0.02)
    assert found.views[0].log.held


@pytest.mark.parametrize("shape", SHAPES)
def test_liquid_is_seen_in_a_thin_log(shape: object) -> None:
    columns = machine.sound(3.0)
    machine.wet(columns, machine.between(columns, 20.0, 26.0))
    found = machine.judged(shape(columns))  # type: ignore[operator]
    assert "liquid-returning" in machine.kinds(found)
    assert "sensor-drop-out" not in machine.kinds(found)
    assert all(row.looked for row in found.watched if row.kind == "liquid-returning")


def test_one_column_a_row_is_neither_a_drop_out_nor_short_cycling() -> None:
    columns = machine.sound(6.0)
    found = machine.judged(one_a_row(columns))
    assert not {"sensor-drop-out", "short-cycling"} & machine.kinds(found)


@pytest.mark.parametrize("shape", [at_changes, lambda columns: columns])
def test_a_sensor_that_drops_out_is_told_all_the_same(shape: object) -> None:
    columns = shape(machine.sound(3.0))  # type: ignore[operator]
    gone = machine.between(columns, 30.0, 60.0)
    columns["suction_temperature"] = np.where(gone, np.nan, columns["suction_temperature"])
    assert machine.only(machine.judged(columns), "sensor-drop-out").sensor == "suction_temperature"


def test_a_loose_wire_is_not_taken_for_a_thin_column() -> None:
    columns = machine.sound(3.0)
    loose = np.random.default_rng(5).random(columns["time"].size) < 0.4
    columns["suction_temperature"] = np.where(loose, np.nan, columns["suction_temperature"])
    found = machine.judged(columns)
    assert machine.only(found, "sensor-drop-out").sensor == "suction_temperature"
    assert found.views[0].log.held == {}


def words(on: str, off: str) -> trend_log.Log:
    cells = [on if k % 6 < 4 else off for k in range(60)]
    rows = "\n".join(f"{1_700_000_000 + 60 * k};{cell}" for k, cell in enumerate(cells))
    table = text(f"time;run\n{rows}\n".encode())
    return trend_log.read(table, "time", "epoch-seconds", None, [Column("run", "running")])[0]


@pytest.mark.parametrize(
    ("on", "off"),
    [
        ("Y", "N"), ("Ein", "Aus"), ("EIN", "AUS"), ("active", "inactive"), ("started", "stopped"), ("ON", "OFF"),
        ("En marche", "Arrêt"), ("Encendido", "Apagado"), ("Sí", "No"), ("Ligado", "Desligado"), ("Acceso", "Spento"),
        ("Aan", "Uit"), ("włączony", "wyłączony"), ("вкл", "выкл"), ("运行", "停止"),
        ("運転", "停止"), ("TRUE", "FALSE"),
        ("Running", "Idle"), (" running ", "not  running"),
    ],
)  # fmt: skip
def test_words_of_controllers_are_known(on: str, off: str) -> None:
    ran = running(words(on, off))
    assert ran.on.tolist() == [k % 6 < 4 for k in range(60)]


@pytest.mark.parametrize(("on", "off"), [("foo", "bar"), ("offen", "zu"), ("on", "sort of off")])
def test_other_words_are_refused_by_name(on: str, off: str) -> None:
    with pytest.raises(InputError) as refused:
        words(on, off)
    assert "columns.0.header" in str(refused.value)
    assert off in str(refused.value)


def test_a_stray_word_is_a_reading_that_is_missing() -> None:
    cells = ["1", "0"] * 150
    cells[7] = "#REF!"
    table = ColumnTable({"time": [1_700_000_000.0 + 60 * k for k in range(300)], "run": cells})
    log = trend_log.read(table, "time", "epoch-seconds", None, [Column("run", "running")])[0]
    assert np.isnan(log.columns["running"][7])


@pytest.mark.parametrize(("step", "stamp"), [(10.0, 60.0), (60.0, 1000.0)])
def test_rows_of_coarse_stamps_are_spread_and_kept(step: float, stamp: float) -> None:
    count = 6000
    time = 1_700_000_030.0 + step * np.arange(count)
    table = ColumnTable({"time": (np.floor(time / stamp) * stamp).tolist(), "run": [1.0] * count})
    log = trend_log.read(table, "time", "epoch-seconds", None, [Column("run", "running")])[0]
    assert (log.quality.doubled, log.quality.kept) == (0, count)
    assert log.quality.spread > count / 2
    assert log.quality.step == pytest.approx(step, rel=0.1)
    assert np.abs(log.time - time).max() <= stamp


def test_rows_written_twice_are_left_out_as_before() -> None:
    time = 1_700_000_000.0 + 60.0 * np.arange(200)
    time[50:60] = time[49:59]
    table = ColumnTable({"time": time.tolist(), "run": [1.0] * 200})
    log = trend_log.read(table, "time", "epoch-seconds", None, [Column("run", "running")])[0]
    assert log.quality.spread == 0
