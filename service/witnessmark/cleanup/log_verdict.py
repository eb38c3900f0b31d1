"""From readings at full flow to a verdict: working limit, trend, conditions of being clean, and the next look."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Literal

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.cleanup.drop_correction import COVERAGE, FullFlowDrop, exponents, factor
from witnessmark.cleanup.drop_limits import DropLimit
from witnessmark.cleanup.log_faults import LogFault, no_drop
from witnessmark.cleanup.log_readings import FilterLogCase, Prepared
from witnessmark.cleanup.tables import table
from witnessmark.cleanup.trend import Crossing, Line, crossing, fit_line
from witnessmark.errors import InputError, located
from witnessmark.vocabulary import Oil

Verdict = Literal["change", "keep", "clean", "cannot judge"]
Place = Literal["below", "about at", "over"]
Sample = Literal["free", "likely over", "over", "cannot tell"]
DAY = 86_400.0
HOUR = 3600.0


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
class Evidence:
    """What the verdict rests on: readings since the last new core, limit, lines by exponent, faults, samples.

    last_sample: the worse of the last acid sample and the last oil colour of the episode; None where none was taken.
    """

    episode: Sequence[Prepared]
    limit: WorkingLimit
    lines: tuple[Line, ...]
    faults: tuple[LogFault, ...]
    clean: CleanConditions
    last_sample: Sample | None


@dataclass(frozen=True, slots=True)
class Decision:
    """The verdict, its reasons, and the time to the next look, counted from the last reading."""

    verdict: Verdict
    reasons: tuple[str, ...]
    wait: timedelta


def working_limit(limit: DropLimit, episode: Sequence[Prepared]) -> WorkingLimit:
    """The smaller of the absolute limit and new-core drop plus allowed rise; a maker's limit stands alone."""
    absolute = WorkingLimit(limit.drop, limit.source, "the limit for this refrigerant, temperature and installation")
    first = episode[0]
    if limit.maker_overrides or not first.reading.new_core or first.full is None:
        return absolute
    grown = max(first.full.middle.value, 0.0) + limit.rise.drop
    why = "the drop of the new core plus the allowed rise"
    return WorkingLimit(grown, limit.rise.source, why) if grown < limit.drop else absolute


def place(full: FullFlowDrop, limit: float) -> Place:
    """Where a full-flow drop stands against a limit."""
    if full.low > limit:
        return "over"
    return "below" if full.high < limit else "about at"


def lines(episode: Sequence[Prepared]) -> tuple[Line, ...]:
    """The trend of the episode for the low, middle and high exponent; empty where no line can be drawn."""
    judged = [p for p in episode if p.full is not None]
    times = [p.elapsed for p in judged]
    made = (fit_line(times, [_scaled(p, exponent) for p in judged]) for exponent in exponents())
    return tuple(line for line in made if line is not None)


def rise_per_day(found: tuple[Line, ...]) -> Measured:
    """Slope of the middle line, Pa per day, with its uncertainty and half the spread between the exponents."""
    middle = found[1]
    spread = (max(line.slope for line in found) - min(line.slope for line in found)) / 2
    return Measured(middle.slope * DAY, (middle.slope_uncertainty**2 + spread**2) ** 0.5 * DAY)


def reaching(evidence: Evidence) -> Crossing:
    """When the working limit is reached, seconds since the first reading of the log."""
    if not evidence.lines:
        return Crossing(None, None, None)
    return crossing(evidence.lines, evidence.lines[1], evidence.limit.drop)


def conditions(
    case: FilterLogCase, prepared: Sequence[Prepared], episode: Sequence[Prepared], limit: float
) -> CleanConditions:
    """The three conditions of a clean circuit (common practice)."""
    samples = acid_samples(case, prepared)
    return CleanConditions(
        two_samples_without_acid=_two_free(samples[-2:]),
        colour_in_limit=colour_free(case, prepared),
        drop_flat_and_below=None if no_drop(episode) else _flat(episode, limit),
    )


def _two_free(last: Sequence[Sample]) -> bool | None:
    """Whether the last two samples are without acid; None with fewer, or where the uncertainty hides it."""
    if "over" in last:
        return False
    return True if list(last) == ["free", "free"] else None


def acid_samples(case: FilterLogCase, prepared: Sequence[Prepared]) -> list[Sample]:
    """What every acid sample says, in order of time."""
    found = (_sample(case, one) for one in prepared)
    return [sample for sample in found if sample is not None]


def _sample(case: FilterLogCase, one: Prepared) -> Sample | None:
    reading = one.reading
    if reading.acid_test == "positive":
        return "over"
    if reading.acid_number is None:
        return None if reading.acid_test is None else "free"
    at = f"readings.{one.position}.acid_number"
    with located(acid_number=at):
        item = oil_quality.judge(_oil(case, at), {"acid_number": reading.acid_number}, case.maker_limits).items[0]
    return _said(item)


def _said(item: oil_quality.OilItem) -> Sample:
    if item.standing in {"in limit", "watch"}:
        return "free"
    if item.standing == "over":
        return "over"
    return "likely over" if item.act is not None and item.reading.value >= item.act.value else "cannot tell"


def last_sample(case: FilterLogCase, episode: Sequence[Prepared]) -> Sample | None:
    """The last sample since the new core: over where the colour is, otherwise what the acid says."""
    if colour_free(case, episode) is False:
        return "over"
    samples = acid_samples(case, episode)
    return samples[-1] if samples else None


def colour_free(case: FilterLogCase, prepared: Sequence[Prepared]) -> bool | None:
    """Whether the last oil colour was within its limit; None where none was seen or no limit is known."""
    seen = [p for p in prepared if p.reading.colour is not None]
    if not seen:
        return None
    last = seen[-1]
    at = f"readings.{last.position}.colour"
    with located(colour=at):
        reading = Measured(last.reading.colour or 0.0)
        item = oil_quality.judge(_oil(case, at), {"colour": reading}, case.maker_limits).items[0]
    return None if item.standing == "no limit known" else item.standing in {"in limit", "watch"}


def _oil(case: FilterLogCase, because: str) -> Oil:
    if case.oil is None:
        raise InputError("oil", f"missing, yet {because} is given", "the oil type")
    return case.oil


def _flat(episode: Sequence[Prepared], limit: float) -> bool | None:
    row = table("log")["flat"]
    judged = [p for p in episode if p.full is not None]
    if len(judged) < row["readings"] or judged[-1].elapsed - judged[0].elapsed < row["hours"] * HOUR:
        return None
    rise, last = rise_per_day(lines(episode)), judged[-1].full
    if last is None or place(last, limit) != "below":
        return False
    steepness, reach = abs(rise.value), COVERAGE * rise.uncertainty  # a core does not clean itself: a fall counts too
    if (steepness - reach) * _two_weeks() * HOUR / DAY > limit - last.low:
        return False
    return True if steepness + reach <= row["share_per_day"] * limit else None


def _scaled(one: Prepared, exponent: float) -> Measured:
    scale = factor(one.state, exponent)
    return Measured(one.drop.value * scale, one.drop.uncertainty * scale)


def decide(evidence: Evidence) -> Decision:
    """The verdict: a fault of the core or bad oil first, then the last reading, then whether all is clean."""
    row = table("log")["next"]
    soon = timedelta(hours=row["shortest_h"])
    if reasons := tuple(_against(evidence)):
        return Decision("change", reasons, soon)
    last = evidence.episode[-1]
    if last.full is None:
        return Decision("cannot judge", (_unjudged(last),), soon)
    if evidence.clean.all_hold:
        reason = "Two samples without acid, colour in limit, drop flat and below its limit."
        return Decision("clean", (reason,), _after_clean(evidence, last.full))
    return Decision("keep", tuple(_keeping(evidence, last.full)), _wait(evidence, last.elapsed))


def _against(evidence: Evidence) -> list[str]:
    """Reasons to change now."""
    places = {p.position for p in evidence.episode}
    found = [f.text for f in evidence.faults if f.id == "torn-core" and places & set(f.readings)]
    if evidence.last_sample in {"over", "likely over"}:
        how = "over" if evidence.last_sample == "over" else "most likely over"
        found.append(f"The last oil sample is {how} its limit: change oil and cores.")
    full = evidence.episode[-1].full
    if full is not None:
        where = place(full, evidence.limit.drop)
        if where == "over":
            found.append("The drop at full flow is over its limit for every exponent of the band.")
        elif where == "about at" and full.middle.value >= evidence.limit.drop:
            found.append("The drop at full flow is most likely over its limit; a reading at full flow would settle it.")
    return found


def _unjudged(last: Prepared) -> str:
    if last.standing == "not judged: negative drop":
        return "The last drop is negative: swap hoses or taps, check the arrow on the shell, and read again."
    least = table("log")["flow"]["least_share"]
    return f"The last reading was taken under {100 * least:.0f} % of full flow: raise the flow and read again."


def _keeping(evidence: Evidence, full: FullFlowDrop) -> list[str]:
    where = place(full, evidence.limit.drop)
    if where == "below":
        found = ["The drop at full flow is below its limit for every exponent of the band."]
    else:
        found = ["The limit lies within the interval of the drop: read again at full flow, and soon."]
    named = {
        "two samples without acid": evidence.clean.two_samples_without_acid,
        "oil colour in its limit": evidence.clean.colour_in_limit,
        "drop flat and below its limit": evidence.clean.drop_flat_and_below,
    }
    words = {None: "not known yet", False: "not yet"}
    if evidence.last_sample == "cannot tell":
        found.append("The last acid number is too uncertain to hold against its limit: sample again.")
    return [*found, *(f"Clean: {name}: {words[holds]}." for name, holds in named.items() if not holds)]


def _wait(evidence: Evidence, last: float) -> timedelta:
    """Half of the time to the earliest crossing, between one hour and a day."""
    row = table("log")["next"]
    earliest = reaching(evidence).earliest
    left = row["longest_h"] if earliest is None else (earliest - last) / HOUR * row["share_of_time_left"]
    return timedelta(minutes=round(60 * min(max(left, row["shortest_h"]), row["longest_h"])))


def _after_clean(evidence: Evidence, last: FullFlowDrop) -> timedelta:
    """Two weeks, or half of the time to the limit by the steepest trend within the uncertainty; a day or more."""
    row, rise = table("log")["next"], rise_per_day(evidence.lines)
    steepest = max(rise.value + COVERAGE * rise.uncertainty, 0.0)
    room = (evidence.limit.drop - last.high) * row["share_of_time_left"] * DAY / HOUR
    soonest = max(row["longest_h"], room / steepest) if steepest else math.inf
    return timedelta(minutes=round(60 * min(soonest, _two_weeks())))


def _two_weeks() -> float:
    return float(next(row["hours"] for row in table("intervals")["check"] if row["id"] == "two-weeks"))
