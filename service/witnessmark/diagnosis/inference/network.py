"""From knowledge to arrays: the leaky noisy-OR network of one machine.

Nodes are the causes, then the modes so that what brings another about stands before it. Every finding has two hidden
accumulators, `low` (for a yes-no finding: present) and `high`: each is the OR of its background and of what its active
parents trigger, independently. Only low raised: the finding is low; only high: high; neither: normal; both: low or
high, evenly. So a three-way reading stays a noisy-OR and inference stays exact.
Parametrisation: "net" (Díez 1993): a trigger is what the parent does alone, background excluded.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from graphlib import TopologicalSorter

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.knowledge import NO_FAULT, Cause, Finding, Knowledge, Link, Mode

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
REPORTED = "reported"
"""Field of a pair among the contexts: a finding that was reported, and that some context says as well."""
MOST_CERTAIN_PRIOR = 0.95
"""Contexts together cannot push a prior above this; a context is not a finding."""


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """The numbers of a network; the leading axis runs over variants of the knowledge (length 1: as reviewed).

    leak: (B, n) P(node without active parent). trigger: (B, n, n) child by parent. low, high: (B, F, n) finding by
    node. quiet_low, quiet_high: (B, F) P(accumulator not raised by the background).
    """

    leak: Floats
    trigger: Floats
    low: Floats
    high: Floats
    quiet_low: Floats
    quiet_high: Floats

    def taken(self, nodes: Indices, findings: Indices) -> Figures:
        """Only these nodes and findings."""
        return Figures(
            self.leak[:, nodes],
            self.trigger[:, nodes][:, :, nodes],
            self.low[:, findings][:, :, nodes],
            self.high[:, findings][:, :, nodes],
            self.quiet_low[:, findings],
            self.quiet_high[:, findings],
        )

    def repeated(self, times: int) -> Figures:
        """The variants several times over, one block after the other."""
        return Figures(*(np.concatenate([getattr(self, f.name)] * times) for f in fields(self)))


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """Nodes, findings and figures of one machine. causes: the first so many nodes are causes, the rest modes.

    shell_bound: findings that read differently on low-side and high-side shells, while the shell is not known.
    no_fault_odds: factor on the odds of "no mode active" that contexts gave.
    """

    nodes: tuple[str, ...]
    causes: int
    findings: tuple[str, ...]
    three_way: tuple[bool, ...]
    figures: Figures
    shell_bound: frozenset[str] = frozenset()
    no_fault_odds: float = 1.0

    def index(self, finding: str) -> int:
        """Row of a finding."""
        return _rows_of(self.findings)[finding]


@lru_cache(maxsize=256)
def _rows_of(findings: tuple[str, ...]) -> dict[str, int]:
    return {key: row for row, key in enumerate(findings)}


def accumulators(low: float, high: float) -> tuple[float, float]:
    """P(low raised) and P(high raised), independent, for which P(state low) and P(state high) are as given.

    From low = a (1 - b/2) and high = b (1 - a/2), so a - b = low - high and a quadratic for b. low + high < 1.
    """
    apart = low - high
    b = (2 - apart - math.sqrt((2 - apart) ** 2 - 8 * high)) / 2
    return b + apart, b


def trigger(finding: Finding, link: Link) -> tuple[float, float]:
    """What an origin does to the (low, high) accumulators on its own, background excluded."""
    if finding.kind == "yes-no":
        return 1 - (1 - link.probability) / (1 - finding.background), 0.0
    a, b = accumulators(finding.background_low, finding.background_high)
    if link.state == "low":
        return 1 - (1 - link.probability / (1 - b / 2)) / (1 - a), 0.0
    return 0.0, 1 - (1 - link.probability / (1 - a / 2)) / (1 - b)


def _order(held: Knowledge) -> tuple[str, ...]:
    before: dict[str, list[str]] = {key: [] for key in held.modes}
    for link in held.mode_mode:
        before[link.target].append(link.origin)
    return (*held.causes, *TopologicalSorter(before).static_order())


def _background(held: Knowledge) -> tuple[Floats, Floats]:
    pairs = [
        (f.background, 0.0) if f.kind == "yes-no" else accumulators(f.background_low, f.background_high)
        for f in held.findings.values()
    ]
    return 1 - np.array([[a for a, _ in pairs]]), 1 - np.array([[b for _, b in pairs]])


def _rows(held: Knowledge, machine: Machine, nodes: Sequence[str]) -> Figures:
    """Figures over everything in the knowledge, for one fully known machine; what does not apply stays at zero."""
    at = {key: k for k, key in enumerate(nodes)}
    row = {key: k for k, key in enumerate(held.findings)}
    items: dict[str, Mode | Cause] = {**held.modes, **held.causes}
    leak = np.array([[items[key].prior if items[key].applies.to(machine) else 0.0 for key in nodes]])
    raised = np.zeros((1, len(nodes), len(nodes)))
    low, high = np.zeros((2, 1, len(row), len(nodes)))
    for link in (*held.cause_mode, *held.mode_mode):
        if link.applies.to(machine) and leak[0, at[link.origin]] and leak[0, at[link.target]]:
            raised[0, at[link.target], at[link.origin]] = link.probability
    for link in (*held.mode_finding, *held.cause_finding):
        finding = held.findings[link.target]
        if link.applies.to(machine) and finding.applies.to(machine) and leak[0, at[link.origin]]:
            both = trigger(finding, link)
            low[0, row[link.target], at[link.origin]] += both[0]
            high[0, row[link.target], at[link.origin]] += both[1]
    return Figures(leak, raised, low, high, *_background(held))


def _mean(many: Sequence[Figures]) -> Figures:
    return Figures(*(np.mean([getattr(one, f.name) for one in many], axis=0) for f in fields(Figures)))


def _shell_bound(held: Knowledge, machines: Sequence[Machine], each: Sequence[Figures]) -> frozenset[str]:
    """Findings whose rows differ between the two sides, all else equal."""
    sides = [[k for k, m in enumerate(machines) if m.shell == side] for side in ("low-side", "high-side")]
    if not all(sides):
        return frozenset()
    one, other = (_mean([each[k] for k in side]) for side in sides)
    differs = np.any(np.abs(one.low - other.low) + np.abs(one.high - other.high) > 0, axis=(0, 2))
    return frozenset(key for key, bound in zip(held.findings, differs, strict=True) if bound)


@lru_cache(maxsize=256)
def network(held: Knowledge, machine: Machine) -> Network:
    """The network of a machine. What is not known of it is averaged over, all possibilities alike."""
    machines, nodes = held.completions(machine), _order(held)
    each = [_rows(held, one, nodes) for one in machines]
    whole = _mean(each)
    live = np.flatnonzero(whole.leak[0] > 0)
    told = np.flatnonzero([any(f.applies.to(m) for m in machines) for f in held.findings.values()])
    findings = list(held.findings.values())
    return Network(
        nodes=tuple(nodes[k] for k in live),
        causes=sum(nodes[k] in held.causes for k in live),
        findings=tuple(findings[k].id for k in told),
        three_way=tuple(findings[k].kind == "three-way" for k in told),
        figures=whole.taken(live, told),
        shell_bound=_shell_bound(held, machines, each),
    )


def with_contexts(net: Network, held: Knowledge, contexts: Iterable[tuple[str, str]]) -> Network:
    """The network with the prior odds moved by the contexts that hold, save where a report says the same."""
    holding = set(contexts)
    ratios = np.ones(len(net.nodes))
    no_fault = net.no_fault_odds
    at = {key: k for k, key in enumerate(net.nodes)}
    for context in held.contexts:
        if (context.field, context.value) not in holding or (REPORTED, context.same_as) in holding:
            continue
        if context.target == NO_FAULT:
            no_fault *= context.odds_ratio
        elif context.target in at:
            ratios[at[context.target]] *= context.odds_ratio
    odds = net.figures.leak / (1 - net.figures.leak) * ratios
    leak = np.where(ratios == 1, net.figures.leak, np.minimum(odds / (1 + odds), MOST_CERTAIN_PRIOR))
    return replace(net, figures=replace(net.figures, leak=leak), no_fault_odds=no_fault)


@dataclass(frozen=True, slots=True)
class Parents:
    """For every node and every finding the nodes that trigger it."""

    node: tuple[tuple[int, ...], ...]
    low: tuple[tuple[int, ...], ...]
    high: tuple[tuple[int, ...], ...]


@lru_cache(maxsize=256)
def parents_of(net: Network) -> Parents:
    """Who triggers what in a network."""
    figures = net.figures
    rows = (figures.trigger[0], figures.low[0], figures.high[0])
    return Parents(*(tuple(tuple(np.flatnonzero(row).tolist()) for row in side) for side in rows))
