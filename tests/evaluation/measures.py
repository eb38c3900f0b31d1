"""Measures what docs/EVALUATION.md tells: simulated machines, next checks, described cases, notes, laboratory data."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np

from tests.bench.bench_diagnosis import cases as timed_cases
from tests.bench.bench_diagnosis import median_time, ranking
from tests.diagnosis.conftest import observed, random_net, summed
from tests.diagnosis.notes.test_matching import PARTS, Said, implied, part, sentences_of
from tests.evaluation import units
from tests.evaluation.described import section
from tests.published import rooftop
from tests.published import test_noisy_or_library as library
from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.evaluation.estimates import Estimate, bootstrapped
from witnessmark.diagnosis.evaluation.outcomes import Sample
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.simulation import Scenario, simulate
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.inference.noisy_or import Evidence, Floats, Network
from witnessmark.diagnosis.inference.posterior import Posterior
from witnessmark.diagnosis.review.case_set import Described, Scores, read_cases, run, score

CASES = Path(__file__).parents[1] / "diagnosis" / "cases"
TIMED = (8, 25)
_NETWORKS = 200
_RUNS = 5


@dataclass(frozen=True, slots=True, eq=False)
class Notes:
    """Reading of the labelled notes of one part. pairs: (notes, 3) pairs of finding and state: right, extra, missed."""

    pairs: Floats

    @property
    def notes(self) -> int:
        """How many."""
        return len(self.pairs)

    @property
    def precision(self) -> Estimate:
        """Share of what was read that a careful reader read too."""
        return bootstrapped(self.pairs, lambda sums: sums[:, 0] / np.maximum(sums[:, 0] + sums[:, 1], 1))

    @property
    def recall(self) -> Estimate:
        """Share of what a careful reader read that was read."""
        return bootstrapped(self.pairs, lambda sums: sums[:, 0] / np.maximum(sums[:, 0] + sums[:, 2], 1))


@dataclass(frozen=True, slots=True)
class Apart:
    """Greatest difference of a probability from the true one: of the engine, and of the priors alone."""

    engine: float
    priors: float


@dataclass(frozen=True, slots=True)
class Rooftop:
    """Shares of laboratory rows with the condenser blocked; the interval is that of the hours.

    heavy: it is acted on at 58 %; alarm: any cause is on a clean unit. light, other: at 28 % against a day without a
    fault it is, and another cause is. table: the cells of `rooftop.told` by level, reference and part.
    """

    heavy: Estimate
    alarm: Estimate
    light: Estimate
    other: Estimate
    table: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """Everything measured. samples: a run a seed; none where only the rest was measured. same: the same bytes twice.

    blind_scores: of one who sees no finding; of restraint, of one who always diagnoses. asked: of how many cases each
    score is a share. described, units: the tables of
    the described cases and of the simulated readings. rooftop: None where the data are not there. speed: median of the
    ranking in ms by number of findings.
    """

    samples: Sequence[Sample]
    scores: dict[str, Scores]
    blind_scores: dict[str, Scores]
    asked: dict[str, dict[str, int]]
    described: str
    units: str
    notes: dict[str, Notes]
    rooftop: Rooftop | None
    enumeration: Apart
    library: Apart
    same: bool
    speed: dict[int, float]


def measured(pool: Pool, samples: Callable[[], Sequence[Sample]]) -> Measured:
    """Measure all of it. samples: the runs of simulated machines. The times come first, while nothing else runs."""
    described = read_cases(CASES)
    return Measured(
        speed=speed(),
        enumeration=against_enumeration(),
        library=against_the_library(pool.knowledge),
        same=same_bytes(),
        scores=scores(described, pool.knowledge),
        blind_scores=blind_scores(described, pool.knowledge),
        asked=asked(described),
        described=section.text(described, pool.knowledge),
        units=units.lines(),
        notes={name: Notes(np.array([_read(*note) for note in part(name)], float)) for name in PARTS},
        rooftop=of_the_rooftop(),
        samples=samples(),
    )


def _read(text: str, wanted: Said) -> tuple[int, int, int]:
    """Right, too many, missed; over (finding, state) pairs of one note."""
    also = implied(wanted)
    found = {(f, state) for f, state in sentences_of(text) if not (f in also and state in {"absent", "normal"})}
    return len(found & wanted), len(found - wanted), len(wanted - found)


def speed() -> dict[int, float]:
    """Median of the ranking in ms by number of findings: the least of several runs, since other work only adds."""
    return {size: min(median_time(ranking, timed_cases(size))[0] for _ in range(_RUNS)) for size in TIMED}


def against_enumeration() -> Apart:
    """Over random networks of eight nodes and seven observed findings."""
    return _worst([_from_enumeration(random_net(seed, (3, 5, 9)), seed) for seed in range(_NETWORKS)])


def _from_enumeration(net: Network, seed: int) -> Apart:
    evidence = observed(net, seed, 7)
    truth, none, _ = summed(net, evidence)
    answers = [Posterior(net, seen).ask() for seen in (evidence, Evidence.none())]
    return Apart(*(float(max(np.abs(a.probability[0] - truth).max(), abs(a.none[0] - none))) for a in answers))


def _worst(several: Sequence[Apart]) -> Apart:
    return Apart(max(apart.engine for apart in several), max(apart.priors for apart in several))


def against_the_library(knowledge: Knowledge) -> Apart:
    """Over parts of the shipped knowledge with twelve observed findings each, and over all of it with 7 to 25."""
    several = []
    for modes in library.CHOSEN:
        net = network(library.reduced(knowledge, modes), library.SCROLL)
        rng = np.random.default_rng(1)
        rows = np.sort(rng.choice(len(net.findings), 12, replace=False))
        several.append(_from_library(net, Evidence.of(rows, rng.uniform(0.03, 1.0, (12, 3)))))
    for size in (7, 15, 25):
        inquiry = inquire(knowledge, simulate(knowledge, Scenario(findings=(size, size)), 1, 3)[0].case)
        several.append(_from_library(inquiry.net, inquiry.posterior.evidence))
    return _worst(several)


def _from_library(net: Network, evidence: Evidence) -> Apart:
    answers = (Posterior(net, seen).ask() for seen in (evidence, Evidence.none()))
    return Apart(*(library.apart(net, evidence, answer) for answer in answers))


_ONCE = """
from witnessmark.diagnosis.case import Want
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.simulation import Scenario, simulate
from dataclasses import replace
for simulated in simulate(knowledge(), Scenario(findings=(12, 12)), 5, 1):
    print(repr(diagnose(replace(simulated.case, reported_by=("form",), want=Want(sensitivity=True)))))
"""


def same_bytes() -> bool:
    """Whole answers of five cases, in two processes whose sets are in a different order."""
    answers = [
        subprocess.run(  # noqa: S603 - this interpreter, our own text
            [sys.executable, "-c", _ONCE], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True
        ).stdout
        for seed in ("1", "2")
    ]
    return len(answers[0]) > 0 and answers[0] == answers[1]


def scores(described: Sequence[Described], knowledge: Knowledge) -> dict[str, Scores]:
    """Scores of the case set, all and by origin."""
    outcomes = run(described, partial(diagnose, knowledge=knowledge))
    groups = {"all": outcomes} | {
        origin: tuple(o for o in outcomes if o.described.origin == origin) for origin in ("published", "constructed")
    }
    return {name: score(group) for name, group in groups.items()}


def asked(described: Sequence[Described]) -> dict[str, dict[str, int]]:
    """Of how many cases each score is a share, all and by origin."""
    return {
        name: {
            "top_1": sum(bool(one.modes) for one in group),
            "top_3": sum(bool(one.modes) for one in group),
            "both_causes": sum(one.kind == "two-causes" for one in group),
            "not_diagnosed": sum(one.kind == "out-of-scope" for one in group),
            "safety": sum(bool(one.safety) for one in group),
        }
        for name, group in by_origin(described).items()
    }


def by_origin(described: Sequence[Described]) -> dict[str, tuple[Described, ...]]:
    """All of them, and those of each origin."""
    own = {o: tuple(one for one in described if one.origin == o) for o in ("published", "constructed")}
    return {"all": tuple(described)} | own


def blind_scores(described: Sequence[Described], knowledge: Knowledge) -> dict[str, Scores]:
    """The same without any finding: the priors and contexts alone. Restraint is that of one who always diagnoses."""
    unseen = [replace(one, case=replace(one.case, findings=(), reported_by=())) for one in described]
    return {name: replace(blind, not_diagnosed=0.0) for name, blind in scores(unseen, knowledge).items()}


def of_the_rooftop() -> Rooftop | None:
    """All laboratory rows, by the usual ranges and against the day without a fault."""
    if not rooftop.here():
        return None
    usual, held = rooftop.usual(), rooftop.held()
    return Rooftop(
        rooftop.rate(rooftop.of_level(usual, "58"), "correct"),
        rooftop.rate(rooftop.of_level(usual, "0"), "false alarm"),
        rooftop.rate(rooftop.of_level(held, "28"), "correct"),
        rooftop.rate(rooftop.of_level(held, "28"), "misdiagnosis"),
        tuple(rooftop.table()),
    )
