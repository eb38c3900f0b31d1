"""From knowledge to arrays: the leaky noisy-OR network of one machine.

Nodes are the causes, then the modes so that what brings another about stands before it. Every finding has two hidden
accumulators, `low` (for a yes-no finding: present) and `high`: each is the OR of its background and of what its active
parents trigger, independently. Only low raised: the finding is low; only high: high; neither: normal; both: low or
high, evenly. So a three-way reading stays a noisy-OR and inference stays exact.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import fields, replace
from functools import lru_cache
from graphlib import TopologicalSorter

import numpy as np

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.rows import NO_FAULT, Cause, Finding, Knowledge, Link, Mode
from witnessmark.diagnosis.inference.noisy_or import Figures, Floats, Network

REPORTED = "reported"
"""Field of a pair among the contexts: a finding that was reported, and that some context says as well."""
MEASURED, AGAINST_BASELINE = "measured", "against-baseline"
"""Fields of a pair among the contexts: a finding that numbers tell, or deviations from the same machine when sound."""
MOST_CERTAIN_PRIOR = 0.95
"""Contexts together cannot push a prior above this; a context is not a finding."""


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


def _order(knowledge: Knowledge) -> tuple[str, ...]:
    before: dict[str, list[str]] = {key: [] for key in knowledge.modes}
    for link in knowledge.mode_mode:
        before[link.target].append(link.origin)
    return (*knowledge.causes, *TopologicalSorter(before).static_order())


def _leaks(backgrounds: Mapping[str, float]) -> tuple[float, float]:
    """P(low raised) and P(high raised) by nothing in the model."""
    if "present" in backgrounds:
        return backgrounds["present"], 0.0
    return accumulators(backgrounds["low"], backgrounds["high"])


def _background(knowledge: Knowledge) -> tuple[Floats, Floats]:
    pairs = [_leaks(finding.backgrounds) for finding in knowledge.findings.values()]
    return 1 - np.array([[a for a, _ in pairs]]), 1 - np.array([[b for _, b in pairs]])


def _rows(knowledge: Knowledge, machine: Machine, nodes: Sequence[str]) -> Figures:
    """Figures over everything in the knowledge, for one fully known machine; what does not apply stays at zero."""
    at = {key: k for k, key in enumerate(nodes)}
    row = {key: k for k, key in enumerate(knowledge.findings)}
    items: dict[str, Mode | Cause] = {**knowledge.modes, **knowledge.causes}
    leak = np.array([[items[key].prior if items[key].applies.to(machine) else 0.0 for key in nodes]])
    raised = np.zeros((1, len(nodes), len(nodes)))
    low, high = np.zeros((2, 1, len(row), len(nodes)))
    for link in (*knowledge.cause_mode, *knowledge.mode_mode):
        if link.applies.to(machine) and leak[0, at[link.origin]] and leak[0, at[link.target]]:
            raised[0, at[link.target], at[link.origin]] = link.probability
    for link in (*knowledge.mode_finding, *knowledge.cause_finding):
        finding = knowledge.findings[link.target]
        if link.applies.to(machine) and finding.applies.to(machine) and leak[0, at[link.origin]]:
            both = trigger(finding, link)
            low[0, row[link.target], at[link.origin]] += both[0]
            high[0, row[link.target], at[link.origin]] += both[1]
    return Figures(leak, raised, low, high, *_background(knowledge))


def _mean(variants: Sequence[Figures]) -> Figures:
    return Figures(*(np.mean([getattr(figures, f.name) for figures in variants], axis=0) for f in fields(Figures)))


def _shell_bound(knowledge: Knowledge, machines: Sequence[Machine], each: Sequence[Figures]) -> frozenset[str]:
    """Findings whose rows differ between the two sides, all else equal."""
    sides = [[k for k, m in enumerate(machines) if m.shell == side] for side in ("low-side", "high-side")]
    if not all(sides):
        return frozenset()
    low_side, high_side = (_mean([each[k] for k in side]) for side in sides)
    differs = np.any(np.abs(low_side.low - high_side.low) + np.abs(low_side.high - high_side.high) > 0, axis=(0, 2))
    return frozenset(key for key, bound in zip(knowledge.findings, differs, strict=True) if bound)


@lru_cache(maxsize=256)
def network(knowledge: Knowledge, machine: Machine) -> Network:
    """The network of a machine. What is not known of it is averaged over, all possibilities alike."""
    machines, nodes = knowledge.completions(machine), _order(knowledge)
    each = [_rows(knowledge, completed, nodes) for completed in machines]
    whole = _mean(each)
    live = np.flatnonzero(whole.leak[0] > 0)
    applicable = np.flatnonzero([any(f.applies.to(m) for m in machines) for f in knowledge.findings.values()])
    findings = list(knowledge.findings.values())
    return Network(
        nodes=tuple(nodes[k] for k in live),
        causes=sum(nodes[k] in knowledge.causes for k in live),
        findings=tuple(findings[k].id for k in applicable),
        three_way=tuple(findings[k].kind == "three-way" for k in applicable),
        figures=whole.taken(live, applicable),
        shell_bound=_shell_bound(knowledge, machines, each),
    )


def with_contexts(net: Network, knowledge: Knowledge, contexts: Iterable[tuple[str, str]]) -> Network:
    """The network with the prior odds moved by the contexts that hold, save where a report says the same."""
    holding = set(contexts)
    ratios = np.ones(len(net.nodes))
    no_fault = net.no_fault_odds
    at = {key: k for k, key in enumerate(net.nodes)}
    for context in knowledge.contexts:
        if (context.field, context.value) not in holding or (REPORTED, context.same_as) in holding:
            continue
        if context.target == NO_FAULT:
            no_fault *= context.odds_ratio
        elif context.target in at:
            ratios[at[context.target]] *= context.odds_ratio
    odds = net.figures.leak / (1 - net.figures.leak) * ratios
    leak = np.where(ratios == 1, net.figures.leak, np.minimum(odds / (1 + odds), MOST_CERTAIN_PRIOR))
    figures = _as_measured(replace(net.figures, leak=leak), net, knowledge, holding)
    return replace(net, figures=figures, no_fault_odds=no_fault)


def _as_measured(figures: Figures, net: Network, knowledge: Knowledge, holding: Collection[tuple[str, str]]) -> Figures:
    """The figures with the lower backgrounds of findings that numbers tell."""
    no_leak_low, no_leak_high = figures.no_leak_low.copy(), figures.no_leak_high.copy()
    for row, key in enumerate(net.findings):
        finding = knowledge.findings[key]
        for field, finer in ((MEASURED, finding.measured), (AGAINST_BASELINE, finding.against_baseline)):
            if (field, key) in holding:
                low, high = _leaks(finer)
                no_leak_low[:, row], no_leak_high[:, row] = 1 - low, 1 - high
    return replace(figures, no_leak_low=no_leak_low, no_leak_high=no_leak_high)
