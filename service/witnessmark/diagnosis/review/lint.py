"""Lints a folder of knowledge before it ships: what is wrong with it, and what a reviewer should doubt.

`load` already refuses what cannot be used (orphans, unknown ids, impossible figures, missing sources, rows never
reviewed); those refusals come out as `errors`. What can be used but looks wrong to a practitioner comes out as
`doubts`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from graphlib import TopologicalSorter
from importlib.resources.abc import Traversable
from itertools import combinations
from math import log10, prod

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue.checks import unknown_to_readings
from witnessmark.diagnosis.catalogue.decisions import decisions
from witnessmark.diagnosis.catalogue.knowledge import load
from witnessmark.diagnosis.catalogue.readings import catalogue, read_rows
from witnessmark.diagnosis.catalogue.row_base import Applies
from witnessmark.diagnosis.catalogue.row_files import namesake
from witnessmark.diagnosis.catalogue.rows import Finding, Knowledge, Link
from witnessmark.diagnosis.notes.numbers.words.rows import NUMBERS
from witnessmark.diagnosis.notes.numbers.words.rows import dangling as dangling_numbers
from witnessmark.diagnosis.notes.phrase_rows import PHRASES, SPANISH
from witnessmark.diagnosis.notes.vocabulary import compiled
from witnessmark.diagnosis.notes.vocabulary import dangling as dangling_words
from witnessmark.reference import source

Signs = Mapping[tuple[str, str], float]
"""(finding, state) -> P(state | only this origin active)."""
OPENING_CAUTIONS = frozenset({"refrigerant-release", "burnout-oil-acid", "cut-open-shell", "trapped-pressure"})
LIVE_CAUTIONS = frozenset({"live-measurement", "capacitors-hold-charge", "terminal-venting"})
TELLING = 0.5
"""A mode or cause that brings no finding at least this often can hardly be recognised."""
SEPARATION = 5.0
"""Decibans that the best finding should give between two modes: about three to one."""
WRONG = 3.0
"""Times the background that a state may be reported wrongly."""
SERIOUS = 0.5
"""Two findings that exclude each other should not both be this likely under one mode."""

UNDEFINED = 0.35
"""P(reported | origin not there) over P(origin and finding) that a defining finding may have, before anybody called."""


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
        knowledge = load(folder)
    except DataError as error:
        return Review(tuple(error.faults), (), {})
    errors = dict.fromkeys((*_errors(knowledge), *_beside(folder, knowledge)))
    return Review(tuple(errors), tuple(_doubts(knowledge)), trust_counts(knowledge))


def _beside(folder: Traversable, knowledge: Knowledge) -> Iterator[str]:
    """What is wrong with the other files of the folder, as far as it has them, measured against its own findings."""
    for check in (_readings, _wording, _figures):
        try:
            yield from check(folder, knowledge)
        except DataError as error:
            yield from error.faults


def _readings(folder: Traversable, knowledge: Knowledge) -> Iterator[str]:
    return unknown_to_readings(knowledge, read_rows(folder))


def _wording(folder: Traversable, knowledge: Knowledge) -> Iterator[str]:
    """Of phrases.toml, spanish.toml and numbers.toml; what the folder has not of the last two is as shipped."""
    if phrases := namesake(folder, PHRASES):
        other = namesake(folder, SPANISH) or SPANISH()
        compiled(phrases, other=other)
        yield from dangling_words(phrases, knowledge, other)
    if numbers := namesake(folder, NUMBERS):
        readings = {row.id for row in read_rows(folder)} or catalogue()
        yield from dangling_numbers(numbers, knowledge.findings, readings)


def _figures(folder: Traversable, _knowledge: Knowledge) -> Iterator[str]:
    """Of decisions.toml, which need only be readable."""
    namesake(folder, decisions)
    yield from ()


def trust_counts(knowledge: Knowledge) -> dict[str, int]:
    """Number of rows that carry a figure, by the trust of their source."""
    return dict(Counter(source(key).trust for key in figure_sources(knowledge)))


def figure_sources(knowledge: Knowledge) -> list[str]:
    """Source id of every row that carries a figure."""
    ids = [link.source for link in knowledge.links] + [context.source for context in knowledge.contexts]
    ids += [finding.source for finding in knowledge.findings.values()]
    ids += [mode.source for mode in knowledge.modes.values()]
    return ids + [cause.source for cause in knowledge.causes.values()]


def _errors(knowledge: Knowledge) -> Iterator[str]:
    for finding in knowledge.findings.values():
        yield from _silence(finding)
        yield from _hazards(finding)
    yield from _nowhere(knowledge)
    yield from _definitions(knowledge)


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


def _applies(knowledge: Knowledge, key: str) -> Applies:
    return (knowledge.modes.get(key) or knowledge.causes.get(key) or knowledge.findings[key]).applies


def _nowhere(knowledge: Knowledge) -> Iterator[str]:
    for link in knowledge.links:
        if not _applies(knowledge, link.origin).meets(_applies(knowledge, link.target)):
            yield f"{link.origin} -> {link.target}: no machine can have both"


def _definitions(knowledge: Knowledge) -> Iterator[str]:
    """A finding that defines its origin is seldom raised, or reported, where the origin is not there."""
    there = _prevalence(knowledge)
    for link in knowledge.links:
        if link.defines:
            finding = knowledge.findings[link.target]
            nothing = finding.backgrounds[link.state] + 1 - finding.reliability
            if nothing > UNDEFINED * there[link.origin] * link.probability:
                yield f"{link.target}: defines {link.origin}, yet is often reported for nothing ({nothing:.4f})"


def _prevalence(knowledge: Knowledge) -> dict[str, float]:
    """P(mode or cause) before anybody called, origins taken as independent."""
    before: dict[str, list[Link]] = {key: [] for key in knowledge.modes}
    for link in (*knowledge.cause_mode, *knowledge.mode_mode):
        before[link.target].append(link)
    there = {key: cause.prior for key, cause in knowledge.causes.items()}
    order = TopologicalSorter({key: [link.origin for link in links] for key, links in before.items()}).static_order()
    for key in (mode for mode in order if mode in before):
        off = prod(1 - there[link.origin] * link.probability for link in before[key])
        there[key] = 1 - (1 - knowledge.modes[key].prior) * off
    return there


def _doubts(knowledge: Knowledge) -> Iterator[str]:
    for layer, links in ((knowledge.modes, knowledge.mode_finding), (knowledge.causes, knowledge.cause_finding)):
        signs = {key: signs_of(key, links) for key in layer}
        yield from _faint(signs)
        yield from _alike(knowledge, signs)
    yield from _excluding(knowledge)
    yield from _unserved(knowledge)
    yield from _misreported(knowledge)


def signs_of(key: str, links: tuple[Link, ...]) -> dict[tuple[str, str], float]:
    """What one mode or cause brings about."""
    return {(link.target, link.state): link.probability for link in links if link.origin == key}


def _faint(signs: Mapping[str, Signs]) -> Iterator[str]:
    for key, mine in signs.items():
        if max(mine.values(), default=0) < TELLING:
            yield f"{key}: no finding shows it at least every second time"


def _alike(knowledge: Knowledge, signs: Mapping[str, Signs]) -> Iterator[str]:
    for first, second in combinations(signs, 2):
        if _applies(knowledge, first).meets(_applies(knowledge, second)):
            best = separation(knowledge, signs[first], signs[second])
            if best < SEPARATION:
                yield f"{first} and {second}: the best finding separates them by {best:.1f} dB only"


def separation(knowledge: Knowledge, first: Signs, second: Signs) -> float:
    """Decibans of the single finding that tells two origins apart best, each being the only one active."""
    return max((_ratio(knowledge, key, first, second) for key in {**first, **second}), default=0.0)


def _ratio(knowledge: Knowledge, key: tuple[str, str], first: Signs, second: Signs) -> float:
    level = knowledge.findings[key[0]].backgrounds[key[1]]
    a, b = first.get(key, level), second.get(key, level)
    return max(abs(10 * log10(a / b)), abs(10 * log10((1 - a) / (1 - b))))


def _excluding(knowledge: Knowledge) -> Iterator[str]:
    """Findings that exclude each other, yet are both expected under one mode: one of the three rows is wrong."""
    for key in knowledge.modes:
        mine = signs_of(key, knowledge.mode_finding)
        for pair in knowledge.conflicts:
            likely = [mine.get((pair.a, pair.a_state), 0.0), mine.get((pair.b, pair.b_state), 0.0)]
            if min(likely) >= SERIOUS:
                yield f"{key}: expects {pair.a} {pair.a_state} with {pair.b} {pair.b_state}, which exclude each other"


def _unserved(knowledge: Knowledge) -> Iterator[str]:
    for key in (*knowledge.modes, *knowledge.causes):
        if key not in knowledge.advice:
            yield f"{key}: nobody is told what to send"
    for key in knowledge.modes:
        if not any(link.target == key for link in (*knowledge.cause_mode, *knowledge.mode_mode)):
            yield f"{key}: nothing leads to it"
    for finding in knowledge.findings.values():
        if finding.check is None:
            yield f"{finding.id}: nobody is told how to check it"


def _misreported(knowledge: Knowledge) -> Iterator[str]:
    """A background is what is reported without a reason; wrong reports cannot be much more frequent than that."""
    for finding in knowledge.findings.values():
        rarest = min(finding.backgrounds.values())
        if 1 - finding.reliability > WRONG * rarest:
            yield f"{finding.id}: reported wrongly {1 - finding.reliability:.3f}, background only {rarest:.3f}"
