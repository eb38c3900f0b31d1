"""What the learned reader hears in a text: findings, how each is told, how sure that is, and the words that decided.

First which findings are spoken of (n-grams of words and letters), then how each is told (order of the words around
those that named it; "nothing" among the outcomes takes a mention back), then how often both together are right at such
margins. Deterministic; about a millisecond a sentence.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.notes.model.linear import Floats, Linear, NGrams, hashed, ordered
from witnessmark.diagnosis.notes.model.order import anchors, features
from witnessmark.diagnosis.notes.model.words import Word, units, words
from numpy.typing import NDArray

NOTHING = "nothing"
"""The outcome that takes a mention back."""
_VALUE = ("low", "normal", "high")
_SIGN = ("present", "absent")
FAINT = -0.8
"""Margin from which a finding is looked at closer."""
NAMED = -0.3
"""Margin from which the words of a finding stand between others and their cues."""


@dataclass(frozen=True, slots=True)
class Faintly:
    """A finding that may be spoken of: its margin, and the places of the words that named it."""

    finding: str
    margin: float
    anchor: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Heard:
    """A finding, how it is told (`outcome`), how often that is right (`score`, 0..1), and what decided.

    named: characters of each word that named it, its share of what was borne. told: as much for the words of the outcome.
    spoken: how often such a finding is spoken of at all, in whatever way (0..1).
    """

    finding: str
    outcome: str
    score: float
    spoken: float
    named: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Model:
    """Everything that was learned. valued: findings told as low, normal or high. sureness: see `evidence_of`."""

    findings: tuple[str, ...]
    valued: frozenset[str]
    outcomes: tuple[str, ...]
    grams: NGrams
    mentions: Linear
    order_keys: NDArray[np.uint32]
    order: Linear
    right: Mapping[str, tuple[float, ...]]
    spoken: tuple[float, ...]

    def hear(self, text: str) -> list[Heard]:
        """Every finding that may be told, the surest first within each sentence."""
        return [heard for unit in units(words(text)) for heard in self._unit(unit)]

    def _unit(self, unit: Sequence[Word]) -> Iterator[Heard]:
        margins, faint = self.faintly(unit)
        for one in faint:
            told = self.told(unit, one, named_by_others(one, faint))
            outcome, evidence = weighed(self.outcomes, told, margins, one, valued=one.finding in self.valued)
            if outcome != NOTHING:
                yield Heard(
                    finding=one.finding,
                    outcome=outcome,
                    score=chance(self.right[outcome], evidence),
                    spoken=chance(self.spoken, evidence),
                    named=tuple((unit[k].start, unit[k].end) for k in one.anchor),
                )

    def faintly(self, unit: Sequence[Word], also: Sequence[int] = ()) -> tuple[Floats, list[Faintly]]:
        """Margins of all findings, and those above FAINT (and those of the columns `also`) with their words."""
        spread = self.grams.spread(unit)
        weights = self.mentions.of(spread.rows)
        margins = np.asarray(spread.values @ weights + self.mentions.offset, np.float32)
        chosen = np.union1d(np.flatnonzero(margins > FAINT), np.asarray(also, np.intp))
        borne = spread.by_word(weights[:, chosen], len(unit))
        return margins, [
            Faintly(self.findings[column], float(margins[column]), anchors(borne[:, k].tolist()))
            for k, column in enumerate(chosen)
        ]

    def told(self, unit: Sequence[Word], one: Faintly, others: frozenset[int]) -> Floats:
        """The margin of every outcome."""
        found = features(unit, one.finding, one.anchor, others)
        return self.order.margins(*ordered(self.order_keys, hashed(found)))


def named_by_others(one: Faintly, faint: Sequence[Faintly]) -> frozenset[int]:
    """Words that name other findings and not this one."""
    places = {k for other in faint if other is not one and other.margin > NAMED for k in other.anchor}
    return frozenset(places.difference(one.anchor))


def weighed(
    outcomes: Sequence[str], told: Floats, margins: Floats, one: Faintly, *, valued: bool
) -> tuple[str, tuple[float, ...]]:
    """The likeliest outcome that the finding can have, and what speaks for it being right."""
    barred = _SIGN if valued else _VALUE
    ranked = sorted((-float(m), name) for m, name in zip(told, outcomes, strict=True) if name not in barred)
    best, second = ranked[0], ranked[1]
    nothing = float(told[outcomes.index(NOTHING)])
    rival = max((float(m) for m in margins if float(m) != one.margin), default=-1.0)
    return best[1], (1.0, one.margin, -best[0], second[0] - best[0], nothing, min(rival, 1.0) - one.margin)


def chance(weights: Sequence[float], evidence: Sequence[float]) -> float:
    """How often such evidence is right, 0..1: a logistic curve that was fitted on writers held out."""
    total = sum(weight * one for weight, one in zip(weights, evidence, strict=True))
    return float(1 / (1 + np.exp(-total)))
