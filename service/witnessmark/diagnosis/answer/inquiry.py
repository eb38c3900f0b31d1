"""One request in progress: machine, network, evidence and posterior, shared by everything that explains them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.answer.situation import Situation, situation
from witnessmark.diagnosis.case import Case, Machine
from witnessmark.diagnosis.catalogue.decisions import Decisions, decisions
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evidence.evidence import CaseEvidence, EvidenceItem, gather
from witnessmark.diagnosis.evidence.reports import CheckedCase, checked, seen_inside
from witnessmark.diagnosis.inference.attribution import at_work
from witnessmark.diagnosis.inference.network import network, with_contexts
from witnessmark.diagnosis.inference.noisy_or import Evidence, Floats, Indices, Network
from witnessmark.diagnosis.inference.outside import mixed, raised
from witnessmark.diagnosis.inference.posterior import Answer, Posterior
from witnessmark.diagnosis.result import Hypothesis, Layer

DECIBANS = 10 / math.log(10)
AT_ONCE = 1 << 18
"""Entries that the tables of all variants of one batch may have together: some 10 ms."""
TOGETHER = 1 << 17
"""Entries up to which one pass over two variants takes 0.55 to 0.9 of the time of two passes; 1.1 to 1.3 above."""
_NONE, _ALL = 1e-9, 1 - 1e-9


def log_odds(probability: Floats) -> Floats:
    """Natural log odds, kept finite."""
    finite = np.clip(probability, _NONE, _ALL)
    return np.asarray(np.log(finite / (1 - finite)))


@dataclass(frozen=True, slots=True, eq=False)
class Prior:
    """A machine in its contexts before any finding: the posterior without evidence, and every probability.

    by_evidence_alone: the same without what contexts say of "no mode", which single findings are weighed against.
    """

    posterior: Posterior
    answer: Answer
    by_evidence_alone: Posterior


@lru_cache(maxsize=256)
def prepared(knowledge: Knowledge, machine: Machine, contexts: tuple[tuple[str, str], ...]) -> Prior:
    """The network of a machine in its contexts, and what follows from it; the last 256 are kept."""
    net = with_contexts(network(knowledge, machine), knowledge, contexts)
    prior = Posterior(net, Evidence.none())
    alone = prior if net.no_fault_odds == 1 else Posterior(replace(net, no_fault_odds=1.0), Evidence.none())
    return Prior(prior, prior.ask(), alone)


@dataclass(frozen=True, eq=False)
class Inquiry:
    """What one request works with.

    posterior: where the ranking comes from. prior: the same without findings. brief: the ranking comes without its
    error bound, and P(no mode) is worked out only where it is asked for.
    """

    knowledge: Knowledge
    case: Case
    checked: CheckedCase
    net: Network
    prior: Prior
    evidence: CaseEvidence
    posterior: Posterior
    decisions: Decisions
    brief: bool = False

    @property
    def answer(self) -> Answer:
        """The ranking, with the chance that something is at work which the knowledge does not hold."""
        return self._both[0]

    @property
    def outside(self) -> float:
        """P(something is at work which the knowledge does not hold); 0 where too little was found to say."""
        return self._both[1]

    @cached_property
    def known(self) -> Answer:
        """The ranking as if the knowledge held all that can be at work; without evidence the prior."""
        if self.brief and not len(self.evidence.likelihoods.findings) and not len(self.evidence.likelihoods.silent):
            return self.before
        if self.brief:
            return self._brief.taken(slice(1))
        if len(self._unknown):
            self._as_unknown  # noqa: B018 - the ranking comes out of the same pass
        return self.posterior.ask()

    @cached_property
    def _both(self) -> tuple[Answer, float]:
        if not len(self._unknown):
            return self.known, 0.0
        return mixed(self.known, self._as_unknown, self.decisions.outside.prior)

    @cached_property
    def _unknown(self) -> Floats:
        """(1, K, 3) likelihoods where something unknown is at work; (0, K, 3) where too little was found to say."""
        figures, evidence = self.decisions.outside, self.posterior.evidence
        rows, seen = evidence.findings, evidence.likelihood
        telling = told_by_modes(self.knowledge, self.net)[rows]
        if telling.sum() < figures.least:
            return np.empty((0, *seen.shape))
        chance = np.where(telling, figures.raises, 0.0)
        return raised(seen, np.array(self.net.three_way, bool)[rows], chance)[None]

    @cached_property
    def _brief(self) -> Answer:
        """The ranking, and behind it the same where something unknown is at work, if that is of one pass."""
        seen = self.posterior.evidence.likelihood[None]
        return self.posterior.compare(np.append(seen, self._unknown, 0) if self._together else seen)

    @property
    def _together(self) -> bool:
        """Whether two rankings are sooner had of one pass than of two."""
        return self.posterior.entries <= TOGETHER

    @cached_property
    def _as_unknown(self) -> Answer:
        """The ranking where something unknown is at work; the variants hold it, where they were worked out already."""
        if not self._together:
            return self.posterior.compare(self._unknown)
        if self.brief:
            return self._brief.taken(slice(1, None))
        if "_variant_answers" in vars(self) and self.variants is self.posterior:
            return self._variant_answers.taken(slice(len(self.evidence.items), None))
        return self.posterior.ask_beside(self._unknown)

    @cached_property
    def none(self) -> float:
        """P(no failure mode is active, known or unknown)."""
        if not self.brief:
            return float(self.answer.none[0])
        none = float(self.known.none[0])
        return (float(self.posterior.ask().none[0]) if math.isnan(none) else none) * (1 - self.outside)

    @property
    def before(self) -> Answer:
        """Every probability before any finding."""
        return self.prior.answer

    @property
    def modes(self) -> Indices:
        """Node numbers of the modes, most probable first."""
        nodes = np.arange(self.net.causes, len(self.net.nodes))
        return nodes[np.argsort(-self.answer.probability[0, nodes], kind="stable")]

    @property
    def causes(self) -> Indices:
        """Node numbers of the causes, those most probably at work first: one that is merely there explains nothing."""
        return np.argsort(-self.at_work, kind="stable")

    @cached_property
    def at_work(self) -> Floats:
        """(causes,) P(present, and the reason of a mode or of something that was seen)."""
        return at_work(self.net, self.evidence.likelihoods, self.answer.probability[0])

    @property
    def unproved(self) -> frozenset[str]:
        """Findings that were told and that what was read stands against."""
        return frozenset(pair.unproved for pair in self.evidence.unproved)

    @cached_property
    def situation(self) -> Situation:
        """How the machine stands by what was reported or clearly read."""
        reported = {report.finding: report.state for report in self.checked.reports}
        within = seen_inside(self.knowledge, self.checked.reports)
        return situation(self.knowledge, self.case, {**reported, **self.evidence.states}, within)

    def probability(self, key: str) -> float:
        """Probability of a mode or cause; 0 where it does not apply to the machine."""
        node = self.net.node(key)
        return 0.0 if node is None else float(self.answer.probability[0, node])

    def suspected(self, key: str) -> float:
        """The same with or without what the knowledge does not hold, whichever is more: what warns is not thinned."""
        node = self.net.node(key)
        return 0.0 if node is None else float(max(self.known.probability[0, node], self.answer.probability[0, node]))

    def shift(self, key: str) -> float:
        """Decibans that the findings moved a mode or cause by; 0 where it does not apply to the machine."""
        node = self.net.node(key)
        return 0.0 if node is None else float(self._shift[node])

    @cached_property
    def variants(self) -> Posterior:
        """What is asked about one variant of the evidence for every finding.

        The posterior itself where its tables are small enough; else one that leaves the least probable nodes to belief
        propagation.
        """
        return self.posterior.narrowed(AT_ONCE // max(len(self.evidence.items), 1))

    @cached_property
    def _variant_answers(self) -> Answer:
        """Row k: everything but the k-th piece of explicit evidence.

        Behind them everything, where the variants are asked of another posterior, else everything as if unknown.
        """
        seen = self.posterior.evidence.likelihood
        narrowed = self.variants is not self.posterior
        rows = np.repeat(seen[None], len(seen) + narrowed, axis=0)
        rows[np.arange(len(seen)), np.arange(len(seen))] = 1.0
        return self.variants.compare(rows) if narrowed else self.posterior.ask_beside(np.append(rows, self._unknown, 0))

    @cached_property
    def compared(self) -> Answer:
        """The ranking as the variants see it, to be compared with them."""
        return self.known if self.variants is self.posterior else self._variant_answers.taken(slice(-1, None))

    @cached_property
    def without(self) -> Answer:
        """Row k: everything but the k-th piece of explicit evidence."""
        return self._variant_answers.taken(slice(len(self.evidence.items)))

    @cached_property
    def flipped(self) -> Floats:
        """(K, n) with the k-th piece of explicit evidence turned round (normal and most likely abnormal state).

        Yes-no findings follow from what is known already: the likelihoods of a report and of the contrary add up to a
        constant, whatever the finding truly is.
        """
        seen, three_way = self.posterior.evidence.likelihood, self._three_way
        ratio = np.exp(self.without.log_evidence - self.compared.log_evidence[0]) * (seen[:, 0] + seen[:, 1])
        joint = ratio[:, None] * self.without.probability - self.compared.probability
        after = np.clip(joint / np.maximum(ratio - 1, _NONE)[:, None], 0.0, 1.0)
        after[three_way] = self.variants.compare(self._turned(three_way)).probability
        return np.asarray(after)

    @property
    def _three_way(self) -> Indices:
        """Which pieces of explicit evidence are three-way findings."""
        return np.flatnonzero(np.array(self.net.three_way, bool)[self.posterior.evidence.findings])

    def _turned(self, chosen: Indices) -> Floats:
        """(C, K, 3) likelihoods with one of the chosen three-way pieces turned round in every row."""
        seen = self.posterior.evidence.likelihood
        worst, rows = 1 + seen[chosen, 1:].argmax(axis=1), np.arange(len(chosen))
        turned = np.repeat(seen[None], len(chosen), axis=0)
        turned[rows, chosen, 0], turned[rows, chosen, worst] = seen[chosen, worst], seen[chosen, 0]
        return turned

    @cached_property
    def single_weights(self) -> Floats:
        """(K, n) decibans that each piece of explicit evidence moves each node on its own."""
        prior = self.prior.by_evidence_alone
        before = self.before if prior is self.prior.posterior else prior.ask()
        return np.asarray(
            DECIBANS * (log_odds(prior.after_single(self.evidence.likelihoods)) - log_odds(before.probability))
        )

    @cached_property
    def given_rest(self) -> Floats:
        """(K,) probability of the reported state of each piece, given all the others."""
        seen = self.posterior.evidence.likelihood
        likely = np.exp(self.compared.log_evidence[0] - self.without.log_evidence)
        least, most = seen.min(axis=1), seen.max(axis=1)
        return np.asarray(np.clip((likely - least) / np.maximum(most - least, _NONE), 0.0, 1.0))

    @property
    def refining(self) -> Posterior:
        """What the most promising of the next checks are worked out by: as the variants where these are narrowed."""
        return self.variants

    @property
    def shifts(self) -> Floats:
        """(n,) decibans that the findings moved every node by."""
        return self._shift

    @cached_property
    def _shift(self) -> Floats:
        """(n,) decibans that the findings moved every node by."""
        return np.asarray(DECIBANS * (log_odds(self.answer.probability[0]) - log_odds(self.before.probability[0])))

    def hypotheses(self, nodes: Sequence[int]) -> tuple[Hypothesis, ...]:
        """The nodes with their probabilities, rounded for the answer."""
        return tuple(self._hypothesis(int(node)) for node in nodes)

    @cached_property
    def _figures(self) -> list[tuple[float, float, float, float]]:
        """Of every node: probability now and before, shift, and at work, which a mode always is."""
        now = self.answer.probability[0]
        at_work = np.concatenate([self.at_work, now[self.net.causes :]])
        columns = (now, self.before.probability[0], self._shift, at_work)
        return [*zip(*(column.tolist() for column in columns), strict=True)]

    def _hypothesis(self, node: int) -> Hypothesis:
        key = self.net.nodes[node]
        now, before, shift, at_work = self._figures[node]
        layer: Layer = "mode" if node >= self.net.causes else "cause"
        return Hypothesis(
            id=key,
            layer=layer,
            name=self.knowledge.name(key),
            probability=round(now, 6),
            background=round(before, 6),
            shift=round(shift, 2),
            words=self.decisions.word(now),
            role=self.knowledge.modes[key].role if layer == "mode" else "none",
            at_work=round(at_work, 6),
        )


def inquire(knowledge: Knowledge, case: Case, most: int | None = None, *, brief: bool = False) -> Inquiry:
    """What is needed to rank everything for a case. Raises InputError and its kinds with the field that is wrong.

    most: entries that the tables may have together; with fewer the ranking is quicker and rougher.
    """
    explicit, figures = checked(knowledge, case), decisions()
    prior = prepared(knowledge, explicit.machine, explicit.contexts)
    net = prior.posterior.net
    evidence = gather(knowledge, net, case, explicit.reports, figures.evidence)
    posterior = Posterior(net, evidence.likelihoods, most)
    return Inquiry(knowledge, case, explicit, net, prior, evidence, posterior, figures, brief)


@lru_cache(maxsize=256)
def told_by_modes(knowledge: Knowledge, net: Network) -> NDArray[np.bool_]:
    """(F,) findings by which modes and causes are told, and so something unknown as well.

    None of those on which nothing bears (dangers to people), and none that is a mode or a cause seen or weighed.
    """
    defined = {link.target for link in (*knowledge.mode_finding, *knowledge.cause_finding) if link.defines}
    borne = (net.figures.low[0] + net.figures.high[0]).any(axis=1)
    return np.asarray(borne & np.array([key not in defined for key in net.findings], bool))


@dataclass(frozen=True, slots=True)
class Support:
    """How well one mode is supported: pieces that speak for it on their own, and what is left without the best."""

    pieces: int
    without_best: float


def support(inquiry: Inquiry, node: int) -> Support:
    """Support of a node. Findings of one disturbance count once, and so do readings of one measurement.

    A broken part that was seen, and the bang, the knock, the loss of cooling and the stop that come of the break, are
    one event: it proves once what broke it, unless the broken part is the mode itself.

    Readings of one disturbance by different probes count each: a thermometer on the suction line knows nothing of the
    one on the discharge.
    """
    alone, pieces = inquiry.single_weights[:, node], inquiry.evidence.items
    speaking = [k for k in range(len(pieces)) if alone[k] >= inquiry.decisions.verdict.support]
    kinds = _kinds(inquiry, node, [pieces[k] for k in speaking])
    if not speaking:
        return Support(0, float(inquiry.answer.probability[0, node]))
    return Support(len(kinds), float(inquiry.without.probability[speaking, node].min()))


def _kinds(inquiry: Inquiry, node: int, pieces: Sequence[EvidenceItem]) -> set[str]:
    """What the pieces hang on, each once."""
    rule, mode = inquiry.decisions.one_event, inquiry.net.nodes[node]
    findings, links = inquiry.knowledge.findings, inquiry.knowledge.mode_finding
    is_it = {link.target for link in links if link.defines and link.origin == mode}
    broken = [p for p in pieces if findings[p.finding].trace == rule.broken and p.finding not in is_it]
    event = {*rule.follows, *(p.finding for p in broken)} if broken else set()
    return {rule.broken if p.finding in event else _kind(inquiry, p) for p in pieces}


def _kind(inquiry: Inquiry, piece: EvidenceItem) -> str:
    return piece.measurement or inquiry.knowledge.findings[piece.finding].trace or piece.finding


def hangs_on_one(inquiry: Inquiry) -> bool:
    """Whether the leading mode is sure enough for a verdict, yet rests on a single piece of evidence."""
    figures, lead = inquiry.decisions.verdict, int(inquiry.modes[0])
    if inquiry.answer.probability[0, lead] < figures.diagnosed:
        return False
    return not supported(inquiry, support(inquiry, lead))


def supported(inquiry: Inquiry, supported: Support) -> bool:
    """Whether more than one piece of evidence holds the mode up."""
    figures = inquiry.decisions.verdict
    return supported.pieces >= figures.supports and supported.without_best >= figures.without_best


def crowded(inquiry: Inquiry) -> bool:
    """Whether more modes are sure at once than one machine shows."""
    figures = inquiry.decisions.verdict
    modes = inquiry.answer.probability[0, inquiry.net.causes :]
    return int((modes >= figures.diagnosed).sum()) > figures.most_modes
