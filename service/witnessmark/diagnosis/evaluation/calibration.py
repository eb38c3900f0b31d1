"""How well the reasoning is calibrated, how it holds in worlds that differ from its knowledge, and when it abstains.

`python -m witnessmark.diagnosis.evaluation.calibration [cases] [trials] [checked]` prints the tables, over all cores;
docs/EVALUATION.md holds them beside the gates. Everything here is simulated: it measures the engine and its restraint,
never accuracy in the field. Expected calibration error: Naeini, Cooper & Hauskrecht 2015,
"Obtaining well calibrated probabilities using Bayesian binning", AAAI-15.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.misfits import fits
from witnessmark.diagnosis.catalogue.knowledge import Knowledge, knowledge
from witnessmark.diagnosis.evaluation import check_trials as trials
from witnessmark.diagnosis.evaluation.process_pool import Crew, crew
from witnessmark.diagnosis.evaluation.simulation import Simulated, World, simulate
from witnessmark.diagnosis.inference.noisy_or import Floats

SEED = 20261125
BINS = 10
SURE = 0.9
VERY_SURE = 0.95


@dataclass(frozen=True, slots=True, eq=False)
class Claims:
    """Probabilities claimed and whether they came true, over all cases and nodes of a layer."""

    claimed: Floats
    true: Floats

    @property
    def reliability(self) -> list[tuple[float, float, int]]:
        """(mean claimed, share true, number) in each of ten bins that holds any."""
        bins = np.minimum((self.claimed * BINS).astype(int), BINS - 1)
        held = [bins == k for k in range(BINS) if (bins == k).any()]
        return [(float(self.claimed[b].mean()), float(self.true[b].mean()), int(b.sum())) for b in held]

    @property
    def calibration_error(self) -> float:
        """Expected calibration error over ten bins."""
        return sum(abs(said - was) * number for said, was, number in self.reliability) / len(self.claimed)

    @property
    def brier(self) -> float:
        """Mean squared error of the probabilities."""
        return float(((self.claimed - self.true) ** 2).mean())

    def right_at(self, least: float) -> tuple[float, int]:
        """Share that came true among claims of at least this much, and their number."""
        sure = self.claimed >= least
        return (float(self.true[sure].mean()) if sure.any() else float("nan")), int(sure.sum())


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What a run of cases gave. top_one, top_three: share of cases with a mode in which one is ranked so.

    flagged: share of cases called unfit. wrongly_sure: share of cases with a false mode at 0.95 or more.
    """

    modes: Claims
    causes: Claims
    top_one: float
    top_three: float
    flagged: float
    wrongly_sure: float
    cases: int


@dataclass(frozen=True, slots=True, eq=False)
class _Scored:
    """One case: (claimed, true) of the modes and of the causes, and whether it was called unfit."""

    modes: tuple[Floats, Floats]
    causes: tuple[Floats, Floats]
    unfit: bool


def measure(by: Crew, cases: Sequence[Simulated], *, fit: bool = False, what: str = "cases") -> Outcome:
    """Rank every case and compare with the truth. fit: also ask whether the findings fit (slower)."""
    scored = by.each(what, partial(_scored, fit=fit), cases)
    modes = [one.modes for one in scored]
    ranks = [_best_rank(claimed, true) for claimed, true in modes if true.any()]
    return Outcome(
        modes=_claims(modes),
        causes=_claims([one.causes for one in scored]),
        top_one=float(np.mean([rank == 0 for rank in ranks])),
        top_three=float(np.mean([rank < 3 for rank in ranks])),  # noqa: PLR2004 - top three
        flagged=float(np.mean([one.unfit for one in scored])) if fit else float("nan"),
        wrongly_sure=float(np.mean([((claimed >= VERY_SURE) & (true == 0)).any() for claimed, true in modes])),
        cases=len(cases),
    )


def _scored(held: Knowledge, one: Simulated, *, fit: bool) -> _Scored:
    inquiry = inquire(held, one.case)
    claimed, split = inquiry.answer.probability[0], inquiry.net.causes
    return _Scored(
        (claimed[split:].copy(), one.truth[split:]),
        (claimed[:split].copy(), one.truth[:split]),
        fit and not fits(inquiry),
    )


def _claims(pairs: Sequence[tuple[Floats, Floats]]) -> Claims:
    return Claims(np.concatenate([claimed for claimed, _ in pairs]), np.concatenate([true for _, true in pairs]))


def _best_rank(claimed: Floats, true: Floats) -> int:
    order = np.argsort(-claimed, kind="stable")
    return int(np.flatnonzero(true[order])[0])


WORLDS = {
    "own knowledge, 5-9 findings": World(findings=(5, 9)),
    "own knowledge, 10-19 findings": World(findings=(10, 19)),
    "own knowledge, 25-39 findings": World(findings=(25, 39)),
    "5 % of the reports wrong": World(flips=0.05),
    "job notes: what is normal goes unmentioned": World(findings=None, channel="note"),
    "field forms": World(findings=None, channel="form"),
    "teardown sheets": World(findings=None, channel="teardown"),
    "every log-odds shifted, sd 1.0": World(sd=1.0),
    "sd 1.0 and findings alike within a disturbance": World(sd=1.0, alike=0.5),
    "an unmodelled mode turns 6 of 14 findings": World(findings=(14, 14), strange=6),
}


_HEAD = (
    "world",
    "cases",
    "ECE modes",
    "ECE causes",
    "Brier modes",
    "P ≥ 0.9 right",
    "top 1",
    "top 3",
    "called unfit",
    "wrong at ≥ 0.95",
)


def run(by: Crew, cases: int, seed: int) -> dict[str, Outcome]:
    """Every world with so many cases."""
    return {
        name: measure(by, simulate(by.held, world, cases, seed), fit=True, what=name) for name, world in WORLDS.items()
    }


def table(outcomes: Mapping[str, Outcome]) -> str:
    """The Markdown table over all worlds."""
    lines = [f"| {' | '.join(_HEAD)} |", f"|{' --- |' * len(_HEAD)}"]
    return "\n".join([*lines, *(_line(name, out) for name, out in outcomes.items())])


def _line(name: str, out: Outcome) -> str:
    right, number = out.modes.right_at(SURE)
    cells = [
        name,
        f"{out.cases}",
        f"{out.modes.calibration_error:.4f}",
        f"{out.causes.calibration_error:.4f}",
        f"{out.modes.brier:.4f}",
        f"{right:.1%} of {number}" if number else "none claimed",
        f"{out.top_one:.1%}",
        f"{out.top_three:.1%}",
        f"{out.flagged:.1%}",
        f"{out.wrongly_sure:.1%}",
    ]
    return f"| {' | '.join(cells)} |"


def main(arguments: Sequence[str]) -> None:
    """Print both tables. arguments: cases a world, trials, cases checked for broken rules (2000, 300 and 10000)."""
    cases, tried, checked = (int(a) for a in (*arguments, *("2000", "300", "10000")[len(arguments) :]))
    with crew(knowledge()) as by:
        outcomes, tested = run(by, cases, SEED), trials.run(by, tried, checked, SEED)
    sys.stdout.write(f"{table(outcomes)}\n\n{trials.table(tested)}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
