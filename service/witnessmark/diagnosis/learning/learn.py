"""Rates and likelihoods from closed jobs: expectation-maximisation of a noisy-OR whose nodes are all known.

In a closed job every mode and cause is known; what is not known is which of several active parents raised a child, and
what a wrong report hides. Both are shared out by their probabilities (Dempster, Laird & Rubin 1977, "Maximum likelihood
from incomplete data via the EM algorithm", J. R. Stat. Soc. B 39), so each figure becomes (prior count + raised) /
(prior jobs + jobs). A job without a mode is rarer among calls than among machines by the odds that the contexts of its
queue state, and counts for so many machines more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import betaln

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.decisions import LearningFigures, decisions
from witnessmark.diagnosis.catalogue.row_base import Applies
from witnessmark.diagnosis.catalogue.rows import NO_FAULT, Context, Finding, Knowledge, Link
from witnessmark.diagnosis.inference.noisy_or import Floats
from witnessmark.diagnosis.learning.figures import LINKS, FigureSet, Key, defined, put, taken
from witnessmark.diagnosis.learning.jobs import ClosedJob

PARTS = (0.05, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0)
"""Of the spread that the data state, which are tried."""
SOURCE = "closed-jobs"
HARDLY = 0.01
"""Change of odds below which a figure stands as elicited."""


def rules() -> LearningFigures:
    """How much elicited figures weigh, and what too few jobs are."""
    return decisions().learning


@dataclass(frozen=True)
class Count:
    """What jobs say of one figure. strata: jobs with it raised and jobs, by machines that a job stands for."""

    strata: Mapping[float, tuple[float, int]]

    @property
    def raised(self) -> float:
        """Jobs with it raised; a share where more than one reason can be."""
        return sum(raised for raised, _ in self.strata.values())

    @property
    def jobs(self) -> int:
        """Jobs that say anything of it."""
        return sum(jobs for _, jobs in self.strata.values())

    @property
    def machines(self) -> tuple[float, float]:
        """Machines with it raised, and machines."""
        pairs = self.strata.items()
        return sum(w * raised for w, (raised, _) in pairs), sum(w * jobs for w, (_, jobs) in pairs)


@dataclass(frozen=True)
class Learned:
    """What came of it. changed: the figures that jobs replaced; refused: those with some jobs, but too few.

    kinds: how much more often a mode or cause is there at one kind of compressor than at all, as contexts.
    spreads: of the elicited log-odds, by group, as the jobs bear them out.
    """

    knowledge: Knowledge
    elicited: FigureSet
    figures: FigureSet
    counts: Mapping[Key, Count]
    changed: frozenset[Key]
    refused: frozenset[Key]
    kinds: tuple[Context, ...]
    spreads: Mapping[str, float]


@dataclass(frozen=True)
class _Part:
    """Jobs at machines of one kind as arrays. nodes: (J, n) by id; weight: (J,) machines that a job stands for."""

    machine: Machine
    nodes: Mapping[str, Floats]
    weight: Floats
    jobs: tuple[ClosedJob, ...]


def learn(knowledge: Knowledge, jobs: Sequence[ClosedJob]) -> Learned:
    """What these jobs make of the knowledge."""
    elicited = taken(knowledge)
    parts = list(_parts(knowledge, jobs))
    figures, counts = elicited, dict[Key, Count]()
    for _ in range(rules().rounds):
        counts = _counted(knowledge, figures, parts)
        figures = FigureSet({**elicited.values, **{k: _mean(elicited[k], *c.machines) for k, c in counts.items()}})
    told = _told(knowledge, elicited, counts)
    spreads = _spreads(elicited, told)
    stated = {key: _mean(elicited[key], *pair, spreads[_group(key)]) for key, pair in told.items()}
    moved = {k: p for k, p in stated.items() if abs(_odds(p) / _odds(elicited[k]) - 1) > HARDLY}
    changed, final = frozenset(moved), FigureSet({**elicited.values, **moved})
    refused = frozenset(key for key, count in counts.items() if count.jobs and key not in told)
    kinds = tuple(_kinds(knowledge, final, parts))
    learned = put(knowledge, final, changed)
    learned = replace(learned, contexts=(*learned.contexts, *kinds))
    return Learned(learned, elicited, final, counts, changed, refused, kinds, spreads)


def _kinds(knowledge: Knowledge, figures: FigureSet, parts: Sequence[_Part]) -> Iterator[Context]:
    """Rates by kind of compressor, drawn towards that of all; none where all jobs are of one kind."""
    words = sorted({part.machine.compressor for part in parts} - {None}, key=str)
    for word in words if len(words) > 1 else ():
        counts = _counted(
            knowledge, figures, [part for part in parts if part.machine.compressor == word], nodes_only=True
        )
        told = _told(knowledge, figures, {key: count for key, count in counts.items() if key[0] == "prior"})
        spread = _spread([(figures[key], *pair) for key, pair in told.items()], rules().between_kinds)
        for key, pair in told.items():
            ratio = round(_odds(_mean(figures[key], *pair, spread)) / _odds(figures[key]), 2)
            if ratio != 1:
                yield _context(str(word), key[1], max(ratio, HARDLY))


def _context(word: str, target: str, ratio: float) -> Context:
    why = "closed jobs of this kind of compressor, drawn towards all"
    return Context(
        field="compressor",
        value=word,
        target=target,
        odds_ratio=ratio,
        rationale=why,
        source=SOURCE,
        reviewed="learned",
    )


def _told(knowledge: Knowledge, figures: FigureSet, counts: Mapping[Key, Count]) -> dict[Key, tuple[float, float]]:
    """Coarse counts of the figures of which enough jobs tell."""
    coarse = {key: _coarse(figures[key], count, _each(knowledge, key, count)) for key, count in counts.items()}
    return {key: pair for key, pair in coarse.items() if pair is not None}


def _odds(p: float) -> float:
    return p / (1 - p)


def prior_jobs(p: float, spread: float | None = None) -> float:
    """Jobs that a figure stands for whose log-odds are known to within the spread, by default that of elicited ones.

    >>> round(prior_jobs(0.5, 1.0), 1)
    4.0
    """
    return 1 / ((spread or rules().spread) ** 2 * p * (1 - p))


def _mean(p: float, raised: float, among: float, spread: float | None = None) -> float:
    weight = prior_jobs(p, spread)
    return float(np.clip((weight * p + raised) / (weight + among), 1e-5, 1 - 1e-5))


def _each(knowledge: Knowledge, key: Key, count: Count) -> float:
    """Machines that a job with it raised stands for: with a mode one; a cause is there without a mode too."""
    is_cause = key[0] == "prior" and key[1] in knowledge.causes
    return count.machines[1] / count.jobs if is_cause and count.jobs else 1.0


def _coarse(p: float, count: Count, each: float) -> tuple[float, float] | None:
    """Machines raised, and machines, so coarse that no single job can be read from them; None: too few.

    Where jobs stand for different numbers of machines they weigh as much as so many equal ones (Kish 1965, "Survey
    Sampling": the square of the sum over the sum of squares).
    """
    if count.jobs < 2 * rules().least:
        return None
    jobs = {weight: _rounded(number) for weight, (_, number) in count.strata.items()}
    among = sum(weight * number for weight, number in jobs.items())
    raised = sum(weight * _rounded(number) for weight, (number, _) in count.strata.items())
    if count.raised < rules().least:
        raised = min(p * among, rules().least * each)
    elif count.jobs - count.raised < rules().least:
        raised = among - min((1 - p) * among, rules().least * among / count.jobs)
    worth = among / sum(weight**2 * number for weight, number in jobs.items()) if each > 1 else 1.0
    return raised * worth, among * worth


def _group(key: Key) -> str:
    return key[0] if key[0] in ("prior", "background") else "link"


def _spreads(elicited: FigureSet, told: Mapping[Key, tuple[float, float]]) -> dict[str, float]:
    """How far elicited log-odds lie from the truth, by group of figures; none wider than the data state."""
    groups: dict[str, list[tuple[float, float, float]]] = {"prior": [], "background": [], "link": []}
    for key, pair in told.items():
        groups[_group(key)].append((elicited[key], *pair))
    return {group: _spread(rows, rules().spread) for group, rows in groups.items()}


def _spread(rows: Sequence[tuple[float, float, float]], widest: float) -> float:
    """The spread of (figure, raised, among) rows to be expected, of a few up to the widest.

    Empirical Bayes over beta-binomials (Efron & Morris 1973, "Stein's estimation rule and its competitors", JASA 68):
    where jobs bear figures out, they hardly move them, however many they are. Only figures of which a good number is
    expected tell of the spread, or that are raised far more often: small counts are not told, so they fit by design.
    The mean over all spreads, each as likely beforehand, and not the likeliest: of a few hundred jobs a handful of
    figures tell, and the likeliest of so few was the least by chance, so that nothing was learned.
    """
    many = 2 * rules().least
    telling = [row for row in rows if row[0] * row[2] >= many or row[1] >= 1.5 * many]
    spreads = np.array(PARTS) * widest
    likely = np.array([_likely(np.array(telling).reshape(-1, 3), spread) for spread in spreads.tolist()])
    weight = np.exp(likely - likely.max())
    return float((weight * spreads).sum() / weight.sum())


def _likely(rows: Floats, spread: float) -> float:
    p, raised, among = rows.T
    weight = 1 / (spread**2 * p * (1 - p))
    a, b = weight * p, weight * (1 - p)
    return float((betaln(a + raised, b + np.maximum(among - raised, 0)) - betaln(a, b)).sum())


def _rounded(count: float) -> int:
    step = rules().step
    return round(count / step) * step


def _parts(knowledge: Knowledge, jobs: Sequence[ClosedJob]) -> Iterator[_Part]:
    by_machine = defaultdict(list)
    for job in jobs:
        by_machine[job.machine.judged()].append(job)
    for machine, several in by_machine.items():
        nodes = {key: np.array([float(key in j.confirmed_modes) for j in several]) for key in knowledge.modes}
        nodes |= {key: np.array([float(key in j.confirmed_causes) for j in several]) for key in knowledge.causes}
        yield _Part(machine, nodes, np.array([_machines(knowledge, job) for job in several]), tuple(several))


def _machines(knowledge: Knowledge, job: ClosedJob) -> float:
    """How many machines a job stands for."""
    odds = [c.odds_ratio for c in knowledge.contexts if (c.field, c.value, c.target) == ("queue", job.queue, NO_FAULT)]
    return 1.0 if job.confirmed_modes else float(1 / np.prod(odds))


def surely(applies: Applies, machine: Machine) -> bool:
    """Whether a row surely holds for the machine: what it asks for is known."""
    return all(getattr(machine, part) in wanted for part, wanted in applies.parts)


def _counted(
    knowledge: Knowledge, figures: FigureSet, parts: Sequence[_Part], *, nodes_only: bool = False
) -> dict[Key, Count]:
    sums: Sums = defaultdict(lambda: defaultdict(lambda: [0.0, 0]))
    into = _by_target(knowledge)
    defining = defined(knowledge)
    for part in parts:
        for key, row in knowledge.causes.items():
            if surely(row.applies, part.machine):
                x = part.nodes[key]
                _add(sums, ("prior", key), x, np.ones_like(x), part.weight)
        for key, mode in knowledge.modes.items():
            if surely(mode.applies, part.machine):
                _node(sums, part, key, figures, _active(into[key], part))
        for key, finding in () if nodes_only else knowledge.findings.items():
            if key not in defining and surely(finding.applies, part.machine):
                _finding(sums, part, finding, figures, _active(into[key], part))
    return {
        key: Count({weight: (float(raised), int(jobs)) for weight, (raised, jobs) in strata.items()})
        for key, strata in sums.items()
    }


Sums = dict[Key, dict[float, list[float]]]
Arrow = tuple[Key, Link]
Parent = tuple[Key, Link, Floats]


def _by_target(knowledge: Knowledge) -> dict[str, list[Arrow]]:
    into: dict[str, list[Arrow]] = defaultdict(list)
    for kind in LINKS:
        for number, link in enumerate(getattr(knowledge, kind)):
            into[link.target].append(((kind, str(number)), link))
    return into


def _active(arrows: Sequence[Arrow], part: _Part) -> list[Parent]:
    """Links that surely hold here and whose origin is there in some job."""
    return [
        (key, link, part.nodes[link.origin])
        for key, link in arrows
        if surely(link.applies, part.machine) and part.nodes[link.origin].any()
    ]


def _add(sums: Sums, key: Key, raised: Floats, among: Floats, weight: Floats | None = None) -> None:
    """Count the jobs `among` which some share is `raised`, by what each stands for."""
    for each in (1.0,) if weight is None else np.unique(weight).tolist():
        of = among if weight is None else among * (weight == each)
        entry = sums[key][each]
        entry[0] += float((raised * (of > 0)).sum())
        entry[1] += int((of > 0).sum())


def _off(leak: float, parents: Sequence[Parent], figures: FigureSet, jobs: int) -> Floats:
    """(J,) P(nothing raises it)."""
    off = np.full(jobs, 1 - leak)
    for key, _, active in parents:
        off *= 1 - figures[key] * active
    return off


def _node(sums: Sums, part: _Part, key: str, figures: FigureSet, parents: Sequence[Parent]) -> None:
    there, leak = part.nodes[key], figures["prior", key]
    on = 1 - _off(leak, parents, figures, len(there))
    _add(sums, ("prior", key), there * leak / on, np.ones_like(there), part.weight)
    for arrow, _, active in parents:
        _add(sums, arrow, there * active * figures[arrow] / on, active, part.weight)


def _finding(sums: Sums, part: _Part, finding: Finding, figures: FigureSet, parents: Sequence[Parent]) -> None:
    seen, likelihood = _likelihood(finding, part.jobs)
    if not seen.any():
        return
    sides = ("low", "high") if finding.kind == "three-way" else ("low",)
    own = {side: [p for p in parents if (p[1].state == "high") == (side == "high")] for side in sides}
    leaks = {side: figures["background", finding.id, side] for side in sides}
    on = {side: 1 - _off(leaks[side], own[side], figures, len(seen)) for side in sides}
    raised = _raised(on, likelihood)
    for side in sides:
        share = raised[side] / on[side] * seen
        _add(sums, ("background", finding.id, side), share * leaks[side], seen)
        for arrow, _, active in own[side]:
            _add(sums, arrow, share * active * figures[arrow], seen * active)


def _raised(on: Mapping[str, Floats], likelihood: Floats) -> dict[str, Floats]:
    """P(accumulator raised | report) by side."""
    low, normal_of, low_of = on["low"], likelihood[:, 0], likelihood[:, 1]
    if "high" not in on:
        return {"low": low * low_of / (low * low_of + (1 - low) * normal_of)}
    high, high_of = on["high"], likelihood[:, 2]
    only_low, only_high = low * (1 - high) * low_of, high * (1 - low) * high_of
    both = low * high * (low_of + high_of) / 2
    total = only_low + only_high + both + (1 - low) * (1 - high) * normal_of
    return {"low": (only_low + both) / total, "high": (only_high + both) / total}


def _likelihood(finding: Finding, jobs: Sequence[ClosedJob]) -> tuple[Floats, Floats]:
    """(J,) whether a job says anything of it, and (J, 3) P(what it says | normal, low or present, high)."""
    rows = [_row(finding, job) for job in jobs]
    return np.array([float(row is not None) for row in rows]), np.array([row or (1.0, 1.0, 1.0) for row in rows])


_PLACE = {"absent": 0, "normal": 0, "present": 1, "low": 1, "high": 2}


def _row(finding: Finding, job: ClosedJob) -> tuple[float, float, float] | None:
    state = job.findings.get(finding.id, "unknown")
    mention = finding.mention.get(job.reported_by) if job.reported_by else None
    if state == "unknown":
        silent = mention and (1 - mention.absent, 1 - mention.present, 1 - mention.present)
        return silent or None
    wrong = (1 - finding.reliability) / (2 if finding.kind == "three-way" else 1)
    report = [wrong] * 3
    report[_PLACE[state]] = finding.reliability
    if mention:
        report = [p * m for p, m in zip(report, (mention.absent, mention.present, mention.present), strict=True)]
    return report[0], report[1], report[2]
