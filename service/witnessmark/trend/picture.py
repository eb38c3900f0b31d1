"""The hours before the end of a log as a picture, episodes marked by hatching and by name, text as text."""

from __future__ import annotations

import io
import threading
from collections.abc import Sequence
from datetime import datetime, tzinfo
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.dates import AutoDateLocator, ConciseDateFormatter
from matplotlib.figure import Figure

from witnessmark.trend.channels import Array
from witnessmark.trend.episode import Episode, View
from witnessmark.trend.rules import RULES, EpisodeKind
from witnessmark.trend.spans import Places
from witnessmark.vocabulary import SystemOfUnits

INK, QUIET = "#22313f", "#7a858f"
STROKES = {
    "evaporating, dew": ("#0b5c74", "-"),
    "condensing, dew": ("#8a3b12", "-"),
    "suction line": ("#0b5c74", ":"),
    "discharge line": ("#8a3b12", ":"),
    "liquid line": ("#6b6f1d", "--"),
    "air": (QUIET, "-."),
    "superheat": ("#0b5c74", "-"),
    "subcooling": ("#6b6f1d", "--"),
    "discharge superheat": ("#8a3b12", ":"),
    "running": (INK, "-"),
    "speed": (INK, "-"),
}
HATCHES = ("////", "\\\\\\\\", "....", "xxxx", "----", "||||", "++++", "oooo")
WIDTH, HEIGHT = 9.0, 7.5
MOST_POINTS = 1500
HOUR = 3600.0
_ONE_AT_A_TIME = threading.Lock()


def draw(view: View, episodes: Sequence[Episode], hours: float, zone: tzinfo, system: SystemOfUnits = "SI") -> bytes:
    """SVG of the last hours of one compressor. The same input gives the same bytes."""
    end = float(view.log.time[-1])
    rows = np.flatnonzero(view.log.time >= end - hours * HOUR)
    rows = rows[:: max(1, rows.size // MOST_POINTS)]
    begin = float(view.log.time[rows[0]])
    here = [e for e in episodes if e.compressor == view.number and e.end >= begin]
    with _ONE_AT_A_TIME, mpl.rc_context({"svg.hashsalt": "witnessmark", "svg.fonttype": "none"}):
        times = _moments(view.log.time[rows], zone)
        figure = Figure((WIDTH, HEIGHT), layout="constrained")
        panels = figure.subplots(4, 1, sharex=True, height_ratios=(4, 3, 1, 0.35 * max(len(_kinds(here)), 1) + 0.4))
        _panel(panels[0], times, rows, _temperatures(view), system, f"temperature, {_degree(system)}")
        _panel(panels[1], times, rows, _margins(view), system, f"difference, {'K' if system != 'IP' else '°F'}")
        _panel(panels[2], times, rows, _work(view), system, "share")
        _marks(panels[3], here, (begin, end), zone)
        locator = AutoDateLocator(tz=zone)  # type: ignore[no-untyped-call]
        panels[3].xaxis.set_major_locator(locator)
        panels[3].xaxis.set_major_formatter(ConciseDateFormatter(locator, tz=zone))  # type: ignore[no-untyped-call]
        panels[0].set_title(f"The last {hours:g} hours of the log", loc="left", fontsize=10, color=INK)
        return _printed(figure)


def _printed(figure: Figure) -> bytes:
    stream = io.BytesIO()
    about = {"Title": "Log of a compressor with episodes marked", "Creator": "Witnessmark", "Date": None}
    FigureCanvasSVG(figure).print_svg(stream, metadata=about)  # type: ignore[no-untyped-call]
    return stream.getvalue()


def _degree(system: SystemOfUnits) -> str:
    return "°F" if system == "IP" else "°C"


def _temperatures(view: View) -> dict[str, Array | None]:
    columns = view.log.columns
    return {
        "evaporating, dew": view.derived.evaporating,
        "condensing, dew": view.derived.condensing,
        "suction line": columns.get("suction_temperature"),
        "discharge line": columns.get("discharge_temperature"),
        "liquid line": columns.get("liquid_temperature"),
        "air": columns.get("ambient_temperature"),
    }


def _margins(view: View) -> dict[str, Array | None]:
    derived, on = view.derived, view.running.on
    named = {
        "superheat": derived.superheat,
        "subcooling": derived.subcooling,
        "discharge superheat": derived.discharge_superheat,
    }
    return {name: None if value is None else np.where(on, value, np.nan) for name, value in named.items()}


def _work(view: View) -> dict[str, Array | None]:
    speed = view.log.columns.get("speed")
    return {"running": view.running.on.astype(np.float64)} if speed is None else {"speed": speed}


def _panel(
    axes: Axes, times: list[datetime], rows: Places, lines: dict[str, Array | None], system: SystemOfUnits, words: str
) -> None:
    for name, values in lines.items():
        if values is not None:
            colour, dash = STROKES[name]
            shown = _in_units(values[rows], words, system)
            axes.plot(times, shown, color=colour, linestyle=dash, linewidth=0.9, label=name)  # type: ignore[arg-type]
    axes.set_ylabel(words, fontsize=8, color=INK)
    axes.tick_params(labelsize=8, colors=INK)
    axes.grid(visible=True, color="#dde3e8", linewidth=0.6)
    if axes.lines:
        axes.legend(loc="upper left", fontsize=7, ncols=3, frameon=False)


def _in_units(values: Array, words: str, system: SystemOfUnits) -> Array:
    if words.startswith("temperature"):
        return (values - 273.15) * 1.8 + 32.0 if system == "IP" else values - 273.15
    return values * 1.8 if words.startswith("difference") and system == "IP" else values


def _moments(times: Array, zone: tzinfo) -> list[datetime]:
    return [datetime.fromtimestamp(moment, zone) for moment in times.tolist()]


def _kinds(episodes: Sequence[Episode]) -> list[EpisodeKind]:
    return list(dict.fromkeys(found.kind for found in episodes))


def _marks(axes: Axes, episodes: Sequence[Episode], span: tuple[float, float], zone: tzinfo) -> None:
    """One bar an episode, one row a kind, its name beside it."""
    kinds = _kinds(episodes)
    for found in episodes:
        row = kinds.index(found.kind)
        begin, end = max(found.start, span[0]), min(found.end, span[1])
        left, right = _moments(np.array([begin, max(end, begin + 60.0)]), zone)
        style: dict[str, Any] = {"facecolor": "white", "edgecolor": INK, "hatch": HATCHES[row % len(HATCHES)]}
        axes.barh(row, right - left, 0.7, left=left, **style)  # type: ignore[arg-type]
    titles = [RULES()[kind].title for kind in kinds]
    axes.set_yticks(range(len(kinds)), titles or [], fontsize=7)
    axes.set_ylim(len(kinds) - 0.4 if kinds else 0.6, -0.6)
    axes.tick_params(labelsize=7, colors=INK)
    if not kinds:
        axes.set_yticks([0], ["no episode"], fontsize=7)
