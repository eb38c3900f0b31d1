"""The posterior of one request: exact on the hypotheses that matter, belief propagation for the rest.

The most probable nodes (all of a small network) are treated exactly by variable elimination. Where that would go beyond
the budget, the least probable ones by belief propagation are left out of the exact pass: as parents they stand in
every gate with the probability they have there, as children with the message they send. `Posterior.exact` says
whether anything was left out. What it costs in accuracy is measured in tests/diagnosis/test_posterior.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from witnessmark.diagnosis import elimination
from witnessmark.diagnosis.elimination import Order, Plan
from witnessmark.diagnosis.gates import Circuit, Gate, Input, Numbers, tables
from witnessmark.diagnosis.inference import Calibrated, calibrate, sample
from witnessmark.diagnosis.network import Figures, Floats, Indices, Network
from witnessmark.diagnosis.propagation import Beliefs, Gates, propagate


@dataclass(frozen=True, slots=True)
class Budget:
    """How much is treated exactly: at most so many nodes, cliques of at most so many variables.

    careful: look longer for an order of elimination with small tables (some 5 ms; tables come out a few times smaller).
    """

    nodes: int = 20
    widest: int = 11
    careful: bool = False


THOROUGH = Budget(nodes=10_000, widest=20, careful=True)
"""All nodes, up to tables of a million entries: 20 to 200 ms; exact nearly always up to 15 findings, half of 25."""
FULL = Budget(nodes=10_000, widest=28, careful=True)
"""Everything exact, whatever it costs (up to seconds): the reference that tests measure against."""


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What was observed, as likelihoods of (normal, low, high); for a yes-no finding low means present.

    findings: (K,) rows of the network; likelihood: (K, 3). silent, silent_likelihood: the same for findings that were
    not mentioned; these enter as messages only.
    """

    findings: Indices
    likelihood: Floats
    silent: Indices
    silent_likelihood: Floats

    @staticmethod
    def none() -> Evidence:
        """No evidence at all."""
        return Evidence(np.empty(0, np.intp), np.empty((0, 3)), np.empty(0, np.intp), np.empty((0, 3)))


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """probability: (B, n) of every node. none: (B,) P(no mode active). log_evidence: (B,), up to what is left out."""

    probability: Floats
    none: Floats
    log_evidence: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """The structure of an exact pass: its gates, and the order in which variables are summed out."""

    circuit: Circuit
    joined: tuple[Gate, ...]
    lonely: tuple[Gate, ...]
    plan: Plan

    @staticmethod
    def of(circuit: Circuit, order: Order | None = None, *, careful: bool = False) -> Layout:
        """The layout of a circuit, in the given order or one found here; gates without any variable stand apart."""
        joined = tuple(g for g in circuit.gates if g.scope)
        scopes = [g.scope for g in joined]
        planned = elimination.plan(scopes, order or elimination.complete_order(scopes, circuit.count, careful=careful))
        return Layout(circuit, joined, tuple(g for g in circuit.gates if not g.scope), planned)

    def calibrated(self, numbers: Numbers) -> Calibrated:
        """The pass with these numbers."""
        apart = sum(np.log(table) for table in tables(self.lonely, numbers))
        result = calibrate(self.plan, tables(self.joined, numbers), self.circuit.count)
        return replace(result, log_evidence=result.log_evidence + apart)


class Posterior:
    """One request's network with its evidence, ready to be asked many questions at once."""

    def __init__(self, net: Network, evidence: Evidence, budget: Budget = Budget()) -> None:
        self.net = net
        self.evidence = evidence
        observed = np.concatenate([evidence.findings, evidence.silent])
        seen = np.concatenate([evidence.likelihood, evidence.silent_likelihood])
        self._gates = Gates.of(net, observed, seen)
        self.beliefs: Beliefs = propagate(self._gates)
        self._lay_out(budget)

    @property
    def exact(self) -> bool:
        """Whether nothing was left out of the exact pass."""
        return len(self.kept) == len(self.net.nodes) and not len(self.evidence.silent)

    def _lay_out(self, budget: Budget) -> None:
        """Choose the nodes of the exact pass, the gates over them and the order of elimination."""
        worth = self.beliefs.probability
        likely = np.sort(np.argsort(-worth, kind="stable")[: budget.nodes])
        circuit = self._circuit(likely)
        scopes = [g.scope for g in circuit.gates if g.scope]
        values = [*worth[likely].tolist(), *[1.0] * (circuit.count - len(likely))]
        order = elimination.affordable(scopes, values, budget.widest, careful=budget.careful)
        if len(order) == circuit.count:
            self.kept, self._free = likely, Layout.of(circuit, order)
        else:
            self.kept = likely[sorted(v for v, _ in order if v < len(likely))]
            self._free = Layout.of(self._circuit(self.kept), careful=budget.careful)
        self._fold()

    def _circuit(self, kept: Indices) -> Circuit:
        parents = parents_of(self.net)
        inputs: list[Input | None] = [None] * len(self.net.nodes)
        for k, v in enumerate(kept.tolist()):
            inputs[v] = Input(k, v)
        circuit = Circuit(len(kept))
        for k, v in enumerate(kept.tolist()):
            circuit.node(k, v, _chosen(inputs, parents.node[v]))
        for seen, row in enumerate(self.evidence.findings.tolist()):
            low, high = _chosen(inputs, parents.low[row]), _chosen(inputs, parents.high[row])
            circuit.finding(row, seen, {"low": low, "high": high})
        return circuit

    def _fold(self) -> None:
        """What the nodes left out do to those kept: a factor on the quiet of every gate, and weights on the kept."""
        causes, seen = self.net.causes, len(self.evidence.findings)
        modes = len(self.net.nodes) - causes
        out = np.ones(modes + causes, bool)
        out[self.kept] = False
        self._out = np.flatnonzero(out)
        cavity = self.beliefs.cavity[:, self._out]
        low = (1 - self._gates.low[:, self._out] * cavity).prod(axis=1)
        high = (1 - self._gates.high[:, self._out] * cavity).prod(axis=1)
        silent = np.arange(modes + seen, len(self._gates.low))
        gone = self._out[self._out >= causes] - causes
        said = self.beliefs.message[np.concatenate([gone, silent])].sum(axis=0)
        self._weight = np.exp(np.stack([-np.maximum(said, 0), np.minimum(said, 0)], axis=1))[None]
        of_nodes = np.concatenate([np.ones(causes), low[:modes]])
        self._folds = of_nodes, low[modes : modes + seen], high[modes : modes + seen]

    @cached_property
    def _quiet(self) -> Layout:
        """The pass over the kept causes alone, for all modes held inactive."""
        return Layout.of(self._circuit(self.kept[self.kept < self.net.causes]))

    def calibrated(self, likelihood: Floats, figures: Figures | None = None) -> Calibrated:
        """The exact pass for (B, K, 3) likelihoods."""
        return self._free.calibrated(
            Numbers(self.net, figures or self.net.figures, *self._folds, self._weight, likelihood)
        )

    def _without_modes(self, likelihood: Floats, figures: Figures | None) -> Calibrated:
        """The same with all kept modes held inactive: each is then one factor on every cause, so no mode is summed."""
        used, modes = figures or self.net.figures, self.kept[self.kept >= self.net.causes]
        weight = np.repeat(self._weight, len(used.leak), axis=0)
        weight[:, :, 1] *= (1 - used.trigger[:, modes]).prod(axis=1)
        result = self._quiet.calibrated(Numbers(self.net, used, *self._folds, weight, likelihood))
        still = np.log((1 - used.leak[:, modes]) * self._folds[0][modes] * self._weight[:, modes, 0]).sum(axis=1)
        return replace(result, log_evidence=result.log_evidence + still)

    def ask(self, likelihood: Floats | None = None, figures: Figures | None = None) -> Answer:
        """Marginals for (B, K, 3) likelihoods of the findings (None: as observed) or for B variants of the figures."""
        seen = self.evidence.likelihood[None] if likelihood is None else likelihood
        rows = max(len(seen), 1 if figures is None else len(figures.leak))
        free, quiet = self.calibrated(seen, figures), self._without_modes(seen, figures)
        return self._answer(self._spread(free, rows), free.log_evidence, self._none(free, quiet, figures), quiet)

    def compare(self, likelihood: Floats) -> Answer:
        """Like `ask` for many likelihoods, without P(no mode active) where no context needs it: `none` is then nan."""
        if self.net.no_fault_odds != 1:
            return self.ask(likelihood)
        result, rows = self.calibrated(likelihood), len(likelihood)
        return Answer(self._spread(result, rows), np.full(rows, np.nan), np.broadcast_to(result.log_evidence, (rows,)))

    def _spread(self, result: Calibrated, rows: int) -> Floats:
        """(B, n) probabilities: of the kept by the exact pass, of the others by propagation."""
        probability = np.tile(self.beliefs.probability, (rows, 1))
        probability[:, self.kept] = result.probability[:, : len(self.kept)]
        return probability

    def _none(self, free: Calibrated, quiet: Calibrated, figures: Figures | None) -> Floats:
        odds = np.exp(quiet.log_evidence - free.log_evidence)
        return np.asarray(np.minimum(odds * self._others_off(quiet, figures or self.net.figures), 1.0))

    def _others_off(self, quiet: Calibrated, figures: Figures) -> Floats:
        """(B,) P(all modes left out are inactive), given that all kept ones are.

        They are taken one by one, with what the findings say of them, what the inactive modes say that they would bring
        about, and the causes as likely as they are without the kept modes.
        """
        first = self.net.causes
        modes, others = self.kept[self.kept >= first], self._out[self._out >= first]
        causes = self.kept[self.kept < first]
        active = np.tile(self.beliefs.probability, (len(quiet.probability), 1))
        active[:, modes] = 0.0
        active[:, causes] = quiet.probability[:, : len(causes)]
        trigger = figures.trigger[:, others]
        off = (1 - figures.leak[:, others]) * (1 - trigger * active[:, None]).prod(axis=2)
        said = self.beliefs.message[len(self.net.nodes) - first :, others].sum(axis=0)
        spared = (1 - figures.trigger[:, modes][:, :, others]).prod(axis=1)
        return np.asarray((off / (off + (1 - off) * np.exp(said) * spared)).prod(axis=1))

    def _answer(self, probability: Floats, log_evidence: Floats, none: Floats, quiet: Calibrated) -> Answer:
        """With the factor on the odds of "no mode" that the contexts gave: applied exactly, after the passes."""
        if self.net.no_fault_odds == 1:
            return Answer(probability, none, log_evidence)
        still = np.tile(self.beliefs.probability, (len(probability), 1))
        still[:, self.net.causes :] = 0.0
        causes = self.kept[self.kept < self.net.causes]
        still[:, causes] = quiet.probability[:, : len(causes)]
        extra = (self.net.no_fault_odds - 1) * none
        mixed = (probability + extra[:, None] * still) / (1 + extra)[:, None]
        return Answer(mixed, (none + extra) / (1 + extra), log_evidence + np.log(1 + extra))

    def draw(self, size: int, seed: int) -> tuple[Floats, Floats]:
        """(S, n) exact draws of the kept nodes, the others drawn on their own, and (S,) weights for the contexts."""
        nodes = len(self.net.nodes)
        count = self._free.circuit.count
        uniform = np.random.default_rng(seed).random((size, nodes + count))
        result = self.calibrated(self.evidence.likelihood[None])
        drawn = (uniform[:, :nodes] < self.beliefs.probability).astype(float)
        drawn[:, self.kept] = sample(result, uniform[:, nodes:], count)[:, : len(self.kept)]
        none = ~drawn[:, self.net.causes :].any(axis=1)
        return drawn, np.where(none, self.net.no_fault_odds, 1.0)


def _chosen(inputs: Sequence[Input | None], parents: Sequence[int]) -> list[Input]:
    return [given for v in parents if (given := inputs[v])]


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
