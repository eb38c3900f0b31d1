"""Looks knowledge over before it ships: what is wrong with it, what a reviewer should doubt, what a change does.

`review` lints a folder. `load` already refuses what cannot be used (orphans, unknown ids, impossible figures, missing
sources, rows never reviewed); those refusals come out as `errors`. What can be used but looks wrong to a practitioner
comes out as `doubts`. `compare` says what became of the verdicts on a set of cases between two folders; `check` does
both for the command line.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from itertools import combinations
from math import log10

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue.knowledge import (
    Applies,
    Finding,
    Knowledge,
    Link,
    load,
)
from witnessmark.diagnosis.evaluation.case_set import Described, Outcome, read_cases, run
from witnessmark.diagnosis.evidence.readings import dangling, read_rows
from witnessmark.reference import source

Signs = Mapping[tuple[str, str], float]
"""(finding, state) -> P(state | only this origin active)."""
OPENING_CAUTIONS = frozenset({"refrigerant-release", "burnout-oil-acid", "cut-open-shell", "trapped-pressure"})
LIVE_CAUTIONS = frozenset({"live-measurement", "capacitors-hold-charge", "terminal-venting"})
TELLING = 0.5
"""A mode or cause that brings no finding at least this often can hardly be recognised."""
SEPARATION = 5.0
"""Decibans that the best finding should give between two modes: about three to one."""
MOVED = 0.1
"""A change of the leading probability that is worth a line."""
WRONG = 3.0
"""Times the background that a state may be reported wrongly."""
SERIOUS = 0.5
"""Two findings that exclude each other should not both be this likely under one mode."""


@dataclass(frozen=True, slots=True)
class Review:
    """What the lint found. counts: how many figures stand on which trust."""

    errors: tuple[str, ...]
    doubts: tuple[str, ...]
    counts: Mapping[str, int]

    @property
    def text(self) -> str:
        """The review as lines for a terminal."""
        lines = [f"error: {line}" for line in self.errors] + [f"doubt: {line}" for line in self.doubts]
        figures = ", ".join(f"{number} on {trust}" for trust, number in sorted(self.counts.items()))
        return "\n".join([*lines, f"figures: {figures or 'none read'}"])


def review(folder: Traversable) -> Review:
    """Lint a knowledge folder."""
    try:
        held = load(folder)
    except DataError as error:
        return Review(tuple(error.faults), (), {})
    return Review((*_errors(held), *_of_readings(folder, held)), tuple(_doubts(held)), trust_counts(held))


def _of_readings(folder: Traversable, held: Knowledge) -> Iterator[str]:
    """What is wrong with the readings of the folder, measured against its own findings."""
    try:
        yield from dangling(held, read_rows(folder))
    except DataError as error:
        yield from error.faults


def trust_counts(held: Knowledge) -> dict[str, int]:
    """Number of rows that carry a figure, by the trust of their source."""
    return dict(Counter(source(key).trust for key in figure_sources(held)))


def figure_sources(held: Knowledge) -> list[str]:
    """Source id of every row that carries a figure."""
    found = [link.source for link in all_links(held)] + [context.source for context in held.contexts]
    found += [finding.source for finding in held.findings.values()]
    found += [mode.source for mode in held.modes.values()]
    return found + [cause.source for cause in held.causes.values()]


def all_links(held: Knowledge) -> tuple[Link, ...]:
    """Every arrow of the knowledge."""
    return (*held.cause_mode, *held.mode_mode, *held.cause_finding, *held.mode_finding)


def _errors(held: Knowledge) -> Iterator[str]:
    for finding in held.findings.values():
        yield from _silence(finding)
        yield from _hazards(finding)
    yield from _nowhere(held)


def _silence(finding: Finding) -> Iterator[str]:
    """Nobody mentions the ordinary more readily than the abnormal; if they did, silence would speak for the fault."""
    for channel, mention in finding.mention.items():
        if mention.present < mention.absent:
            yield f"{finding.id}: mentioned more often when absent than when present ({channel})"


def _hazards(finding: Finding) -> Iterator[str]:
    check = finding.check
    if check is None:
        return
    if check.energised and not LIVE_CAUTIONS & set(check.hazards):
        yield f"{finding.id}: an energised check without its caution"
    if check.opens_circuit and not OPENING_CAUTIONS & set(check.hazards):
        yield f"{finding.id}: a check that opens the circuit without its caution"


def _applies(held: Knowledge, key: str) -> Applies:
    return (held.modes.get(key) or held.causes.get(key) or held.findings[key]).applies


def _nowhere(held: Knowledge) -> Iterator[str]:
    for link in all_links(held):
        if not _applies(held, link.origin).meets(_applies(held, link.target)):
            yield f"{link.origin} -> {link.target}: no machine can have both"


def _doubts(held: Knowledge) -> Iterator[str]:
    for layer, links in ((held.modes, held.mode_finding), (held.causes, held.cause_finding)):
        signs = {key: signs_of(key, links) for key in layer}
        yield from _faint(signs)
        yield from _alike(held, signs)
    yield from _excluding(held)
    yield from _unserved(held)
    yield from _misreported(held)


def signs_of(key: str, links: tuple[Link, ...]) -> dict[tuple[str, str], float]:
    """What one mode or cause brings about."""
    return {(link.target, link.state): link.probability for link in links if link.origin == key}


def _faint(signs: Mapping[str, Signs]) -> Iterator[str]:
    for key, mine in signs.items():
        if max(mine.values(), default=0) < TELLING:
            yield f"{key}: no finding shows it at least every second time"


def _alike(held: Knowledge, signs: Mapping[str, Signs]) -> Iterator[str]:
    for one, other in combinations(signs, 2):
        if _applies(held, one).meets(_applies(held, other)):
            best = separation(held, signs[one], signs[other])
            if best < SEPARATION:
                yield f"{one} and {other}: the best finding separates them by {best:.1f} dB only"


def separation(held: Knowledge, one: Signs, other: Signs) -> float:
    """Decibans of the single finding that tells two origins apart best, each being the only one active."""
    return max((_ratio(held, key, one, other) for key in {**one, **other}), default=0.0)


def _ratio(held: Knowledge, key: tuple[str, str], one: Signs, other: Signs) -> float:
    level = background(held.findings[key[0]], key[1])
    a, b = one.get(key, level), other.get(key, level)
    return max(abs(10 * log10(a / b)), abs(10 * log10((1 - a) / (1 - b))))


def background(finding: Finding, state: str) -> float:
    """P(state) with nothing in the model active."""
    return {"low": finding.background_low, "high": finding.background_high}.get(state, finding.background)


def _excluding(held: Knowledge) -> Iterator[str]:
    """Findings that exclude each other, yet are both expected under one mode: one of the three rows is wrong."""
    for key in held.modes:
        mine = signs_of(key, held.mode_finding)
        for pair in held.conflicts:
            likely = [mine.get((pair.a, pair.a_state), 0.0), mine.get((pair.b, pair.b_state), 0.0)]
            if min(likely) >= SERIOUS:
                yield f"{key}: expects {pair.a} {pair.a_state} with {pair.b} {pair.b_state}, which exclude each other"


def _unserved(held: Knowledge) -> Iterator[str]:
    for key in (*held.modes, *held.causes):
        if key not in held.advice:
            yield f"{key}: nobody is told what to send"
    for key in held.modes:
        if not any(link.target == key for link in (*held.cause_mode, *held.mode_mode)):
            yield f"{key}: nothing leads to it"
    for finding in held.findings.values():
        if finding.check is None:
            yield f"{finding.id}: nobody is told how to check it"


def _misreported(held: Knowledge) -> Iterator[str]:
    """A background is what is reported without a reason; wrong reports cannot be much more frequent than that."""
    for finding in held.findings.values():
        rarest = min(level for level in (finding.background, finding.background_low, finding.background_high) if level)
        if 1 - finding.reliability > WRONG * rarest:
            yield f"{finding.id}: reported wrongly {1 - finding.reliability:.3f}, background only {rarest:.3f}"


@dataclass(frozen=True, slots=True)
class Change:
    """What became of one case: verdict state, leading mode and its probability before and after."""

    case: str
    before: tuple[str, str, float]
    after: tuple[str, str, float]

    @property
    def text(self) -> str:
        """The change in one line."""
        return f"{self.case}: {_said(self.before)} -> {_said(self.after)}"


def _said(standing: tuple[str, str, float]) -> str:
    state, mode, probability = standing
    return f"{state}, {mode} {probability:.2f}"


def compare(before: Traversable, after: Traversable, cases: tuple[Described, ...]) -> tuple[Change, ...]:
    """Cases whose verdict or leading mode differs, or whose leading mode moved by more than `MOVED`."""
    pairs = zip(run(cases, load(before)), run(cases, load(after)), strict=True)
    changes = (Change(old.described.id, _standing(old), _standing(new)) for old, new in pairs)
    return tuple(change for change in changes if _differs(change))


def _standing(outcome: Outcome) -> tuple[str, str, float]:
    return outcome.answer.verdict.state, outcome.top, outcome.answer.modes[0].probability


def _differs(change: Change) -> bool:
    return change.before[:2] != change.after[:2] or abs(change.before[2] - change.after[2]) > MOVED


def check(
    folder: Traversable, against: Traversable | None = None, cases: Traversable | None = None
) -> tuple[str, bool]:
    """Text of the lint, and of the comparison with `against` on the cases if both are given; whether it is sound.

    Raises DataError when a folder to compare cannot be loaded.
    """
    found = review(folder)
    lines = [found.text]
    if against is not None and cases is not None and not found.errors:
        changes = compare(against, folder, read_cases(cases))
        lines += [f"changed on the case set: {len(changes)}", *(change.text for change in changes)]
    return "\n".join(lines), not found.errors
