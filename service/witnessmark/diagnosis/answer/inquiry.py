"""One request in progress: machine, network, evidence and posterior, shared by everything that explains them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from witnessmark.diagnosis.case import Case, Machine
from witnessmark.diagnosis.catalogue.decisions import Decisions, decisions
from witnessmark.diagnosis.catalogue.knowledge import Knowledge
from witnessmark.diagnosis.evidence.evidence import Gathered, gather
from witnessmark.diagnosis.evidence.reports import Checked, checked
from witnessmark.diagnosis.inference.approximation import Evidence
from witnessmark.diagnosis.inference.network import Floats, Indices, Network, network, with_contexts
from witnessmark.diagnosis.inference.posterior import Answer, Posterior
from witnessmark.diagnosis.inference.single_findings import alone
from witnessmark.diagnosis.result import Hypothesis, Layer

DECIBANS = 10 / math.log(10)
AT_ONCE = 1 << 18
"""Entries that the tables of all variants of the evidence may have together: some 20 ms."""
_NONE, _ALL = 1e-9, 1 - 1e-9


def log_odds(probability: Floats) -> Floats:
    """Natural log odds, kept finite."""
    held = np.clip(probability, _NONE, _ALL)
    return np.asarray(np.log(held / (1 - held)))


@lru_cache(maxsize=512)
def prepared(held: Knowledge, machine: Machine, contexts: tuple[tuple[str, str], ...]) -> tuple[Posterior, Answer]:
    """The network of a machine in its contexts before any finding, and every probability."""
    prior = Posterior(with_contexts(network(held, machine), held, contexts), Evidence.none())
    return prior, prior.ask()


@dataclass(frozen=True, eq=False)
class Inquiry:
    """What one request works with.

    posterior: where the ranking comes from; answer: the ranking. prior, before: the same without findings.
    """

    held: Knowledge
    case: Case
    given: Checked
    net: Network
    prior: Posterior
    before: Answer
    gathered: Gathered
    posterior: Posterior
    answer: Answer
    decisions: Decisions

    @property
    def modes(self) -> Indices:
        """Node numbers of the modes, most probable first."""
        return self._ranked(np.arange(self.net.causes, len(self.net.nodes)))

    @property
    def causes(self) -> Indices:
        """Node numbers of the causes, most probable first."""
        return self._ranked(np.arange(self.net.causes))

    def _ranked(self, nodes: Indices) -> Indices:
        return nodes[np.argsort(-self.answer.probability[0, nodes], kind="stable")]

    def probability(self, key: str) -> float:
        """Probability of a mode or cause; 0 where it does not apply to the machine."""
        nodes = self.net.nodes
        return float(self.answer.probability[0, nodes.index(key)]) if key in nodes else 0.0

    @cached_property
    def variants(self) -> Posterior:
        """What is asked about one variant of the evidence for every finding.

        The posterior itself where its tables are small enough; else one that leaves the least probable nodes to belief
        propagation.
        """
        if self.posterior.entries <= self._most:
            return self.posterior
        return Posterior(self.net, self.gathered.evidence, self._most)

    @cached_property
    def compared(self) -> Answer:
        """The ranking as the variants see it, to be compared with them."""
        return self.variants.ask()

    @cached_property
    def without(self) -> Answer:
        """Row k: everything but the k-th piece of explicit evidence."""
        return self.variants.compare(self._varied(np.ones((len(self.gathered.pieces), 3))))

    @cached_property
    def flipped(self) -> Answer:
        """Row k: the k-th piece of explicit evidence turned round (normal and most likely abnormal state exchanged)."""
        seen = self.posterior.evidence.likelihood
        turned = seen.copy()
        three_way = np.array(self.net.three_way)[self.posterior.evidence.findings]
        worst = np.where(three_way, 1 + seen[:, 1:].argmax(axis=1), 1)
        rows = np.arange(len(seen))
        turned[rows, 0], turned[rows, worst] = seen[rows, worst], seen[:, 0]
        return self.variants.compare(self._varied(turned))

    def _varied(self, instead: Floats) -> Floats:
        """(K, K, 3) the evidence with its k-th piece replaced in row k."""
        seen = self.posterior.evidence.likelihood
        rows = np.repeat(seen[None], len(seen), axis=0)
        rows[np.arange(len(seen)), np.arange(len(seen))] = instead
        return rows

    @cached_property
    def alone(self) -> Floats:
        """(K, n) decibans that each piece of explicit evidence moves each node on its own."""
        odds = log_odds(alone(self.prior, self.gathered.evidence))
        return np.asarray(DECIBANS * (odds[:-1] - odds[-1]))

    @property
    def _most(self) -> int:
        """Entries that one variant may have."""
        return AT_ONCE // max(len(self.gathered.pieces), 1)

    @cached_property
    def given_rest(self) -> Floats:
        """(K,) probability of the reported state of each piece, given all the others."""
        seen = self.posterior.evidence.likelihood
        likely = np.exp(self.compared.log_evidence[0] - self.without.log_evidence)
        least, most = seen.min(axis=1), seen.max(axis=1)
        return np.asarray(np.clip((likely - least) / np.maximum(most - least, _NONE), 0.0, 1.0))

    def hypotheses(self, nodes: Sequence[int]) -> tuple[Hypothesis, ...]:
        """The nodes with their probabilities, rounded for the answer."""
        return tuple(self._hypothesis(int(node)) for node in nodes)

    def _hypothesis(self, node: int) -> Hypothesis:
        key = self.net.nodes[node]
        now, before = self.answer.probability[0, node], self.before.probability[0, node]
        layer: Layer = "mode" if node >= self.net.causes else "cause"
        return Hypothesis(
            id=key,
            layer=layer,
            name=self.held.name(key),
            probability=round(float(now), 6),
            background=round(float(before), 6),
            shift=round(float(DECIBANS * (log_odds(now) - log_odds(before))), 2),
            words=self.decisions.word(float(now)),
            role=self.held.modes[key].role if layer == "mode" else "none",
        )


def inquire(held: Knowledge, case: Case) -> Inquiry:
    """Rank everything for a case. Raises InputError and its kinds with the field that is wrong."""
    given, figures = checked(held, case), decisions()
    prior, before = prepared(held, given.machine, given.contexts)
    net = prior.net
    gathered = gather(held, net, case, given.reports, figures.evidence)
    posterior = Posterior(net, gathered.evidence)
    return Inquiry(held, case, given, net, prior, before, gathered, posterior, posterior.ask(), figures)
