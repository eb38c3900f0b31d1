"""Simulated machines with known faults, to measure how far the reasoning can be trusted.

A world draws causes, modes and findings from figures that may differ from the knowledge, with findings of one
disturbance alike beyond what the modes explain, and reports them as a technician would: some, or by the channel,
sometimes wrongly. Everything is seeded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.answer.sensitivity import perturbed
from witnessmark.diagnosis.case import Case, Channel, Machine, Report, State, Wishes
from witnessmark.diagnosis.catalogue.knowledge import Knowledge
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.inference.noisy_or import Figures, Floats, Indices, Network

MACHINES = (
    Machine("scroll", "low-side", "fixed-speed"),
    Machine("scroll", "low-side", "inverter"),
    Machine("scroll", "high-side", "inverter"),
    Machine("reciprocating", "low-side", "fixed-speed"),
    Machine("rotary", "high-side", "inverter"),
)
"""The machines that are drawn from, scrolls first and most."""
NORMAL, LOW, HIGH = 0, 1, 2


@dataclass(frozen=True, slots=True)
class World:
    """How simulated machines differ from the knowledge and how they are reported.

    sd: standard deviation of every log-odds. alike: chance that a finding follows its disturbance instead of its own
    luck. flips: chance of a wrong report (None: as the knowledge says of each finding). findings: least and most number
    reported, chosen evenly; None with a channel: reported by the chances of being mentioned. strange: so many reports
    are turned abnormal at random, as by a mode that nobody has modelled.
    """

    sd: float = 0.0
    alike: float = 0.0
    flips: float | None = None
    findings: tuple[int, int] | None = (10, 19)
    channel: Channel | None = None
    strange: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """A case, and what is true of it: (n,) nodes and (F,) states of all findings, in the order of the network."""

    case: Case
    truth: Floats
    states: Indices


def simulate(held: Knowledge, world: World, cases: int, seed: int) -> list[Simulated]:
    """So many cases over all machines, in order of the machines; perturbed anew every few cases."""
    share = [cases // len(MACHINES) + (k < cases % len(MACHINES)) for k in range(len(MACHINES))]
    found: list[Simulated] = []
    for k, (machine, count) in enumerate(zip(MACHINES, share, strict=True)):
        found += _of_machine(held, machine, world, count, np.random.default_rng([seed, k]))
    return found


def _of_machine(
    held: Knowledge, machine: Machine, world: World, count: int, rng: np.random.Generator
) -> list[Simulated]:
    net = network(held, machine)
    found = []
    for start in range(0, count, _PER_VARIANT):
        size = min(_PER_VARIANT, count - start)
        figures = perturbed(net.figures, world.sd, 1, int(rng.integers(2**31))) if world.sd else net.figures
        truth = draw_nodes(figures, size, rng)
        states = draw_findings(net, figures, truth, _luck(held, net, world, size, rng), rng)
        for row, state in zip(truth, states, strict=True):
            found.append(Simulated(_case(held, net, machine, world, (state, rng)), row, state))
    return found


_PER_VARIANT = 20


def draw_nodes(figures: Figures, size: int, rng: np.random.Generator) -> Floats:
    """(S, n) causes and modes, in causal order."""
    leak, trigger = figures.leak[0], figures.trigger[0]
    drawn = np.zeros((size, len(leak)))
    luck = rng.random(drawn.shape)
    for node in range(len(leak)):
        off = (1 - leak[node]) * np.prod(1 - trigger[node] * drawn, axis=1)
        drawn[:, node] = luck[:, node] >= off
    return drawn


def _luck(held: Knowledge, net: Network, world: World, size: int, rng: np.random.Generator) -> Floats:
    """(S, F) uniform numbers; findings of one disturbance share theirs with the chance `alike`."""
    own = rng.random((size, len(net.findings)))
    if not world.alike:
        return own
    traces = [held.findings[key].trace or key for key in net.findings]
    number = {trace: k for k, trace in enumerate(dict.fromkeys(traces))}
    shared = rng.random((size, len(number)))[:, [number[trace] for trace in traces]]
    return np.where(rng.random(own.shape) < world.alike, shared, own)


def draw_findings(net: Network, figures: Figures, nodes: Floats, luck: Floats, rng: np.random.Generator) -> Indices:
    """(S, F) states of all findings: 0 normal or absent, 1 low or present, 2 high."""
    off_low = figures.no_leak_low[0] * np.exp(nodes @ np.log1p(-figures.low[0]).T)
    off_high = figures.no_leak_high[0] * np.exp(nodes @ np.log1p(-figures.high[0]).T)
    low, high = luck < 1 - off_low, rng.random(luck.shape) < 1 - off_high
    high &= np.array(net.three_way)
    either = rng.random(luck.shape) < np.where(low & high, 0.5, 1.0)
    return np.where(low & either, LOW, np.where(high, HIGH, NORMAL))


def _case(
    held: Knowledge, net: Network, machine: Machine, world: World, drawn: tuple[Indices, np.random.Generator]
) -> Case:
    state, rng = drawn
    if world.findings is not None:
        size = min(int(rng.integers(world.findings[0], world.findings[1] + 1)), len(net.findings))
        told = np.sort(rng.choice(len(net.findings), size, replace=False))
    else:
        told = np.flatnonzero(_mentioned(held, net, world.channel, state, rng))
    seen = _as_reported(held, net, world, (state[told], told), rng)
    reports = tuple(
        report(held, net.findings[row], value) for row, value in zip(told.tolist(), seen.tolist(), strict=True)
    )
    wishes = Wishes(explanation=False, next_checks=False)
    return Case(machine, reports, channels=(world.channel,) if world.channel else (), wishes=wishes)


def report(held: Knowledge, key: str, state: int) -> Report:
    """A report of a finding in one of the three states."""
    return Report(key, _WORDS[held.findings[key].kind][state])


_WORDS: Mapping[str, tuple[State, State, State]] = {
    "yes-no": ("absent", "present", "present"),
    "three-way": ("normal", "low", "high"),
}


def _mentioned(
    held: Knowledge, net: Network, channel: Channel | None, state: Indices, rng: np.random.Generator
) -> np.ndarray:
    chances = []
    for key, value in zip(net.findings, state.tolist(), strict=True):
        mention = held.findings[key].mention.get(channel or "")
        chances.append(0.0 if mention is None else (mention.present if value else mention.absent))
    return rng.random(len(chances)) < np.array(chances)


def _as_reported(
    held: Knowledge, net: Network, world: World, told: tuple[Indices, Indices], rng: np.random.Generator
) -> Indices:
    """The states as they are reported: some wrong, some strange."""
    state, rows = told
    wrong = [
        1 - held.findings[net.findings[row]].reliability if world.flips is None else world.flips
        for row in rows.tolist()
    ]
    flipped = rng.random(len(rows)) < np.array(wrong)
    three = np.array(net.three_way)[rows]
    other = np.where(three, (state + rng.integers(1, 3, len(rows))) % 3, 1 - np.minimum(state, 1))
    seen = np.where(flipped, other, state)
    odd = rng.permutation(len(rows))[: world.strange]
    seen[odd] = np.where(three[odd], rng.integers(1, 3, len(odd)), 1)
    return seen
