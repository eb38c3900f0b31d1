"""The one way in: from the logs of a table to episodes, what was looked for, and findings for the diagnosis."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import effort
from witnessmark.trend import duty, exchanged, liquid, run_signal, sensors, slow
from witnessmark.trend.channels import LogChannel
from witnessmark.trend.derived import Point, derived
from witnessmark.trend.doubt.held import of_held_sensors
from witnessmark.trend.doubt.remarks import Remark
from witnessmark.trend.doubt.witnesses import weighed
from witnessmark.trend.episode import Episode, Plant, View
from witnessmark.trend.log import Log, Quality
from witnessmark.trend.rules import RULES, EpisodeKind, FindingState
from witnessmark.trend.running import running

TrendVerdict = TypeAliasType("TrendVerdict", Literal["episodes found", "nothing found", "cannot tell"])
"""What the log says. "nothing found" only where liquid returning could be seen; else "cannot tell"."""
Search = Callable[[View], Iterator[Episode]]
SEARCHES: Mapping[EpisodeKind, Search] = {
    "liquid-returning": liquid.liquid_returning,
    "flooded-start": liquid.flooded_start,
    "low-load-then-ramp": liquid.low_load_then_ramp,
    "short-cycling": duty.short_cycling,
    "high-head-pressure": duty.high_head_pressure,
    "high-ratio": duty.high_ratio,
    "high-discharge-temperature": duty.high_discharge_temperature,
    "vacuum-running": duty.vacuum_running,
    "no-pressure-difference": duty.no_pressure_difference,
    "charge-loss": slow.charge_loss,
    "condenser-fouling": slow.condenser_fouling,
    "sensor-stuck": sensors.sensor_stuck,
    "sensors-swapped": sensors.sensors_swapped,
    "sensor-drift": slow.sensor_drift,
    "sensor-drop-out": sensors.sensor_drop_out,
}
MOST = 0.85
"""P(this report is right), at most, of a finding that rests on the machine's habit alone."""
AT_REST: tuple[EpisodeKind, ...] = ("high-head-pressure", "sensor-stuck", "sensors-swapped", "sensor-drop-out")
"""What shows in the log of a compressor that never ran too."""
ESSENTIAL: tuple[EpisodeKind, ...] = ("liquid-returning",)
"""What must have been looked for before a log may be called clean."""


@dataclass(frozen=True, slots=True)
class Watched:
    """Whether a kind of episode could be seen in the log of a compressor; lacking: channels without which it is not."""

    kind: EpisodeKind
    compressor: int
    looked: bool
    lacking: tuple[LogChannel, ...]


@dataclass(frozen=True, slots=True)
class TrendFinding:
    """A finding for the diagnosis. reliability: P(this report is right), softened by the certainty of the episode."""

    finding: str
    state: str
    reliability: float
    kinds: tuple[EpisodeKind, ...]


@dataclass(frozen=True, slots=True)
class Assessment:
    """All that a log says."""

    verdict: TrendVerdict
    quality: Quality
    views: tuple[View, ...]
    episodes: tuple[Episode, ...]
    watched: tuple[Watched, ...]
    findings: tuple[TrendFinding, ...]
    remarks: tuple[Remark, ...] = ()


def assess(logs: Mapping[int, Log], plant: Plant, envelope: Sequence[Point] = ()) -> Assessment:
    """Search the logs of all compressors of a machine.

    Errors: InputError (columns) where nothing tells when it ran, UnknownNameError (refrigerant).
    """
    views = tuple(_view(number, log, plant, envelope) for number, log in logs.items())
    watched = tuple(_watched(view, kind) for view in views for kind in SEARCHES)
    judged = [_judged(view) for view in views]
    episodes = sorted((found for some, _ in judged for found in some), key=_order)
    remarks = tuple(remark for _, some in judged for remark in some)
    verdict = "cannot tell" if remarks and not episodes else _verdict(episodes, watched)
    told = tuple(findings(episodes))
    return Assessment(verdict, views[0].log.quality, views, tuple(episodes), watched, told, remarks)


def _order(found: Episode) -> tuple[int, float]:
    return list(SEARCHES).index(found.kind), found.start


def _view(number: int, log: Log, plant: Plant, envelope: Sequence[Point]) -> View:
    ran = running(log)
    return View(number, log, ran, derived(log, plant.operating.refrigerant, ran.on, envelope), plant)


def _watched(view: View, kind: EpisodeKind) -> Watched:
    needs = RULES()[kind].needs
    lacking = [tuple(c for c in channels if not view.usable(c)) for channels in needs]
    nearest = min(lacking, key=len)
    ran = bool(view.running.on.any()) or kind in AT_REST
    quality = view.log.quality
    long_enough = quality.last - quality.first >= (RULES()[kind].days - 1.0) * 86_400.0
    return Watched(kind, view.number, looked=ran and long_enough and not nearest, lacking=nearest)


def _judged(view: View) -> tuple[list[Episode], list[Remark]]:
    """What the searches find, weighed, and what is to be remarked beside it."""
    swapped, view = exchanged.told(view)
    wrong, view = run_signal.contradicted(view)
    found: list[Episode] = []
    for search in SEARCHES.values():
        effort.check()
        found += search(view)
    kept, remarked = weighed(view, [*swapped, *wrong, *found])
    return [*of_held_sensors(view, [*_trusted(kept, found)])], remarked


def _trusted(kept: Sequence[Episode], found: Sequence[Episode]) -> Iterator[Episode]:
    """Without liquid that was read off sensors which stand exchanged and were not put back. found: by the searches."""
    not_put_back = [one for one in found if one.kind == "sensors-swapped"]
    for one in kept:
        if one.kind != "liquid-returning" or not any(x.start <= one.end and one.start <= x.end for x in not_put_back):
            yield one


def _verdict(episodes: Sequence[Episode], watched: Sequence[Watched]) -> TrendVerdict:
    if episodes:
        return "episodes found"
    blind = any(not row.looked for row in watched if row.kind in ESSENTIAL)
    return "cannot tell" if blind else "nothing found"


def _reports(found: Episode) -> list[tuple[str, FindingState, float]]:
    if found.findings is not None:
        return [(finding, state, MOST) for finding, state in found.findings]
    return [(row.finding, row.state, row.most) for row in RULES()[found.kind].findings]


def findings(episodes: Sequence[Episode]) -> Iterator[TrendFinding]:
    """What the episodes are told to the diagnosis as: each finding once, by the surest of its episodes."""
    told: dict[tuple[str, FindingState], list[tuple[float, EpisodeKind]]] = {}
    for found in episodes:
        for finding, state, most in _reports(found):
            kept = 0.5 + (most - 0.5) * max(0.05, 2.0 * found.certainty - 1.0)
            told.setdefault((finding, state), []).append((kept, found.kind))
    for (finding, state), reports in told.items():
        yield TrendFinding(finding, state, max(r for r, _ in reports), tuple(dict.fromkeys(k for _, k in reports)))
