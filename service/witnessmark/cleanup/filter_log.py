"""What a log of filter readings says: change the core, keep it, or the circuit is clean; and when to look again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from scipy.constants import day, hour, minute

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup import drop_limits, log_verdict, schedule
from witnessmark.cleanup.drop_limits import DropLimit
from witnessmark.cleanup.interval_rules import CORE_OUT, INTERVALS, TWO_WEEKS
from witnessmark.cleanup.log_faults import Episode, LogFault, episodes, faults, zero_offset
from witnessmark.cleanup.log_readings import CorrectedReading, FilterLogCase, correct
from witnessmark.cleanup.log_rules import LOG_RULES
from witnessmark.cleanup.log_verdict import AgainstLimit, CleanConditions, LogDecision, LogEvidence, WorkingLimit
from witnessmark.cleanup.next_look import next_look
from witnessmark.cleanup.notes import Notes
from witnessmark.cleanup.sizing_rules import SIZING
from witnessmark.errors import InputError, located

LATEST = timedelta(days=90)
"""A core that lasts longer than this is not filling up."""
STEPS = (day, 6 * hour, hour, 10 * minute, minute)
"""A date is told in whole steps, s, the coarsest that the width of its interval lets count."""


@dataclass(frozen=True, slots=True)
class JudgedReading:
    """A reading at full flow: loss of saturation temperature at both ends of the interval, K, and where it stands."""

    corrected: CorrectedReading
    local: datetime
    penalty_low: float | None = None
    penalty_high: float | None = None
    against_limit: AgainstLimit | None = None

    @property
    def full_flow_drop(self) -> Measured | None:
        """Drop at full flow by the middle exponent, Pa; None where the reading is not judged."""
        return None if self.corrected.full is None else self.corrected.full.middle

    @property
    def low(self) -> float | None:
        """Lower end of its interval, Pa."""
        return None if self.corrected.full is None else self.corrected.full.low

    @property
    def high(self) -> float | None:
        """Upper end of its interval, Pa."""
        return None if self.corrected.full is None else self.corrected.full.high


@dataclass(frozen=True, slots=True)
class DropTrend:
    """Rise of the full-flow drop since the last new core, Pa per day, and when the working limit is met (site's clock).

    A time is None where it cannot be foreseen.
    """

    rise_per_day: Measured
    readings: int
    limit_expected: datetime | None
    limit_earliest: datetime | None
    limit_latest: datetime | None


@dataclass(frozen=True, slots=True)
class FilterLog:
    """The verdict and all it rests on."""

    readings: tuple[JudgedReading, ...]
    drop_limit: DropLimit
    working_limit: WorkingLimit
    trend: DropTrend | None
    faults: tuple[LogFault, ...]
    clean: CleanConditions
    decision: LogDecision
    next_check: datetime
    notes: Notes


def judge_log(case: FilterLogCase) -> FilterLog:
    """Judge a log.

    Errors: InputError (readings) when it is empty or two readings stand at the same time, InputError (oil) when a
    sample came without the oil type, UnknownNameError (time_zone, refrigerant), OutOfRangeError with the field of the
    reading or of the maker's limit.
    """
    site = schedule.zone(case.time_zone)
    offset, offset_at = zero_offset(case.readings)
    looks = _corrected(case, site, offset)
    with located(maker="maker_limits.suction_drop"):
        limit = drop_limits.drop_limit(
            case.refrigerant,
            case.evaporating_temperature,
            case.installation,
            case.maker_limits.suction_drop,
            case.maker_limits.document,
        )
    evidence = _evidence(case, looks, limit, offset_at)
    decision, trend = log_verdict.decide(evidence), _trend(evidence, site)
    return FilterLog(
        readings=tuple(_judged(case, look, site, evidence.limit.drop) for look in looks),
        drop_limit=limit,
        working_limit=evidence.limit,
        trend=trend,
        faults=evidence.faults,
        clean=evidence.clean,
        decision=decision,
        next_check=_next_check(evidence, decision, trend, site).astimezone(site),
        notes=_notes(case, looks, limit, evidence),
    )


def _corrected(case: FilterLogCase, site: ZoneInfo, offset: Measured) -> list[CorrectedReading]:
    """All readings in order of time."""
    if not case.readings:
        raise InputError("readings", "empty", "at least one reading")
    instants = []
    for position, reading in enumerate(case.readings):
        with located(start=f"readings.{position}.at"):
            instants.append(schedule.instant(reading.at, site))
    order = sorted(range(len(instants)), key=instants.__getitem__)
    for earlier, later in pairwise(order):
        if instants[earlier] == instants[later]:
            why = f"the same time as readings.{earlier}: entered twice, or a wrong time"
            raise InputError(f"readings.{later}.at", why, "one reading a time")
    return [correct(case, position, instants[position], instants[order[0]], offset) for position in order]


def _evidence(case: FilterLogCase, looks: Episode, limit: DropLimit, offset_at: tuple[int, ...]) -> LogEvidence:
    episode = episodes(looks)[-1]
    working = log_verdict.working_limit(limit, episode)
    return LogEvidence(
        episode=episode,
        limit=working,
        trend=log_verdict.trend(episode),
        faults=faults(looks, offset_at, limit.drop),
        clean=log_verdict.conditions(case, episode, working.drop, limit.drop),
        last_sample=log_verdict.last_sample(case, episode),
        core_due=_core_due(episode) if case.installation == "temporary" else None,
    )


def _core_due(episode: Episode) -> float:
    """When the core is overdue, s since the first reading: by running time, if it ran on; by the clock in the end."""
    first, last, limits = episode[0], episode[-1], INTERVALS()
    left = limits.hours(CORE_OUT) * hour - last.running_since(first)
    return min(last.elapsed + left, first.elapsed + limits.hours(TWO_WEEKS) * hour)


def _next_check(evidence: LogEvidence, decision: LogDecision, trend: DropTrend | None, site: ZoneInfo) -> datetime:
    """The next look, not after the crossing as it is told (the earliest, or the expected where that may be past).

    Nor after the last day of a temporary core that is kept, where that is not past.
    """
    last, due = evidence.episode[-1], evidence.core_due
    told = () if trend is None else (trend.limit_earliest, trend.limit_expected)
    ends = [date for date in told if date is not None and date > last.at][:1]
    if decision.verdict == "keep" and due is not None and due > last.elapsed:
        ends.append(last.at + timedelta(seconds=due - last.elapsed))
    return next_look(last.at, decision.wait, min(ends, default=None), site)


def _judged(case: FilterLogCase, look: CorrectedReading, site: ZoneInfo, limit: float) -> JudgedReading:
    local = look.at.astimezone(site)
    if look.full is None:
        return JudgedReading(look, local)
    low, high = (_penalty(case, end) for end in (look.full.low, look.full.high))
    return JudgedReading(look, local, low, high, log_verdict.against(look.full, limit))


def _penalty(case: FilterLogCase, drop: float) -> float | None:
    """Loss of saturation temperature, K; None where no suction pressure would be left."""
    try:
        return drop_limits.penalty(case.refrigerant, case.evaporating_temperature, max(drop, 0.0))
    except InputError:
        return None


def _trend(evidence: LogEvidence, site: ZoneInfo) -> DropTrend | None:
    if evidence.trend is None:
        return None
    rise, met, last = evidence.trend.rise, evidence.crossing, evidence.episode[-1]
    judged = sum(look.full is not None for look in evidence.episode)
    ends = [at for at in (met.earliest, met.expected, met.latest) if at is not None]
    width = (ends[-1] - ends[0] or ends[-1] - last.elapsed) if ends else 0.0
    step = next(unit for unit in STEPS if unit <= max(width / 4, minute))
    times = [_moment(last, seconds, site, step) for seconds in (met.expected, met.earliest, met.latest)]
    return DropTrend(Measured(rise.value * day, rise.uncertainty * day), judged, *times)


def _moment(last: CorrectedReading, seconds: float | None, site: ZoneInfo, step: float) -> datetime | None:
    """The moment so many seconds after the first reading, rounded down to whole steps but not before the last one.

    None for one that is too far off to mean anything.
    """
    if seconds is None or seconds - last.elapsed > LATEST.total_seconds():
        return None
    local = (last.at + timedelta(seconds=seconds - last.elapsed)).astimezone(site)
    beyond = (local - local.replace(hour=0, minute=0, second=0, microsecond=0)).total_seconds() % step
    return max(local.astimezone(UTC) - timedelta(seconds=beyond), last.at).astimezone(site)


def _notes(case: FilterLogCase, looks: Episode, limit: DropLimit, evidence: LogEvidence) -> Notes:
    notes, rules, (low, high) = Notes(), LOG_RULES(), SIZING().flow_exponent.ends
    notes.assume(f"Drop goes with mass flow to the power {low:.3g} to {high:.3g} over gas density.")
    if case.suction_superheat is None:
        notes.assume(f"Suction superheat at full flow: {case.full_superheat:.3g} K.")
    readings, site = [look.reading for look in looks], schedule.zone(case.time_zone)
    if any(reading.one_gauge for reading in readings):
        notes.assume("Inlet and outlet read with one gauge moved from tap to tap: its bias cancels.")
    if not all(reading.has_state for reading in readings):
        notes.assume("Readings without temperatures: gas density taken as at full flow.")
    if any(schedule.is_twofold(reading.at, site) for reading in readings):
        notes.assume("A clock time that comes twice that day: the first was taken.")
    if any(reading.hour_meter is None for reading in readings):
        notes.assume("Hours between readings are taken as hours of running.")
    if not evidence.episode[0].reading.new_core:
        notes.assume("The core counts as fitted at the first reading; it is at least as old.")
    notes.warn("licensed", "core-change-opens-circuit", "suction-core-left-in")
    if any(fault.id == "torn-core" for fault in evidence.faults):
        notes.warn("fragments-may-remain")
    if evidence.last_sample in {"over", "likely over", "cannot tell"}:
        notes.warn("burnout-oil-acid")
    limit.quote(notes)
    for word in case.maker_limits.words(case.oil).values() if case.oil else ():
        notes.warn(*word.cautions)
    judging = (rules.flow, rules.fall, rules.flat, rules.samples, rules.next)
    notes.cite(evidence.limit.source, *(rule.source for rule in judging))
    notes.cite("common-practice", INTERVALS().working.source, "coolprop")
    return notes
