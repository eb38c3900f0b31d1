"""Who reads a note: the service, its rules or the learned reader alone, a second labeller, who knows nothing."""

from __future__ import annotations

import json
from functools import cache
from unittest.mock import patch

from tests.evaluation.notes.notes import HERE, STATES, Heard, Note, service
from tests.notes_model.deaf import Deaf
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes import matching
from witnessmark.diagnosis.notes.matches import THRESHOLD
from witnessmark.diagnosis.notes.matching import told_to_reader
from witnessmark.diagnosis.notes.model.reader import DANGER
from witnessmark.diagnosis.notes.model.store import shipped
from witnessmark.diagnosis.notes.telling import is_danger


@cache
def rules_alone(text: str) -> Heard:
    """The service with a reader that has learned nothing."""
    with patch.object(matching, "shipped", Deaf):
        return service(text)


@cache
def learned_alone(text: str) -> Heard:
    """The learned reader, told what the rules take, with nothing decided by numbers or rules of danger."""
    heard = shipped().hear(text, told_to_reader(text))
    best = {one.finding: one for one in sorted(heard, key=lambda one: one.score) if one.finding != DANGER}
    told = [one for one in best.values() if one.score >= THRESHOLD and one.outcome in STATES.values()]
    sounds = any(one.finding == DANGER and one.score >= shipped().level for one in heard)
    hazard = sounds or any(is_danger(one.finding) and one.outcome == "present" for one in told)
    return Heard(tuple(frozenset({(one.finding, one.outcome)}) for one in told), hazard)


@cache
def both(text: str) -> Heard:
    """The service as it is."""
    return service(text)


def commonest(_text: str) -> Heard:
    """Knows nothing: the commonest finding, always, and danger never."""
    return Heard((frozenset({("capacity-low", "present")}),), danger=False)


def all_denied(_text: str) -> Heard:
    """Knows nothing: hears every finding denied, and danger in everything."""
    return _all("absent", danger=True)


def all_there(_text: str) -> Heard:
    """Knows nothing: hears every finding there, and never danger."""
    return _all("present", danger=False)


@cache
def _all(state: str, *, danger: bool) -> Heard:
    return Heard(tuple(frozenset({(finding, state)}) for finding in knowledge().findings), danger)


@cache
def second() -> dict[str, Heard]:
    """What a second labeller found told, by id of the note."""
    rows = map(json.loads, (HERE / "second.jsonl").read_text(encoding="utf-8").splitlines())
    return {row["id"]: _labelled(row) for row in rows}


def _labelled(row: dict[str, object]) -> Heard:
    note = Note(str(row["id"]), "", "", "", row["labels"], bool(row["danger"]), 0)  # type: ignore[arg-type]
    return Heard(tuple(frozenset({fact}) for fact in sorted(note.facts)), note.danger)
