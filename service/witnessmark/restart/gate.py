"""The gate before power: every check passed, failed, missing or conflicting, and one verdict that never says "safe".

A check is required by the machine at hand. Evidence is what was stated, what a calculation found from readings, and
measured values held against limits. Where pieces of evidence contradict each other the check is conflicting; where
none decides, or a test is not proved to be a valid one, or a claim stands where readings are asked for, it is missing.
One required check short of passed, or any check failed or conflicting, and the answer is "do not start". So it is
where the log of a run asks to stop or to look into it. Source: restart-gate-rule.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, Literal

from witnessmark.calculations.metrology.limits import Ruling, judge, limit_from, read_data
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.reference import caution, source
from witnessmark.restart.after_run import Verdict as RunVerdict
from witnessmark.restart.context import Machine, tags
from witnessmark.restart.evidence import STANDING, Evidence
from witnessmark.restart.watch_list import MakerBand, WatchItem, watch_list

Stated = Literal["passed", "failed", "not done"]
State = Literal["passed", "failed", "missing", "conflicting", "not required"]
Verdict = Literal["do not start", "a licensed technician may start, watching the listed readings"]
MEASURES: Mapping[str, tuple[tuple[float, float], str]] = {
    "heater_on": ((0.0, 3.2e7), "time"),
    "sump_superheat_at_rest": ((-100.0, 200.0), "temperature_difference"),
    "charge_deviation": ((-1.0, 10.0), "number"),
    "off_time": ((0.0, 86400.0), "time"),
}
"""Measured values that checks take: accepted range (SI) and dimension."""
MAKER_SPANS: Mapping[str, tuple[float, float]] = {
    "heater_on": (0.0, 3.2e7),
    "sump_superheat_at_rest": (1.0, 200.0),
    "charge_deviation": (0.0, 0.25),
    "off_time": (1.0, 86400.0),
}
"""Limits that a maker may give for them (SI): oil at saturation or half the charge amiss is no limit of a maker."""
AFTER_RUN = "after_run"
"""What blocks where the log of a run does."""
TWO_SIDED = ("charge_deviation",)


@dataclass(frozen=True, slots=True)
class GateInput:
    """All that is known before the start.

    stated: check -> what the technician says. found: check -> evidence from calculations. measured: readings by name
    (`MEASURES`). makers: the maker's limits for them, SI. bands: the maker's limits for what is watched.
    """

    machine: Machine
    stated: Mapping[str, Stated] = field(default_factory=dict)
    found: Mapping[str, Evidence] = field(default_factory=dict)
    measured: Mapping[str, Measured] = field(default_factory=dict)
    makers: Mapping[str, float] = field(default_factory=dict)
    bands: Mapping[str, MakerBand] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Held:
    """A measured value against its limit."""

    name: str
    value: Measured
    limit: Ruling


@dataclass(frozen=True, slots=True)
class CheckResult:
    """One check; `required_by` names the conditions of this machine that require it."""

    check: str
    title: str
    state: State
    required_by: tuple[str, ...]
    evidence: tuple[Evidence, ...]
    held: tuple[Held, ...]
    source: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GateVerdict:
    """The verdict, every check, and what must be watched if the machine is started."""

    verdict: Verdict
    checks: tuple[CheckResult, ...]
    blocking: tuple[str, ...]
    watching: tuple[WatchItem, ...]


@cache
def data() -> dict[str, Any]:
    """The data file: sources, cautions, measures and exclusions checked."""
    tables = read_data(__package__, "gate.toml")
    for row in tables["checks"].values():
        source(row["source"])
        for key in row["cautions"]:
            caution(key)
        if not {*row.get("measures", ())} <= MEASURES.keys() & tables["limits"].keys():
            raise ValueError(f"gate: unknown measure among {row['measures']}")
    return tables


def checks() -> tuple[str, ...]:
    """The names of all checks, in the order of the work."""
    return tuple(data()["checks"])


def gate(given: GateInput) -> GateVerdict:
    """Judge whether a licensed technician may start the machine under watch.

    Errors: UnknownNameError (stated.<check>, found.<check>, measured.<name>), OutOfRangeError (measured.<name>).
    """
    _check(given)
    conditions = tags(given.machine)
    results = tuple(_result(name, row, given, conditions) for name, row in data()["checks"].items())
    blocking = tuple(r.check for r in results if r.state not in ("passed", "not required"))
    verdict: Verdict = "do not start" if blocking else "a licensed technician may start, watching the listed readings"
    return GateVerdict(verdict, results, blocking, watch_list(given.machine, given.bands))


def with_run(found: GateVerdict, run: RunVerdict) -> GateVerdict:
    """The verdict once the machine has run: a log that asks to stop or to look into it allows no start."""
    if run not in ("stop and find out", "look into it now"):
        return found
    return replace(found, verdict="do not start", blocking=(*found.blocking, AFTER_RUN))


def _result(name: str, row: dict[str, Any], given: GateInput, conditions: frozenset[str]) -> CheckResult:
    required = tuple(c for c in row["required"] if c in conditions)
    held = tuple(_held(measure, given) for measure in row.get("measures", ()) if measure in given.measured)
    evidence = (*_stated(name, row, given, conditions), *_measured(held))
    state = _state({e.outcome for e in evidence}, bool(required))
    return CheckResult(name, row["title"], state, required, evidence, held, row["source"], tuple(row["cautions"]))


def _stated(name: str, row: dict[str, Any], given: GateInput, conditions: frozenset[str]) -> Iterator[Evidence]:
    """What was said and what calculations found; a contradiction with an excluding check is said too."""
    said = given.stated.get(name, "not done")
    if said == "passed" and name not in given.found and conditions & {*row.get("needs_reading", ())}:
        yield Evidence("stated", "missing", "passed, without the readings of the test")
    elif said != "not done":
        yield Evidence("stated", said, said)
    if name in given.found:
        yield given.found[name]
    other = row.get("excludes")
    if other and said == "passed" and given.stated.get(other) == "passed":
        yield Evidence("stated", "failed", f"{other} is said to be passed as well")


def _measured(held: tuple[Held, ...]) -> Iterator[Evidence]:
    for one in held:
        value = Measured(abs(one.value.value), one.value.uncertainty) if one.name in TWO_SIDED else one.value
        standing = judge(value, one.limit)
        yield Evidence(f"measured {one.name.replace('_', ' ')}", STANDING[standing], standing)


def _held(name: str, given: GateInput) -> Held:
    limit = limit_from(data()["limits"][name]).rule(given.makers.get(name))
    return Held(name, given.measured[name], limit)


def _state(outcomes: set[str], required: bool) -> State:  # noqa: FBT001 - a property of the check, not a switch
    """Contradiction first, then failure; a claim that a calculation leaves open is a contradiction as well."""
    if "conflicting" in outcomes or ("passed" in outcomes and outcomes & {"failed", "undecided"}):
        return "conflicting"
    if "failed" in outcomes:
        return "failed"
    if "missing" in outcomes:
        return "missing"  # a test not proved valid is to be repeated or completed, whatever was claimed beside it
    if "passed" in outcomes:
        return "passed"
    return "missing" if required or outcomes else "not required"


def _check(given: GateInput) -> None:
    known = data()["checks"].keys()
    for part, names, allowed in (
        ("stated", given.stated, known),
        ("found", given.found, known),
        ("measured", given.measured, MEASURES.keys()),
        ("makers", given.makers, MEASURES.keys()),
    ):
        for name in names:
            if name not in allowed:
                raise UnknownNameError(f"{part}.{name}", "check or measure", tuple(allowed))
    for name, value in given.measured.items():
        (low, high), dimension = MEASURES[name]
        if not low <= value.value <= high:
            raise OutOfRangeError(f"measured.{name}", value.value, low, high, dimension)
