"""Past answers against what was confirmed: how often right, how well calibrated, how much better than knowing nothing.

Shares carry Wilson's interval (Wilson 1927, "Probable inference, the law of succession, and statistical inference",
JASA 22), Brier scores and skill the percentile bootstrap over whole answers (Efron & Tibshirani 1993, "An Introduction
to the Bootstrap", chapter 13). Skill: Murphy 1973, J. Appl. Meteorol. 12.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from typing_extensions import TypeAliasType

Floats = NDArray[np.float64]
BINS, RESAMPLES, NORMAL_95 = 10, 1000, 1.959963984540054
LEAST = 30
"""Answers below which nothing is said on skill and calibration: an interval would span nearly all there is."""
LEAST_CLAIMS = 10
"""Claims of a bin below which its calibration is not judged."""
MISTAKES = 10
Calibration = TypeAliasType("Calibration", Literal["as claimed", "too sure", "not sure enough", "cannot tell"])
"""Claims of one bin against what came true."""


@dataclass(frozen=True)
class PastAnswer:
    """What one answer claimed and what was found.

    ranked: (id, probability), in the order shown. not_looked_for: ids of which nobody knows to this day. cost: of
    acting on the answer, in whatever the shop counts.
    """

    reference: str
    ranked: tuple[tuple[str, float], ...]
    confirmed: frozenset[str]
    not_looked_for: frozenset[str] = frozenset()
    cost: float | None = None

    @cached_property
    def judged(self) -> tuple[tuple[str, float], ...]:
        """The claims that somebody looked into, in order."""
        return tuple(pair for pair in self.ranked if pair[0] not in self.not_looked_for)

    def within(self, places: int) -> bool:
        """Whether a confirmed one is among the first so many of those looked into."""
        return any(key in self.confirmed for key, _ in self.judged[:places])


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure with its 95 % interval, and how many answers or claims stand behind it."""

    value: float
    low: float
    high: float
    of: int


@dataclass(frozen=True, slots=True)
class CalibrationBin:
    """Claims from `low` to below `high`: their number, the mean claimed, the share that came true."""

    low: float
    high: float
    claims: int
    claimed: float
    true: Figure
    verdict: Calibration


@dataclass(frozen=True, slots=True)
class Mistake:
    """An answer whose first choice was not there."""

    reference: str
    first: str
    probability: float
    confirmed: tuple[str, ...]
    place: int | None
    cost: float | None


@dataclass(frozen=True, slots=True)
class OutcomeScores:
    """All of it. known_nothing: the same figures of one who names what was confirmed most often in this very list."""

    answers: int
    top_1: Figure
    top_3: Figure
    brier: Figure
    known_nothing_top_1: Figure
    known_nothing_top_3: Figure
    known_nothing_brier: float
    skill: Figure | None
    calibration: tuple[CalibrationBin, ...]
    mistakes: tuple[Mistake, ...]
    mistakes_in_all: int
    never_ranked: tuple[str, ...]
    text: str


def share(true: int, of: int) -> Figure:
    """The share of so many, with Wilson's 95 % interval. of >= 1.

    >>> f = share(81, 263)
    >>> round(f.low, 4), round(f.high, 4)
    (0.2553, 0.3662)
    """
    p, z = true / of, NORMAL_95
    middle = (p + z * z / (2 * of)) / (1 + z * z / of)
    half = z * math.sqrt(p * (1 - p) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    return Figure(p, max(0.0, middle - half), min(1.0, middle + half), of)


def score(answers: Sequence[PastAnswer]) -> OutcomeScores:
    """Score past answers; at least one, each with at least one claim that somebody looked into.

    Example: two answers, the first choice of one of them confirmed: top_1 is 0.5, 0.09 to 0.91.
    """
    sums, frequency = _squares(answers), _frequency(answers)
    mistakes = sorted((_mistake(a) for a in answers if not a.within(1)), key=_weight)
    skill = _skill(sums) if len(answers) >= LEAST else None
    guessed = [_guess(answer, frequency) for answer in answers]
    return OutcomeScores(
        answers=len(answers),
        top_1=_within(answers, 1),
        top_3=_within(answers, 3),
        brier=_bootstrapped(sums[:, (0, 2)]),
        known_nothing_top_1=_within(guessed, 1),
        known_nothing_top_3=_within(guessed, 3),
        known_nothing_brier=float(sums[:, 1].sum() / sums[:, 2].sum()),
        skill=skill,
        calibration=tuple(_bins(answers)),
        mistakes=tuple(mistakes[:MISTAKES]),
        mistakes_in_all=len(mistakes),
        never_ranked=_never_ranked(answers),
        text=_text(len(answers), skill),
    )


def _within(answers: Sequence[PastAnswer], places: int) -> Figure:
    return share(sum(answer.within(places) for answer in answers), len(answers))


def _frequency(answers: Sequence[PastAnswer]) -> dict[str, float]:
    """Share of the answers in which each id was confirmed, of those in which somebody knows."""
    found = Counter(key for answer in answers for key in answer.confirmed)
    unknown = Counter(key for answer in answers for key in answer.not_looked_for)
    return {key: number / (len(answers) - unknown[key]) for key, number in found.items()}


def _guess(answer: PastAnswer, frequency: dict[str, float]) -> PastAnswer:
    """What one says who knows nothing but how often each was confirmed in the whole list."""
    ranked = tuple(sorted(frequency.items(), key=lambda pair: (-pair[1], pair[0])))
    return PastAnswer(answer.reference, ranked, answer.confirmed, answer.not_looked_for)


def _squares(answers: Sequence[PastAnswer]) -> Floats:
    """(N, 3) squared errors of the answer and of the frequencies, and number of claims, by answer.

    What was confirmed and not claimed counts as claimed with probability 0.
    """
    frequency = _frequency(answers)
    return np.array([_square(answer, frequency) for answer in answers])


def _square(answer: PastAnswer, frequency: dict[str, float]) -> tuple[float, float, int]:
    claims = dict.fromkeys(answer.confirmed, 0.0) | dict(answer.judged)
    true = {key: float(key in answer.confirmed) for key in claims}
    ours = sum((claims[key] - true[key]) ** 2 for key in claims)
    theirs = sum((frequency.get(key, 0.0) - true[key]) ** 2 for key in claims)
    return ours, theirs, len(claims)


def _resampled(sums: Floats) -> Floats:
    """(RESAMPLES, columns) sums over answers drawn with replacement; the same draws for the same number."""
    number = len(sums)
    times = np.random.default_rng(number).multinomial(number, np.full(number, 1 / number), RESAMPLES)
    return np.asarray(times @ sums)


def _bootstrapped(sums: Floats) -> Figure:
    """The ratio of the first column to the second."""
    drawn, total = _resampled(sums), sums.sum(axis=0)
    low, high = np.percentile(drawn[:, 0] / drawn[:, 1], (2.5, 97.5))
    return Figure(float(total[0] / total[1]), float(low), float(high), len(sums))


def _skill(sums: Floats) -> Figure | None:
    """Share of the baseline's squared error that the answers avoid; None where the baseline has hardly any."""
    drawn, total = _resampled(sums), sums.sum(axis=0)
    if not drawn[:, 1].min() > 0:
        return None
    low, high = np.percentile(1 - drawn[:, 0] / drawn[:, 1], (2.5, 97.5))
    return Figure(float(1 - total[0] / total[1]), float(low), float(high), len(sums))


def _bins(answers: Sequence[PastAnswer]) -> Iterator[CalibrationBin]:
    pairs = [(p, key in answer.confirmed) for answer in answers for key, p in answer.judged]
    for number in range(BINS):
        part = [(p, true) for p, true in pairs if min(int(p * BINS), BINS - 1) == number]
        if part:
            claimed, true = sum(p for p, _ in part) / len(part), share(sum(t for _, t in part), len(part))
            yield CalibrationBin(
                number / BINS, (number + 1) / BINS, len(part), claimed, true, _calibration(claimed, true)
            )


def _calibration(claimed: float, true: Figure) -> Calibration:
    if true.of < LEAST_CLAIMS:
        return "cannot tell"
    if claimed > true.high:
        return "too sure"
    return "not sure enough" if claimed < true.low else "as claimed"


def _mistake(answer: PastAnswer) -> Mistake:
    place = next((k for k, (key, _) in enumerate(answer.ranked, 1) if key in answer.confirmed), None)
    first, probability = answer.judged[0]
    return Mistake(answer.reference, first, probability, tuple(sorted(answer.confirmed)), place, answer.cost)


def _weight(mistake: Mistake) -> tuple[float, float, str]:
    """The costliest first, then the surest."""
    return -(mistake.cost or 0.0), -mistake.probability, mistake.reference


def _never_ranked(answers: Sequence[PastAnswer]) -> tuple[str, ...]:
    ranked: Collection[str] = {key for answer in answers for key, _ in answer.ranked}
    return tuple(sorted({key for answer in answers for key in answer.confirmed if key not in ranked}))


def _text(answers: int, skill: Figure | None) -> str:
    if answers < LEAST:
        return f"{answers} answers are too few to compare: below {LEAST} neither skill nor calibration says anything."
    if skill is None:
        return "What was confirmed hardly differs from answer to answer: nothing can be better than always saying that."
    if skill.low > 0:
        return "Better than one who knows only how often each was confirmed in this list."
    if skill.high < 0:
        return (
            "Worse than one who knows only how often each was confirmed in this list: do not act on the probabilities."
        )
    return "Cannot be told from one who knows only how often each was confirmed in this list."
