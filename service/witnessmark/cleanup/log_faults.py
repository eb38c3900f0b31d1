"""What a log says about the gauge, the taps and the core, besides how full the core is. Texts: `log.toml`."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.drop_correction import COVERAGE, LARGEST_SHARE, factor
from witnessmark.cleanup.log_readings import FilterReading, Prepared
from witnessmark.cleanup.tables import table
from witnessmark.cleanup.trend import LEAST_UNCERTAINTY

FaultId = Literal["swapped-taps", "gauge-offset", "constant-offset", "torn-core", "no-drop"]


@dataclass(frozen=True, slots=True)
class LogFault:
    """One fault, in words, and the readings that show it (places in the request)."""

    id: FaultId
    text: str
    readings: tuple[int, ...]


def zero_offset(readings: Sequence[FilterReading]) -> tuple[Measured, tuple[int, ...]]:
    """The gauge's offset by the readings at zero flow, weighted, and their places.

    0 where there are none or it is nil.
    """
    still = [(place, reading.drop) for place, reading in enumerate(readings) if reading.flow_share == 0]
    if not still:
        return Measured(0.0), ()
    weights = [max(drop.uncertainty, LEAST_UNCERTAINTY) ** -2 for _, drop in still]
    mean = sum(w * drop.value for w, (_, drop) in zip(weights, still, strict=True)) / sum(weights)
    width = math.sqrt(1 / sum(weights))
    if abs(mean) <= COVERAGE * width:
        return Measured(0.0), ()
    return Measured(mean, width), tuple(place for place, _ in still)


def faults(prepared: Sequence[Prepared], offset_at: tuple[int, ...]) -> tuple[LogFault, ...]:
    """All faults the log shows; `prepared` in order of time, `offset_at` as `zero_offset` gives it."""
    return tuple(_found(prepared, offset_at))


def _found(prepared: Sequence[Prepared], offset_at: tuple[int, ...]) -> Iterator[LogFault]:
    if offset_at:
        yield _fault("gauge-offset", offset_at)
    if swapped := tuple(p.position for p in prepared if p.standing == "not judged: negative drop"):
        yield _fault("swapped-taps", swapped)
    for episode in episodes(prepared):
        yield from _of_episode(episode, zeroed=bool(offset_at))


def _of_episode(episode: Sequence[Prepared], *, zeroed: bool) -> Iterator[LogFault]:
    """A torn core shows between readings at like flow; between unlike ones a gauge offset looks the same."""
    alike = float(table("log")["fall"]["like_share"])
    offset = () if zeroed else tuple(_constant(episode))
    yield from tuple(_torn(episode, alike)) or offset or tuple(_torn(episode, LARGEST_SHARE))
    if none := no_drop(episode):
        yield _fault("no-drop", none)


def no_drop(episode: Sequence[Prepared]) -> tuple[int, ...]:
    """The judged readings of an episode where not one can be told from no drop at all, else none."""
    judged = [p for p in episode if p.full is not None]
    nothing = all(p.drop.value <= COVERAGE * p.drop.uncertainty for p in judged)
    return tuple(p.position for p in judged) if nothing else ()


def episodes(prepared: Sequence[Prepared]) -> list[list[Prepared]]:
    """The readings from one new core to the next."""
    found: list[list[Prepared]] = [[]]
    for one in prepared:
        if one.reading.new_core and found[-1]:
            found.append([])
        found[-1].append(one)
    return found


def _torn(episode: Sequence[Prepared], alike: float) -> Iterator[LogFault]:
    """A fall from any earlier reading at like flow, beyond both intervals and by more than a share of it."""
    least = float(table("log")["fall"]["least_share"])
    judged = [(p, p.full) for p in episode if p.full is not None]
    for (before, higher), (after, lower) in itertools.combinations(judged, 2):
        fell = lower.high < higher.low and lower.middle.value < (1 - least) * higher.middle.value
        if fell and abs(before.state.share - after.state.share) <= alike:
            yield _fault("torn-core", (before.position, after.position))
            return


def _constant(episode: Sequence[Prepared]) -> Iterator[LogFault]:
    """A part of the drop that does not follow the flow, whatever the exponent."""
    row = table("log")["offset"]
    used = [p for p in episode if p.state.share > 0]
    shares = [p.state.share for p in used]
    if len(used) < row["readings"] or max(shares) - min(shares) < row["share_spread"]:
        return
    tests = [_significance(used, exponent) for exponent in row["exponents"]]
    if min(abs(t) for t in tests) > row["significance"] and min(tests) * max(tests) > 0:
        yield _fault("constant-offset", tuple(p.position for p in used))


def _significance(used: Sequence[Prepared], exponent: float) -> float:
    """Constant of `drop = constant + a flow + b flow time` over its standard uncertainty (weighted least squares)."""
    flow = np.array([1 / factor(p.state, exponent) for p in used])
    time = np.array([p.elapsed for p in used]) / 3600.0
    sigma = np.array([max(p.drop.uncertainty, LEAST_UNCERTAINTY) for p in used])
    design = np.column_stack((np.ones(len(used)), flow, flow * time)) / sigma[:, None]
    values = np.array([p.drop.value for p in used]) / sigma
    solved, _, rank, _ = np.linalg.lstsq(design, values, rcond=None)
    if rank < design.shape[1]:
        return 0.0
    covariance = np.linalg.inv(design.T @ design)
    return float(solved[0] / math.sqrt(covariance[0, 0]))


def _fault(key: FaultId, places: tuple[int, ...]) -> LogFault:
    return LogFault(key, table("log")["faults"][key], places)
