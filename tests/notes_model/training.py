"""From sentences to the learned reader: mentions, then how they are told, then how sure that is.

Whatever is judged or fitted on top of another part sees that part as trained without the writer of the line: the folds
are of whole writers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import cycle

import numpy as np
from numpy.typing import NDArray
from sklearn.linear_model import LogisticRegression

from tests.notes_model.corpus import STATES, Line
from tests.notes_model.fitting import columns, grown, known_grams, matrix, order_keys, order_matrix
from tests.notes_model.joined import joined
from witnessmark.diagnosis.notes.matching import told_to_reader
from witnessmark.diagnosis.notes.model.linear import Floats, Hashed, NGrams, Spread, hashed, ordered, quantised
from witnessmark.diagnosis.notes.model.network import Network
from witnessmark.diagnosis.notes.model.order import features, row
from witnessmark.diagnosis.notes.model.reader import (
    DANGER,
    NOTHING,
    Faintly,
    Model,
    by_finding,
    chance,
    named_by_others,
)
from witnessmark.diagnosis.notes.model.trees import Trees
from witnessmark.diagnosis.notes.model.words import Word, words
from witnessmark.diagnosis.notes.telling import is_danger

FOLDS = 4
_FEW_LINES = 100
_FEWEST = 20_000
"""Examples from which trees are grown."""
OUTCOMES = (*STATES, NOTHING)
VALUES = frozenset({"low", "normal", "high"})
_COST, _ORDER_COST = 1.0, 0.5
_JOINED = 0.25
"""Notes of lines run together that are learned from, a line."""
_ORDER_OF_DANGER = ("present", "doubt", "other machine", "absent", "history", "advice")
"""Which way of telling counts where a line tells several dangers."""
_FALSE_ALARMS = 0.013
"""Share of the lines without danger of writers held out from which somebody is asked to ring back."""


@dataclass(frozen=True)
class Example:
    """A finding that a line may tell. outcome: how it tells it, NOTHING where it does not."""

    line: int
    words: Sequence[Word]
    one: Faintly
    others: frozenset[int]
    margins: Floats
    outcome: str

    @cached_property
    def order(self) -> Hashed:
        """Its features of order."""
        return hashed(features(row(self.words), self.one.finding, self.one.anchor, self.others, self.one.rule))


Judged = tuple[Example, Floats]
"""An example and the margins of its outcomes, by a reader that was kept from its writer."""


def folds(lines: Sequence[Line], count: int = FOLDS) -> list[int]:
    """The fold of every line; a writer is never divided, and the writers of a language are spread over the folds.

    Those of few lines take turns: by load alone they would all fall into one, and a finding that only they tell would
    never be seen told by a reader of the others.
    """
    load: Counter[tuple[str, int]] = Counter()
    of_writer: dict[str, int] = {}
    turns = cycle(range(count))
    sizes = Counter((line.language, line.writer) for line in lines)
    for (language, writer), size in sorted(sizes.items(), key=lambda pair: (-pair[1], pair[0])):
        few = size < _FEW_LINES
        fold = next(turns) if few else min(range(count), key=lambda k: (load[language, k], load["", k], k))
        of_writer.setdefault(writer, fold)
        load[language, of_writer[writer]] += size
        load["", of_writer[writer]] += size
    return [of_writer[line.writer] for line in lines]


Learning = Callable[[Sequence[Line], Sequence[Mapping[str, str]], Sequence[str]], Network]
"""Makes a network of lines, what the rules say of each, and findings (`network.trained`)."""


def train(own: Sequence[Line], learning: Learning | None = None) -> tuple[Model, list[Judged]]:
    """The model, and what readers who have not read the writer of a line make of its examples.

    Lines beyond the last of `own` are those run together. learning: how the network is made; without it there is none.
    """
    lines = [with_danger(line) for line in (*own, *joined(own, _JOINED))]
    texts = [words(line.text) for line in lines]
    grams = known_grams(texts)
    spreads = [grams.spread(text) for text in texts]
    fold = np.array(folds(lines))
    examples: list[Example] = []
    for k in range(FOLDS):
        inside = np.flatnonzero(fold != k).tolist()
        kept = [lines[i] for i in inside]
        reader = _with_network(_mentions(grams, kept, [spreads[i] for i in inside]), kept, learning)
        examples += [e for i in np.flatnonzero(fold == k).tolist() for e in _examples(reader, i, texts[i], lines[i])]
    whole = with_order(_with_network(_mentions(grams, lines, spreads), lines, learning), examples)
    judged = [pair for k in range(FOLDS) for pair in _held_out(whole, examples, fold, k)]
    return with_danger_level(with_sureness(whole, judged), judged, lines[: len(own)]), judged


def with_danger(line: Line) -> Line:
    """The line with what it says of danger to people, whichever danger it is."""
    told = {state for finding, state in line.labels.items() if is_danger(finding)}
    states = [state for state in _ORDER_OF_DANGER if state in told]
    return replace(line, labels={**line.labels, DANGER: states[0]}) if states else line


def _held_out(model: Model, examples: Sequence[Example], fold: NDArray[np.intp], k: int) -> Iterator[Judged]:
    """The examples of a fold as they are, and their outcomes by a reader of the other folds."""
    reader = with_order(model, [e for e in examples if fold[e.line] != k])
    for e in examples:
        if fold[e.line] == k:
            yield e, reader.order.margins(*ordered(reader.order_keys, e.order)[:2])


def _mentions(grams: NGrams, lines: Sequence[Line], spreads: Sequence[Spread]) -> Model:
    """A model that knows which findings are spoken of, and nothing else yet."""
    findings = tuple(sorted({finding for line in lines for finding in line.labels}))
    told = np.array([[finding in line.labels for finding in findings] for line in lines])
    fitted = columns(matrix([(s.rows, s.values) for s in spreads], len(grams.keys)), told, _COST)
    valued = frozenset(f for line in lines for f, state in line.labels.items() if state in VALUES)
    none = quantised(np.zeros((1, len(OUTCOMES))), np.zeros(len(OUTCOMES)))
    return Model(findings, valued, OUTCOMES, grams, quantised(*fitted), np.zeros(1, np.uint32), none, {}, ())


def _with_network(model: Model, lines: Sequence[Line], learning: Learning | None) -> Model:
    """The model with a network that has learned from the lines."""
    if learning is None:
        return model
    return replace(model, network=learning(lines, [by_rules(line.text) for line in lines], model.findings))


def _examples(reader: Model, place: int, text: Sequence[Word], line: Line) -> list[Example]:
    """Every finding that the line tells, that the rules take from it, and that the reader believes it may."""
    rules = by_rules(line.text)
    margins, faint = reader.faintly(text, rules, [*line.labels], reader.sense([text], [rules])[0])
    return [
        Example(place, text, one, named_by_others(one, faint), margins, line.labels.get(one.finding, NOTHING))
        for one in faint
    ]


@cache
def by_rules(text: str) -> dict[str, str]:
    """What the rules take from a line, as the reader is told it."""
    return by_finding(told_to_reader(text))


def with_order(model: Model, examples: Sequence[Example]) -> Model:
    """The model with how findings are told."""
    found = [e.order for e in examples]
    keys = order_keys(found)
    told = np.array([[e.outcome == outcome for outcome in OUTCOMES] for e in examples])
    return replace(model, order_keys=keys, order=quantised(*columns(order_matrix(keys, found), told, _ORDER_COST)))


def with_sureness(model: Model, judged: Sequence[Judged]) -> Model:
    """The model with the curves that turn margins into how often they are right."""
    seen = [(e, *model.weighed(told, e.margins, e.one)) for e, told in judged if e.one.finding != DANGER]
    right = {
        outcome: _curve(
            [evidence for _, said, evidence in seen if said == outcome],
            [e.outcome == outcome for e, said, _ in seen if said == outcome],
        )
        for outcome in STATES
    }
    spoken = _curve([evidence for *_, evidence in seen], [e.outcome != NOTHING for e, *_ in seen])
    return replace(model, right=right, spoken=spoken, trees=_trees(model, judged))


def _trees(model: Model, judged: Sequence[Judged]) -> Trees | None:
    """Trees that turn the same evidence into how often it is right; none where there are too few examples."""
    seen = [(model.grounds(told, e.margins, e.one), e) for e, told in judged if e.one.finding != DANGER]
    if len(seen) < _FEWEST:
        return None
    x = np.array([grounds for grounds, _ in seen])
    y = np.array([e.outcome == OUTCOMES[int(grounds[-1])] for grounds, e in seen])
    return grown(x, y)


def _curve(evidence: Sequence[Sequence[float]], right: Sequence[bool]) -> tuple[float, ...]:
    if len(set(right)) < 2:
        return (-3.0, *(0.0 for _ in evidence[0][1:])) if len(evidence) else (-3.0, *[0.0] * 9)
    fitted = LogisticRegression(C=1.0, fit_intercept=False, max_iter=1000).fit(np.array(evidence), np.array(right))
    return tuple(round(float(weight), 4) for weight in fitted.coef_[0])


def with_danger_level(model: Model, judged: Sequence[Judged], lines: Sequence[Line]) -> Model:
    """The model with the curve of danger, and the level that so few lines without danger reach."""
    seen = [(e, model.alarming(told, e.one)) for e, told in judged if e.one.finding == DANGER]
    if not seen:
        return model
    model = replace(model, danger=_curve([evidence for _, evidence in seen], [alarms(e.outcome) for e, _ in seen]))
    scores = {e.line: chance(model.danger, evidence) for e, evidence in seen}
    none = sorted((scores.get(k, 0.0) for k, line in enumerate(lines) if DANGER not in line.labels), reverse=True)
    return replace(model, level=round(none[int(_FALSE_ALARMS * len(none))] + 5e-5, 4))


def alarms(state: str) -> bool:
    """Whether danger that is told so is there, or may be."""
    return state in _ORDER_OF_DANGER[:2]
