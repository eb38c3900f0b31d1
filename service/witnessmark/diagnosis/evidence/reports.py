"""The case as it came, checked against the catalogue: reports made explicit, the machine narrowed, contexts known."""

from __future__ import annotations

import difflib
import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from witnessmark.diagnosis.case import (
    MACHINE_WORDS,
    MOST_EXPLAINED,
    Case,
    Channel,
    CompressorFate,
    Condition,
    Machine,
    Reading,
    Report,
)
from witnessmark.diagnosis.catalogue.decisions import decisions
from witnessmark.diagnosis.catalogue.readings import catalogue, likelihood, on_finding
from witnessmark.diagnosis.catalogue.row_base import Applies
from witnessmark.diagnosis.catalogue.rows import RUNS, STATES, Knowledge
from witnessmark.diagnosis.evidence.season import COLD_HEAD, cold_head
from witnessmark.diagnosis.inference.network import AGAINST_BASELINE, MEASURED, REPORTED
from witnessmark.diagnosis.result import SetAside
from witnessmark.errors import ConflictError, InputError, OutOfRangeError, UnknownNameError, located
from witnessmark.vocabulary import words

NORMAL_STATES = ("absent", "normal")
"""States of a finding on a sound machine."""
ORDINARY_CALL = ("queue", "dispatch")
"""How a machine comes to be looked at, where nobody says otherwise: priors of the rows are those before any call."""
EXPLAINED_CALL = ("call", "explained")
"""That a cause which people call for is found as such: the call is then no sign against the compressor."""
FATE = "compressor-fate"
"""Field of the context that holds where it is settled beforehand that the compressor has failed."""
_COIN = 0.5


@dataclass(frozen=True, slots=True)
class CheckedCase:
    """The case made explicit. machine: narrowed by what only some machines can show. remarks: assumptions made.

    reports: one a finding, each in a state of that finding, `field` and `implied_by` filled in.
    clashes: (normal, finding) where a good condition is reported and so is a finding that it excludes.
    set_aside: what this machine cannot have, with the reason. unlike: findings that no one machine shows together.
    contexts: what holds, with (REPORTED, finding) where a report says the same as one of them, and (MEASURED,
    finding) or (AGAINST_BASELINE, finding) where numbers tell it that have a background of their own.
    """

    machine: Machine
    reports: tuple[Report, ...]
    clashes: tuple[tuple[str, str], ...]
    contexts: tuple[tuple[str, str], ...]
    remarks: tuple[str, ...]
    set_aside: tuple[SetAside, ...] = ()
    unlike: tuple[str, ...] = ()


STANDS = ("locked-rotor-current", "present")
"""What a current shows of a rotor that does not turn, so that readings taken under power do not say that it ran."""


def checked(knowledge: Knowledge, case: Case) -> CheckedCase:
    """The case made explicit. Raises InputError and its kinds with the field that is wrong."""
    machine = case.machine.judged()
    _limits(case)
    for number, reading in enumerate(case.readings):
        with located(f"readings.{number}"):
            _reading(reading)
    explicit = [*_explicit(knowledge, case)]
    reports = _unique(explicit)
    states = {report.finding: report.state for report in reports}
    clashes = [
        (report.implied_by, report.finding)
        for report in explicit
        if report.state != states[report.finding] and report.field != "readings"
    ]
    narrowed, remarks, unlike = _narrowed(knowledge, case, machine, reports)
    machine = knowledge.known(narrowed)
    contexts = [*_contexts(knowledge, case), *_queue(knowledge, case), *_fate(case), *_machine_contexts(machine)]
    contexts += [COLD_HEAD] if cold_head(case) else []
    if ORDINARY_CALL in contexts:
        contexts += _explained(knowledge, machine, (*states.items(), *_clearly_read(knowledge, case)))
    twice = dict(_counted_once(knowledge, contexts, states))
    contexts += [(REPORTED, finding) for finding in twice]
    contexts += _measured(knowledge, case)
    remarks += twice.values()
    return CheckedCase(
        machine,
        tuple(r for r in reports if knowledge.findings[r.finding].applies.to(machine)),
        tuple(clashes),
        tuple(dict.fromkeys(contexts)),
        tuple(remarks),
        tuple(_set_aside(knowledge, machine, reports)),
        unlike,
    )


def _explained(knowledge: Knowledge, machine: Machine, told: Collection[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """That the call is explained, where what was told in its state defines a cause that brings calls."""
    field, value = EXPLAINED_CALL
    defined = {link.origin for link in knowledge.cause_finding if link.defines and (link.target, link.state) in told}
    causes = [knowledge.causes[key] for key in defined]
    if value in contexts_of(knowledge).get(field, ()) and any(c.brings_call and c.applies.to(machine) for c in causes):
        yield EXPLAINED_CALL


def _clearly_read(knowledge: Knowledge, case: Case) -> Iterator[tuple[str, str]]:
    """Findings with the states that readings show beyond doubt."""
    figures = decisions().evidence
    for reading in case.readings:
        row = catalogue()[reading.quantity]
        seen = likelihood(row, reading.value, reading.uncertainty, figures.gross_error)
        for bearing in row.bears:
            if finding := knowledge.findings.get(bearing.finding):
                normal, *abnormal = on_finding(bearing, seen)
                for state, likely in zip(finding.signs, abnormal, strict=False):
                    if likely >= normal * 10 ** (figures.contradicting_reading / 10):
                        yield finding.id, state


def _measured(knowledge: Knowledge, case: Case) -> Iterator[tuple[str, str]]:
    """Findings that numbers tell: by the usual range, or all of them deviations from the same machine when sound."""
    rows = [catalogue()[reading.quantity] for reading in case.readings]
    usual = {bearing.finding for row in rows if not row.of_one_machine for bearing in row.bears}
    told = {bearing.finding for row in rows for bearing in row.bears} & knowledge.findings.keys()
    for key in sorted(told):
        finding = knowledge.findings[key]
        if key in usual and finding.measured:
            yield MEASURED, key
        elif key not in usual and finding.against_baseline:
            yield AGAINST_BASELINE, key


def near(word: str, known: Iterable[str]) -> tuple[str, ...]:
    """Ids that look like the word, closest first."""
    return tuple(difflib.get_close_matches(word, list(known), n=3, cutoff=0.5))


def _limits(case: Case) -> None:
    lists = (("reported_by", case.reported_by, words(Channel)), ("conditions", case.conditions, words(Condition)))
    for name, chosen, known in lists:
        for number, word in enumerate(chosen or ()):
            if word not in known:
                raise UnknownNameError(f"{name}.{number}", "value", known)
    if case.compressor_fate not in (None, *words(CompressorFate)):
        raise UnknownNameError("compressor_fate", "value", words(CompressorFate))
    if not 1 <= case.want.shortlist <= MOST_EXPLAINED:
        raise OutOfRangeError("want.shortlist", case.want.shortlist, 1, MOST_EXPLAINED)


def _reading(reading: Reading) -> None:
    if reading.quantity not in catalogue():
        raise UnknownNameError("quantity", "reading", near(reading.quantity, catalogue()))
    row = catalogue()[reading.quantity]
    for name, value in (("value", reading.value), ("uncertainty", reading.uncertainty)):
        if not math.isfinite(value):
            raise InputError(name, "not a finite number", "a finite number")
    if not row.limits[0] <= reading.value <= row.limits[1]:
        raise OutOfRangeError("value", reading.value, *row.limits, row.dimension)
    if reading.uncertainty < 0:
        raise InputError("uncertainty", "negative", "0 or more")


def _explicit(knowledge: Knowledge, case: Case) -> Iterator[Report]:
    """Every report on a finding: as it came, and what follows from good conditions and from a machine that runs."""
    reports: list[Report] = []
    for number, report in enumerate(case.findings):
        field = f"findings.{number}"
        with located(field):
            reports += _on_findings(knowledge, replace(report, field=field))
    yield from reports
    yield from _first(knowledge, case, reports)
    for condition in case.conditions or ():
        yield from _implied(knowledge, condition, "conditions")
    if case.ran and not opened(knowledge, case, reports) and STANDS not in _clearly_read(knowledge, case):
        yield from _implied(knowledge, RUNS, "readings")


def _first(knowledge: Knowledge, case: Case, reports: Sequence[Report]) -> Iterator[Report]:
    """What was there first was there: it is reported by that where nobody reports it otherwise."""
    if case.first is None:
        return
    if case.first not in knowledge.findings:
        raise UnknownNameError("first", "finding", near(case.first, knowledge.findings))
    states = [report.state for report in reports if report.finding == case.first and not report.implied_by]
    if any(state in NORMAL_STATES for state in states):
        raise ConflictError(("first", "findings"), f"{case.first} was first and is said not to be there", "one of them")
    if not states and knowledge.findings[case.first].kind == "three-way":
        raise InputError("first", "said of no finding in `findings`", "a reading that is reported low or high")
    if not states:
        yield Report(case.first, "present", field="first")


def _on_findings(knowledge: Knowledge, report: Report) -> Iterator[Report]:
    """The report, or what it says of findings where it is of a normal; nothing where nobody looked."""
    if report.reliability is not None and not _COIN < report.reliability < 1:
        raise InputError("reliability", "outside the accepted range", "above 0.5 and below 1")
    normal = knowledge.normals.get(report.finding)
    finding = knowledge.findings.get(report.finding)
    if normal is None and finding is None:
        known = (*knowledge.findings, *knowledge.normals)
        raise UnknownNameError("finding", "finding", near(report.finding, known))
    states = (*STATES[finding.kind if finding else "yes-no"], "unknown")
    if report.state not in states:
        raise InputError("state", "not a state of this finding", ", ".join(states))
    if finding and report.state != "unknown":
        yield report
    elif normal and report.state == "present":
        yield from (_healthy(knowledge, key, report) for key in normal.means_absent)


def _healthy(knowledge: Knowledge, finding: str, report: Report) -> Report:
    """A good condition that is present makes a finding absent; that it is absent does not say which is there."""
    state = knowledge.findings[finding].healthy
    return replace(report, finding=finding, state=state, implied_by=report.finding)


def _implied(knowledge: Knowledge, condition: str, field: str) -> Iterator[Report]:
    """What a condition rules out, where a normal of that name says so: a compressor that runs is not seized."""
    if condition in knowledge.normals:
        yield from _on_findings(knowledge, Report(condition, "present", field=field))


def opened(knowledge: Knowledge, case: Case, reports: Sequence[Report]) -> bool:
    """Whether the compressor stands opened: then the readings are older than what is seen now.

    Where somebody says that it runs now it is closed, whatever was seen in it before or from outside.
    """
    if RUNS in (case.conditions or ()):
        return False
    return bool(seen_inside(knowledge, reports)) or "teardown" in case.reported_by


def seen_inside(knowledge: Knowledge, reports: Iterable[Report]) -> tuple[str, ...]:
    """The findings that somebody saw in an opened compressor.

    What follows from a good condition was seen there only where that is told of the inside alone: a compressor that
    runs is not seized, and nobody looked into it.
    """
    return tuple(report.finding for report in reports if _told_of_the_inside(knowledge, report))


def _told_of_the_inside(knowledge: Knowledge, report: Report) -> bool:
    normal = knowledge.normals.get(report.implied_by)
    return all(knowledge.inside(key) for key in (normal.means_absent if normal else (report.finding,)))


def _counted_once(
    knowledge: Knowledge, contexts: Sequence[tuple[str, str]], states: Mapping[str, str]
) -> Iterator[tuple[str, str]]:
    """(finding, remark) for contexts that say what a reported finding says too; the finding is the finer witness."""
    for row in knowledge.contexts:
        if row.same_as in states and (row.field, row.value) in contexts:
            circumstance, finding = f"{row.field} {row.value.replace('-', ' ')}", knowledge.name(row.same_as)
            yield (
                row.same_as,
                f"Counted once: “{circumstance}” and the report on “{finding}” say the same; the report counts.",
            )


def _unique(reports: Sequence[Report]) -> list[Report]:
    """One report a finding. Explicit ones come before what follows from a normal; two unlike explicit ones conflict."""
    chosen: dict[str, Report] = {}
    for report in sorted(reports, key=lambda r: bool(r.implied_by)):
        other = chosen.setdefault(report.finding, report)
        if other.state != report.state and not report.implied_by:
            fields = (f"{other.field}.state", f"{report.field}.state")
            fault = f"{report.finding} is said to be {other.state} and {report.state}"
            raise ConflictError(fields, fault, "one state a finding")
    return [chosen[key] for key in dict.fromkeys(report.finding for report in reports)]


def _narrowed(
    knowledge: Knowledge, case: Case, machine: Machine, reports: Sequence[Report]
) -> tuple[Machine, list[str], tuple[str, ...]]:
    """The machine, with what only some machines can show filled in where the caller left it open; and unlike findings.

    Findings of unlike machines fill in nothing: which of them is right is not for us to say.
    """
    shown: dict[str, dict[str, frozenset[str]]] = {}
    for finding, applies in _of_some(knowledge, case, machine, reports):
        for part, wanted in applies.parts:
            if getattr(machine, part) is None:
                shown.setdefault(part, {})[finding] = wanted
    remarks, unlike = [], dict[str, None]()
    for part, by_finding in shown.items():
        common, said = frozenset.intersection(*by_finding.values()), ", ".join(by_finding)
        if len(common) == 1:
            machine = replace(machine, **{part: min(common)})  # type: ignore[arg-type]
            remarks.append(f"Taken to be {min(common)} ({part}), since only such machines show: {said}.")
        elif not common:
            remarks.append(f"No machine shows all of this: {said}. Nothing was concluded on the machine ({part}).")
            unlike |= dict.fromkeys(by_finding)
    return machine, remarks, tuple(unlike)


def _of_some(
    knowledge: Knowledge, case: Case, machine: Machine, reports: Sequence[Report]
) -> Iterator[tuple[str, Applies]]:
    """(finding, which machines) of what is reported abnormal, and of numbers that only one kind of supply has."""
    for report in reports:
        applies = knowledge.findings[report.finding].applies
        if report.state not in NORMAL_STATES and applies.to(machine):
            yield report.finding, applies
    for reading in case.readings:
        for bearing in catalogue()[reading.quantity].bears:
            if finding := knowledge.findings.get(bearing.finding):
                yield finding.id, Applies(phases=finding.applies.phases)


def _set_aside(knowledge: Knowledge, machine: Machine, reports: Sequence[Report]) -> Iterator[SetAside]:
    """What somebody reported that this machine cannot have; it counts for nothing, and harms no other finding."""
    for report in reports:
        applies = knowledge.findings[report.finding].applies
        if not report.implied_by and not applies.to(machine):
            parts = [part for part, wanted in applies.parts if getattr(machine, part) not in (None, *wanted)]
            has = " and ".join(_in_words(part, getattr(machine, part)) for part in parts)
            reason = f"It is a finding of other machines ({_wanted(applies)}); this one is {has}."
            yield SetAside(report.finding, reason)


def _wanted(applies: Applies) -> str:
    return "; ".join(" or ".join(_in_words(part, word) for word in sorted(words)) for part, words in applies.parts)


_SAID = {"fixed-speed": "at fixed speed", "inverter": "on an inverter"}


def _in_words(part: str, word: str) -> str:
    """A word of the machine as it is said: a scroll, single-phase, low-side, at fixed speed."""
    return f"a {word}" if part == "compressor" else _SAID.get(word, word)


def _contexts(knowledge: Knowledge, case: Case) -> Iterator[tuple[str, str]]:
    known = contexts_of(knowledge)
    for field, value in case.circumstances:
        if field not in known:
            raise UnknownNameError(f"circumstances.{field}", "circumstance", near(field, known))
        if value not in known[field]:
            raise UnknownNameError(f"circumstances.{field}", f"value of {field}", near(value, known[field]))
        yield field, value


@lru_cache(maxsize=8)
def contexts_of(knowledge: Knowledge) -> Mapping[str, tuple[str, ...]]:
    """Fields of context with their values, in the order of the file."""
    known: dict[str, dict[str, None]] = {}
    for context in knowledge.contexts:
        known.setdefault(context.field, {})[context.value] = None
    return {field: tuple(values) for field, values in known.items()}


def _queue(knowledge: Knowledge, case: Case) -> Iterator[tuple[str, str]]:
    """The ordinary call, where nothing is said of how the machine came to be looked at."""
    field, value = ORDINARY_CALL
    if value in contexts_of(knowledge).get(field, ()) and field not in dict(case.circumstances):
        yield ORDINARY_CALL


def _fate(case: Case) -> Iterator[tuple[str, str]]:
    if case.compressor_fate:
        yield FATE, case.compressor_fate


def _machine_contexts(machine: Machine) -> Iterator[tuple[str, str]]:
    for part in MACHINE_WORDS:
        if getattr(machine, part) is not None:
            yield part, getattr(machine, part)
