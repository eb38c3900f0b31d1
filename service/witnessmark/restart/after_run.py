"""After the start: readings logged at one hour, one day and two weeks held against the watch list.

Times in s after the start. A stage is good when every reading it needs was taken in its window and is within its
limit (or within that of some sources: it is shown, and the maker asked), and every proof it wants was given. Trends
compare the first and the last reading of an item.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal, Self

from pydantic import model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.metrology.ratios import difference
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.restart.context import Condition, Machine, Spare, conditions_of
from witnessmark.restart.run_limits import RunLimits
from witnessmark.restart.run_readings import Moment, RunReading, moments
from witnessmark.restart.watch_list import MakerBand, WatchItem, items, standing, stops, watch_list

StageState = TypeAliasType("StageState", Literal["good", "out of limits", "not proved", "missing", "not yet due"])
"""How one look after the start came out."""
RunVerdict = TypeAliasType(
    "RunVerdict",
    Literal["stop and find out", "look into it now", "not proved", "go on watching", "nothing found after two weeks"],
)
"""What the run so far says."""
Trend = TypeAliasType("Trend", Literal["rising", "falling", "steady"])
"""How an item moved from its first to its last reading."""
LONGEST = 366 * 86400.0
NO_BOUNDS = RunLimits()
"""The request says nothing that bounds the run."""


class StageRow(data.Row):
    """One look: when it is due, the window in which a reading counts (s after the start), what it needs."""

    title: str
    due: float
    earliest: float
    latest: float
    items: tuple[str, ...]
    proofs: tuple[str, ...]
    source: SourceId

    def covers(self, time: float) -> bool:
        """Whether a reading at that time counts for this look."""
        return self.earliest <= time <= self.latest


class ProofRow(data.Row):
    """A statement wanted, and of which machines; stop: where it came out bad the machine is stopped."""

    title: str
    applies: tuple[Condition, ...]
    spared_by: frozenset[Spare] = frozenset()
    stop: bool = False

    def wanted(self, conditions: frozenset[Condition], spares: frozenset[Spare]) -> bool:
        """Whether such a machine owes it."""
        return bool(conditions.intersection(self.applies)) and not self.spared_by & spares


class Windows(data.Row):
    """Where the windows come from."""

    source: SourceId


class AfterRunTable(data.Row):
    """The data file."""

    stages: dict[str, StageRow]
    proofs: dict[str, ProofRow]
    windows: Windows

    @model_validator(mode="after")
    def _known(self) -> Self:
        for name, stage in self.stages.items():
            if unknown := {*stage.items} - {*items()} | {*stage.proofs} - self.proofs.keys():
                raise ValueError(f"stage {name}: unknown item or proof: {', '.join(sorted(unknown))}")
        return self


TABLE = data.table(__package__, "after_run.toml", AfterRunTable)


@dataclass(frozen=True, slots=True)
class ItemReading:
    """One item of one reading against its limits; `standing` is None where there is no figure."""

    at: float
    item: WatchItem
    value: Measured
    standing: Standing | None


@dataclass(frozen=True, slots=True)
class StageResult:
    """One look: what was read in its window, what is missing, which proofs failed."""

    stage: str
    title: str
    state: StageState
    due: float
    latest: float
    readings: tuple[ItemReading, ...]
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

    verdict: RunVerdict
    stages: tuple[StageResult, ...]
    outside: tuple[ItemReading, ...]
    trends: tuple[ItemTrend, ...]
    next_look: float | None


def proofs() -> tuple[str, ...]:
    """The names of all proofs."""
    return tuple(TABLE().proofs)


def after_run(
    machine: Machine,
    log: tuple[RunReading, ...],
    elapsed: float,
    makers: Mapping[str, MakerBand] | None = None,
    bounds: RunLimits = NO_BOUNDS,
) -> AfterRun:
    """Judge the run so far; `elapsed` is the time since the start, s. bounds: what else of the request bounds it.

    Every reading is judged, and what follows from several of one moment: the ratio of two pressures, the rise of a
    drop over its first reading, superheat at the discharge. A stated figure that these contradict is out of limits.

    Example: everything within limits at 1 h, and 1 h elapsed: "go on watching", next look at 86400 s.
    Errors: OutOfRangeError (elapsed, readings.k.at), InputError (readings.k.at not rising), UnknownNameError
    (readings.k.values.<item>, readings.k.proofs.<proof>).
    """
    _check(log, elapsed)
    every = moments(machine, log)
    read = {name for moment in every for name in moment.values}
    watched = {item.item: item for item in watch_list(machine, makers, read, bounds)}
    readings = tuple(reading for moment in every for reading in _judged(moment, watched, makers or {}))
    run = _Run(log, readings, watched, conditions_of(machine), elapsed, machine.spares)
    stages = tuple(_stage(name, row, run) for name, row in TABLE().stages.items())
    outside = tuple(r for r in readings if r.standing in ("outside", "sources disagree"))
    said = {proof: good for reading in log for proof, good in reading.proofs.items()}
    stop = any(TABLE().proofs[proof].stop for proof, good in said.items() if not good)
    asked = {proof for stage in stages for proof in stage.failed_proofs}
    verdict = _verdict(stages, readings, stop=stop, failed=any(not said[proof] for proof in asked))
    due = None if verdict == "stop and find out" else _next_look(stages)  # what is stopped now waits for no day
    return AfterRun(verdict, stages, outside, _trends(readings), due)


def _judged(moment: Moment, watched: Mapping[str, WatchItem], makers: Mapping[str, MakerBand]) -> Iterator[ItemReading]:
    """Every reading of a moment against the limits that hold for it."""
    for name, value in moment.values.items():
        if name not in watched:
            continue
        item, limit, band = watched[name], moment.reading.limits.get(name), makers.get(name, MakerBand())
        if limit is not None:
            item = replace(item, high=limit.rule(band.high, band.document))
        yield ItemReading(moment.reading.at, item, value, "outside" if name in moment.odd else standing(item, value))


@dataclass(frozen=True, slots=True)
class _Run:
    log: tuple[RunReading, ...]
    readings: tuple[ItemReading, ...]
    watched: Mapping[str, WatchItem]
    conditions: frozenset[Condition]
    elapsed: float
    spares: frozenset[Spare]


def _stage(name: str, row: StageRow, run: _Run) -> StageResult:
    readings = tuple(r for r in run.readings if row.covers(r.at))
    wanted = [p for p in row.proofs if TABLE().proofs[p].wanted(run.conditions, run.spares)]
    latest = {proof: good for r in run.log if row.covers(r.at) for proof, good in r.proofs.items()}
    read = {r.item.item for r in readings}
    missing = tuple(i for i in row.items if i in run.watched and i not in read)
    missing += tuple(p for p in wanted if p not in latest)
    failed = tuple(p for p in wanted if latest.get(p) is False)
    state = _stage_state({r.standing for r in readings}, missing, failed, early=run.elapsed < row.earliest)
    return StageResult(name, row.title, state, row.due, row.latest, readings, missing, failed, row.source)


def _stage_state(
    standings: set[Standing | None], missing: tuple[str, ...], failed: tuple[str, ...], *, early: bool
) -> StageState:
    if failed or "outside" in standings:
        return "out of limits"
    if missing:
        return "not yet due" if early else "missing"
    return "not proved" if standings - {"within", "sources disagree"} else "good"


def _verdict(
    stages: tuple[StageResult, ...], readings: tuple[ItemReading, ...], *, stop: bool, failed: bool
) -> RunVerdict:
    """The latest reading of an item counts, and the latest word on a proof: what was put right stops nothing any more.

    stop: a proof that stops the machine came out bad when it was last looked at; failed: another one did.
    """
    latest = {r.item.item: r for r in readings}
    outside = [r for r in latest.values() if r.standing == "outside"]
    if stop or any(r.item.stop or stops(r.item, r.value) for r in outside):
        return "stop and find out"
    states = {s.state for s in stages}
    if outside or failed:
        return "look into it now"
    if states & {"missing", "not proved"}:
        return "not proved"
    return "nothing found after two weeks" if states == {"good"} else "go on watching"


def _trends(readings: tuple[ItemReading, ...]) -> tuple[ItemTrend, ...]:
    series: dict[str, list[ItemReading]] = {}
    for reading in readings:
        series.setdefault(reading.item.item, []).append(reading)
    return tuple(_trend(r[0].item, [part.value for part in r]) for r in series.values() if len(r) > 1)


def _trend(item: WatchItem, values: list[Measured]) -> ItemTrend:
    change = difference(values[-1], values[0])
    reach = COVERAGE * change.uncertainty
    trend: Trend = "rising" if change.value > reach else "falling" if change.value < -reach else "steady"
    return ItemTrend(item, change, trend)


def _next_look(stages: tuple[StageResult, ...]) -> float | None:
    return next((s.due for s in stages if s.state in ("not yet due", "missing")), None)


def _check(log: tuple[RunReading, ...], elapsed: float) -> None:
    if not 0 <= elapsed <= LONGEST:
        raise OutOfRangeError("elapsed", elapsed, 0.0, LONGEST, "time")
    for k, reading in enumerate(log):
        if not 0 <= reading.at <= elapsed:
            raise OutOfRangeError(f"readings.{k}.at", reading.at, 0.0, elapsed, "time")
        if k and reading.at <= log[k - 1].at:
            raise InputError(f"readings.{k}.at", "not later than the reading before", "rising times")
        _check_names(f"readings.{k}.values", reading.values, items())
        _check_names(f"readings.{k}.proofs", reading.proofs, proofs())


def _check_names(field_name: str, names: Mapping[str, object], known: tuple[str, ...]) -> None:
    for name in names:
        if name not in known:
            raise UnknownNameError(f"{field_name}.{name}", "item", known)
