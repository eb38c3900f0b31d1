"""What a log of filter readings says: change the core, keep it, or the circuit is clean; and when to look again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup import drop_limits, log_verdict, schedule
from witnessmark.cleanup.drop_limits import DropLimit
from witnessmark.cleanup.log_faults import LogFault, episodes, faults, zero_offset
from witnessmark.cleanup.log_readings import FilterLogCase, Prepared, full_superheat, prepare
from witnessmark.cleanup.log_verdict import CleanConditions, Decision, Evidence, Place, WorkingLimit
from witnessmark.cleanup.tables import table
from witnessmark.errors import InputError

LATEST = timedelta(days=90)
"""A core that lasts longer than this is not filling up."""


@dataclass(frozen=True, slots=True)
class JudgedReading:
    """A reading at full flow: loss of saturation temperature at both ends of the interval, K, and where it stands."""

    prepared: Prepared
    local: datetime
    penalty_low: float | None
    penalty_high: float | None
    place: Place | None


@dataclass(frozen=True, slots=True)
class Trend:
    """Rise of the full-flow drop since the last new core, Pa per day, and when the working limit is met (site's clock).

    A time is None where it cannot be foreseen.
    """

    rise_per_day: Measured
    readings: int
    expected: datetime | None
    earliest: datetime | None
    latest: datetime | None


@dataclass(frozen=True, slots=True)
class FilterLog:
    """The verdict and all it rests on; assumptions in words, cautions and sources by id."""

    readings: tuple[JudgedReading, ...]
    limit: DropLimit
    working_limit: WorkingLimit
    trend: Trend | None
    faults: tuple[LogFault, ...]
    clean: CleanConditions
    decision: Decision
    next_check: datetime
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]


def judge_log(case: FilterLogCase) -> FilterLog:
    """Judge a log.

    Errors: InputError (readings) when it is empty or two readings stand at the same time, InputError (oil) when a
    sample came without the oil type, UnknownNameError (time_zone, refrigerant), OutOfRangeError with the field of the
    reading.
    """
    site = schedule.zone(case.time_zone)
    offset, offset_at = zero_offset(case.readings)
    prepared = _prepared(case, site, offset)
    limit = drop_limits.drop_limit(case.refrigerant, case.evaporating, case.installation, case.maker_drop)
    evidence = _evidence(case, prepared, limit, offset_at)
    decision = log_verdict.decide(evidence)
    return FilterLog(
        readings=tuple(_judged(case, one, site, evidence.limit.drop) for one in prepared),
        limit=limit,
        working_limit=evidence.limit,
        trend=_trend(evidence, site),
        faults=evidence.faults,
        clean=evidence.clean,
        decision=decision,
        next_check=(prepared[-1].at + decision.wait).astimezone(site),
        assumptions=_assumptions(case, prepared, site),
        cautions=_cautions(evidence),
        sources=_sources(limit, evidence),
    )


def _prepared(case: FilterLogCase, site: ZoneInfo, offset: Measured) -> list[Prepared]:
    """All readings in order of time."""
    if not case.readings:
        raise InputError("readings", "empty", "at least one reading")
    instants = [_instant(reading.at, site, place) for place, reading in enumerate(case.readings)]
    order = sorted(range(len(instants)), key=instants.__getitem__)
    for earlier, later in pairwise(order):
        if instants[earlier] == instants[later]:
            raise InputError(f"readings.{later}.at", "the same time as another reading", "one reading a time")
    return [prepare(case, place, instants[place], instants[order[0]], offset) for place in order]


def _instant(at: datetime, site: ZoneInfo, place: int) -> datetime:
    try:
        return schedule.instant(at, site)
    except InputError as error:
        error.field = f"readings.{place}.at"
        raise


def _evidence(
    case: FilterLogCase, prepared: Sequence[Prepared], limit: DropLimit, offset_at: tuple[int, ...]
) -> Evidence:
    episode = episodes(prepared)[-1]
    working = log_verdict.working_limit(limit, episode)
    clean = log_verdict.conditions(case, prepared, episode, working.drop)
    last = log_verdict.last_sample(case, episode)
    return Evidence(episode, working, log_verdict.lines(episode), faults(prepared, offset_at), clean, last)


def _judged(case: FilterLogCase, one: Prepared, site: ZoneInfo, limit: float) -> JudgedReading:
    local = one.at.astimezone(site)
    if one.full is None:
        return JudgedReading(one, local, None, None, None)
    low, high = (_penalty(case, end) for end in (one.full.low, one.full.high))
    return JudgedReading(one, local, low, high, log_verdict.place(one.full, limit))


def _penalty(case: FilterLogCase, drop: float) -> float | None:
    """Loss of saturation temperature, K; None where no suction pressure would be left."""
    try:
        return drop_limits.penalty(case.refrigerant, case.evaporating, max(drop, 0.0))
    except InputError:
        return None


def _trend(evidence: Evidence, site: ZoneInfo) -> Trend | None:
    if not evidence.lines:
        return None
    met = log_verdict.reaching(evidence)
    judged = [p for p in evidence.episode if p.full is not None]
    first = evidence.episode[0]
    start = first.at - timedelta(seconds=first.elapsed)
    times = [_moment(start, seconds, site) for seconds in (met.expected, met.earliest, met.latest)]
    return Trend(log_verdict.rise_per_day(evidence.lines), len(judged), *times)


def _moment(start: datetime, seconds: float | None, site: ZoneInfo) -> datetime | None:
    """The moment so many seconds after the start; None for one that is too far off to mean anything."""
    if seconds is None or abs(seconds) > LATEST.total_seconds():
        return None
    return (start + timedelta(seconds=round(seconds))).astimezone(site)


def _assumptions(case: FilterLogCase, prepared: Sequence[Prepared], site: ZoneInfo) -> tuple[str, ...]:
    row = table("sizing")["flow_exponent"]
    found = [f"Drop goes with mass flow to the power {row['low']:.3g} to {row['high']:.3g} over gas density."]
    if case.superheat is None:
        found.append(f"Suction superheat at full flow: {full_superheat(case):.3g} K.")
    if any(p.reading.evaporating is None and p.reading.suction is None for p in prepared):
        found.append("Readings without temperatures: gas density taken as at full flow.")
    if any(schedule.is_twofold(p.reading.at, site) for p in prepared):
        found.append("A clock time that comes twice that day: the first was taken.")
    found.append("Hours between readings are taken as hours of running.")
    return tuple(found)


def _cautions(evidence: Evidence) -> tuple[str, ...]:
    found = ["licensed", "core-change-opens-circuit", "suction-core-left-in"]
    if any(fault.id == "torn-core" for fault in evidence.faults):
        found.append("fragments-may-remain")
    if evidence.last_sample in {"over", "likely over", "cannot tell"}:
        found.append("burnout-oil-acid")
    return tuple(found)


def _sources(limit: DropLimit, evidence: Evidence) -> tuple[str, ...]:
    rows = table("log")
    mine = (rows[name]["source"] for name in ("flow", "fall", "flat", "next"))
    cited = (limit.source, *(c.source for c in limit.candidates), limit.rise.source, evidence.limit.source, *mine)
    return tuple(dict.fromkeys((*cited, "common-practice", "coolprop")))
