"""What each reader takes from the lines of the corpus: the rules, and the learned reader that is told of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tests.notes_model.corpus import Line
from tests.notes_model.scores import Said
from tests.notes_model.training import Judged
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.calling import Listening
from witnessmark.diagnosis.notes.joining import joined
from witnessmark.diagnosis.notes.matches import THRESHOLD, Match
from witnessmark.diagnosis.notes.matching import ruled_matches
from witnessmark.diagnosis.notes.model.reader import DANGER, FAINT, SENSED, Heard, Model
from witnessmark.diagnosis.notes.scoring import clauses_of
from witnessmark.diagnosis.notes.telling import as_ruled, is_danger


def ruled(lines: Sequence[Line]) -> list[Said]:
    """By the rules of wording, numbers and scope alone."""
    return [said(ruled_matches(line.text)) for line in lines]


def heard(model: Model, lines: Sequence[Line], judged: Iterable[Judged]) -> list[list[Heard]]:
    """What readers who were kept from its writer hear in each line."""
    of_lines: list[list[Heard]] = [[] for _ in lines]
    looked = [
        (e, told)
        for e, told in judged
        if e.one.finding == DANGER or e.one.margin > FAINT or e.one.rule != "silent" or e.one.spoken > SENSED
    ]
    sure = model.all_sure([(e.one, told, e.margins) for e, told in looked])
    for (e, _), (outcome, score, spoken) in zip(looked, sure, strict=True):
        places = tuple((e.words[k].start, e.words[k].end) for k in e.one.anchor)
        of_lines[e.line].append(Heard(e.one.finding, outcome, score, spoken, places, places))
    return of_lines


def both(lines: Sequence[Line], of_lines: Sequence[Sequence[Heard]]) -> list[Said]:
    """As the service joins them."""
    kept = frozenset(filter(is_danger, knowledge().findings))
    return [
        said(joined(ruled_matches(line.text), found, line.text, kept, Listening(clauses_of(line.text)).plain(found)))
        for line, found in zip(lines, of_lines, strict=True)
    ]


def learned(of_lines: Sequence[Sequence[Heard]], threshold: float = THRESHOLD) -> list[Said]:
    """By the learned reader, whatever numbers and rules of danger say."""
    believed = ([one for one in found if one.score >= threshold and one.finding != DANGER] for found in of_lines)
    return [{one.finding: one.outcome for one in found} for found in believed]


def said(matches: Iterable[Match]) -> Said:
    """Finding to outcome, of what is believed; the surest where there are two."""
    believed = sorted((m for m in matches if m.score >= THRESHOLD), key=lambda m: m.score)
    return {m.finding: as_ruled(m).outcome for m in believed}
