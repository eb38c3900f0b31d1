"""The figures of the reasoning itself, as reviewed data (`knowledge/decisions.toml`)."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from witnessmark.diagnosis.catalogue.files import built
from witnessmark.diagnosis.catalogue.knowledge import shipped


@dataclass(frozen=True, slots=True)
class EvidenceFigures:
    """gross_error: share of readings that are simply wrong. *_correlation: 0..1. clear_reading: decibans."""

    gross_error: float
    trace_correlation: float
    silence_correlation: float
    fullness_spread: float
    clear_reading: float


@dataclass(frozen=True, slots=True)
class VerdictFigures:
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


@dataclass(frozen=True, slots=True)
class CheckFigures:
    """What the choice of the next check works with; meanings stand beside them in the file."""

    draws: int
    seed: int
    cause_share: float
    lead_worth: float
    extra_minutes: float
    cost_minutes: float
    most: int
    matters: float
    least_bits: float


@dataclass(frozen=True, slots=True)
class SensitivityFigures:
    """sd of every log-odds, number of draws, seed."""

    sd: float
    draws: int
    seed: int


@dataclass(frozen=True, slots=True)
class Decisions:
    """All of it. words: the fixed scale, (word, least probability), from the most to the least probable."""

    evidence: EvidenceFigures
    verdict: VerdictFigures
    next_checks: CheckFigures
    sensitivity: SensitivityFigures
    words: tuple[tuple[str, float], ...]

    def word(self, probability: float) -> str:
        """The word of the fixed scale for a probability in 0..1."""
        return next(word for word, least in self.words if probability >= least)


@cache
def decisions() -> Decisions:
    """The shipped figures, loaded once."""
    return decided(tomllib.loads(shipped().joinpath("decisions.toml").read_text("utf-8")))


def decided(tables: Mapping[str, dict[str, Any]]) -> Decisions:
    """Figures from tables. Raises KnowledgeError for missing or unknown keys, ValueError if the scale has no floor."""
    words = tuple(sorted(tables["words"].items(), key=lambda item: -item[1]))
    if words[-1][1] != 0:
        raise ValueError("the scale of words must reach down to 0")
    return Decisions(
        built(EvidenceFigures, tables["evidence"], "evidence"),
        built(VerdictFigures, tables["verdict"], "verdict"),
        built(CheckFigures, tables["next_checks"], "next_checks"),
        built(SensitivityFigures, tables["sensitivity"], "sensitivity"),
        words,
    )
