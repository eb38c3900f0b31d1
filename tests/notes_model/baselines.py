"""Readers that know nothing, to stand beside the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from tests.notes_model.corpus import Line
from tests.notes_model.scores import Said
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.model.words import words

_SHARED = 0.5
_LONG = 3
"""Letters above which a word counts."""


def most_frequent(lines: Sequence[Line]) -> list[Said]:
    """Always the finding and state that are told most often."""
    told = Counter((f, state) for line in lines for f, state in line.labels.items())
    (finding, state), _ = told.most_common(1)[0]
    return [{finding: state} for _ in lines]


def wording_overlap(lines: Sequence[Line]) -> list[Said]:
    """The finding whose own wording shares most words with the line, where that is half of its words."""
    wordings = [
        (finding.id, state, _words(finding.wording(state)))
        for finding in knowledge().findings.values()
        for state in finding.states
    ]
    return [_nearest(_words(line.text), wordings) for line in lines]


def _nearest(text: frozenset[str], wordings: Sequence[tuple[str, str, frozenset[str]]]) -> Said:
    share, finding, state = max((len(text & own) / len(own), finding, state) for finding, state, own in wordings if own)
    return {finding: state} if share >= _SHARED else {}


def _words(text: str) -> frozenset[str]:
    return frozenset(word.text for word in words(text) if len(word.text) > _LONG)
