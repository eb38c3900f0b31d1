"""The posterior of one request: exact over all modes and causes at once, by passes over a junction tree.

Only where so many findings were reported that the tables would go beyond a bound are the least probable nodes left out:
they stand in the pass as belief propagation sees them (`approximation`), and how probable they are together is told
(`Posterior.left_out`).
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from witnessmark.diagnosis.inference.approximation import Boundary, Estimate, silence_weight
from witnessmark.diagnosis.inference.clique_tree import elimination_order, table_entries
from witnessmark.diagnosis.inference.factors import factorize
from witnessmark.diagnosis.inference.junction_tree import JunctionTree, Marginals
from witnessmark.diagnosis.inference.noisy_or import Evidence, Figures, Floats, Indices, Network, structure_of
from witnessmark.diagnosis.inference.outcomes import Expectations, Gates, coefficients, products

MOST = 1 << 24
"""Entries of all tables together: some 0.3 s and 0.2 GB. With 40 findings fewer nearly always do."""
STEP, FILLED, CAUTION = 2, 0.7, 0.25
"""To how many nodes, or to what share of the entries, it is found out how many fit; share of the rest that every trial
leaves on either side."""


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """probability: (B, n) of every node. none: (B,) P(no mode active). log_evidence: (B,), up to what is left out.

    error_bound: how far rounding can have moved a probability of the first variant; 0 where it was not asked for. The
    bound is wide: on the shipped knowledge errors are some 1e-13 where it says 1e-10.
    """

    probability: Floats
    none: Floats
    log_evidence: Floats
    error_bound: float

    def taken(self, rows: slice) -> Answer:
        """Only these variants."""
        return Answer(self.probability[rows], self.none[rows], self.log_evidence[rows], self.error_bound)


@dataclass(frozen=True, eq=False)
class _Pass:
    """kept: the nodes summed over, ascending; boundary: what the others do to them."""

    net: Network
    evidence: Evidence
    kept: Indices
    boundary: Boundary
    tree: JunctionTree

    @property
    def causes(self) -> Indices:
        """The kept ones."""
        return self.kept[self.kept < self.net.causes]

    @property
    def modes(self) -> Indices:
        """The kept ones."""
        return self.kept[self.kept >= self.net.causes]

    def marginals(
        self, likelihood: Floats, figures: Figures | None = None, weight: Floats | None = None, *, bounded: bool
    ) -> Marginals:
        """For (B, K, 3) likelihoods, B variants of the figures, or (B, n, 2) weights; bounded: with an error bound."""
        boundary = self.boundary if weight is None else self.boundary.weighted(weight)
        return self.tree.marginals(boundary.parameters(self.net, figures, likelihood), bounded=bounded)

    def without_modes(
        self, likelihood: Floats, figures: Figures | None = None, weight: Floats | None = None, *, bounded: bool
    ) -> Marginals:
        """Of the causes, with all modes held inactive: each is then one factor on every cause, so no mode is summed."""
        used, modes = figures or self.net.figures, self.modes
        boundary = self.boundary if weight is None else self.boundary.weighted(weight)
        weights = np.repeat(boundary.weight, len(used.leak), axis=0)
        weights[:, :, 1] *= (1 - used.trigger[:, modes]).prod(axis=1)
        causes = tuple(self.causes.tolist())
        tree = JunctionTree.of(structure_of(self.net), tuple(self.evidence.findings.tolist()), causes)
        parameters = replace(boundary, weight=weights).parameters(self.net, used, likelihood)
        result = tree.marginals(parameters, bounded=bounded)
        off = (1 - used.leak[:, modes]) * boundary.off_node[modes] * boundary.weight[:, modes, 0]
        return replace(result, log_evidence=result.log_evidence + np.log(off).sum(axis=1))


class Narrowing:
    """Which nodes an exact pass can hold: the most probable ones. Shared by all passes of a request.

    tried: entries of the tables over so many of them, as far as they were counted.
    """

    def __init__(self, net: Network, evidence: Evidence, silence: Floats) -> None:
        self.net, self.evidence, self.silence = net, evidence, silence
        self.tried = {0: 0}

    @cached_property
    def estimate(self) -> Estimate:
        """How probable every node is, by belief propagation."""
        return Estimate.of(self.net, self.evidence, self.silence)

    @cached_property
    def _order(self) -> Indices:
        return np.argsort(-self.estimate.beliefs.probability, kind="stable")

    def fitting(self, most: int) -> Indices:
        """As many as fit into so many entries, to within STEP nodes or FILLED; all together must be too many.

        The logarithm of the entries grows about evenly with the nodes, so the next trial is interpolated.
        """
        too_many = len(self._order)
        while True:
            too_many = min((k for k, entries in self.tried.items() if entries > most), default=too_many)
            fits = max(k for k, entries in self.tried.items() if k < too_many and entries <= most)
            if too_many - fits <= STEP or self.tried[fits] >= FILLED * most:
                return np.sort(self._order[:fits])
            goal, least, beyond = (
                math.log2(max(entries, 1)) for entries in (most, self.tried[fits], self.tried.get(too_many, MOST))
            )
            part = min(max((goal - least) / (beyond - least), CAUTION), 1 - CAUTION)
            middle = min(max(fits + round(part * (too_many - fits)), fits + 1), too_many - 1)
            self.tried[middle] = self._entries(np.sort(self._order[:middle]))

    def _entries(self, nodes: Indices) -> int:
        """Of the tables over these nodes, in an order found quickly."""
        factors = factorize(structure_of(self.net), tuple(self.evidence.findings.tolist()), nodes.tolist())
        return table_entries(elimination_order(factors.scopes, factors.count, sys.maxsize))


class Posterior:
    """One request's network with its evidence, ready to be asked many questions at once.

    most: how many entries all tables of a pass may have together.
    """

    def __init__(
        self, net: Network, evidence: Evidence, most: int | None = None, narrowing: Narrowing | None = None
    ) -> None:
        self.net, self.evidence, self._most = net, evidence, MOST if most is None else most
        self._silence = narrowing.silence if narrowing else silence_weight(net, evidence)
        self._narrowing = narrowing or Narrowing(net, evidence, self._silence)
        self._rows = tuple(evidence.findings.tolist())
        self._expected: dict[int, tuple[Floats, Floats]] = {}

    @property
    def kept(self) -> Indices:
        """The nodes treated exactly, ascending."""
        return self._pass.kept

    @property
    def exact(self) -> bool:
        """Whether they are all nodes."""
        return len(self.kept) == len(self.net.nodes)

    @property
    def left_out(self) -> float:
        """P(any of the other nodes is active), as belief propagation sees them, each on its own."""
        others = self._others
        return float(1 - (1 - self.estimate.beliefs.probability[others]).prod()) if len(others) else 0.0

    @property
    def entries(self) -> int:
        """Of the tables of a pass."""
        return self._pass.tree.entries

    @property
    def estimate(self) -> Estimate:
        """By belief propagation."""
        return self._narrowing.estimate

    def narrowed(self, most: int) -> Posterior:
        """The same with tables of at most so many entries: itself, or one that leaves the least probable nodes out."""
        return self if self.entries <= most else Posterior(self.net, self.evidence, most, self._narrowing)

    @cached_property
    def _pass(self) -> _Pass:
        nodes = np.arange(len(self.net.nodes))
        tree = self._tree(nodes)
        if tree.entries <= self._most:
            boundary = Boundary.of(self._silence, len(self._rows))
            return _Pass(self.net, self.evidence, nodes, boundary, self._sought(nodes))
        kept = self._narrowing.fitting(self._most)
        return _Pass(self.net, self.evidence, kept, self.estimate.boundary(kept), self._sought(kept))

    def _tree(self, nodes: Indices) -> JunctionTree:
        return JunctionTree.of(structure_of(self.net), self._rows, tuple(nodes.tolist()))

    def _sought(self, nodes: Indices) -> JunctionTree:
        return JunctionTree.sought(structure_of(self.net), self._rows, tuple(nodes.tolist()))

    @cached_property
    def _others(self) -> Indices:
        return np.setdiff1d(np.arange(len(self.net.nodes)), self.kept)

    @cached_property
    def _observed(self) -> Answer:
        return self._asked(self.evidence.likelihood[None], None)

    def ask(self, likelihood: Floats | None = None, figures: Figures | None = None) -> Answer:
        """Marginals for (B, K, 3) likelihoods of the findings (None: as observed) or for B variants of the figures."""
        if likelihood is None and figures is None:
            return replace(self._observed, probability=self._observed.probability.copy())
        return self._asked(self.evidence.likelihood[None] if likelihood is None else likelihood, figures)

    def ask_beside(self, likelihood: Floats) -> Answer:
        """Like `compare` for (B, K, 3) likelihoods; what `ask` says of the observed comes out of the same pass."""
        rows = np.concatenate([self.evidence.likelihood[None], likelihood])
        if self.net.no_fault_odds != 1:
            answer = self._asked(rows, None)
            self._observed = answer.taken(slice(1))
            return answer.taken(slice(1, None))
        free, first = self._pass.marginals(rows, bounded=True), slice(1)
        self._observed = self._answer(
            free.taken(first), self._pass.without_modes(rows[first], bounded=True), self.net.figures
        )
        return self._without_none(free.taken(slice(1, None)))

    def _asked(self, likelihood: Floats, figures: Figures | None, *, bounded: bool = True) -> Answer:
        free = self._pass.marginals(likelihood, figures, bounded=bounded)
        no_mode = self._pass.without_modes(likelihood, figures, bounded=bounded)
        return self._answer(free, no_mode, figures or self.net.figures)

    def compare(self, likelihood: Floats) -> Answer:
        """Like `ask` for many likelihoods or none.

        Without an error bound (0), and without P(no mode active) (nan) unless a context needs it.
        """
        if not len(likelihood):
            return Answer(np.empty((0, len(self.net.nodes))), np.empty(0), np.empty(0), 0.0)
        if self.net.no_fault_odds != 1:
            return self._asked(likelihood, None, bounded=False)
        return self._without_none(self._pass.marginals(likelihood, bounded=False))

    def weighted(self, weight: Floats) -> Answer:
        """Like `compare` for (B, n, 2) more weights on the nodes, B variants.

        Nodes that are left out take their weights as if each stood for itself.
        """
        seen = self.evidence.likelihood[None]
        kept = self._pass.marginals(seen, weight=weight, bounded=False)
        active = self.estimate.beliefs.probability[self._others] if len(self._others) else np.empty(0)
        on = active * weight[:, self._others, 1]
        total = (1 - active) * weight[:, self._others, 0] + on
        free = replace(kept, log_evidence=kept.log_evidence + np.log(total).sum(axis=1))
        if self.net.no_fault_odds == 1:
            return self._without_none(free, on / total)
        no_mode = self._pass.without_modes(seen, weight=weight, bounded=False)
        return self._answer(free, no_mode, self.net.figures, on / total)

    def expectations(self, rows: Indices) -> Expectations:
        """Of the terms of these findings (rows); what was worked out for a finding is kept for the next time."""
        if missing := [row for row in rows.tolist() if row not in self._expected]:
            expected = self.expected(Gates.of(self.net, np.array(missing, np.intp)))
            self._expected.update(zip(missing, zip(expected.evidence, expected.joint, strict=True), strict=True))
        both = [self._expected[row] for row in rows.tolist()]
        return Expectations(
            np.array([evidence for evidence, _ in both]).reshape(-1, 4),
            np.array([joint for _, joint in both]).reshape(-1, 4, len(self.net.nodes)),
        )

    def expected(self, gates: Gates) -> Expectations:
        """Of the terms of whatever is raised so, findings of the network or not."""
        weight, term = products(gates)
        answer = self.weighted(np.stack([np.ones_like(weight), weight], axis=2))
        evidence = np.exp(answer.log_evidence - answer.log_evidence[0])
        joint = evidence[:, None] * answer.probability
        return Expectations(evidence[term], joint[term])

    def after_single(self, evidence: Evidence) -> Floats:
        """(K, n) P(node) if each of these findings were observed on its own, on top of what this posterior has seen.

        Exact, but for digits that a finding loses which leaves next to nothing of its terms; reports and readings leave
        more, since none is believed without reserve.
        """
        if self._expected and not self._expected.keys() >= set(evidence.findings.tolist()):
            self.expectations(np.arange(len(self.net.findings)))  # asked again and again: once for all
        coefficient = coefficients(Gates.of(self.net, evidence.findings), evidence.likelihood[:, None])
        return self.expectations(evidence.findings).outcomes(coefficient)[1][:, 0]

    def _spread(self, result: Marginals, others: Floats | None) -> Floats:
        """(B, n) probabilities: of the kept by the pass, of the others as given, or by propagation."""
        if self.exact:
            return result.probability
        probability = np.tile(self.estimate.beliefs.probability, (len(result.probability), 1))
        probability[:, self.kept] = result.probability
        if others is not None:
            probability[:, self._others] = others
        return probability

    def _without_none(self, free: Marginals, others: Floats | None = None) -> Answer:
        none = np.full(len(free.log_evidence), np.nan)
        return Answer(self._spread(free, others), none, free.log_evidence, free.error_bound)

    def _answer(self, free: Marginals, no_mode: Marginals, figures: Figures, others: Floats | None = None) -> Answer:
        """With P(no mode active), and what the contexts say of its odds applied exactly, after the passes."""
        share = np.exp(no_mode.log_evidence - free.log_evidence)
        none = np.minimum(share * self._others_off(no_mode, figures), 1.0)
        counts = min(float(share.max()), 1.0) * max(1.0, self.net.no_fault_odds)
        bound = float(np.maximum(free.error_bound, no_mode.error_bound * counts))
        probability, odds = self._spread(free, others), self.net.no_fault_odds
        if odds == 1:
            return Answer(probability, none, free.log_evidence, bound)
        extra = (odds - 1) * none
        mixed = (probability + extra[:, None] * self._given_no_mode(no_mode)) / (1 + extra)[:, None]
        # belief propagation of nodes left out need not agree with P(no mode) to the last
        chances = np.clip(mixed, 0.0, 1.0)
        return Answer(chances, (none + extra) / (1 + extra), free.log_evidence + np.log(1 + extra), bound)

    def _others_off(self, no_mode: Marginals, figures: Figures) -> Floats:
        """(B,) P(all modes left out are inactive), given that all kept ones are.

        They are taken one by one, with what the findings say of them, what the inactive modes say that they would bring
        about, and the causes as likely as they are without the kept modes.
        """
        first, out = self.net.causes, self._others
        if not len(out):
            return np.ones(1)
        beliefs, others = self.estimate.beliefs, out[out >= first]
        active = self._given_no_mode(no_mode)
        active[:, others] = beliefs.probability[others]
        trigger = figures.trigger[:, others]
        off = (1 - figures.leak[:, others]) * (1 - trigger * active[:, None]).prod(axis=2)
        weight = self._silence[others] + beliefs.message[len(self.net.nodes) - first :, others].sum(axis=0)
        spared = (1 - figures.trigger[:, self._pass.modes][:, :, others]).prod(axis=1)
        return np.asarray((off / (off + (1 - off) * np.exp(weight) * spared)).prod(axis=1))

    def _given_no_mode(self, no_mode: Marginals) -> Floats:
        """(B, n) probabilities given that no mode is active."""
        probability = np.zeros((len(no_mode.probability), len(self.net.nodes)))
        if len(self._others):
            probability[:, self._others] = self.estimate.beliefs.probability[self._others]
        probability[:, self.net.causes :] = 0.0
        probability[:, self._pass.causes] = no_mode.probability
        return probability
