"""The figures of the reasoning itself, as reviewed data (`knowledge/decisions.toml`)."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE

Share = Annotated[float, Field(ge=0, le=1)]


class EvidenceFigures(Row):
    """gross_error: share of readings that are simply wrong. *_correlation: 0..1. *_reading: decibans."""

    gross_error: float
    trace_correlation: float
    silence_correlation: float
    fullness_spread: float
    clear_reading: float
    contradicting_reading: float


class VerdictFigures(Row):
    """Thresholds of the verdict: probabilities, decibans and counts; meanings stand beside them in the file."""

    diagnosed: float
    shift: float
    without_best: float
    supports: int
    support: float
    candidate: float
    leading: float
    no_fault: float
    no_fault_against: int
    surprise: float
    strain: float
    strain_least: int
    strain_findings: float
    unexplained: float
    most_modes: int
    overturn: float


class OneEvent(Row):
    """broken: trace of the parts that are seen broken. follows: findings that come of a break, no further proof."""

    broken: str
    follows: tuple[str, ...]


class OutsideFigures(Row):
    """prior: P(something that the knowledge does not hold is at work); raises: P(it raises a given finding).

    least: pieces of evidence from which it is reckoned with. unfit: its chance from which the findings do not fit.
    """

    prior: Annotated[float, Field(gt=0, lt=1)]
    raises: Annotated[float, Field(gt=0, lt=1)]
    least: Annotated[int, Field(ge=1)]
    unfit: Share


class CheckFigures(Row):
    """What the choice of the next check works with; meanings stand beside them in the file."""

    cause_share: float
    lead_worth: float
    extra_minutes: float
    cost_minutes: float
    most: int
    refined: int
    matters: float
    least_bits: float
    least_apart: float


class SensitivityFigures(Row):
    """sd of every log-odds, number of draws, seed."""

    sd: float
    draws: int
    seed: int


class LearningFigures(Row):
    """How much elicited figures weigh against closed jobs, and what too few jobs are."""

    spread: Annotated[float, Field(gt=0)]
    between_kinds: Annotated[float, Field(gt=0)]
    least: Annotated[int, Field(ge=5)]
    step: Annotated[int, Field(ge=2)]
    rounds: Annotated[int, Field(ge=1)]


class Decisions(Row):
    """All of it. words: the fixed scale, least probability by word."""

    evidence: EvidenceFigures
    verdict: VerdictFigures
    one_event: OneEvent
    outside: OutsideFigures
    next_checks: CheckFigures
    sensitivity: SensitivityFigures
    learning: LearningFigures
    words: dict[str, Share]

    @model_validator(mode="after")
    def _every_probability_has_a_word(self) -> Self:
        if 0 not in self.words.values():
            raise ValueError("the scale of words must reach down to 0")
        return self

    def word(self, probability: float) -> str:
        """The word of the fixed scale for a probability in 0..1, as of the whole per cent that is shown beside it."""
        shown = round(100 * probability) / 100
        return max((least, word) for word, least in self.words.items() if shown >= least)[1]


decisions = data.table(PACKAGE, f"{FOLDER}/decisions.toml", Decisions)
"""The shipped figures: `decisions().verdict.diagnosed`."""
