"""From sentences to the learned reader: mentions, then how they are told, then how sure that is.

Whatever is judged or fitted on top of another part sees that part as trained without the writer of the line: the folds
are of whole writers.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray
from sklearn.linear_model import LogisticRegression

from tests.notes_model.corpus import STATES, Line
from tests.notes_model.fitting import SEED, columns, known_grams, matrix, order_keys, order_matrix
from witnessmark.diagnosis.notes.joining import as_ruled
from witnessmark.diagnosis.notes.matching import ruled_matches
from witnessmark.diagnosis.notes.model.linear import Floats, Hashed, NGrams, Spread, hashed, ordered, quantised
from witnessmark.diagnosis.notes.model.order import features
from witnessmark.diagnosis.notes.model.reader import NOTHING, Faintly, Model, named_by_others
from witnessmark.diagnosis.notes.model.words import Word, words

FOLDS = 4
OUTCOMES = (*STATES, NOTHING)
VALUES = frozenset({"low", "normal", "high"})
_COST, _ORDER_COST = 1.0, 0.5
_JOINTS = ("", "", ",", ".", "and", "but", ";", "-")
"""What stands between two lines that are read as one, as writers without commas run them on."""
_JOINED = 0.5
"""Share of the examples that are read a second time behind or before another line."""


@dataclass(frozen=True)
class Example:
    """A finding that a line may tell. outcome: how it tells it, NOTHING where it does not."""

    line: int
    words: Sequence[Word]
    one: Faintly
    others: frozenset[int]
    margins: Floats
    outcome: str
    joined: bool = False

    @cached_property
    def order(self) -> Hashed:
        """Its features of order."""
        return hashed(features(self.words, self.one.finding, self.one.anchor, self.others, self.one.rule))


Judged = tuple[Example, Floats]
"""An example and the margins of its outcomes, by a reader that was kept from its writer."""


def folds(lines: Sequence[Line], count: int = FOLDS) -> list[int]:
    """The fold of every line; a writer is never divided, and the writers of a language are spread over the folds."""
    load: Counter[tuple[str, int]] = Counter()
    of_writer: dict[str, int] = {}
    sizes = Counter((line.language, line.writer) for line in lines)
    for (language, writer), size in sorted(sizes.items(), key=lambda pair: (-pair[1], pair[0])):
        fold = min(range(count), key=lambda k: (load[language, k], load["", k], k))
        of_writer.setdefault(writer, fold)
        load[language, of_writer[writer]] += size
        load["", of_writer[writer]] += size
    return [of_writer[line.writer] for line in lines]


def train(lines: Sequence[Line]) -> tuple[Model, list[Judged]]:
    """The model, and what readers who have not read the writer of a line make of its examples."""
    texts = [words(line.text) for line in lines]
    grams = known_grams(texts)
    spreads = [grams.spread(text) for text in texts]
    fold = np.array(folds(lines))
    examples: list[Example] = []
    for k in range(FOLDS):
        inside = np.flatnonzero(fold != k).tolist()
        reader = _mentions(grams, [lines[i] for i in inside], [spreads[i] for i in inside])
        examples += [e for i in np.flatnonzero(fold == k).tolist() for e in _examples(reader, i, texts[i], lines[i])]
    seen = [*examples, *_joined(examples)]
    whole = with_order(_mentions(grams, lines, spreads), seen)
    judged = [pair for k in range(FOLDS) for pair in _held_out(whole, seen, fold, k)]
    return with_sureness(whole, judged), judged


def _held_out(model: Model, examples: Sequence[Example], fold: NDArray[np.intp], k: int) -> Iterator[Judged]:
    """The examples of a fold as they are, and their outcomes by a reader of the other folds."""
    reader = with_order(model, [e for e in examples if fold[e.line] != k])
    for e in examples:
        if fold[e.line] == k and not e.joined:
            yield e, reader.order.margins(*ordered(reader.order_keys, e.order)[:2])


def _mentions(grams: NGrams, lines: Sequence[Line], spreads: Sequence[Spread]) -> Model:
    """A model that knows which findings are spoken of, and nothing else yet."""
    findings = tuple(sorted({finding for line in lines for finding in line.labels}))
    told = np.array([[finding in line.labels for finding in findings] for line in lines])
    fitted = columns(matrix([(s.rows, s.values) for s in spreads], len(grams.keys)), told, _COST)
    valued = frozenset(f for line in lines for f, state in line.labels.items() if state in VALUES)
    none = quantised(np.zeros((1, len(OUTCOMES))), np.zeros(len(OUTCOMES)))
    return Model(findings, valued, OUTCOMES, grams, quantised(*fitted), np.zeros(1, np.uint32), none, {}, ())


def _examples(reader: Model, place: int, text: Sequence[Word], line: Line) -> list[Example]:
    """Every finding that the line tells, that the rules take from it, and that the reader believes it may."""
    margins, faint = reader.faintly(text, by_rules(line.text), [*line.labels])
    return [
        Example(place, text, one, named_by_others(one, faint), margins, line.labels.get(one.finding, NOTHING))
        for one in faint
    ]


@cache
def by_rules(text: str) -> dict[str, str]:
    """What the rules take from a line, as the reader is told it."""
    found = [as_ruled(match) for match in ruled_matches(text)]
    return {one.finding: one.rule for one in sorted(found, key=lambda one: one.believed)}


def with_order(model: Model, examples: Sequence[Example]) -> Model:
    """The model with how findings are told."""
    found = [e.order for e in examples]
    keys = order_keys(found)
    told = np.array([[e.outcome == outcome for outcome in OUTCOMES] for e in examples])
    return replace(model, order_keys=keys, order=quantised(*columns(order_matrix(keys, found), told, _ORDER_COST)))


def _joined(examples: Sequence[Example]) -> Iterator[Example]:
    """Examples behind or before another line: what stands beyond a joint tells nothing of them."""
    draw = random.Random(SEED)  # noqa: S311 - a fixed choice of examples, no secret
    for e in examples:
        other = draw.choice(examples)
        if draw.random() >= _JOINED or other.one.finding == e.one.finding or other.line == e.line:
            continue
        joint = [Word(text, "", 0, 0) for text in [draw.choice(_JOINTS)] if text]
        named = other.one.anchor if other.outcome != NOTHING else ()
        yield _before(e, joint, other, named) if draw.random() < 0.5 else _behind(e, joint, other, named)


def _before(e: Example, joint: list[Word], other: Example, named: Sequence[int]) -> Example:
    start = len(e.words) + len(joint)
    others = e.others | {start + k for k in named}
    return replace(e, words=[*e.words, *joint, *other.words], others=others, joined=True)


def _behind(e: Example, joint: list[Word], other: Example, named: Sequence[int]) -> Example:
    start = len(other.words) + len(joint)
    anchor = tuple(start + k for k in e.one.anchor)
    others = frozenset({start + k for k in e.others} | set(named))
    return replace(
        e, words=[*other.words, *joint, *e.words], one=replace(e.one, anchor=anchor), others=others, joined=True
    )


def with_sureness(model: Model, judged: Sequence[Judged]) -> Model:
    """The model with the curves that turn margins into how often they are right."""
    seen = [(e, *model.weighed(told, e.margins, e.one)) for e, told in judged]
    right = {
        outcome: _curve(
            [evidence for _, said, evidence in seen if said == outcome],
            [e.outcome == outcome for e, said, _ in seen if said == outcome],
        )
        for outcome in STATES
    }
    spoken = _curve([evidence for *_, evidence in seen], [e.outcome != NOTHING for e, *_ in seen])
    return replace(model, right=right, spoken=spoken)


def _curve(evidence: Sequence[Sequence[float]], right: Sequence[bool]) -> tuple[float, ...]:
    if len(set(right)) < 2:
        return (-3.0, *(0.0 for _ in range(7)))
    fitted = LogisticRegression(C=1.0, fit_intercept=False, max_iter=1000).fit(np.array(evidence), np.array(right))
    return tuple(round(float(weight), 4) for weight in fitted.coef_[0])
