"""A hand-made log of a sound machine: R-410A, one speed, runs of 40 minutes, a row a minute; and what goes wrong."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from witnessmark.calculations.compressor.operating_limits import OperatingMachine
from witnessmark.refrigerants import saturation
from witnessmark.trend import log as trend_log
from witnessmark.trend.assess import Assessment, assess
from witnessmark.trend.channels import Column, LogChannel
from witnessmark.trend.derived import derived
from witnessmark.trend.episode import Episode, Plant, View
from witnessmark.trend.log import Log
from witnessmark.trend.running import running
from witnessmark.trend.tables import ColumnTable

BEGIN = 1_767_225_600.0
"""2026-01-01 in UTC."""
ICE = 273.15
GAS = "R-410A"
Array = Any
Columns = dict[str, Any]


def sound(days: float = 1.0, seed: int = 1, on: int = 40, off: int = 20) -> Columns:
    """Columns in SI by channel, and `time`."""
    count = round(days * 1440)
    rng = np.random.default_rng(seed)
    time = BEGIN + 60.0 * np.arange(count)
    minute = np.arange(count) % (on + off)
    runs = minute < on
    since = np.where(runs, minute, minute - on).astype(float)
    rise, fall = 1.0 - np.exp(-(since + 1.0) / 3.0), np.exp(-(since + 1.0) / 6.0)
    air = ICE + 28.0 + 5.0 * np.sin(2 * np.pi * (time - BEGIN) / 86_400.0)
    evaporating = ICE + 6.0 + np.where(runs, 8.0 * (1 - rise), 8.0 * (1 - fall)) + rng.normal(0, 0.1, count)
    condensing = air + 2.0 + np.where(runs, 11.0 * rise, 11.0 * fall) + rng.normal(0, 0.1, count)
    superheat = np.where(runs, 8.0 + 4.0 * (1 - rise), 10.0) + rng.normal(0, 0.3, count)
    hot = condensing + np.where(runs, 32.0 - 30.0 * np.exp(-(since + 1.0) / 4.0), 32.0 * fall)
    return {
        "time": time,
        "suction_pressure": saturation.dew_pressure(GAS, evaporating),
        "discharge_pressure": saturation.dew_pressure(GAS, condensing),
        "suction_temperature": evaporating + superheat,
        "discharge_temperature": hot + rng.normal(0, 0.2, count),
        "liquid_temperature": condensing - 7.0 + rng.normal(0, 0.1, count),
        "ambient_temperature": air + rng.normal(0, 0.1, count),
        "current": np.where(runs, 10.0, 0.0) + rng.normal(0, 0.05, count) * runs,
        "running": runs.astype(float),
    }


def plant(**more: object) -> Plant:
    """An air conditioner with a scroll."""
    return Plant(OperatingMachine(GAS, "scroll", "air-conditioning"), **more)  # type: ignore[arg-type]


def logs(columns: Columns, without: Sequence[str] = ()) -> dict[int, Log]:
    """The columns as they would be read."""
    kept = {name: values for name, values in columns.items() if name not in without}
    table = ColumnTable({name: [None if np.isnan(v) else float(v) for v in values] for name, values in kept.items()})
    named = [Column(name, name) for name in kept if name != "time"]  # type: ignore[arg-type]
    return trend_log.read(table, "time", "epoch-seconds", None, named)


def judged(columns: Columns, without: Sequence[str] = (), **more: object) -> Assessment:
    """What the service makes of them."""
    return assess(logs(columns, without), plant(**more))


def view(columns: Columns, without: Sequence[str] = (), **more: object) -> View:
    """What a search works on."""
    log = logs(columns, without)[0]
    ran = running(log)
    return View(0, log, ran, derived(log, GAS, ran.on), plant(**more))


def kinds(found: Assessment) -> set[str]:
    """Kinds of the episodes."""
    return {episode.kind for episode in found.episodes}


def only(found: Assessment, kind: str) -> Episode:
    """The one episode of a kind."""
    (episode,) = [one for one in found.episodes if one.kind == kind]
    return episode


def between(columns: Columns, first: float, last: float) -> Array:
    """Rows between two hours since the beginning."""
    hours = (columns["time"] - BEGIN) / 3600.0
    return np.asarray((hours >= first) & (hours < last))


def wet(columns: Columns, rows: Array) -> None:
    """Liquid in the suction: the line at dew, the discharge chilled."""
    low = saturation.dew_temperature(GAS, columns["suction_pressure"])
    high = saturation.dew_temperature(GAS, columns["discharge_pressure"])
    rows = rows & (columns["running"] > 0)
    columns["suction_temperature"] = np.where(rows, low + 0.3, columns["suction_temperature"])
    chilled = np.minimum(columns["discharge_temperature"], high + 6.0)
    columns["discharge_temperature"] = np.where(rows, chilled, columns["discharge_temperature"])


CHANNELS: tuple[LogChannel, ...] = ("suction_pressure", "suction_temperature")
