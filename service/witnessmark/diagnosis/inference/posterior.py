"""The posterior of one request: exact over all modes and causes at once, by passes over a tree of cliques.

Only where so many findings were reported that the tables would go beyond a bound are the least probable nodes left out:
they stand in the pass as belief propagation sees them (`folding`), and how probable they are together is told
(`Posterior.left_out`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from witnessmark.diagnosis.inference.approximation import Estimate, Evidence, Fold, silence
from witnessmark.diagnosis.inference.chains import Budget, Chains
from witnessmark.diagnosis.inference.junction_tree import Layout, Marginals
from witnessmark.diagnosis.inference.network import Figures, Floats, Indices, Network

MOST = 1 << 24
"""Entries of all tables together: some 0.3 s and 0.2 GB. With 40 findings fewer nearly always do."""
DOUBT = 1e-7
"""How far rounding may have gone, at most: chances are given to six digits. Beyond it chains of ORs take over, in which
nothing cancels. The bound is wide: on the shipped knowledge errors are some 1e-13 where it says 1e-10.
"""
STEP = 2
"""To how many nodes it is found out how many fit."""


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """probability: (B, n) of every node. none: (B,) P(no mode active). log_evidence: (B,), up to what is left out."""

    probability: Floats
    none: Floats
    log_evidence: Floats


@dataclass(frozen=True, eq=False)
class Pass:
    """One way to sum. kept: the nodes summed over, ascending; fold: what the others do to them; layout: structure."""

    net: Network
    evidence: Evidence
    kept: Indices
    fold: Fold
    layout: Layout | Chains

    def marginals(self, likelihood: Floats, figures: Figures | None) -> Marginals:
        """For (B, K, 3) likelihoods or B variants of the figures."""
        return self.layout.marginals(self.fold.numbers(self.net, figures, likelihood))

    def both(self, likelihood: Floats, figures: Figures | None) -> tuple[Marginals, Marginals]:
        """The same freely, and with all modes held inactive."""
        return self.marginals(likelihood, figures), self.without_modes(likelihood, figures)

    @property
    def causes(self) -> Indices:
        """The kept ones."""
        return self.kept[self.kept < self.net.causes]

    @property
    def modes(self) -> Indices:
        """The kept ones."""
        return self.kept[self.kept >= self.net.causes]

    @cached_property
    def _quiet(self) -> Layout | Chains:
        if isinstance(self.layout, Chains):
            return Chains.over(self.net, self.evidence, self.causes, self.fold)
        return Layout.of(self.net, self.evidence.findings.tolist(), self.causes.tolist())

    def without_modes(self, likelihood: Floats, figures: Figures | None) -> Marginals:
        """Of the causes, with all modes held inactive: each is then one factor on every cause, so no mode is summed."""
        used, modes = figures or self.net.figures, self.modes
        weight = np.repeat(self.fold.weight, len(used.leak), axis=0)
        weight[:, :, 1] *= (1 - used.trigger[:, modes]).prod(axis=1)
        result = self._quiet.marginals(replace(self.fold, weight=weight).numbers(self.net, used, likelihood))
        off = (1 - used.leak[:, modes]) * self.fold.node[modes] * self.fold.weight[:, modes, 0]
        return replace(result, log_evidence=result.log_evidence + np.log(off).sum(axis=1))


class Posterior:
    """One request's network with its evidence, ready to be asked many questions at once.

    most: how many entries all tables of a pass may have together.
    """

    def __init__(self, net: Network, evidence: Evidence, most: int | None = None) -> None:
        self.net, self.evidence, self._most = net, evidence, MOST if most is None else most
        self._said = silence(net, evidence)
        self._rows = evidence.findings.tolist()

    @property
    def way(self) -> Pass:
        """How what was observed is summed."""
        return self._observed[0]

    @property
    def doubt(self) -> float:
        """How far rounding may have gone in that."""
        _, free, quiet = self._observed
        return self._doubt(free, quiet)

    @property
    def kept(self) -> Indices:
        """The nodes treated exactly, ascending."""
        return self.way.kept

    @property
    def exact(self) -> bool:
        """Whether they are all nodes."""
        return len(self.kept) == len(self.net.nodes)

    @property
    def left_out(self) -> float:
        """P(any of the other nodes is active), as belief propagation sees them, each on its own."""
        others = self._others(self.kept)
        return float(1 - (1 - self.estimate.beliefs.probability[others]).prod()) if len(others) else 0.0

    @property
    def entries(self) -> int:
        """Of the tables of a pass."""
        return self._wide.layout.entries

    @cached_property
    def estimate(self) -> Estimate:
        """By belief propagation."""
        return Estimate.of(self.net, self.evidence, self._said)

    @cached_property
    def _wide(self) -> Pass:
        nodes = np.arange(len(self.net.nodes))
        layout = Layout.of(self.net, self._rows, nodes.tolist())
        if layout.entries <= self._most:
            return Pass(self.net, self.evidence, nodes, Fold.of(self._said, len(self._rows)), layout)
        kept, layout = self._narrowed()
        return Pass(self.net, self.evidence, kept, self.estimate.fold(kept), layout)

    def _narrowed(self) -> tuple[Indices, Layout]:
        """The most probable nodes, as many as fit, to within STEP."""
        order = np.argsort(-self.estimate.beliefs.probability, kind="stable")
        fits, burst = 0, len(order)
        kept, layout = order[:0], Layout.of(self.net, self._rows, ())
        while burst - fits > STEP:
            middle = (fits + burst) // 2
            some = np.sort(order[:middle])
            tried = Layout.of(self.net, self._rows, some.tolist())
            if tried.entries > self._most:
                burst = middle
            else:
                fits, kept, layout = middle, some, tried
        return kept, layout

    def _others(self, nodes: Indices) -> Indices:
        return np.setdiff1d(np.arange(len(self.net.nodes)), nodes)

    @cached_property
    def _safe(self) -> Pass:
        """Without a negative number in any table, as far as that goes with tables of up to a million entries."""
        widest = max(1, min(20, self._most.bit_length() - 4))
        chains = Chains.of(self.net, self.evidence, self.estimate, Budget(10_000, widest, careful=True))
        return Pass(self.net, self.evidence, chains.kept, chains.fold, chains)

    @cached_property
    def _observed(self) -> tuple[Pass, Marginals, Marginals]:
        return self._run(self.evidence.likelihood[None], None)

    def _run(self, likelihood: Floats, figures: Figures | None) -> tuple[Pass, Marginals, Marginals]:
        """The way taken, and what comes out freely and with all modes held inactive."""
        free, quiet = self._wide.both(likelihood, figures)
        if self._doubt(free, quiet) <= DOUBT:
            return self._wide, free, quiet
        return self._safe, *self._safe.both(likelihood, figures)

    def _doubt(self, free: Marginals, quiet: Marginals) -> float:
        """Of what is free relative; of "no mode" as far as it counts in the whole."""
        share = float(np.exp(np.minimum(quiet.log_evidence - free.log_evidence, 0.0)).max())
        return float(np.max([free.doubt, quiet.doubt * share * max(1.0, self.net.no_fault_odds)]))

    def ask(self, likelihood: Floats | None = None, figures: Figures | None = None) -> Answer:
        """Marginals for (B, K, 3) likelihoods of the findings (None: as observed) or for B variants of the figures."""
        if likelihood is None and figures is None:
            way, free, quiet = self._observed
        else:
            way, free, quiet = self._run(self.evidence.likelihood[None] if likelihood is None else likelihood, figures)
        none = np.exp(quiet.log_evidence - free.log_evidence)
        none = np.minimum(none * self._others_off(way, quiet, figures or self.net.figures), 1.0)
        return self._weighed(Answer(self._spread(way, free), none, free.log_evidence), way, quiet)

    def compare(self, likelihood: Floats) -> Answer:
        """Like `ask` for many likelihoods or none, without P(no mode active) unless a context needs it: then nan."""
        if not len(likelihood):
            return Answer(np.empty((0, len(self.net.nodes))), np.empty(0), np.empty(0))
        if self.net.no_fault_odds != 1:
            return self.ask(likelihood)
        way, free = self._wide, self._wide.marginals(likelihood, None)
        if not free.doubt <= DOUBT:
            way, free = self._safe, self._safe.marginals(likelihood, None)
        return Answer(self._spread(way, free), np.full(len(likelihood), np.nan), free.log_evidence)

    def weighted(self, weight: Floats) -> Marginals:
        """Marginals with (B, n, 2) more weights on the nodes, B variants."""
        way = self._wide
        fold = replace(way.fold, weight=way.fold.weight * weight)
        return way.layout.marginals(fold.numbers(self.net, None, self.evidence.likelihood[None]))

    def _spread(self, way: Pass, result: Marginals) -> Floats:
        """(B, n) probabilities: of the kept by the pass, of the others by propagation."""
        if len(way.kept) == len(self.net.nodes):
            return result.probability.copy()
        probability = np.tile(self.estimate.beliefs.probability, (len(result.probability), 1))
        probability[:, way.kept] = result.probability
        return probability

    def _others_off(self, way: Pass, quiet: Marginals, figures: Figures) -> Floats:
        """(B,) P(all modes left out are inactive), given that all kept ones are.

        They are taken one by one, with what the findings say of them, what the inactive modes say that they would bring
        about, and the causes as likely as they are without the kept modes.
        """
        first, out = self.net.causes, self._others(way.kept)
        if not len(out):
            return np.ones(1)
        modes, others = way.modes, out[out >= first]
        active = self._still(way, quiet)
        active[:, others] = self.estimate.beliefs.probability[others]
        trigger = figures.trigger[:, others]
        off = (1 - figures.leak[:, others]) * (1 - trigger * active[:, None]).prod(axis=2)
        said = self._said[others] + self.estimate.beliefs.message[len(self.net.nodes) - first :, others].sum(axis=0)
        spared = (1 - figures.trigger[:, modes][:, :, others]).prod(axis=1)
        return np.asarray((off / (off + (1 - off) * np.exp(said) * spared)).prod(axis=1))

    def _still(self, way: Pass, quiet: Marginals) -> Floats:
        """(B, n) probabilities given that no mode is active."""
        still = np.zeros((len(quiet.probability), len(self.net.nodes)))
        out = self._others(way.kept)
        if len(out):
            still[:, out] = self.estimate.beliefs.probability[out]
        still[:, self.net.causes :] = 0.0
        still[:, way.causes] = quiet.probability
        return still

    def _weighed(self, plain: Answer, way: Pass, quiet: Marginals) -> Answer:
        """With the factor on the odds of "no mode" that the contexts gave: applied exactly, after the passes."""
        if self.net.no_fault_odds == 1:
            return plain
        extra = (self.net.no_fault_odds - 1) * plain.none
        mixed = (plain.probability + extra[:, None] * self._still(way, quiet)) / (1 + extra)[:, None]
        # belief propagation of nodes left out need not agree with P(no mode) to the last
        chances = np.clip(mixed, 0.0, 1.0)
        return Answer(chances, (plain.none + extra) / (1 + extra), plain.log_evidence + np.log(1 + extra))
