"""What can be wrong with knowledge as a whole: unknown ids, impossible strengths, repetitions, orphans, circles.

What can be wrong with a row on its own stands with its kind, in `rows.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from graphlib import CycleError, TopologicalSorter

from witnessmark.diagnosis.catalogue.readings import ReadingRow
from witnessmark.diagnosis.catalogue.row_base import Applies
from witnessmark.diagnosis.catalogue.row_files import unknown
from witnessmark.diagnosis.catalogue.rows import DANGER, NO_FAULT, STATES, Finding, Knowledge, Link


def faults(knowledge: Knowledge) -> list[str]:
    """Everything that is wrong, one sentence each; empty when the knowledge can be used."""
    checks = (_ids, _steps, _conflicts, _one_meaning, _links, _counted_twice, _orphans, _circles)
    return [fault for check in checks for fault in check(knowledge)]


def _ids(knowledge: Knowledge) -> Iterator[str]:
    targets = knowledge.modes.keys() | knowledge.causes.keys() | {NO_FAULT}
    yield from unknown("contexts", (c.target for c in knowledge.contexts), targets)
    yield from unknown("contexts", (c.same_as for c in knowledge.contexts if c.same_as), knowledge.findings)
    yield from unknown("dispatch", knowledge.advice, targets)
    for normal in knowledge.normals.values():
        yield from unknown(f"normal {normal.id}", normal.means_absent, knowledge.findings)
    for rule in knowledge.safety:
        yield from unknown(f"rule {rule.id}", (*rule.when.any_of, *rule.when.all_of), knowledge.findings)
        if rule.when.mode:
            yield from unknown(f"rule {rule.id}", [rule.when.mode.mode], knowledge.modes)


def _steps(knowledge: Knowledge) -> Iterator[str]:
    """A step hangs on findings that there are, in states that they can be in."""
    for row in knowledge.advice.values():
        for step in (*row.for_caller, *row.do_now):
            for key, state in (*step.unless.items(), *step.when.items()):
                yield from unknown(f"dispatch {row.target}", [key], knowledge.findings)
                if key in knowledge.findings and state not in STATES[knowledge.findings[key].kind]:
                    yield f"dispatch {row.target}: {key} cannot be {state}"


def _conflicts(knowledge: Knowledge) -> Iterator[str]:
    for pair in knowledge.conflicts:
        yield from unknown("conflicts", pair.look, knowledge.findings)
        for key, state in ((pair.a, pair.a_state), (pair.b, pair.b_state)):
            yield from unknown("conflicts", [key], knowledge.findings)
            if key in knowledge.findings and state not in STATES[knowledge.findings[key].kind]:
                yield f"conflicts: {key} cannot be {state}"


def _one_meaning(knowledge: Knowledge) -> Iterator[str]:
    """An id stands for one thing."""
    hypotheses = knowledge.modes.keys() | knowledge.causes.keys()
    both = knowledge.modes.keys() & knowledge.causes.keys()
    both |= knowledge.findings.keys() & (hypotheses | knowledge.normals.keys())
    yield from (f"{key}: the same id stands for two things" for key in sorted(both))


def _links(knowledge: Knowledge) -> Iterator[str]:
    ends = (
        (knowledge.mode_finding, knowledge.modes, knowledge.findings),
        (knowledge.cause_finding, knowledge.causes, knowledge.findings),
        (knowledge.cause_mode, knowledge.causes, knowledge.modes),
        (knowledge.mode_mode, knowledge.modes, knowledge.modes),
    )
    for links, origins, targets in ends:
        yield from unknown("links", (link.origin for link in links), origins)
        yield from unknown("links", (link.target for link in links), targets)
    for link in (*knowledge.mode_finding, *knowledge.cause_finding):
        if link.target in knowledge.findings:
            yield from _strength(knowledge.findings[link.target], link)
    yield from _twice(knowledge.links)


def _counted_twice(knowledge: Knowledge) -> Iterator[str]:
    """A context gives way to a finding only where the finding really tells of the same target."""
    shown = {(link.origin, link.target) for link in (*knowledge.mode_finding, *knowledge.cause_finding)}
    for context in knowledge.contexts:
        if context.same_as in knowledge.findings and (context.target, context.same_as) not in shown:
            yield f"context {context.field} {context.value}: {context.same_as} says nothing of {context.target}"


def _strength(finding: Finding, link: Link) -> Iterator[str]:
    """A noisy-OR can raise a finding, never lower it, so a link below the background says nothing it can hold."""
    arrow = f"{link.origin} -> {link.target}"
    if link.state not in finding.signs:
        yield f"{arrow}: state {link.state} does not fit a {finding.kind} finding"
        return
    level = finding.backgrounds[link.state]
    others = sum(finding.backgrounds[state] for state in finding.signs if state != link.state)
    if link.probability <= level:
        yield f"{arrow}: {link.probability} does not exceed the background {level}"
    elif link.probability + others >= 1:
        yield f"{arrow}: leaves no room for the other states"


def _twice(links: tuple[Link, ...]) -> Iterator[str]:
    seen: dict[tuple[str, str, str], list[Applies]] = {}
    for link in links:
        others = seen.setdefault((link.origin, link.target, link.state), [])
        if any(link.applies.meets(other) for other in others):
            yield f"{link.origin} -> {link.target} {link.state}: stands twice for the same machine"
        others.append(link.applies)


def _orphans(knowledge: Knowledge) -> Iterator[str]:
    shown = {link.origin for link in knowledge.mode_finding}
    yield from (f"{key}: no finding points to this mode" for key in knowledge.modes if key not in shown)
    used = {link.origin for link in (*knowledge.cause_finding, *knowledge.cause_mode)}
    yield from (f"{key}: this cause leads nowhere" for key in knowledge.causes if key not in used)
    reached = {link.target for link in (*knowledge.mode_finding, *knowledge.cause_finding)}
    yield from (
        f"{row.id}: nothing leads to this finding"
        for row in knowledge.findings.values()
        if row.id not in reached and row.group != DANGER
    )


def _circles(knowledge: Knowledge) -> Iterator[str]:
    after: dict[str, set[str]] = {}
    for link in knowledge.mode_mode:
        after.setdefault(link.target, set()).add(link.origin)
    try:
        TopologicalSorter(after).prepare()
    except CycleError as error:
        yield f"modes bring each other about in a circle: {error.args[1]}"


def unknown_to_readings(known: Knowledge, rows: Iterable[ReadingRow]) -> Iterator[str]:
    """Bearings on findings, or states of one, that the knowledge does not have: they would be lost without a word."""
    for row in rows:
        for bearing in row.bears:
            if bearing.finding not in known.findings:
                yield f"reading {row.id}: unknown finding {bearing.finding}"
            elif {bearing.low, bearing.high} != _fitting(known.findings[bearing.finding]):
                yield f"reading {row.id}: {bearing.finding} has no state {bearing.low or bearing.high}"


def _fitting(finding: Finding) -> set[str]:
    """The states that the two ends of a reading can stand for."""
    return {"low", "high"} if finding.kind == "three-way" else {"present", ""}
