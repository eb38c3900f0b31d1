"""What can be wrong with knowledge as a whole: impossible figures, unknown ids, orphans, circles, unknown sources."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from graphlib import CycleError, TopologicalSorter

from witnessmark.diagnosis.catalogue.rows import (
    MACHINE_WORDS,
    NO_FAULT,
    Advice,
    Applies,
    Cause,
    ConflictPair,
    Context,
    Finding,
    Knowledge,
    Link,
    Mode,
    Normal,
    SafetyRule,
)
from witnessmark.reference import cautions, sources

Reasoned = Link | Context | Finding | Mode | Cause | Normal
_CHANNELS = {"note", "form", "teardown"}
_CONDITIONS = {"power-off", "compressor-runs", "circuit-open", "compressor-removed"}
_STAGES = {"history", "field", "teardown", "laboratory"}
_STATES = {"yes-no": {"present", "absent"}, "three-way": {"low", "normal", "high"}}
_COIN = 0.5
_ROLES = {"initiating", "terminal", "either", "none"}


def faults(held: Knowledge) -> list[str]:
    """Everything that is wrong, one sentence each; empty when the knowledge can be used."""
    return [
        *_figures(held),
        *_ids(held),
        *_links(held),
        *_twice_told(held),
        *_orphans(held),
        *_circles(held),
        *_origins(held),
    ]


def _probability(value: object) -> bool:
    return isinstance(value, float | int) and 0 < value < 1


def _figures(held: Knowledge) -> Iterator[str]:
    items: tuple[Mode | Cause, ...] = (*held.modes.values(), *held.causes.values())
    for item in items:
        if not _probability(item.prior):
            yield f"{item.id}: prior is not between 0 and 1"
    for mode in held.modes.values():
        if mode.kind not in _ROLES:
            yield f"{mode.id}: kind is not one of {sorted(_ROLES)}"
    for finding in held.findings.values():
        yield from _finding(finding)
    for context in held.contexts:
        if not context.odds_ratio > 0:
            yield f"context {context.field} {context.value} {context.target}: odds ratio is not positive"


def _finding(finding: Finding) -> Iterator[str]:
    if finding.kind not in _STATES:
        yield f"{finding.id}: kind is neither yes-no nor three-way"
    if not _has_background(finding):
        yield f"{finding.id}: background is not between 0 and 1"
    if not _COIN < finding.reliability < 1:
        yield f"{finding.id}: reliability is not between 0.5 and 1"
    if finding.stage not in _STAGES:
        yield f"{finding.id}: stage is not one of {sorted(_STAGES)}"
    if finding.kind == "three-way" and not (finding.low_text and finding.high_text):
        yield f"{finding.id}: a three-way finding needs low_text and high_text"
    yield from _reporting(finding)


def _has_background(finding: Finding) -> bool:
    yes_no = finding.kind == "yes-no"
    levels = (finding.background,) if yes_no else (finding.background_low, finding.background_high)
    return all(_probability(level) for level in levels) and sum(levels) < 1


def _reporting(finding: Finding) -> Iterator[str]:
    if finding.mention.keys() - _CHANNELS:
        yield f"{finding.id}: mentioned in an unknown channel"
    for channel, mention in finding.mention.items():
        if not (0 <= mention.present < 1 and 0 <= mention.absent < 1):
            yield f"{finding.id}: mention.{channel} is not in 0..1"
    check = finding.check
    if check and not (check.minutes > 0 and check.cost >= 0):
        yield f"{finding.id}: a check needs minutes above 0 and a cost of at least 0"
    if check and set(check.needs) - _CONDITIONS:
        yield f"{finding.id}: needs an unknown condition"


def _unknown(what: str, keys: Iterable[str], known: Iterable[str]) -> Iterator[str]:
    yield from (f"{what}: unknown id {key}" for key in sorted(set(keys) - set(known)))


def _ids(held: Knowledge) -> Iterator[str]:
    nodes = held.modes.keys() | held.causes.keys()
    yield from _unknown("contexts", (c.target for c in held.contexts), nodes | {NO_FAULT})
    yield from _unknown("contexts", (c.same_as for c in held.contexts if c.same_as), held.findings)
    yield from _unknown("dispatch", held.advice, nodes | {NO_FAULT})
    for normal in held.normals.values():
        yield from _unknown(f"normal {normal.id}", normal.means_absent, held.findings)
    for rule in held.safety:
        yield from _unknown(f"rule {rule.id}", (*rule.any_of, *rule.all_of), held.findings)
        if rule.mode:
            yield from _unknown(f"rule {rule.id}", [rule.mode.mode], held.modes)
        if not (rule.any_of or rule.all_of or rule.mode):
            yield f"rule {rule.id}: fires on nothing"
    for pair in held.conflicts:
        for key, state in ((pair.a, pair.a_state), (pair.b, pair.b_state)):
            yield from _unknown("conflicts", [key], held.findings)
            if key in held.findings and state not in _STATES[held.findings[key].kind]:
                yield f"conflicts: {key} cannot be {state}"
    for twice in sorted(held.modes.keys() & held.causes.keys() | held.findings.keys() & (nodes | held.normals.keys())):
        yield f"{twice}: the same id stands for two things"


def _links(held: Knowledge) -> Iterator[str]:
    ends = (
        (held.mode_finding, held.modes, held.findings),
        (held.cause_finding, held.causes, held.findings),
        (held.cause_mode, held.causes, held.modes),
        (held.mode_mode, held.modes, held.modes),
    )
    for links, origins, targets in ends:
        for link in links:
            yield from _unknown("links", [link.origin], origins)
            yield from _unknown("links", [link.target], targets)
            if not _probability(link.probability):
                yield f"{link.origin} -> {link.target}: probability is not between 0 and 1"
    for link in (*held.mode_finding, *held.cause_finding):
        if link.target in held.findings and _has_background(held.findings[link.target]):
            yield from _strength(held.findings[link.target], link)
    yield from _twice((*held.mode_finding, *held.cause_finding, *held.cause_mode, *held.mode_mode))


def _twice_told(held: Knowledge) -> Iterator[str]:
    """A context gives way to a finding only where the finding really tells of the same target."""
    told = {(link.origin, link.target) for link in (*held.mode_finding, *held.cause_finding)}
    for context in held.contexts:
        if context.same_as in held.findings and (context.target, context.same_as) not in told:
            yield f"context {context.field} {context.value}: {context.same_as} says nothing of {context.target}"


def _strength(finding: Finding, link: Link) -> Iterator[str]:
    """A noisy-OR can raise a finding, never lower it, so a link below the background says nothing it can hold."""
    level = {"present": finding.background, "low": finding.background_low, "high": finding.background_high}
    fits = (link.state == "present") == (finding.kind == "yes-no")
    if not fits or link.state not in level:
        yield f"{link.origin} -> {link.target}: state {link.state} does not fit a {finding.kind} finding"
    elif link.probability <= level[link.state]:
        yield f"{link.origin} -> {link.target}: {link.probability} does not exceed the background {level[link.state]}"
    elif finding.kind == "three-way" and link.probability + level["high" if link.state == "low" else "low"] >= 1:
        yield f"{link.origin} -> {link.target}: leaves no room for the other states"


def _overlap(a: Applies, b: Applies) -> bool:
    both = ((a.compressor, b.compressor), (a.shell, b.shell), (a.drive, b.drive))
    return all(not one or not two or one & two for one, two in both)


def _twice(links: tuple[Link, ...]) -> Iterator[str]:
    seen: dict[tuple[str, str, str], list[Applies]] = {}
    for link in links:
        others = seen.setdefault((link.origin, link.target, link.state), [])
        if any(_overlap(link.applies, other) for other in others):
            yield f"{link.origin} -> {link.target} {link.state}: stands twice for the same machine"
        others.append(link.applies)


def _orphans(held: Knowledge) -> Iterator[str]:
    told = {link.origin for link in held.mode_finding}
    yield from (f"{key}: no finding points to this mode" for key in held.modes if key not in told)
    used = {link.origin for link in (*held.cause_finding, *held.cause_mode)}
    yield from (f"{key}: this cause leads nowhere" for key in held.causes if key not in used)
    reached = {link.target for link in (*held.mode_finding, *held.cause_finding)}
    yield from (f"{key}: nothing leads to this finding" for key in held.findings if key not in reached)


def _circles(held: Knowledge) -> Iterator[str]:
    after: dict[str, set[str]] = {}
    for link in held.mode_mode:
        after.setdefault(link.target, set()).add(link.origin)
    try:
        TopologicalSorter(after).prepare()
    except CycleError as error:
        yield f"modes bring each other about in a circle: {error.args[1]}"


def _origins(held: Knowledge) -> Iterator[str]:
    links = (*held.mode_finding, *held.cause_finding, *held.cause_mode, *held.mode_mode)
    named: tuple[Finding | Mode | Cause, ...] = (
        *held.findings.values(),
        *held.modes.values(),
        *held.causes.values(),
    )
    reasoned: tuple[Reasoned, ...] = (*links, *held.contexts, *named, *held.normals.values())
    for row in reasoned:
        if not (row.rationale and row.reviewed):
            yield f"{_words(row)}: no rationale or never reviewed"
    sourced: tuple[Reasoned | SafetyRule | Advice | ConflictPair, ...] = (
        *reasoned,
        *held.safety,
        *held.advice.values(),
        *held.conflicts,
    )
    yield from _unknown("sources", (row.source for row in sourced), sources())
    bound: tuple[Link | Finding | Mode | Cause | SafetyRule, ...] = (*links, *named, *held.safety)
    for applies in (row.applies for row in bound):
        yield from _machine_words(applies)
    hazards = {h for f in held.findings.values() if f.check for h in f.check.hazards}
    yield from _unknown("cautions", hazards | {c for rule in held.safety for c in rule.cautions}, cautions())


def _words(row: Reasoned) -> str:
    parts = (getattr(row, key, "") for key in ("id", "origin", "field", "value", "target"))
    return " ".join(part for part in parts if part)


def _machine_words(applies: Applies) -> Iterator[str]:
    for part, known in MACHINE_WORDS.items():
        if unknown := getattr(applies, part) - set(known):
            yield f"applies.{part}: unknown {sorted(unknown)}"
