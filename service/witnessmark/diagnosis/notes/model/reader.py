"""What the learned reader hears in a text: findings, how each is told, how sure that is, and the words that decided.

First which findings are spoken of (n-grams of words and letters, and a small network of word vectors), then how each is
told (order of the words around those that named it, what the rules say of it, and the network), then how often all
together are right at such margins. Deterministic; a millisecond or two a sentence.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from witnessmark.diagnosis.notes.model.linear import Floats, Hashed, Linear, NGrams, hashed, ordered
from witnessmark.diagnosis.notes.model.network import Network, Sensed
from witnessmark.diagnosis.notes.model.order import SILENT, Row, anchors, features, row
from witnessmark.diagnosis.notes.model.trees import Trees
from witnessmark.diagnosis.notes.model.words import Word, units, words

DANGER = "danger to people"
"""Learned beside the findings: some danger to people is told, whichever it is."""
NOTHING = "nothing"
"""The outcome of a finding that is not told at all."""
_VALUE = ("low", "normal", "high", NOTHING)
_SIGN = ("present", "absent", NOTHING)
_FAINTLY = "faintly "
FAINT = -0.8
"""Margin from which a finding is looked at closer."""
_FAINT_DANGER = -1.1
"""The same for danger, which is not to be missed."""
NAMED = -0.3
"""Margin from which the words of a finding stand between others and their cues."""
SENSED = -1.5
"""What the network must make of a finding that n-grams do not name, for it to be looked at closer."""
_UNHEARD = -4.0
"""What the network must make at least of a finding that n-grams name but faintly."""
_STATES = 9
"""Outcomes that the network knows: all but NOTHING, and in the same order."""
BLEND = 0.35
"""What the logarithm of the network's share of a state adds to its margin: least mistaken on writers held out."""
_LEAST = -6.0
"""Logarithms below which a share of the network makes no difference."""
_LONG = 7
"""Letters from which a word that was never met may be a misspelt one."""
_SHARE = 0.5
"""A word decided an outcome if it bears this share of what the strongest one does."""


@dataclass(frozen=True, slots=True)
class Ruled:
    """What the rules take from the note: a finding, its outcome, whether they believe it, where its words begin."""

    finding: str
    outcome: str
    believed: bool
    start: int

    @property
    def rule(self) -> str:
        """As a feature of order."""
        return self.outcome if self.believed else f"{_FAINTLY}{self.outcome}"


@dataclass(frozen=True, slots=True)
class Faintly:
    """A finding that may be spoken of: its margin, the places of the words that named it, and what the rules say.

    spoken: what the network makes of it, above zero where it hears it. states: logarithm of its share of each outcome.
    """

    finding: str
    margin: float
    anchor: tuple[int, ...]
    rule: str = SILENT
    spoken: float = 0.0
    states: tuple[float, ...] = (0.0,) * _STATES


@dataclass(frozen=True, slots=True)
class Heard:
    """A finding, how it is told (`outcome`), how often that is right (`score`, 0..1), and the words that decided.

    named: characters of each word that named it. told: of each that decided the outcome. spoken: how often such a
    finding is spoken of at all, in whatever way (0..1).
    """

    finding: str
    outcome: str
    score: float
    spoken: float
    named: tuple[tuple[int, int], ...]
    told: tuple[tuple[int, int], ...]


class _Looked(NamedTuple):
    """A finding of a part of a note: the margins of all findings there, and of its outcomes; its features of order."""

    one: Faintly
    unit: Sequence[Word]
    margins: Floats
    told: Floats
    values: Floats
    weights: Floats
    places: NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Model:
    """Everything that was learned. valued: findings told as low, normal or high. right, spoken: see `weighed`.

    danger: the curve of DANGER. level: its score from which somebody should ring back.
    """

    findings: tuple[str, ...]
    valued: frozenset[str]
    outcomes: tuple[str, ...]
    grams: NGrams
    mentions: Linear
    order_keys: NDArray[np.uint32]
    order: Linear
    right: Mapping[str, tuple[float, ...]]
    spoken: tuple[float, ...]
    danger: tuple[float, ...] = ()
    level: float = 1.0
    network: Network | None = None
    trees: Trees | None = None

    def hear(
        self, text: str, ruled: Sequence[Ruled] = (), meant: Callable[[str], str | None] = lambda _: None
    ) -> list[Heard]:
        """Every finding that may be told, and DANGER, by sentence. ruled: what the rules take from the text.

        meant: the word that a misspelt one stands for; asked of long words that were never met.
        """
        parts = [*units([self._met(word, meant) for word in words(text)])]
        told = [_within(unit, ruled) for unit in parts]
        looked = [self._looked(*every) for every in zip(parts, told, self.sense(parts, told), strict=True)]
        sure = self.all_sure([(one.one, one.told, one.margins) for part in looked for one in part])
        return [self._heard(one, *by) for one, by in zip((one for part in looked for one in part), sure, strict=True)]

    def _met(self, word: Word, meant: Callable[[str], str | None]) -> Word:
        """The word, or the one that is meant by it where it is long and was never met."""
        if len(word.text) < _LONG or self.grams.knows(word.text) or (right := meant(word.text)) is None:
            return word
        return replace(word, text=right) if self.grams.knows(right) else word

    def sense(self, parts: Sequence[Sequence[Word]], ruled: Sequence[Mapping[str, str]]) -> list[Sensed | None]:
        """What the network makes of each part of a note, told what the rules say there; nothing without a network."""
        if self.network is None:
            return [None] * len(parts)
        places, _ = _looked_at(self.findings)
        known = [{places[name]: rule for name, rule in told.items() if name in places} for told in ruled]
        return [*self.network.sense(parts, known)]

    def _looked(self, unit: Sequence[Word], ruled: Mapping[str, str], sensed: Sensed | None) -> list[_Looked]:
        """The findings of a part of a note with what its order makes of each."""
        margins, faint = self.faintly(unit, ruled, sensed=sensed)
        ready, looked = row(unit), []
        for one in faint:
            rows, values, places = ordered(self.order_keys, order_of(ready, one, faint))
            weights = self.order.of(rows)
            told = self.order.weighed(values, weights)
            looked.append(_Looked(one, unit, margins, told, values, weights, places))
        return looked

    def _heard(self, looked: _Looked, outcome: str, score: float, spoken: float) -> Heard:
        one, unit = looked.one, looked.unit
        decided = looked.values * self._beside(looked.weights, outcome)
        return Heard(
            finding=one.finding,
            outcome=outcome,
            score=score,
            spoken=spoken,
            named=tuple((unit[k].start, unit[k].end) for k in one.anchor),
            told=tuple((unit[k].start, unit[k].end) for k in _strongest(decided, looked.places, one.anchor)),
        )

    def faintly(
        self, unit: Sequence[Word], ruled: Mapping[str, str], also: Sequence[str] = (), sensed: Sensed | None = None
    ) -> tuple[Floats, list[Faintly]]:
        """All margins; findings above FAINT, those that rules, network and `also` name, with their words."""
        spread = self.grams.spread(unit)
        weights = self.mentions.of(spread.rows)
        margins = np.asarray(spread.values @ weights + self.mentions.offset, np.float32)
        places, least = _looked_at(self.findings)
        wanted = [places[finding] for finding in (*ruled, *also) if finding in places]
        heard = margins > least
        if sensed is not None:
            wanted += np.flatnonzero(sensed.spoken > SENSED).tolist()
            heard &= (margins > NAMED) | (sensed.spoken > _UNHEARD) | (least == np.float32(_FAINT_DANGER))
        chosen = sorted({*np.flatnonzero(heard).tolist(), *wanted})
        borne = spread.by_word(weights[:, chosen], len(unit))
        return self._of_findings(margins), [
            Faintly(f, float(margins[k]), anchors(borne[:, n].tolist()), ruled.get(f, SILENT), *self._senses(sensed, k))
            for n, (k, f) in enumerate((k, self.findings[k]) for k in chosen)
        ]

    def _senses(self, sensed: Sensed | None, finding: int) -> tuple[float, tuple[float, ...]]:
        """What the network makes of a finding: whether it is spoken of, and the logarithms of its states' shares."""
        if sensed is None or self.network is None:
            return 0.0, (0.0,) * _STATES
        return float(sensed.spoken[finding]), shares(self.network.states(sensed, finding), self._barred(finding))

    def _barred(self, finding: int) -> frozenset[int]:
        """The states that the finding cannot have, by place."""
        barred = _SIGN if self.findings[finding] in self.valued else _VALUE
        return frozenset(k for k, outcome in enumerate(self.outcomes[:_STATES]) if outcome in barred)

    def _of_findings(self, margins: Floats) -> Floats:
        """The margins of the findings alone."""
        return np.where(_looked_at(self.findings)[1] == np.float32(_FAINT_DANGER), np.float32(-1.0), margins)

    def all_sure(self, every: Sequence[tuple[Faintly, Floats, Floats]]) -> list[tuple[str, float, float]]:
        """Of each finding with the margins of its outcomes and of all findings: see `sure`."""
        if self.trees is None:
            return [self.sure(told, margins, one) for one, told, margins in every]
        grounds = [self.grounds(told, margins, one) for one, told, margins in every]
        shares = self.trees.chances(grounds)
        return [
            self.sure(told, margins, one)
            if one.finding == DANGER
            else (self.outcomes[int(ground[-1])], share, max(chance(self.spoken, ground[:-1]), share))
            for (one, told, margins), ground, share in zip(every, grounds, shares, strict=True)
        ]

    def grounds(self, told: Floats, margins: Floats, one: Faintly) -> tuple[float, ...]:
        """The evidence of `weighed` and the place of the outcome, as the trees are given it."""
        outcome, evidence = self.weighed(told, margins, one)
        return (*evidence, float(self.outcomes.index(outcome)))

    def sure(self, told: Floats, margins: Floats, one: Faintly) -> tuple[str, float, float]:
        """The outcome, how often that is right by its curve, and how often such a finding is spoken of at all."""
        if one.finding == DANGER:
            score = chance(self.danger, self.alarming(told, one))
            return "present", score, score
        outcome, evidence = self.weighed(told, margins, one)
        return outcome, chance(self.right[outcome], evidence), chance(self.spoken, evidence)

    def alarming(self, told: Floats, one: Faintly) -> tuple[float, ...]:
        """The evidence that people are in danger: how it is told, and what the rules of danger say."""
        rule = one.rule.removeprefix(_FAINTLY)
        other = float(rule not in ("present", "doubt", SILENT))
        said = float(rule in ("present", "doubt"))
        return (1.0, one.margin, *map(float, told), said, other, one.spoken, one.states[0], one.states[1])

    def weighed(self, told: Floats, margins: Floats, one: Faintly) -> tuple[str, tuple[float, ...]]:
        """The likeliest outcome that the finding can have, and the evidence of its being right."""
        barred = _SIGN if one.finding in self.valued else _VALUE
        states = (*one.states, *(0.0,) * (len(told) - _STATES))
        both = [float(m) + BLEND * share for m, share in zip(told, states, strict=False)]
        ranked = sorted((-m, name) for m, name in zip(both, self.outcomes, strict=True) if name not in barred)
        best, outcome = ranked[0]
        nothing = float(told[self.outcomes.index(NOTHING)])
        others = margins[margins != one.margin]
        rival = float(others.max()) if len(others) else -1.0
        rule = one.rule.removeprefix(_FAINTLY)
        gap = ranked[1][0] - best
        agreed, opposed = float(rule == outcome), float(rule not in (outcome, SILENT))
        sensed = (one.spoken, states[self.outcomes.index(outcome)])
        return outcome, (1.0, one.margin, -best, gap, nothing, min(rival, 1.0) - one.margin, agreed, opposed, *sensed)

    def _beside(self, weights: Floats, outcome: str) -> Floats:
        """How much each feature speaks for this outcome rather than for `present` (or, of that, for `absent`)."""
        other = "absent" if outcome == "present" else "present"
        return np.asarray(weights[:, self.outcomes.index(outcome)] - weights[:, self.outcomes.index(other)], np.float32)


def order_of(unit: Row, one: Faintly, faint: Sequence[Faintly]) -> Hashed:
    """The features of order of a finding among the others of its text."""
    return hashed(features(unit, one.finding, one.anchor, named_by_others(one, faint), one.rule))


def named_by_others(one: Faintly, faint: Sequence[Faintly]) -> frozenset[int]:
    """Words that name other findings and not this one."""
    named = (other for other in faint if other is not one and other.margin > NAMED and other.finding != DANGER)
    places = {k for other in named for k in other.anchor}
    return frozenset(places.difference(one.anchor))


def shares(margins: Floats, barred: frozenset[int]) -> tuple[float, ...]:
    """The logarithm of the share of each state, at least _LEAST; of those that the finding cannot have, that."""
    open_ = [float(m) for k, m in enumerate(margins) if k not in barred]
    most = max(open_)
    whole = most + math.log(sum(math.exp(m - most) for m in open_))
    return tuple(_LEAST if k in barred else max(float(m) - whole, _LEAST) for k, m in enumerate(margins))


def chance(weights: Sequence[float], evidence: Sequence[float]) -> float:
    """How often such evidence is right, 0..1: a logistic curve that was fitted on writers held out."""
    total = sum(weight * one for weight, one in zip(weights, evidence, strict=True))
    return float(1 / (1 + np.exp(-total)))


def _within(unit: Sequence[Word], ruled: Sequence[Ruled]) -> dict[str, str]:
    """What the rules say in this part of the note; what they believe before the rest."""
    inside = [one for one in ruled if unit[0].start <= one.start < unit[-1].end]
    return by_finding(inside)


@lru_cache(8)
def _looked_at(findings: tuple[str, ...]) -> tuple[dict[str, int], Floats]:
    """The place of each finding, and the margins from which they are looked at closer."""
    least = [_FAINT_DANGER if finding == DANGER else FAINT for finding in findings]
    return {finding: k for k, finding in enumerate(findings)}, np.array(least, np.float32)


def by_finding(ruled: Iterable[Ruled]) -> dict[str, str]:
    """What the rules say of each finding: what they believe before the rest, what is there before what is not."""
    return {one.finding: one.rule for one in sorted(ruled, key=lambda one: (one.believed, one.outcome == "present"))}


def _strongest(decided: Floats, places: NDArray[np.intp], anchor: Sequence[int]) -> list[int]:
    """The words outside the finding's own that bear most of an outcome."""
    borne = np.bincount(places, decided, minlength=1)
    borne[[k for k in anchor if k < len(borne)]] = 0.0
    most = float(borne.max())
    return [int(k) for k in np.flatnonzero(borne >= _SHARE * most)] if most > 0 else []
