"""Measures what docs/EVALUATION.md tells: simulated worlds, next checks, described cases, notes, laboratory data."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.bench.bench_diagnosis import cases as timed_cases
from tests.bench.bench_diagnosis import median_time, ranking
from tests.diagnosis.conftest import observed, random_net, summed
from tests.diagnosis.notes.test_matching import PARTS, counts, part
from tests.published import test_noisy_or_library as library
from tests.published import test_rooftop_data as rooftop
from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.catalogue.knowledge import Knowledge
from witnessmark.diagnosis.evaluation import calibration as evaluation
from witnessmark.diagnosis.evaluation import check_trials as trials
from witnessmark.diagnosis.evaluation.calibration import SEED, Claims, Outcome, measure
from witnessmark.diagnosis.evaluation.case_set import Scores, read_cases, run, score
from witnessmark.diagnosis.evaluation.process_pool import Crew
from witnessmark.diagnosis.evaluation.simulation import World, simulate
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.inference.noisy_or import Evidence
from witnessmark.diagnosis.inference.posterior import Posterior

CASES = Path(__file__).parents[1] / "diagnosis" / "cases"
DIFFERENT = (
    World(findings=(10, 25), sd=1.0, alike=0.5),
    World(findings=(25, 39), sd=1.0, alike=0.5),
    World(findings=None, channel="form", sd=1.0, alike=0.5),
)
"""A model the knowledge does not hold: every log-odds shifted, findings of one disturbance alike."""
TIMED = (8, 25)
_NETWORKS = 200
_RUNS = 5


@dataclass(frozen=True, slots=True)
class Notes:
    """Reading of the labelled notes of one part: pairs of finding and state."""

    notes: int
    right: int
    extra: int
    missed: int

    @property
    def precision(self) -> float:
        """Share of what was read that a careful reader read too."""
        return self.right / (self.right + self.extra)

    @property
    def recall(self) -> float:
        """Share of what a careful reader read that was read."""
        return self.right / (self.right + self.missed)


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Everything measured. enumeration, library: greatest difference of a probability. same: the same bytes twice.

    rooftop: share of rows whose first cause is the condenser, by level; None where the data are not there.
    speed: median of the ranking in ms by number of findings.
    """

    worlds: dict[str, Outcome]
    different: dict[str, Claims]
    trials: trials.Tested
    scores: dict[str, Scores]
    notes: dict[str, Notes]
    rooftop: dict[str, float] | None
    enumeration: float
    library: float
    same: bool
    speed: dict[int, float]


def found(by: Crew, cases: int, tried: int, checked: int) -> Found:
    """Measure all of it; minutes on the usual sizes. The times come first, while nothing else runs."""
    return Found(
        speed=speed(),
        enumeration=against_enumeration(),
        library=against_the_library(by.held),
        same=same_bytes(),
        scores=described(by.held),
        notes={name: Notes(len(part(name)), *counts(name)) for name in PARTS},
        rooftop=of_the_rooftop(),
        worlds=evaluation.run(by, cases, SEED),
        different=elsewhere(by, cases // 2),
        trials=trials.run(by, tried, checked, SEED),
    )


def speed() -> dict[int, float]:
    """Median of the ranking in ms by number of findings: the least of several runs, since other work only adds."""
    return {size: min(median_time(ranking, timed_cases(size))[0] for _ in range(_RUNS)) for size in TIMED}


def against_enumeration() -> float:
    """Over random networks of eight nodes and seven observed findings."""
    worst = 0.0
    for seed in range(_NETWORKS):
        net = random_net(seed, (3, 5, 9))
        evidence = observed(net, seed, 7)
        truth, none, _ = summed(net, evidence)
        answer = Posterior(net, evidence).ask()
        worst = max(worst, float(np.abs(answer.probability[0] - truth).max()), abs(float(answer.none[0]) - none))
    return worst


def against_the_library(held: Knowledge) -> float:
    """Over parts of the shipped knowledge with twelve observed findings each, and over all of it with 7 to 25."""
    worst = 0.0
    for modes in library.CHOSEN:
        net = network(library.reduced(held, modes), library.SCROLL)
        rng = np.random.default_rng(1)
        rows = np.sort(rng.choice(len(net.findings), 12, replace=False))
        evidence = Evidence.of(rows, rng.uniform(0.03, 1.0, (12, 3)))
        worst = max(worst, library.apart(net, evidence, Posterior(net, evidence).ask()))
    for size in (7, 15, 25):
        inquiry = inquire(held, simulate(held, World(findings=(size, size)), 1, 3)[0].case)
        worst = max(worst, library.apart(inquiry.net, inquiry.posterior.evidence, inquiry.answer))
    return worst


_ONCE = """
from witnessmark.diagnosis.case import Wishes
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.simulation import World, simulate
from dataclasses import replace
for one in simulate(knowledge(), World(findings=(12, 12)), 5, 1):
    print(repr(diagnose(replace(one.case, channels=("form",), wishes=Wishes(sensitivity=True)))))
"""


def same_bytes() -> bool:
    """Whole answers of five cases, in two processes whose sets are in a different order."""
    said = [
        subprocess.run(  # noqa: S603 - this interpreter, our own text
            [sys.executable, "-c", _ONCE], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True
        ).stdout
        for seed in ("1", "2")
    ]
    return len(said[0]) > 0 and said[0] == said[1]


def described(held: Knowledge) -> dict[str, Scores]:
    """Scores of the case set, all and by origin."""
    outcomes = run(read_cases(CASES), held)
    groups = {"all": outcomes} | {
        origin: tuple(o for o in outcomes if o.described.origin == origin) for origin in ("published", "constructed")
    }
    return {name: score(group) for name, group in groups.items()}


def elsewhere(by: Crew, cases: int) -> dict[str, Claims]:
    """Claims on modes and on causes in the different worlds together."""
    runs = [measure(by, simulate(by.held, world, cases, SEED), what="a different model") for world in DIFFERENT]
    return {"modes": _together([r.modes for r in runs]), "causes": _together([r.causes for r in runs])}


def _together(claims: Sequence[Claims]) -> Claims:
    return Claims(np.concatenate([c.claimed for c in claims]), np.concatenate([c.true for c in claims]))


def of_the_rooftop() -> dict[str, float] | None:
    """The laboratory rows with the condenser 58 % blocked and with it clean."""
    if not (rooftop.FOLDER / rooftop.FILE).is_file():
        return None
    return {level: rooftop.share(rooftop.inquiries(level)) for level in ("58", "0")}
