"""How well the reasoning is calibrated, and how much more it knows than one who knows only the priors.

Everything here is simulated: it measures the engine and its restraint, never accuracy in the field. Expected
calibration error: Naeini, Cooper & Hauskrecht 2015, "Obtaining well calibrated probabilities using Bayesian binning",
AAAI-15. Skill: Murphy 1973, "A new vector partition of the probability score", J. Appl. Meteorol. 12.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Literal, TypeVar

import numpy as np

from witnessmark.diagnosis.evaluation.estimates import Estimate, bootstrapped, mean, share
from witnessmark.diagnosis.evaluation.rates import RATES, FiveRates
from witnessmark.diagnosis.evaluation.scenarios import DIFFERENT
from witnessmark.diagnosis.inference.noisy_or import Floats

BINS = 10
By = Literal["answer", "priors", "naive", "commonest"]
"""Who claims: the answer, the priors alone, plain naive Bayes on the same figures, always the commonest one."""
_NO_ERROR = 1e-6
NUMBER, SUM_CLAIMED, TRUE, SQUARES = range(4)


def by_bin(claimed: Floats, true: Floats) -> Floats:
    """(BINS, 4) number of claims, sum claimed, number true and sum of squared errors, in ten bins of the claim."""
    bins = np.minimum((claimed * BINS).astype(int), BINS - 1)
    columns = (np.ones_like(claimed), claimed, true, (claimed - true) ** 2)
    return np.stack([np.bincount(bins, column, BINS) for column in columns], axis=1)


@dataclass(frozen=True, slots=True, eq=False)
class Claims:
    """Probabilities claimed of the nodes of a layer and whether they came true: (S, BINS, 4), by case, as `by_bin`."""

    sums: Floats

    @property
    def reliability(self) -> list[tuple[float, float, int]]:
        """(mean claimed, share true, number) in each of ten bins that holds any."""
        rows = self.sums.sum(axis=0)
        return [(r[SUM_CLAIMED] / r[NUMBER], r[TRUE] / r[NUMBER], int(r[NUMBER])) for r in rows if r[NUMBER]]

    @property
    def calibration_error(self) -> Estimate:
        """Expected calibration error over ten bins."""
        return bootstrapped(self.sums, _calibration_error)

    @property
    def brier(self) -> float:
        """Mean squared error of the probabilities."""
        total = self.sums.sum(axis=(0, 1))
        return float(total[SQUARES] / total[NUMBER])

    def skill(self, over: Claims) -> Estimate:
        """Share of the squared error of other claims on the same cases that these avoid: 0 no better, 1 perfect.

        Who claims whole numbers may be without error on a handful of cases; against that nothing is of any worth.
        """
        pairs = np.stack([self.sums.sum(axis=1)[:, SQUARES], over.sums.sum(axis=1)[:, SQUARES]], axis=1)
        return bootstrapped(pairs, lambda sums: 1 - sums[:, 0] / np.maximum(sums[:, 1], _NO_ERROR))

    def right_from(self, first: int) -> Estimate:
        """Share that came true of the claims in this bin and above."""
        total = self.sums[:, first:].sum(axis=(0, 1))
        return share(int(total[TRUE]), int(total[NUMBER]))

    def gap(self, first: int, last: int = BINS) -> Estimate:
        """Mean claimed less share true in the bins from `first` to before `last`; sample: the number of claims."""
        part = self.sums[:, first:last].sum(axis=1)
        number = int(part[:, NUMBER].sum())
        if not number:
            return Estimate(float("nan"), -1.0, 1.0, 0)
        estimate = bootstrapped(part, _mean_gap)
        return Estimate(estimate.value, estimate.low, estimate.high, number)


def _mean_gap(sums: Floats) -> Floats:
    return np.asarray((sums[:, SUM_CLAIMED] - sums[:, TRUE]) / np.maximum(sums[:, NUMBER], 1))


def _calibration_error(sums: Floats) -> Floats:
    gaps = np.abs(sums[:, :, SUM_CLAIMED] - sums[:, :, TRUE]).sum(axis=1)
    return np.asarray(gaps / sums[:, :, NUMBER].sum(axis=1))


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What became of a run of cases, one row a case.

    modes, causes: what was claimed; `_priors`: by the priors alone, `_naive`: by naive Bayes, `_commonest`: by who is
    always sure of the commonest one. rank: place (0 is first) of the best placed true mode, NaN where there is no mode.
    unfit: called so. wrongly_sure: a mode at 0.95 or more that is not there; first_absent: the leading mode is not
    there. five: number of the rate in `RATES`; NaN where the verdict was not asked.
    """

    modes: Floats
    causes: Floats
    modes_priors: Floats
    causes_priors: Floats
    modes_naive: Floats
    causes_naive: Floats
    modes_commonest: Floats
    causes_commonest: Floats
    rank: Floats
    rank_priors: Floats
    rank_naive: Floats
    unfit: Floats
    wrongly_sure: Floats
    first_absent: Floats
    five: Floats

    def claims(self, layer: str, by: By = "answer") -> Claims:
        """What was claimed on `modes` or `causes`."""
        return Claims(getattr(self, layer if by == "answer" else f"{layer}_{by}"))

    def within(self, places: int, by: By = "answer") -> Estimate:
        """Share of cases with a mode in which a true one is among so many first."""
        rank = getattr(self, "rank" if by == "answer" else f"rank_{by}")
        rank = rank[~np.isnan(rank)]
        return share(int((rank < places).sum()), len(rank))

    @property
    def five_rates(self) -> FiveRates:
        """Of the cases whose verdict was asked."""
        asked, fault = ~np.isnan(self.five), ~np.isnan(self.rank)
        pairs = zip(fault[asked].tolist(), self.five[asked].astype(int).tolist(), strict=True)
        return FiveRates.of((there, RATES[k]) for there, k in pairs)

    def rate(self, name: str) -> Estimate:
        """Share of cases called `unfit`, `wrongly_sure` or `first_absent`."""
        values = getattr(self, name)
        return share(int(values.sum()), len(values))


RIGHT, CLAIMED = 0, 1


@dataclass(frozen=True, slots=True, eq=False)
class Trials:
    """(S, 2) whether the leading mode is truly there, and how probable it is called, by machine with a mode.

    After the proposed checks, after checks at random, and after others at random.
    """

    proposed: Floats
    random: Floats
    random_again: Floats

    def gain(self, column: int, *, by_chance: bool = False) -> Estimate:
        """How much more is `RIGHT` or `CLAIMED` after the proposed checks than after random ones.

        What is claimed is much the same as what is right in the mean, and varies far less from machine to machine.
        by_chance: what other random checks gain instead.
        """
        after = self.random_again if by_chance else self.proposed
        return mean(after[:, column] - self.random[:, column])


D = TypeVar("D", Outcome, Trials)


def joined(several: Iterable[D]) -> D:
    """The cases of several runs as one."""
    runs = tuple(several)
    return type(runs[0])(*(np.concatenate([getattr(run, f.name) for run in runs]) for f in fields(runs[0])))


@dataclass(frozen=True, slots=True, eq=False)
class Sample:
    """What one run gave, or several together. broken: proposed checks that break a rule, over `checked` cases.

    unheeding: the same where the fired rules are not heeded.
    """

    outcomes: Mapping[str, Outcome]
    trials: Trials
    broken: int
    unheeding: int
    checked: int

    def different(self) -> Outcome:
        """All cases of a different model."""
        return joined(self.outcomes[name] for name in DIFFERENT if name in self.outcomes)


def together(samples: Sequence[Sample]) -> Sample:
    """Several runs as one."""
    return Sample(
        {name: joined(s.outcomes[name] for s in samples) for name in samples[0].outcomes},
        joined(s.trials for s in samples),
        *(sum(getattr(s, name) for s in samples) for name in ("broken", "unheeding", "checked")),
    )
