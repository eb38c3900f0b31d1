"""The gate before power: every check passed, failed, missing or conflicting, and one verdict that never says "safe".

A check is required by the machine at hand. Evidence is what was stated, what a calculation found from readings, and
measured values held against limits. Where pieces of evidence contradict each other the check is conflicting; where
none decides, or a test is not proved to be a valid one, or a claim stands where readings are asked for, it is missing.
What is said to be passed although something else in the request speaks against it is conflicting, and named.
One required check short of passed, or any check failed or conflicting, and the answer is "do not start". So it is
where the log of a run asks to stop or to look into it. Source: restart-gate-rule.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, Self

from pydantic import model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import COVERAGE, Limit, Ruling, judge
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import difference
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import UnknownNameError
from witnessmark.reference import SourceId, caution
from witnessmark.restart.after_run import NO_BOUNDS, RunVerdict
from witnessmark.restart.context import Condition, Machine, Spare, conditions_of
from witnessmark.restart.evidence import STANDING, Evidence, EvidenceOutcome
from witnessmark.restart.run_limits import RunLimits
from witnessmark.restart.watch_list import MakerBand, WatchItem, watch_list
from witnessmark.vocabulary import words

StatedOutcome = TypeAliasType("StatedOutcome", Literal["passed", "failed", "not-done"])
"""What the technician says about a check."""
CheckState = TypeAliasType("CheckState", Literal["passed", "failed", "missing", "conflicting", "not required"])
"""Where a check stands, all evidence together."""
StartVerdict = TypeAliasType(
    "StartVerdict", Literal["do not start", "a licensed technician may start, watching the listed readings"]
)
"""What the gate says; it never says more."""
Measure = TypeAliasType(
    "Measure", Literal["heater_on", "sump_superheat_at_rest", "charge_deviation", "off_time", "coupling_offset"]
)
"""A measured value that a check takes."""
FINER = "weigh on a finer scale, or give its uncertainty"
BETWEEN = "the guides differ, and it lies between their figures: go by the strictest"
AFTER_RUN = "after-run"
"""What blocks where the log of a run does."""


class CheckRow(data.Row):
    """One check. required: conditions of which one is enough; spared_by: what lifts them all.

    needs_reading: conditions under which a claim does not count; claimed_by: those under which it counts all the same.
    excludes: the check that cannot be passed as well; contradicted_by: conditions under which it cannot be passed;
    unproved_by: those under which a claim says too little. beyond_readings: what no reading of the check shows, so that
    it must be said as well.
    """

    title: str
    required: tuple[Condition, ...]
    spared_by: frozenset[Spare] = frozenset()
    needs_reading: tuple[Condition, ...] = ()
    claimed_by: tuple[Condition, ...] = ()
    measures: tuple[Measure, ...] = ()
    excludes: str | None = None
    contradicted_by: tuple[Condition, ...] = ()
    unproved_by: tuple[Condition, ...] = ()
    beyond_readings: str = ""
    source: SourceId
    cautions: tuple[str, ...]


class MeasureRow(data.Row):
    """What is accepted as a reading, what a maker may ask for (SI), and the limit; two_sided: either side of zero.

    settled_by: the measure that decides where sources disagree on this one. heaterless: the limit of a small charge
    without a heater. bare: the reading decides without a margin, as long as it is known better than the limit is wide.
    greatest: above it no such reading is true; None where nothing is known.
    """

    dimension: Literal["time", "temperature_difference", "number", "length"]
    accepted: tuple[float, float]
    maker: tuple[float, float]
    two_sided: bool = False
    bare: bool = False
    limit: Limit
    settled_by: Measure | None = None
    heaterless: Limit | None = None
    greatest: float | None = None


class GateTable(data.Row):
    """The data file."""

    checks: dict[str, CheckRow]
    measures: dict[Measure, MeasureRow]

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if missing := set(words(Measure)) - self.measures.keys():
            raise ValueError(f"no row for {', '.join(sorted(missing))}")
        if unknown := {row.excludes for row in self.checks.values() if row.excludes} - self.checks.keys():
            raise ValueError(f"no such check: {', '.join(sorted(unknown))}")
        return self


TABLE = data.table(__package__, "gate.toml", GateTable)


@data.checked
def cautions_exist() -> None:
    """KeyError where a check names a caution that does not exist."""
    for row in TABLE().checks.values():
        for key in row.cautions:
            caution(key)


@dataclass(frozen=True, slots=True)
class GateInput:
    """All that is known before the start.

    stated: check -> what the technician says. evidence: check -> what a calculation makes of readings. measured:
    readings that checks take. makers: the maker's limits for them, SI, and the document that states them. by_maker:
    check -> what evidence owes to limits of the maker. bands: the maker's limits for what is watched. bounds: what else
    of the request bounds the run.
    """

    machine: Machine
    stated: Mapping[str, StatedOutcome] = field(default_factory=dict)
    evidence: Mapping[str, tuple[Evidence, ...]] = field(default_factory=dict)
    measured: Mapping[Measure, Measured] = field(default_factory=dict)
    makers: Mapping[Measure, float] = field(default_factory=dict)
    document: str = ""
    by_maker: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    bands: Mapping[str, MakerBand] = field(default_factory=dict)
    bounds: RunLimits = NO_BOUNDS


@dataclass(frozen=True, slots=True)
class MeasuredValue:
    """A measured value and its limit."""

    measure: Measure
    value: Measured
    limit: Ruling

    @property
    def size(self) -> Measured:
        """What is held against the limit."""
        two_sided = TABLE().measures[self.measure].two_sided
        return Measured(abs(self.value.value), self.value.uncertainty) if two_sided else self.value


@dataclass(frozen=True, slots=True)
class CheckResult:
    """One check; `required_by` names the conditions of this machine that require it.

    by_maker: what it owes to limits of the maker.
    """

    check: str
    title: str
    state: CheckState
    required_by: tuple[Condition, ...]
    evidence: tuple[Evidence, ...]
    measured: tuple[MeasuredValue, ...]
    source: str
    cautions: tuple[str, ...]
    by_maker: tuple[str, ...] = ()

    @property
    def contradiction(self) -> str | None:
        """What of the request speaks against what else of it; None where nothing does."""
        if self.state != "conflicting":
            return None
        return clash(self.title, ((e.origin, e.detail) for e in self.evidence))


def clash(title: str, evidence: Iterable[tuple[str, str]]) -> str:
    """What contradicts in a check, in one sentence: each piece of evidence with its origin.

    >>> clash("Winding resistances agree", (("stated", "passed"), ("winding resistances", "open winding")))
    'Winding resistances agree: stated: passed; winding resistances: open winding'
    """
    return f"{title}: " + "; ".join(f"{origin}: {detail}" for origin, detail in evidence)


@dataclass(frozen=True, slots=True)
class GateResult:
    """The verdict, every check, and what must be watched if the machine is started.

    contradictions: what of the request speaks against what else of it. conditions: what to keep to after a start.
    """

    verdict: StartVerdict
    checks: tuple[CheckResult, ...]
    blocking: tuple[str, ...]
    watching: tuple[WatchItem, ...]

    @property
    def contradictions(self) -> tuple[str, ...]:
        """One sentence a check that conflicts."""
        return tuple(c.contradiction for c in self.checks if c.contradiction)

    @property
    def conditions(self) -> tuple[str, ...]:
        """What a passed check asks to keep to, and what is owed to a stated limit of the maker alone."""
        asked = tuple(e.condition for c in self.checks for e in c.evidence if e.condition)
        by_maker = tuple(f"{c.title}: {text}" for c in self.checks for text in c.by_maker)
        rulings = ((item.title, ruling) for item in self.watching for ruling in (item.low, item.high))
        watched = tuple(f"{title}: {ruling.remark}" for title, ruling in rulings if ruling and ruling.remark)
        return asked + by_maker + watched


def checks() -> tuple[str, ...]:
    """The names of all checks, in the order of the work."""
    return tuple(TABLE().checks)


def charge_deviation(weighed: Measured, wanted: Measured) -> Measured:
    """Charge weighed in over the one wanted (kg, not zero), less one; the wanted one is taken as exact.

    More than the greatest deviation that is accepted counts as that one.
    Example: 11.4 kg for 12 kg wanted is -0.05.
    """
    highest = TABLE().measures["charge_deviation"].accepted[1]
    share = difference(weighed, wanted).value / wanted.value
    return Measured(min(share, highest), weighed.uncertainty / wanted.value)


def gate(known: GateInput) -> GateResult:
    """Judge whether a licensed technician may start the machine under watch.

    Example: nothing stated and nothing measured: "do not start".
    Errors: UnknownNameError (stated.<check>, evidence.<check>, measured.<name>, makers.<name>), OutOfRangeError
    (measured.<name>).
    """
    _check_input(known)
    conditions = conditions_of(known.machine)
    results = tuple(_result(name, row, known, conditions) for name, row in TABLE().checks.items())
    blocking = tuple(r.check for r in results if r.state not in ("passed", "not required"))
    verdict: StartVerdict = (
        "do not start" if blocking else "a licensed technician may start, watching the listed readings"
    )
    return GateResult(verdict, results, blocking, watch_list(known.machine, known.bands, bounds=known.bounds))


def with_run(result: GateResult, run: RunVerdict) -> GateResult:
    """The verdict once the machine has run: a log that asks to stop or to look into it allows no start."""
    if run not in ("stop and find out", "look into it now"):
        return result
    return replace(result, verdict="do not start", blocking=(*result.blocking, AFTER_RUN))


def _result(name: str, row: CheckRow, known: GateInput, conditions: frozenset[Condition]) -> CheckResult:
    spared = row.spared_by & known.machine.spares
    required = () if spared else tuple(c for c in row.required if c in conditions)
    measured = tuple(_measured_value(measure, known) for measure in row.measures if measure in known.measured)
    readings = (*known.evidence.get(name, ()), *(_from_measured(m, known) for m in measured))
    unread = bool(conditions.intersection(row.needs_reading)) and not conditions.intersection(row.claimed_by)
    stated = known.stated.get(name, "not-done")
    evidence = (*_stated(stated, unread=unread and not readings), *readings)
    if readings and row.beyond_readings and stated == "not-done":
        evidence += (Evidence("stated", "missing", f"not said: {row.beyond_readings}"),)
    if not spared and any(e.outcome == "passed" for e in evidence):
        evidence += tuple(_against(row, known, conditions))
    state = _state({e.outcome for e in evidence}, required=bool(required))
    owed = (*known.by_maker.get(name, ()), *(m.limit.condition(m.size) for m in measured))
    by_maker = tuple(dict.fromkeys(text for text in owed if text))
    return CheckResult(name, row.title, state, required, evidence, measured, row.source, row.cautions, by_maker)


def _stated(stated: StatedOutcome, *, unread: bool) -> Iterator[Evidence]:
    """What was stated; unread: a claim that lacks the readings that it needs."""
    if stated == "passed" and unread:
        yield Evidence("stated", "missing", "passed, without the readings of the test")
    elif stated != "not-done":
        yield Evidence("stated", stated, stated)


def _against(row: CheckRow, known: GateInput, conditions: frozenset[Condition]) -> Iterator[Evidence]:
    """What else of the request speaks against a passed check, or is not said though the check needs it."""
    speaking: tuple[tuple[EvidenceOutcome, tuple[Condition, ...]], ...] = (
        ("conflicting", row.contradicted_by),
        ("missing", row.unproved_by),
    )
    for outcome, listed in speaking:
        yield from (Evidence("machine", outcome, f"passed, and yet: {c}") for c in listed if c in conditions)
    if row.excludes and known.stated.get(row.excludes) == "passed":
        yield Evidence("stated", "failed", f"{row.excludes} is said to be passed as well")


def _measured_value(measure: Measure, known: GateInput) -> MeasuredValue:
    row = TABLE().measures[measure]
    limit = row.heaterless if row.heaterless and known.machine.needs_no_heater else row.limit
    return MeasuredValue(measure, known.measured[measure], limit.rule(known.makers.get(measure), known.document))


def _from_measured(reading: MeasuredValue, known: GateInput) -> Evidence:
    """Where the reading decides by itself (no heater; `bare`) no margin is asked for; told what is open, and why."""
    row, origin = TABLE().measures[reading.measure], f"measured {reading.measure.replace('_', ' ')}"
    heaterless = row.heaterless is not None and known.machine.needs_no_heater
    sharp = row.bare and COVERAGE * reading.size.uncertainty <= reading.limit.value
    if row.greatest is not None and reading.value.value > row.greatest:
        return Evidence(origin, "conflicting", f"{reading.value.value:.3g} K is more than any sump heater makes")
    doubt = 0.0 if heaterless or sharp else reading.size.uncertainty
    standing = judge(Measured(reading.size.value, doubt), reading.limit)
    if standing == "sources disagree" and row.settled_by is not None and row.settled_by in known.measured:
        settled = _from_measured(_measured_value(row.settled_by, known), known)
        return replace(settled, origin=origin, detail=f"sources disagree; {settled.origin}: {settled.detail}")
    finer = row.bare and standing == "cannot tell"
    told = f"{standing}: {FINER}" if finer else BETWEEN if standing == "sources disagree" else standing
    return Evidence(origin, STANDING[standing], told)


def _state(outcomes: set[EvidenceOutcome], *, required: bool) -> CheckState:
    """Contradiction first, then failure; what a calculation leaves open contradicts no claim, and proves none."""
    if "conflicting" in outcomes or {"passed", "failed"} <= outcomes:
        return "conflicting"
    if "failed" in outcomes:
        return "failed"
    if outcomes & {"missing", "undecided"}:
        return "missing"  # a test not proved valid is to be repeated or completed, whatever was claimed beside it
    if "passed" in outcomes:
        return "passed"
    return "missing" if required or outcomes else "not required"


def _check_input(known: GateInput) -> None:
    _check_names("stated", known.stated, checks())
    _check_names("evidence", known.evidence, checks())
    _check_names("measured", known.measured, words(Measure))
    _check_names("makers", known.makers, words(Measure))
    for measure, value in known.measured.items():
        row = TABLE().measures[measure]
        within(f"measured.{measure}", value.value, row.accepted, row.dimension)


def _check_names(part: str, names: Iterable[str], accepted: tuple[str, ...]) -> None:
    for name in names:
        if name not in accepted:
            raise UnknownNameError(f"{part}.{name}", "check or measure", accepted)
