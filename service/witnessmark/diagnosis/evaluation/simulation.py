"""Simulated machines with known faults, to measure how far the reasoning can be trusted.

A scenario draws causes, modes and findings from figures that may differ from the knowledge, with findings of one
disturbance alike beyond what the modes explain, and reports them as a technician would: some, or by the channel,
sometimes wrongly. Every number hangs on the seed, the machine, the number of the case, what it decides and the id it
decides it for: a row added to the knowledge changes nothing that is drawn for the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.case import RANKING_ONLY, Case, Channel, Machine, Report, ReportState
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evidence.reports import ORDINARY_CALL
from witnessmark.diagnosis.inference.network import network, with_contexts
from witnessmark.diagnosis.inference.noisy_or import Figures, Floats, Indices, Network
from witnessmark.diagnosis.inference.perturbation import perturbed
from witnessmark.diagnosis.inference.random_streams import Keys, joined, keys, uniform

MACHINES = (
    Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase"),
    Machine("scroll", "low-side", "inverter", "hermetic", "three-phase"),
    Machine("scroll", "high-side", "inverter", "hermetic", "three-phase"),
    Machine("reciprocating", "low-side", "fixed-speed", "semi-hermetic", "three-phase"),
    Machine("rotary", "high-side", "inverter", "hermetic", "single-phase"),
)
"""The machines that are drawn from, scrolls first and most; wholly described, so that no finding narrows them."""
NORMAL, LOW, HIGH = 0, 1, 2
_ATTEMPTS = 60
"""Draws for one machine that somebody calls for: with half of them kept each time next to none is left over."""
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Scenario:
    """How simulated machines differ from the knowledge and how they are reported.

    sd: standard deviation of every log-odds. alike: chance that a finding follows its disturbance instead of its own
    luck. flips: chance of a wrong report (None: as the knowledge says of each finding). findings: least and most number
    reported, chosen evenly; None with a channel: reported by the chances of being mentioned. strange: so many reports
    are turned abnormal at random, as by a mode that nobody has modelled; never what defines a mode or cause that is.
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


@dataclass(frozen=True, slots=True, eq=False)
class Luck:
    """Even numbers between 0 and 1 for so many cases, by what they decide and for which id."""

    stream: Keys
    cases: int

    @classmethod
    def of(cls, cases: int, *names: object) -> Luck:
        """Luck of a run with these names: its seed, and what else tells it from others."""
        return cls(joined(*keys(names)), cases)

    def __call__(self, decides: str, ids: Sequence[str]) -> Floats:
        """(cases, ids) numbers."""
        return uniform(joined(self.stream, *keys([decides]), keys(ids)), self.cases)

    def whole(self, decides: str, least: int, most: int) -> Indices:
        """(cases,) whole numbers from `least` to `most`, evenly."""
        return (least + self(decides, [""])[:, 0] * (most + 1 - least)).astype(np.intp)


def simulate(knowledge: Knowledge, scenario: Scenario, cases: int, seed: int) -> list[Simulated]:
    """So many independent cases over all machines, in order of the machines; the knowledge is perturbed for each."""
    share = [cases // len(MACHINES) + (k < cases % len(MACHINES)) for k in range(len(MACHINES))]
    return [
        simulated
        for machine, count in zip(MACHINES, share, strict=True)
        for simulated in _of_machine(knowledge, machine, scenario, Luck.of(count, seed, scenario, *_words(machine)))
    ]


def _words(machine: Machine) -> tuple[object, ...]:
    return machine.compressor, machine.shell, machine.drive


def _of_machine(knowledge: Knowledge, machine: Machine, scenario: Scenario, luck: Luck) -> list[Simulated]:
    net = called(knowledge, machine)
    truth, states = np.zeros((luck.cases, len(net.nodes))), np.zeros((luck.cases, len(net.findings)), np.intp)
    attempts, findings = _Attempts(net, luck), _findings_luck(knowledge, net, scenario, luck)
    size = 1 if scenario.sd else max(luck.cases, 1)
    for start in range(0, luck.cases, size):
        rows = slice(start, start + size)
        figures = perturbed(net, scenario.sd, 1, luck.stream, start) if scenario.sd else net.figures
        truth[rows] = attempts.drawn(figures, rows)
        states[rows] = draw_findings(net, figures, truth[rows], findings[:, rows])
    reported = _reported(knowledge, net, scenario, states, luck)
    seen = _as_reported(knowledge, net, scenario, (states, reported), luck)
    return [
        Simulated(_case(knowledge, net, machine, scenario, (seen[row], reported[row])), truth[row], states[row])
        for row in range(luck.cases)
    ]


def called(knowledge: Knowledge, machine: Machine) -> Network:
    """The network of a machine that somebody called for in the ordinary way."""
    return with_contexts(network(knowledge, machine), knowledge, [ORDINARY_CALL])


class _Attempts:
    """Draws of machines that somebody calls for: of those without a mode a share is kept, the others drawn again."""

    def __init__(self, net: Network, luck: Luck) -> None:
        self.net, self.luck = net, luck
        self._lucky: list[tuple[Floats, Floats]] = []

    def _luck(self, attempt: int) -> tuple[Floats, Floats]:
        """(S, n) what decides the nodes, and (S,) whether a sound machine is kept."""
        if attempt == len(self._lucky):
            name = f" {attempt}" if attempt else ""
            self._lucky.append((self.luck(f"node{name}", self.net.nodes), self.luck(f"called{name}", [""])[:, 0]))
        return self._lucky[attempt]

    def drawn(self, figures: Figures, rows: slice) -> Floats:
        """(R, n) causes and modes of these cases."""
        nodes = np.zeros((len(self._luck(0)[0][rows]), len(self.net.nodes)))
        again = np.ones(len(nodes), bool)
        for attempt in range(_ATTEMPTS):
            lucky, kept = self._luck(attempt)
            nodes[again] = draw_nodes(figures, lucky[rows][again])
            again &= ~nodes[:, self.net.causes :].any(axis=1) & (kept[rows] >= self.net.no_fault_odds)
            if not again.any():
                break
        return nodes


def draw_nodes(figures: Figures, luck: Floats) -> Floats:
    """(S, n) causes and modes, in causal order. luck: (S, n) numbers between 0 and 1."""
    leak, trigger = figures.leak[0], figures.trigger[0]
    drawn = np.zeros(luck.shape)
    for node in range(len(leak)):
        off = (1 - leak[node]) * np.prod(1 - trigger[node] * drawn, axis=1)
        drawn[:, node] = luck[:, node] >= off
    return drawn


def _findings_luck(knowledge: Knowledge, net: Network, scenario: Scenario, luck: Luck) -> Floats:
    """(3, S, F) what raises low, high, and decides between them; findings of a disturbance share low where `alike`."""
    low, high, between = (luck(decides, net.findings) for decides in ("low", "high", "low or high"))
    if scenario.alike:
        shared = luck("disturbance", [knowledge.findings[key].trace or key for key in net.findings])
        low = np.where(luck("alike", net.findings) < scenario.alike, shared, low)
    return np.stack([low, high, between])


def draw_findings(net: Network, figures: Figures, nodes: Floats, luck: Floats) -> Indices:
    """(S, F) states of all findings: 0 normal or absent, 1 low or present, 2 high.

    luck: (3, S, F) numbers between 0 and 1: what raises low, what raises high, and which counts where both are raised.
    """
    off_low = figures.no_leak_low[0] * np.exp(nodes @ np.log1p(-figures.low[0]).T)
    off_high = figures.no_leak_high[0] * np.exp(nodes @ np.log1p(-figures.high[0]).T)
    low, high = luck[0] < 1 - off_low, luck[1] < 1 - off_high
    high &= np.array(net.three_way)
    low &= ~high | (luck[2] < 1 / 2)
    return np.where(low, LOW, np.where(high, HIGH, NORMAL))


def _reported(knowledge: Knowledge, net: Network, scenario: Scenario, states: Indices, luck: Luck) -> Mask:
    """(S, F) which findings are reported."""
    if scenario.findings is not None:
        number = luck.whole("how many", *scenario.findings)
        return _least(luck("chosen", net.findings), number)
    channel = scenario.channel
    mention = [knowledge.findings[key].mention.get(channel) if channel else None for key in net.findings]
    absent, present = ([getattr(m, state) if m else 0.0 for m in mention] for state in ("absent", "present"))
    return np.asarray(luck("mentioned", net.findings) < np.where(states, present, absent))


def _least(scores: Floats, number: Indices | int) -> Mask:
    """(S, F) the so many least of each row."""
    return np.asarray(scores.argsort(axis=1).argsort(axis=1) < np.reshape(number, (-1, 1)))


def _as_reported(
    knowledge: Knowledge, net: Network, scenario: Scenario, true: tuple[Indices, Mask], luck: Luck
) -> Indices:
    """(S, F) the states as they are reported: some wrong, some strange."""
    (states, reported), three_way = true, np.array(net.three_way)
    wrong = [
        1 - knowledge.findings[key].reliability if scenario.flips is None else scenario.flips for key in net.findings
    ]
    second = luck("which other", net.findings) < 1 / 2
    other = np.where(three_way, (states + 1 + second) % 3, states == NORMAL)
    seen = np.where(luck("wrong", net.findings) < wrong, other, states)
    open_to_it = reported & ~_definitions(knowledge, net)
    strange = open_to_it & _least(np.where(open_to_it, luck("strange", net.findings), np.inf), scenario.strange)
    return np.where(strange, LOW + (three_way & second), seen)


def _definitions(knowledge: Knowledge, net: Network) -> Mask:
    """(F,) findings that are a mode or a cause seen or weighed: what another mode brings about shows none of them."""
    defined = {link.target for link in (*knowledge.mode_finding, *knowledge.cause_finding) if link.defines}
    return np.array([key in defined for key in net.findings], bool)


def _case(
    knowledge: Knowledge, net: Network, machine: Machine, scenario: Scenario, report_of: tuple[Indices, Mask]
) -> Case:
    seen, reported = report_of
    reports = tuple(report(knowledge, net.findings[row], int(seen[row])) for row in np.flatnonzero(reported))
    return Case(machine, reports, reported_by=(scenario.channel,) if scenario.channel else (), want=RANKING_ONLY)


def report(knowledge: Knowledge, key: str, state: int) -> Report:
    """A report of a finding in one of the three states."""
    return Report(key, _WORDS[knowledge.findings[key].kind][state])


_WORDS: Mapping[str, tuple[ReportState, ReportState, ReportState]] = {
    "yes-no": ("absent", "present", "present"),
    "three-way": ("normal", "low", "high"),
}
