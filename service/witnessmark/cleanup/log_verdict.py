"""From readings at full flow to a verdict: working limit, trend, conditions of being clean, and the next look."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import takewhile
from typing import Literal

from scipy.constants import day, hour, minute
from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.cleanup.drop_correction import FullFlowDrop, scaled
from witnessmark.cleanup.drop_limits import DropLimit
from witnessmark.cleanup.interval_rules import CORE_OUT, FIRST, INTERVALS, TWO_WEEKS
from witnessmark.cleanup.log_faults import Episode, LogFault, first_judged, high_start, no_drop
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
    """The drop at which to change, Pa: the absolute limit, or the drop at the start plus the allowed rise."""

    drop: float
    source: str
    why: str


@dataclass(frozen=True, slots=True)
class CleanConditions:
    """Each condition of a clean circuit: holds, does not hold, or not known. colour_wanted: oil can be drawn."""

    two_samples_without_acid: bool | None
    colour_in_limit: bool | None
    drop_flat_and_below: bool | None
    colour_wanted: bool = True

    @property
    def all_hold(self) -> bool:
        """Whether the circuit counts as clean."""
        colour = self.colour_in_limit or (not self.colour_wanted and self.colour_in_limit is None)
        return bool(self.two_samples_without_acid and colour and self.drop_flat_and_below)


@dataclass(frozen=True, slots=True)
class LogEvidence:
    """What the verdict rests on: readings since the last new core, limit, their trend, faults, samples.

    core_due: when a temporary core is overdue, seconds since the first reading of the log, by the hours it ran where
    a meter tells them; None for a permanent one.
    last_sample: the worse of the last acid sample and the last oil colour of the episode; None where none was taken.
    """

    episode: Episode
    limit: WorkingLimit
    trend: Trend | None
    faults: tuple[LogFault, ...]
    clean: CleanConditions
    last_sample: SampleResult | None
    core_due: float | None

    @property
    def crossing(self) -> Crossing:
        """When the working limit is reached, seconds since the first reading of the log."""
        if self.trend is None:
            return Crossing(None, None, None)
        return self.trend.crossing(self.limit.drop, self.episode[-1].elapsed)


@dataclass(frozen=True, slots=True)
class LogDecision:
    """The verdict, its reasons, and the time to the next look, counted from the last reading."""

    verdict: LogVerdict
    reasons: tuple[str, ...]
    wait: timedelta


def working_limit(limit: DropLimit, episode: Episode) -> WorkingLimit:
    """The smaller of the absolute limit and starting drop plus allowed rise; a maker's limit stands alone.

    The first judged reading is the start, whether or not the core was new: a new one can only have had less.
    """
    absolute = WorkingLimit(limit.drop, limit.source, "the limit for this refrigerant, temperature and installation")
    first, rise = first_judged(episode), limit.rise_over_new
    if limit.maker_overrides or first is None or first.full is None:
        return absolute
    risen = max(first.full.middle.value, 0.0) + rise.drop
    start = "the drop of the new core" if first.reading.new_core else "the first drop read since the core was fitted"
    why = f"{start} plus the allowed rise"
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


def conditions(case: FilterLogCase, episode: Episode, working: float, absolute: float) -> CleanConditions:
    """The three conditions of a clean circuit, since the last new core (common practice); limits in Pa.

    InputError (oil) for a sample without the oil type.
    """
    flat = None if no_drop(episode) else _flat(episode, working)
    return CleanConditions(
        two_samples_without_acid=_free_of_acid(acid_samples(case, episode), episode),
        colour_in_limit=colour_in_limit(case, episode),
        drop_flat_and_below=False if high_start(episode, absolute) else flat,
        colour_wanted=case.oil_port is not False,
    )


AcidSamples = Sequence[tuple[CorrectedReading, SampleResult]]


def acid_samples(case: FilterLogCase, episode: Episode) -> AcidSamples:
    """Every acid sample and what it says, in order of time."""
    samples = ((look, _acid_sample(case, look)) for look in episode)
    return [(look, sample) for look, sample in samples if sample is not None]


def _free_of_acid(samples: AcidSamples, episode: Episode) -> bool | None:
    """Whether the last samples are free of acid, long enough after the new core, apart in running time, and recent."""
    rule, last = LOG_RULES().samples, episode[-1]
    if "over" in [sample for _, sample in samples[-2:]]:
        return False
    free = list(takewhile(lambda entry: entry[1] == "free", reversed(samples)))
    counted = [look for look, _ in free if look.running_since(episode[0]) >= rule.after_core_hours * hour]
    if not counted or last.running_since(counted[0]) > rule.recent_hours * hour:
        return None
    return True if counted[0].running_since(counted[-1]) >= rule.apart_hours * hour else None


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
    return samples[-1][1] if samples else None


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
        makers = case.maker_limits
        return oil_quality.judge(case.oil, {quantity: reading}, makers.oil, makers.document).items[0]


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
    if (steepness - reach) * INTERVALS().hours(TWO_WEEKS) * hour > limit - last.low:
        return False
    return True if (steepness + reach) * day <= rule.share_per_day * limit else None


def decide(evidence: LogEvidence) -> LogDecision:
    """The verdict: a fault of the core or bad oil first, then whether all is clean, then an overdue core."""
    soon, last = timedelta(hours=INTERVALS().hours(FIRST)), evidence.episode[-1]
    if reasons := tuple(_for_change(evidence)):
        return LogDecision("change", reasons, soon)
    if last.full is not None and evidence.clean.all_hold and evidence.trend is not None:
        colour = "colour in limit, " if evidence.clean.colour_in_limit else ""
        reason = f"Samples apart in running time without acid, {colour}drop flat and below its limit."
        wait = _wait_when_clean(evidence.limit.drop - last.full.high, evidence.trend.rise)
        return LogDecision("clean", (reason,), wait)
    blind = tuple(_blind(evidence, last))
    if evidence.core_due is not None and last.elapsed > evidence.core_due:
        return LogDecision("change", (_overdue(evidence, last), *blind), soon)
    if last.full is None or blind:
        return LogDecision("cannot judge", blind, soon)
    return LogDecision("keep", tuple(_for_keeping(evidence, last.full)), _wait(evidence, last.elapsed))


def _blind(evidence: LogEvidence, last: CorrectedReading) -> Iterator[str]:
    """Why nothing can be said of the core: the last reading is not judged, or no drop at all shows in full flow."""
    if last.full is None:
        yield _unjudged(last)
    yield from (f.text for f in evidence.faults if f.id == "no-drop" and last.position in f.readings)


def _overdue(evidence: LogEvidence, last: CorrectedReading) -> str:
    first, due, longest = evidence.episode[0], INTERVALS().hours(CORE_OUT) / 24, INTERVALS().hours(TWO_WEEKS) / 24
    days, ran = (last.elapsed - first.elapsed) / day, last.running_since(first) / day
    if ran > due:
        by_meter = f", {ran:.3g} of them running," if ran < days else ""
        since = f"for {days:.3g} days{by_meter} and is overdue after {due:g}"
    else:
        since = f"for {days:.3g} days and is overdue after {longest:g}, however little it ran"
    return (
        f"A temporary core has been in {since}: fit a new one for another round, or take it out if the circuit is "
        "proved clean."
    )


def _for_change(evidence: LogEvidence) -> Iterator[str]:
    """Reasons to change now."""
    positions = {look.position for look in evidence.episode}
    yield from (fault.text for fault in evidence.faults if fault.id == "torn-core" and positions & set(fault.readings))
    if evidence.last_sample in {"over", "likely over"}:
        how = "over" if evidence.last_sample == "over" else "most likely over"
        yield f"The last oil sample is {how} its limit: change oil and cores."
    last, limit = evidence.episode[-1], evidence.limit.drop
    full = last.full
    if full is not None and against(full, limit) == "over":
        yield "The drop at full flow is over its limit for every exponent of the band."
        yield from _too_small(evidence)
    elif full is not None and against(full, limit) == "about at" and full.middle.value >= limit:
        settles = "a better gauge" if last.flow.share == 1 else "a reading at full flow"
        yield f"The drop at full flow is most likely over its limit; {settles} would settle it."
    elif _left(evidence) < INTERVALS().shortest.value * minute and evidence.trend is not None and evidence.trend.rises:
        yield "The drop rises so fast that it reaches its limit before it can be read again."


def _too_small(evidence: LogEvidence) -> Iterator[str]:
    """Where the first reading of a new core was over already, one more of its size will be too."""
    first = evidence.episode[0]
    if first.reading.new_core and first.full is not None and against(first.full, evidence.limit.drop) == "over":
        yield (
            "It was over from the first reading of this core: another of the same size will be too. Fit a larger one, "
            "or two side by side, and check the flow that it was chosen for."
        )


def _left(evidence: LogEvidence) -> float:
    """Seconds from the last reading to the expected crossing."""
    expected = evidence.crossing.expected
    return math.inf if expected is None else expected - evidence.episode[-1].elapsed


def _unjudged(last: CorrectedReading) -> str:
    if last.state == "not judged: negative drop":
        return "The last drop is negative: swap hoses or taps, check the arrow on the shell, and read again."
    least = LOG_RULES().flow.least_share
    return f"The last reading was taken under {100 * least:.0f} % of full flow: raise the flow and read again."


def _for_keeping(evidence: LogEvidence, full: FullFlowDrop) -> Iterator[str]:
    again = "with a better gauge" if evidence.episode[-1].flow.share == 1 else "at full flow"
    if against(full, evidence.limit.drop) == "below":
        yield "The drop at full flow is below its limit for every exponent of the band."
    else:
        yield f"The limit lies within the interval of the drop: read again {again}, and soon."
    if evidence.crossing.earliest is not None and evidence.crossing.earliest <= evidence.episode[-1].elapsed:
        yield "By its trend the drop may reach its limit at any time: stay with the machine and read again."
    yield from (fault.text for fault in evidence.faults if fault.id == "high-start")
    if evidence.last_sample == "cannot tell":
        yield "The last acid number is too uncertain to hold against its limit: sample again."
    named = {
        "two recent samples without acid, apart in running time": evidence.clean.two_samples_without_acid,
        "oil colour in its limit": evidence.clean.colour_in_limit or not evidence.clean.colour_wanted,
        "drop flat and below its limit": evidence.clean.drop_flat_and_below,
    }
    words = {None: "not known yet", False: "not yet"}
    yield from (f"Clean: {name}: {words[holds]}." for name, holds in named.items() if not holds)


def _wait(evidence: LogEvidence, last: float) -> timedelta:
    """Half of the time to the earliest crossing, a day at most; never beyond the expected one or the core's last day.

    Without a trend it is the first look at a new core.

    The circuit needs some minutes to be read at all: an earliest crossing before that is not waited for.
    """
    rule, earliest, shortest = LOG_RULES().next, evidence.crossing.earliest, INTERVALS().shortest.value * minute
    longest = (INTERVALS().hours(FIRST) if evidence.trend is None else rule.longest_hours) * hour
    wait = longest if earliest is None else (earliest - last) * rule.share_of_time_left
    due = math.inf if evidence.core_due is None else max(evidence.core_due - last, shortest)
    return _whole_minutes(min(max(wait, shortest), longest, _left(evidence), due))


def _wait_when_clean(room: float, rise: Measured) -> timedelta:
    """Two weeks, or half of the time to the limit by the steepest trend within the uncertainty."""
    steepest = max(rise.value + COVERAGE * rise.uncertainty, 0.0)
    left = room * LOG_RULES().next.share_of_time_left / steepest if steepest else math.inf
    return _whole_minutes(min(left, INTERVALS().hours(TWO_WEEKS) * hour))


def _whole_minutes(seconds: float) -> timedelta:
    return timedelta(minutes=math.floor(seconds / minute))
