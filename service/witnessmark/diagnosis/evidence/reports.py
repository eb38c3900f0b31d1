"""The case as given, checked against the catalogue: reports made explicit, the machine narrowed, contexts known."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from witnessmark.diagnosis.case import Case, Machine, Reading, Report
from witnessmark.diagnosis.catalogue.knowledge import Applies, Knowledge
from witnessmark.diagnosis.catalogue.rows import MACHINE_WORDS
from witnessmark.diagnosis.evidence.readings import catalogue
from witnessmark.diagnosis.inference.network import REPORTED
from witnessmark.errors import ConflictError, InputError, OutOfRangeError, UnknownNameError

_STATES = {"yes-no": ("present", "absent"), "three-way": ("low", "normal", "high")}
_CHANNELS = ("note", "form", "teardown")
_CONDITIONS = ("power-off", "compressor-runs", "circuit-open", "compressor-removed")
RUNS = "compressor-runs"
_MOST_SHORTLISTED = 20
_COIN = 0.5


@dataclass(frozen=True, slots=True)
class Said:
    """A report on one finding, in a state of that finding. implied_by: the normal it follows from, or empty."""

    finding: str
    state: str
    reliability: float | None
    field: str
    implied_by: str = ""


@dataclass(frozen=True, slots=True)
class Checked:
    """The case made explicit. machine: narrowed by what only some machines can show. remarks: assumptions made.

    clashes: (normal, finding) where a good condition is reported and so is a finding that it excludes.
    contexts: what holds, with (REPORTED, finding) where a report says the same as one of them.
    """

    machine: Machine
    said: tuple[Said, ...]
    clashes: tuple[tuple[str, str], ...]
    contexts: tuple[tuple[str, str], ...]
    remarks: tuple[str, ...]


def checked(held: Knowledge, case: Case) -> Checked:
    """The case made explicit. Raises InputError and its kinds with the field that is wrong."""
    _words(case)
    for number, reading in enumerate(case.readings):
        _reading(number, reading)
    everything = [one for number, report in enumerate(case.reports) for one in _said(held, number, report)]
    everything += [one for condition in case.conditions or () for one in _implied(held, condition, "conditions")]
    if case.ran and not _opened(held, case, everything):
        everything += _implied(held, RUNS, "readings")
    said = _unique(everything)
    states = {one.finding: one.state for one in said}
    clashes = [
        (one.implied_by, one.finding)
        for one in everything
        if one.state != states[one.finding] and one.field != "readings"
    ]
    machine, remarks = _narrowed(held, case.machine, said)
    contexts = [*_contexts(held, case), *_machine_contexts(machine)]
    twice = dict(_said_twice(held, contexts, states))
    contexts += [(REPORTED, finding) for finding in twice]
    remarks += twice.values()
    fitting = [one for one in said if not one.implied_by or held.findings[one.finding].applies.to(machine)]
    return Checked(machine, tuple(fitting), tuple(clashes), tuple(dict.fromkeys(contexts)), tuple(remarks))


def near(word: str, known: Iterable[str]) -> tuple[str, ...]:
    """Ids that look like the word, closest first."""
    return tuple(difflib.get_close_matches(word, list(known), n=3, cutoff=0.5))


def _one_of(field: str, word: str, known: tuple[str, ...]) -> None:
    if word not in known:
        raise UnknownNameError(field, "value", known)


def _words(case: Case) -> None:
    for part, known in MACHINE_WORDS.items():
        given = getattr(case.machine, part)
        if given is not None:
            _one_of(f"machine.{part}", given, known)
    for number, channel in enumerate(case.channels):
        _one_of(f"channels.{number}", channel, _CHANNELS)
    for number, condition in enumerate(case.conditions or ()):
        _one_of(f"conditions.{number}", condition, _CONDITIONS)
    if not 1 <= case.wishes.shortlist <= _MOST_SHORTLISTED:
        raise OutOfRangeError("wishes.shortlist", case.wishes.shortlist, 1, _MOST_SHORTLISTED)


def _reading(number: int, reading: Reading) -> None:
    field = f"readings.{number}"
    if reading.quantity not in catalogue():
        raise UnknownNameError(f"{field}.quantity", "reading", near(reading.quantity, catalogue()))
    row = catalogue()[reading.quantity]
    for name, value in (("value", reading.value), ("uncertainty", reading.uncertainty)):
        if not math.isfinite(value):
            raise InputError(f"{field}.{name}", "not a finite number", "a finite number")
    if not row.limits[0] <= reading.value <= row.limits[1]:
        raise OutOfRangeError(f"{field}.value", reading.value, *row.limits, row.dimension)
    if reading.uncertainty < 0:
        raise InputError(f"{field}.uncertainty", "negative", "0 or more")


def _said(held: Knowledge, number: int, report: Report) -> Iterator[Said]:
    field = f"reports.{number}"
    if report.reliability is not None and not _COIN < report.reliability < 1:
        raise InputError(f"{field}.reliability", "outside the accepted range", "above 0.5 and below 1")
    if report.finding in held.normals:
        yield from _of_normal(held, field, report)
        return
    if report.finding not in held.findings:
        known = (*held.findings, *held.normals)
        raise UnknownNameError(f"{field}.finding", "finding", near(report.finding, known))
    states = _STATES[held.findings[report.finding].kind]
    if report.state not in (*states, "unknown"):
        raise InputError(f"{field}.state", "not a state of this finding", ", ".join((*states, "unknown")))
    if report.state != "unknown":
        yield Said(report.finding, report.state, report.reliability, field)


def _of_normal(held: Knowledge, field: str, report: Report) -> Iterator[Said]:
    """A good condition that is present makes several findings absent; that it is absent does not say which is there."""
    if report.state not in ("present", "absent", "unknown"):
        raise InputError(f"{field}.state", "not a state of this finding", "present, absent, unknown")
    if report.state == "present":
        for key in held.normals[report.finding].means_absent:
            state = "absent" if held.findings[key].kind == "yes-no" else "normal"
            yield Said(key, state, report.reliability, field, implied_by=report.finding)


def _implied(held: Knowledge, condition: str, field: str) -> Iterator[Said]:
    """What a condition rules out, where a normal of that name says so: a compressor that runs is not seized."""
    if condition in held.normals:
        yield from _of_normal(held, field, Report(condition, "present"))


def _opened(held: Knowledge, case: Case, said: Sequence[Said]) -> bool:
    """Whether the compressor stands opened: then the readings are older than what is seen now."""
    stages = {held.findings[one.finding].stage for one in said if not one.implied_by}
    return "teardown" in stages or "teardown" in case.channels


def _said_twice(
    held: Knowledge, contexts: Sequence[tuple[str, str]], states: Mapping[str, str]
) -> Iterator[tuple[str, str]]:
    """(finding, remark) for contexts that say what a reported finding says too; the finding is the finer witness."""
    for row in held.contexts:
        if row.same_as in states and (row.field, row.value) in contexts:
            given, reported = f"{row.field} {row.value.replace('-', ' ')}", held.name(row.same_as)
            yield (
                row.same_as,
                f"Counted once: “{given}” and the report on “{reported}” say the same; the report counts.",
            )


def _unique(said: list[Said]) -> list[Said]:
    """One report a finding. Explicit ones come before what follows from a normal; two unlike explicit ones conflict."""
    chosen: dict[str, Said] = {}
    for one in sorted(said, key=lambda s: bool(s.implied_by)):
        other = chosen.setdefault(one.finding, one)
        if other.state != one.state and not one.implied_by:
            fields = (f"{other.field}.state", f"{one.field}.state")
            raise ConflictError(
                fields, f"{one.finding} is said to be {other.state} and {one.state}", "one state a finding"
            )
    return [chosen[key] for key in dict.fromkeys(one.finding for one in said)]


def _narrowed(held: Knowledge, machine: Machine, said: list[Said]) -> tuple[Machine, list[str]]:
    """The machine, with what only some machines can show filled in where the caller left it open."""
    remarks: list[str] = []
    for one in said:
        if one.state in ("absent", "normal"):
            continue
        applies = held.findings[one.finding].applies
        if not applies.to(machine):
            fields = (f"{one.field}.finding", "machine")
            raise ConflictError(fields, f"{one.finding} cannot be found on this machine", _wanted(applies))
        for part in MACHINE_WORDS:
            wanted = getattr(applies, part)
            if getattr(machine, part) is None and len(wanted) == 1:
                (word,) = wanted
                machine = replace(machine, **{part: word})
                remarks.append(f"Taken to be {word} ({part}), since only such machines show: {one.finding}.")
    return machine, remarks


def _wanted(applies: Applies) -> str:
    parts = {part: sorted(getattr(applies, part)) for part in MACHINE_WORDS}
    return "; ".join(f"{part} {' or '.join(words)}" for part, words in parts.items() if words)


def _contexts(held: Knowledge, case: Case) -> Iterator[tuple[str, str]]:
    known = contexts_of(held)
    for number, (field, value) in enumerate(case.contexts):
        if field not in known:
            raise UnknownNameError(f"contexts.{number}.field", "context", near(field, known))
        if value not in known[field]:
            raise UnknownNameError(f"contexts.{number}.value", f"value of {field}", near(value, known[field]))
        yield field, value


@lru_cache(maxsize=8)
def contexts_of(held: Knowledge) -> Mapping[str, tuple[str, ...]]:
    """Fields of context with their values, in the order of the file."""
    known: dict[str, dict[str, None]] = {}
    for context in held.contexts:
        known.setdefault(context.field, {})[context.value] = None
    return {field: tuple(values) for field, values in known.items()}


def _machine_contexts(machine: Machine) -> Iterator[tuple[str, str]]:
    for part in MACHINE_WORDS:
        if getattr(machine, part) is not None:
            yield part, getattr(machine, part)
