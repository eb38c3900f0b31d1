"""An exact pass over the most probable nodes with chains of ORs: no entry is negative, so one can draw from it.

The least probable nodes are left out where that would go beyond the budget. Draws for the next checks come from here;
so does the ranking where cancellation spoils the wider pass (`posterior`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from witnessmark.diagnosis.inference import elimination_order as elimination
from witnessmark.diagnosis.inference.approximation import Estimate, Evidence, Fold
from witnessmark.diagnosis.inference.elimination_order import Order, Plan
from witnessmark.diagnosis.inference.gates import Circuit, Gate, Input, Numbers, tables
from witnessmark.diagnosis.inference.inference import Calibrated, calibrate, sample
from witnessmark.diagnosis.inference.junction_tree import Marginals
from witnessmark.diagnosis.inference.network import Floats, Indices, Network, parents_of


@dataclass(frozen=True, slots=True)
class Budget:
    """How much is treated exactly: at most so many nodes, cliques of at most so many variables.

    careful: look longer for an order of elimination with small tables (some 5 ms; tables come out a few times smaller).
    """

    nodes: int = 20
    widest: int = 11
    careful: bool = False


FULL = Budget(nodes=10_000, widest=28, careful=True)
"""Everything, whatever it costs (up to seconds): what tests compare with."""


@dataclass(frozen=True, slots=True, eq=False)
class Chains:
    """The structure of a pass: its gates, and the order in which variables are summed out.

    kept: the nodes taken in, ascending. lonely: gates without any variable. fold: what the other nodes do to these.
    """

    kept: Indices
    count: int
    joined: tuple[Gate, ...]
    lonely: tuple[Gate, ...]
    plan: Plan
    fold: Fold

    @staticmethod
    def of(net: Network, evidence: Evidence, estimate: Estimate, budget: Budget = Budget()) -> Chains:
        """Over the most probable nodes that the budget holds."""
        worth = estimate.beliefs.probability
        likely = np.sort(np.argsort(-worth, kind="stable")[: budget.nodes])
        circuit = _circuit(net, evidence, likely)
        scopes = [g.scope for g in circuit.gates if g.scope]
        values = [*worth[likely].tolist(), *[1.0] * (circuit.count - len(likely))]
        order = elimination.affordable(scopes, values, budget.widest, careful=budget.careful)
        if len(order) == circuit.count:
            return _laid_out(circuit, likely, order, estimate.fold(likely))
        kept = likely[sorted(v for v, _ in order if v < len(likely))]
        return Chains.over(net, evidence, kept, estimate.fold(kept), careful=budget.careful)

    @staticmethod
    def over(net: Network, evidence: Evidence, kept: Indices, fold: Fold, *, careful: bool = True) -> Chains:
        """Over these nodes, whatever it takes."""
        circuit = _circuit(net, evidence, kept)
        scopes = [g.scope for g in circuit.gates if g.scope]
        return _laid_out(circuit, kept, elimination.complete_order(scopes, circuit.count, careful=careful), fold)

    @property
    def entries(self) -> int:
        """Of all tables together."""
        return self.plan.size

    def marginals(self, numbers: Numbers) -> Marginals:
        """The pass with these numbers; nothing is subtracted in it."""
        result = self._calibrated(numbers)
        return Marginals(result.probability[:, : len(self.kept)], result.log_evidence, 0.0)

    def draw(self, numbers: Numbers, uniform: Floats) -> Floats:
        """(S, kept) exact draws from (S, count) uniform numbers."""
        return sample(self._calibrated(numbers), uniform, self.count)[:, : len(self.kept)]

    def _calibrated(self, numbers: Numbers) -> Calibrated:
        apart = sum(np.log(table) for table in tables(self.lonely, numbers))
        result = calibrate(self.plan, tables(self.joined, numbers), self.count)
        return replace(result, log_evidence=result.log_evidence + apart)


def _laid_out(circuit: Circuit, kept: Indices, order: Order, fold: Fold) -> Chains:
    joined = tuple(g for g in circuit.gates if g.scope)
    lonely = tuple(g for g in circuit.gates if not g.scope)
    plan = elimination.plan([g.scope for g in joined], order)
    return Chains(kept, circuit.count, joined, lonely, plan, fold)


def _circuit(net: Network, evidence: Evidence, kept: Indices) -> Circuit:
    parents = parents_of(net)
    inputs: list[Input | None] = [None] * len(net.nodes)
    for k, v in enumerate(kept.tolist()):
        inputs[v] = Input(k, v)
    circuit = Circuit(len(kept))
    for k, v in enumerate(kept.tolist()):
        circuit.node(k, v, _chosen(inputs, parents.node[v]))
    for seen, row in enumerate(evidence.findings.tolist()):
        low, high = _chosen(inputs, parents.low[row]), _chosen(inputs, parents.high[row])
        circuit.finding(row, seen, {"low": low, "high": high})
    return circuit


def _chosen(inputs: Sequence[Input | None], parents: Sequence[int]) -> list[Input]:
    return [given for v in parents if (given := inputs[v])]
