"""From readings at full flow to a verdict: working limit, trend, conditions of being clean, and the next look."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Literal

from scipy.constants import day, hour
from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.cleanup.drop_correction import FullFlowDrop, scaled
from witnessmark.cleanup.drop_limits import DropLimit
from witnessmark.cleanup.interval_rules import INTERVALS
from witnessmark.cleanup.log_faults import Episode, LogFault, no_drop
from witnessmark.cleanup.log_readings import CorrectedReading, FilterLogCase
from witnessmark.cleanup.log_rules import LOG_RULES
from witnessmark.cleanup.sizing_rules import SIZING
from witnessmark.cleanup.trend import Crossing, Trend, fit_line
from witnessmark.errors import InputError, located

LogVerdict = TypeAliasType("LogVerdict", Literal["change", "keep", "clean", "cannot judge"])
"""What to do with the core."""
AgainstLimit = TypeAliasType("AgainstLimit", Literal["below", "about at", "over"])
"""Where the interval of a drop stands against a limit."""
SampleResult = Literal["free", "likely over", "over", "cannot tell"]
"""What an oil sample says about acid."""


@dataclass(frozen=True, slots=True)
class WorkingLimit:
    """The drop at which to change, Pa: the absolute limit, or the drop of the new core plus the allowed rise."""

    drop: float
    source: str
    why: str


@dataclass(frozen=True, slots=True)
class CleanConditions:
    """Each condition of a clean circuit: holds, does not hold, or not known."""

    two_samples_without_acid: bool | None
    colour_in_limit: bool | None
    drop_flat_and_below: bool | None

    @property
    def all_hold(self) -> bool:
        """Whether the circuit counts as clean."""
        return bool(self.two_samples_without_acid and self.colour_in_limit and self.drop_flat_and_below)


@dataclass(frozen=True, slots=True)
class LogEvidence:
    """What the verdict rests on: readings since the last new core, limit, their trend, faults, samples.

    last_sample: the worse of the last acid sample and the last oil colour of the episode; None where none was taken.
    """

    episode: Episode
    limit: WorkingLimit
    trend: Trend | None
    faults: tuple[LogFault, ...]
    clean: CleanConditions
    last_sample: SampleResult | None

    @property
    def crossing(self) -> Crossing:
        """When the working limit is reached, seconds since the first reading of the log."""
        return Crossing(None, None, None) if self.trend is None else self.trend.crossing(self.limit.drop)


@dataclass(frozen=True, slots=True)
class LogDecision:
    """The verdict, its reasons, and the time to the next look, counted from the last reading."""

    verdict: LogVerdict
    reasons: tuple[str, ...]
    wait: timedelta


def working_limit(limit: DropLimit, episode: Episode) -> WorkingLimit:
    """The smaller of the absolute limit and new-core drop plus allowed rise; a maker's limit stands alone."""
    absolute = WorkingLimit(limit.drop, limit.source, "the limit for this refrigerant, temperature and installation")
    first, rise = episode[0], limit.rise_over_new
    if limit.maker_overrides or not first.reading.new_core or first.full is None:
        return absolute
    risen = max(first.full.middle.value, 0.0) + rise.drop
    why = "the drop of the new core plus the allowed rise"
    return WorkingLimit(risen, rise.source, why) if risen < limit.drop else absolute


def against(full: FullFlowDrop, limit: float) -> AgainstLimit:
    """Where a full-flow drop stands against a limit, Pa.

    >>> against(FullFlowDrop(Measured(33e3), low=25e3, high=44e3), limit=40e3)
    'about at'
    """
    if full.low > limit:
        return "over"
    return "below" if full.high < limit else "about at"


def trend(episode: Episode) -> Trend | None:
    """The trend of the full-flow drops, by exponent; None where no line can be drawn."""
    judged = [look for look in episode if look.full is not None]
    times, exponent = [look.elapsed for look in judged], SIZING().flow_exponent
    exponents = (exponent.ends[0], exponent.middle, exponent.ends[1])
    fitted = {n: fit_line(times, [scaled(look.drop, look.flow, n) for look in judged]) for n in exponents}
    lines = {n: line for n, line in fitted.items() if line is not None}
    return Trend(lines, exponent.middle) if len(lines) == len(fitted) else None


def conditions(case: FilterLogCase, looks: Episode, episode: Episode, limit: float) -> CleanConditions:
    """The three conditions of a clean circuit (common practice); InputError (oil) for a sample without the oil type."""
    last_two = acid_samples(case, looks)[-2:]
    free = True if last_two == ["free", "free"] else None
    return CleanConditions(
        two_samples_without_acid=False if "over" in last_two else free,
        colour_in_limit=colour_in_limit(case, looks),
        drop_flat_and_below=None if no_drop(episode) else _flat(episode, limit),
    )


def acid_samples(case: FilterLogCase, looks: Episode) -> list[SampleResult]:
    """What every acid sample says, in order of time."""
    samples = (_acid_sample(case, look) for look in looks)
    return [sample for sample in samples if sample is not None]


def _acid_sample(case: FilterLogCase, look: CorrectedReading) -> SampleResult | None:
    reading = look.reading
    if reading.acid_test == "positive":
        return "over"
    if reading.acid_number is None:
        return None if reading.acid_test is None else "free"
    item = _judged(case, look, "acid_number", reading.acid_number)
    if item.standing in {"in limit", "watch"}:
        return "free"
    if item.standing == "over":
        return "over"
    return "likely over" if item.act is not None and item.reading.value >= item.act.value else "cannot tell"


def last_sample(case: FilterLogCase, episode: Episode) -> SampleResult | None:
    """The last sample since the new core: over where the colour is, otherwise what the acid says."""
    if colour_in_limit(case, episode) is False:
        return "over"
    samples = acid_samples(case, episode)
    return samples[-1] if samples else None


def colour_in_limit(case: FilterLogCase, looks: Episode) -> bool | None:
    """Whether the last oil colour was within its limit; None where none was seen or no limit is known."""
    seen = [(look, look.reading.colour) for look in looks if look.reading.colour is not None]
    if not seen:
        return None
    last, colour = seen[-1]
    standing = _judged(case, last, "colour", Measured(colour)).standing
    return None if standing == "no limit known" else standing in {"in limit", "watch"}


def _judged(
    case: FilterLogCase, look: CorrectedReading, quantity: oil_quality.OilProperty, reading: Measured
) -> oil_quality.OilItem:
    field = f"readings.{look.position}.{quantity}"
    if case.oil is None:
        raise InputError("oil", f"missing, yet {field} is given", "the oil type")
    with located(**{quantity: field}):
        return oil_quality.judge(case.oil, {quantity: reading}, case.maker_limits.oil).items[0]


def _flat(episode: Episode, limit: float) -> bool | None:
    rule = LOG_RULES().flat
    judged = [(look.elapsed, look.full) for look in episode if look.full is not None]
    line = trend(episode)
    if line is None or len(judged) < rule.readings or judged[-1][0] - judged[0][0] < rule.hours * hour:
        return None
    rise, last = line.rise, judged[-1][1]
    if against(last, limit) != "below":
        return False
    steepness, reach = abs(rise.value), COVERAGE * rise.uncertainty  # a core does not clean itself: a fall counts too
    if (steepness - reach) * INTERVALS().two_weeks * hour > limit - last.low:
        return False
    return True if (steepness + reach) * day <= rule.share_per_day * limit else None


def decide(evidence: LogEvidence) -> LogDecision:
    """The verdict: a fault of the core or bad oil first, then the last reading, then whether all is clean."""
    soon, last = timedelta(hours=LOG_RULES().next.shortest_hours), evidence.episode[-1]
    if reasons := tuple(_for_change(evidence)):
        return LogDecision("change", reasons, soon)
    if last.full is None:
        return LogDecision("cannot judge", (_unjudged(last),), soon)
    if evidence.clean.all_hold and evidence.trend is not None:
        reason = "Two samples without acid, colour in limit, drop flat and below its limit."
        return LogDecision(
            "clean", (reason,), _wait_when_clean(evidence.limit.drop - last.full.high, evidence.trend.rise)
        )
    return LogDecision("keep", tuple(_for_keeping(evidence, last.full)), _wait(evidence, last.elapsed))


def _for_change(evidence: LogEvidence) -> Iterator[str]:
    """Reasons to change now."""
    positions = {look.position for look in evidence.episode}
    yield from (fault.text for fault in evidence.faults if fault.id == "torn-core" and positions & set(fault.readings))
    if evidence.last_sample in {"over", "likely over"}:
        how = "over" if evidence.last_sample == "over" else "most likely over"
        yield f"The last oil sample is {how} its limit: change oil and cores."
    full, limit = evidence.episode[-1].full, evidence.limit.drop
    if full is not None and against(full, limit) == "over":
        yield "The drop at full flow is over its limit for every exponent of the band."
    elif full is not None and against(full, limit) == "about at" and full.middle.value >= limit:
        yield "The drop at full flow is most likely over its limit; a reading at full flow would settle it."


def _unjudged(last: CorrectedReading) -> str:
    if last.state == "not judged: negative drop":
        return "The last drop is negative: swap hoses or taps, check the arrow on the shell, and read again."
    least = LOG_RULES().flow.least_share
    return f"The last reading was taken under {100 * least:.0f} % of full flow: raise the flow and read again."


def _for_keeping(evidence: LogEvidence, full: FullFlowDrop) -> Iterator[str]:
    if against(full, evidence.limit.drop) == "below":
        yield "The drop at full flow is below its limit for every exponent of the band."
    else:
        yield "The limit lies within the interval of the drop: read again at full flow, and soon."
    if evidence.last_sample == "cannot tell":
        yield "The last acid number is too uncertain to hold against its limit: sample again."
    named = {
        "two samples without acid": evidence.clean.two_samples_without_acid,
        "oil colour in its limit": evidence.clean.colour_in_limit,
        "drop flat and below its limit": evidence.clean.drop_flat_and_below,
    }
    words = {None: "not known yet", False: "not yet"}
    yield from (f"Clean: {name}: {words[holds]}." for name, holds in named.items() if not holds)


def _wait(evidence: LogEvidence, last: float) -> timedelta:
    """Half of the time to the earliest crossing, between one hour and a day."""
    rule, earliest = LOG_RULES().next, evidence.crossing.earliest
    hours = rule.longest_hours if earliest is None else (earliest - last) / hour * rule.share_of_time_left
    return timedelta(minutes=round(60 * min(max(hours, rule.shortest_hours), rule.longest_hours)))


def _wait_when_clean(room: float, rise: Measured) -> timedelta:
    """Two weeks, or half of the time to the limit by the steepest trend within the uncertainty; a day or more."""
    rule = LOG_RULES().next
    steepest = max(rise.value + COVERAGE * rise.uncertainty, 0.0)
    hours = max(rule.longest_hours, room * rule.share_of_time_left / steepest / hour) if steepest else math.inf
    return timedelta(minutes=round(60 * min(hours, INTERVALS().two_weeks)))
