"""Whether somebody should ring the writer of a note: it sounds like danger to people and none was understood.

Words that are grave count where they are told as there, in doubt, or where nobody can say how: what is clearly denied,
long past or only possible asks for nothing. Where every grave word of a clause is told so, the learned reader is not
believed there either.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.diagnosis.notes.assertions.assertion import Kind, assertion
from witnessmark.diagnosis.notes.assertions.scope import Scope
from witnessmark.diagnosis.notes.assertions.subjects import Told
from witnessmark.diagnosis.notes.beside.language import ENGLISH, Language
from witnessmark.diagnosis.notes.danger import alarm_mentions, hazards, sounds_grave
from witnessmark.diagnosis.notes.danger_rows import ALARM, ALONE, NOT_HEARD, grave, needs
from witnessmark.diagnosis.notes.joining import DENIAL, excerpts
from witnessmark.diagnosis.notes.matches import Excerpt, Match
from witnessmark.diagnosis.notes.mentions import Clause, Mention
from witnessmark.diagnosis.notes.model.reader import DANGER, Heard
from witnessmark.diagnosis.notes.scoring import THRESHOLD
from witnessmark.diagnosis.notes.telling import is_danger

CallBackReason = TypeAliasType(
    "CallBackReason",
    Literal[
        "alarm words, but no danger understood",
        "alarm words, but nothing understood",
        "danger words of a language that is not read",
        "sounds like danger",
    ],
)
_SHOWN = 5
"""Alarm words that are shown."""
_SIGNS = frozenset({"present", "low", "high"})
_ALARMING = frozenset({"doubtful"})
_ALARMING_HAZARD = frozenset({"doubtful", "other machine", "unclear", "not checked", "denied in part"})
"""Danger at another machine, or of which the subject is open, is danger to people all the same."""
_OPEN: frozenset[Kind] = frozenset({"present", "doubt", "other machine", "unclear", "not checked"})
"""How words of danger are told that nobody may pass over."""
_WITHOUT_A_WORD = {True: 0.12, False: 0.3}
"""Score from which the learned reader is followed where no word is grave: in English, where the rest of the note was
understood; in another language, of which it learned little."""


@dataclass(frozen=True, slots=True)
class CallBack:
    """The note sounds like danger and none was understood: somebody should ring the writer. words: what sounds so."""

    reason: CallBackReason
    words: tuple[Excerpt, ...]


@dataclass(frozen=True)
class Listening:
    """The clauses of a note with the machine that each is told of, asked for what may be danger."""

    clauses: Sequence[tuple[Clause, Told]]

    @cached_property
    def calm(self) -> list[Clause]:
        """Clauses that have grave words of which each is explained, denied, long past or only possible."""
        sounding = ((clause, by) for clause, by in self.clauses if sounds_grave(clause))
        return [clause for clause, by in sounding if not _open(clause, by, alarm_mentions(clause, *grave()))]

    @cached_property
    def wordless(self) -> list[Clause]:
        """Clauses in which no word is grave."""
        return [clause for clause, _ in self.clauses if not sounds_grave(clause)]

    def believable(self, heard: Iterable[Heard]) -> list[Heard]:
        """What the learned reader heard, without danger that the words of the note do not bear."""
        return [one for one in heard if not (_speaks_of_danger(one) and self._unfounded(one))]

    def _unfounded(self, one: Heard) -> bool:
        """Hardly heard as denied; in calm clauses alone; a faint hazard without a grave word, or one that needs one."""
        hardly = one.outcome == "absent" and one.score < DENIAL
        faint = one.finding != DANGER and one.score < THRESHOLD and _only_in(one, self.wordless)
        needed = needs().get(one.finding, ())
        beside = [
            name for clause, _ in self.clauses if _in(one, clause) for name in needed if name in clause.sentence.places
        ]
        return hardly or faint or bool(needed and not beside) or _only_in(one, self.calm)

    def call_back(
        self, heard: Sequence[Heard], level: float, found: Sequence[Match], language: Language
    ) -> CallBack | None:
        """A call back, where no danger was understood. level: score from which the learned reader may ask for one."""
        if any(is_danger(m.finding) and alarming(m) for m in found):
            return None
        return self._alarm_words(found, language) or self._sounds(heard, level, found, language)

    def _alarm_words(self, found: Sequence[Match], language: Language) -> CallBack | None:
        lists: list[tuple[CallBackReason, str]] = [("alarm words, but no danger understood", ALARM)]
        if not found:
            lists.append(("alarm words, but nothing understood", ALONE))
        if language.name != ENGLISH:
            lists.append(("danger words of a language that is not read", NOT_HEARD))
        for reason, name in lists:
            if words := [*self._told(name)]:
                return CallBack(reason, tuple(words[:_SHOWN]))
        return None

    def _told(self, name: str) -> Iterator[Excerpt]:
        for clause, by in self.clauses:
            told = _open(clause, by, alarm_mentions(clause, name))
            yield from excerpts([(mention.start, mention.end) for mention in told], clause.text)

    def _sounds(
        self, heard: Sequence[Heard], level: float, found: Sequence[Match], language: Language
    ) -> CallBack | None:
        """Where the learned reader hears danger and no rule for danger fires."""
        english = language.name == ENGLISH
        weak = not english or any(m.score >= THRESHOLD for m in found)
        least = _WITHOUT_A_WORD[english] if weak else level
        sounds = [
            one
            for one in heard
            if one.finding == DANGER and one.score >= (max(level, least) if _only_in(one, self.wordless) else level)
        ]
        words = [excerpt for one in sounds for excerpt in excerpts(one.named, self.clauses[0][0].text)]
        return CallBack("sounds like danger", tuple(words[:_SHOWN])) if sounds else None


def alarming(match: Match) -> bool:
    """Whether it fires its rules: a sign that is there, in doubt, or said in passing where people are in danger."""
    reasons = _ALARMING_HAZARD if is_danger(match.finding) else _ALARMING
    return match.state in _SIGNS or match.unknown_because in reasons


def _open(clause: Clause, by: Told, words: Sequence[Mention]) -> list[Mention]:
    """Those of the words that are told as there, or of which nobody can say how; part of a hazard is told as it is."""
    if not words:
        return []
    dangers = hazards(clause)
    scope = Scope(clause, (*dangers, *words), by)
    whole = [(word, [h for h in dangers if word.tokens <= h.tokens] or [word]) for word in words]
    return [word for word, told in whole if any(assertion(scope, mention).kind in _OPEN for mention in told)]


def _speaks_of_danger(one: Heard) -> bool:
    return one.finding == DANGER or is_danger(one.finding)


def _only_in(one: Heard, clauses: Sequence[Clause]) -> bool:
    """Every word that named it stands in one of these clauses."""
    return all(any(c.start <= start < c.end for c in clauses) for start, _ in one.named)


def _in(one: Heard, clause: Clause) -> bool:
    """Some word that named it stands in the clause."""
    return any(clause.start <= start < clause.end for start, _ in one.named)
