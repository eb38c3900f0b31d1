"""Danger that several sentences of a note tell together: the unit hangs by one bolt, below is the bus stop.

A row (`scenes.toml`) is slots of concepts as in danger.toml, but they may stand anywhere in the note, within so many
words of one another. What is denied, long past or part of a name fills no slot; a word of `unless` undoes the row.
Bounded by the number of places that are tried.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from witnessmark.diagnosis.notes.assertions.assertion import still_told
from witnessmark.diagnosis.notes.assertions.subjects import Told
from witnessmark.diagnosis.notes.danger import SCORE, concept_mentions
from witnessmark.diagnosis.notes.danger_rows import Scene, scenes_of
from witnessmark.diagnosis.notes.matches import Match, excerpts
from witnessmark.diagnosis.notes.mentions import Clause

_TRIED = 12
"""Places of a slot that are tried, the first of the note."""
Place = tuple[int, int, int, int]
"""Tokens of the note, then characters, each from and to (not included)."""


@dataclass(frozen=True)
class Note:
    """The clauses of a note, its tokens counted through."""

    clauses: Sequence[tuple[Clause, Told]]

    def has(self, names: Sequence[str]) -> bool:
        """Whether a word of these concepts stands in it, however it is told."""
        return any(name in clause.sentence.places for clause, _ in self.clauses for name in names)

    def places(self, names: Sequence[str]) -> Iterator[Place]:
        """Where a word of these concepts is told as there, in the order of the note."""
        before = 0
        for clause, by in self.clauses:
            for one in still_told(clause, by, concept_mentions(clause, *names)) if self._named(clause, names) else ():
                yield before + min(one.tokens), before + max(one.tokens) + 1, one.start, one.end
            before += len(clause.sentence.tokens)

    @staticmethod
    def _named(clause: Clause, names: Sequence[str]) -> bool:
        return not clause.sentence.places.keys().isdisjoint(names)


def scenes(clauses: Sequence[tuple[Clause, Told]]) -> list[Match]:
    """The dangers that the note tells so, each once."""
    note = Note(clauses)
    text = clauses[0][0].text if clauses else ""
    found: dict[str, Match] = {}
    for scene in scenes_of():
        if scene.finding not in found and (words := _standing(note, scene)):
            spans = [(start, end) for _, _, start, end in words]
            found[scene.finding] = Match(scene.finding, "present", SCORE, excerpts(spans, text), firm=True)
    return [*found.values()]


def _standing(note: Note, scene: Scene) -> Sequence[Place]:
    """A place of each slot, near enough to one another; none where the row does not hold."""
    if not all(note.has(names) for names in scene.slots) or note.has(scene.unless):
        return ()
    slots = [[*note.places(names)][:_TRIED] for names in scene.slots]
    for first in slots[0] if all(slots) else ():
        chosen = _together(first, slots[1:])
        if chosen and max(p[1] for p in chosen) - min(p[0] for p in chosen) <= scene.within:
            return chosen
    return ()


def _together(first: Place, others: Sequence[Sequence[Place]]) -> list[Place]:
    """The nearest place of each other slot that shares no word with those before it."""
    chosen = [first]
    for places in others:
        free = [p for p in places if all(p[1] <= c[0] or c[1] <= p[0] for c in chosen)]
        if not free:
            return []
        chosen.append(min(free, key=lambda p: abs(p[0] - first[0])))
    return chosen
