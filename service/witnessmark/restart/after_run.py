"""After the start: readings logged at one hour, one day and two weeks held against the watch list.

Times in s after the start. A stage is good when every reading it needs was taken in its window and is within its
limit, and every proof it wants was given. Trends compare the first and the last reading of an item.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

from witnessmark.calculations.metrology.limits import COVERAGE, Standing, read_data
from witnessmark.calculations.metrology.ratios import difference
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.reference import source
from witnessmark.restart.context import Machine, tags
from witnessmark.restart.watch_list import MakerBand, WatchItem, standing, watch_list
from witnessmark.restart.watch_list import items as known_items

StageState = Literal["good", "out of limits", "not proved", "missing", "not yet due"]
Verdict = Literal[
    "stop and find out", "look into it now", "not proved", "go on watching", "nothing found after two weeks"
]
Trend = Literal["rising", "falling", "steady"]
LONGEST = 366 * 86400.0


@dataclass(frozen=True, slots=True)
class RunReading:
    """Readings and proofs at one time; proofs: name -> whether it was good."""

    at: float
    values: Mapping[str, Measured] = field(default_factory=dict)
    proofs: Mapping[str, bool] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ItemFound:
    """One item of one reading against its limits; `standing` is None where there is no figure."""

    at: float
    item: WatchItem
    value: Measured
    standing: Standing | None


@dataclass(frozen=True, slots=True)
class StageResult:
    """One look: what was found in its window, what is missing, which proofs failed."""

    stage: str
    title: str
    state: StageState
    due: float
    latest: float
    found: tuple[ItemFound, ...]
    missing: tuple[str, ...]
    failed_proofs: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class ItemTrend:
    """Change of an item from its first to its last reading."""

    item: WatchItem
    change: Measured
    trend: Trend


@dataclass(frozen=True, slots=True)
class AfterRun:
    """The whole: verdict, stages, everything out of limits, trends, when the next look is due (s after the start)."""

    verdict: Verdict
    stages: tuple[StageResult, ...]
    outside: tuple[ItemFound, ...]
    trends: tuple[ItemTrend, ...]
    next_look: float | None


@cache
def data() -> dict[str, Any]:
    """The data file: sources, items and proofs checked."""
    tables = read_data(__package__, "after_run.toml")
    for row in (*tables["stages"].values(), tables["windows"]):
        source(row["source"])
    for row in tables["stages"].values():
        if not ({*row["items"]} <= {*known_items()} and {*row["proofs"]} <= tables["proofs"].keys()):
            raise ValueError(f"after run: {row['title']} asks for an unknown item or proof")
    return tables


def proofs() -> tuple[str, ...]:
    """The names of all proofs."""
    return tuple(data()["proofs"])


def after_run(
    machine: Machine, readings: tuple[RunReading, ...], elapsed: float, makers: Mapping[str, MakerBand] | None = None
) -> AfterRun:
    """Judge the run so far; `elapsed` is the time since the start, s.

    Errors: OutOfRangeError (elapsed, readings.k.at), InputError (readings.k.at not rising), UnknownNameError
    (readings.k.values.<item>, readings.k.proofs.<proof>).
    """
    _check(readings, elapsed)
    watched = {item.item: item for item in watch_list(machine, makers)}
    found = tuple(
        ItemFound(r.at, watched[name], value, standing(watched[name], value))
        for r in readings
        for name, value in r.values.items()
        if name in watched
    )
    conditions = tags(machine)
    stages = tuple(
        _stage(name, row, _Log(readings, found, watched, conditions, elapsed)) for name, row in data()["stages"].items()
    )
    outside = tuple(f for f in found if f.standing in ("outside", "sources disagree"))
    return AfterRun(_verdict(stages, found), stages, outside, _trends(found), _next_look(stages))


@dataclass(frozen=True, slots=True)
class _Log:
    readings: tuple[RunReading, ...]
    found: tuple[ItemFound, ...]
    watched: Mapping[str, WatchItem]
    conditions: frozenset[str]
    elapsed: float


def _stage(name: str, row: dict[str, Any], log: _Log) -> StageResult:
    found = tuple(f for f in log.found if row["earliest"] <= f.at <= row["latest"])
    given = [r.proofs for r in log.readings if row["earliest"] <= r.at <= row["latest"]]
    wanted = [p for p in row["proofs"] if log.conditions & {*data()["proofs"][p]["applies"]}]
    latest = {p: good for part in given for p, good in part.items()}
    read = {f.item.item for f in found}
    missing = tuple(i for i in row["items"] if i in log.watched and i not in read)
    missing += tuple(p for p in wanted if p not in latest)
    failed = tuple(p for p in wanted if latest.get(p) is False)
    state = _stage_state(found, missing, failed, log.elapsed < row["earliest"])
    return StageResult(name, row["title"], state, row["due"], row["latest"], found, missing, failed, row["source"])


def _stage_state(
    found: tuple[ItemFound, ...],
    missing: tuple[str, ...],
    failed: tuple[str, ...],
    early: bool,  # noqa: FBT001 - a fact about the stage
) -> StageState:
    standings = {f.standing for f in found}
    if failed or "outside" in standings:
        return "out of limits"
    if missing:
        return "not yet due" if early else "missing"
    return "not proved" if standings - {"within"} else "good"


def _verdict(stages: tuple[StageResult, ...], found: tuple[ItemFound, ...]) -> Verdict:
    """The latest reading of an item counts for stopping; a failed proof or anything else outside is looked into."""
    latest = {f.item.item: f for f in found}
    if any(f.item.stop and f.standing == "outside" for f in latest.values()):
        return "stop and find out"
    states = [s.state for s in stages]
    if "out of limits" in states or any(f.standing == "outside" for f in latest.values()):
        return "look into it now"
    if "missing" in states or "not proved" in states:
        return "not proved"
    return "nothing found after two weeks" if set(states) == {"good"} else "go on watching"


def _trends(found: tuple[ItemFound, ...]) -> tuple[ItemTrend, ...]:
    kinds = {f.item.item: f.item for f in found}
    series = {n: [f.value for f in found if f.item.item == n] for n in kinds}
    return tuple(_trend(kinds[name], values) for name, values in series.items() if len(values) > 1)


def _trend(item: WatchItem, values: list[Measured]) -> ItemTrend:
    change = difference(values[-1], values[0])
    reach = COVERAGE * change.uncertainty
    trend: Trend = "rising" if change.value > reach else "falling" if change.value < -reach else "steady"
    return ItemTrend(item, change, trend)


def _next_look(stages: tuple[StageResult, ...]) -> float | None:
    return next((s.due for s in stages if s.state in ("not yet due", "missing")), None)


def _check(readings: tuple[RunReading, ...], elapsed: float) -> None:
    if not 0 <= elapsed <= LONGEST:
        raise OutOfRangeError("elapsed", elapsed, 0.0, LONGEST, "time")
    for k, reading in enumerate(readings):
        if not 0 <= reading.at <= elapsed:
            raise OutOfRangeError(f"readings.{k}.at", reading.at, 0.0, elapsed, "time")
        if k and reading.at <= readings[k - 1].at:
            raise InputError(f"readings.{k}.at", "not later than the reading before", "rising times")
        _check_names(f"readings.{k}.values", reading.values, known_items())
        _check_names(f"readings.{k}.proofs", reading.proofs, proofs())


def _check_names(field_name: str, given: Mapping[str, object], known: tuple[str, ...]) -> None:
    for name in given:
        if name not in known:
            raise UnknownNameError(f"{field_name}.{name}", "item", known)
