"""Whether somebody should ring the writer of a note: it sounds like danger to people and none was understood.

Words that are grave count where they are told as there, in doubt, or where nobody can say how: what is clearly denied,
long past or only possible asks for nothing. Where every grave word of a clause is told so, the learned reader is not
believed there either.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.diagnosis.notes.assertions.assertion import still_told
from witnessmark.diagnosis.notes.assertions.subjects import Told
from witnessmark.diagnosis.notes.beside.language import ENGLISH, UNCERTAIN, Language
from witnessmark.diagnosis.notes.danger import (
    alarm_mentions,
    harmless_words,
    hazards,
    plights,
    sounds_grave,
    suspects,
)
from witnessmark.diagnosis.notes.danger_rows import (
    ALARM,
    ALARMS,
    ALONE,
    NOT_HEARD,
    STRANGE,
    grave,
    needs,
    of_goods,
    rules_alone,
)
from witnessmark.diagnosis.notes.joining import DENIAL
from witnessmark.diagnosis.notes.matches import THRESHOLD, Excerpt, Match, excerpts
from witnessmark.diagnosis.notes.mentions import Clause, Mention
from witnessmark.diagnosis.notes.model.reader import DANGER, Heard
from witnessmark.diagnosis.notes.orders import names_only
from witnessmark.diagnosis.notes.telling import is_danger
from witnessmark.diagnosis.notes.tokens import fold

CallBackReason = TypeAliasType(
    "CallBackReason",
    Literal[
        "alarm words, but no danger understood",
        "alarm words, but nothing understood",
        "danger words of a language that is not read",
        "sounds like danger",
        "written in a language that is not read",
    ],
)
_SHOWN = 5
"""Alarm words that are shown."""
_SIGNS = frozenset({"present", "low", "high"})
_ALARMING = frozenset({"doubtful"})
_ALARMING_HAZARD = frozenset({"doubtful", "other machine", "unclear", "not checked", "denied in part"})
"""Danger at another machine, or of which the subject is open, is danger to people all the same."""
"""How words of danger are told that nobody may pass over."""
_WITHOUT_A_WORD = 0.12
"""Score from which the learned reader is followed where no word is grave and a longer note was understood otherwise."""
_WITHOUT_A_WORD_OF_ANOTHER = 0.3
"""The same in another language than English, of which it learned little."""
_CALM = 0.01
"""Score of danger in general, the greatest of a note, below which no danger that is faintly heard is believed."""
_DENYING = ("~negation", "~backward-negation", "~closing-negation")
_ASIDE = ("~history", "~resolved", "~hypothetical", "~advice", "~norm", "~replaced", "~well-now")
_SHORT = 40
"""Tokens of a note so short that whatever sounds like danger may be all that it is about."""


@dataclass(frozen=True, slots=True)
class CallBack:
    """The note sounds like danger and none was understood: somebody should ring the writer. words: what sounds so."""

    reason: CallBackReason
    words: tuple[Excerpt, ...]


@dataclass(frozen=True)
class Listening:
    """The clauses of a note with the machine that each is told of, asked for what may be danger.

    aside: words of alarm that something else in the note explains. foreign: it is in a language of which the reader
    learned little, so that danger heard faintly in no word of it is asked about and not acted on.
    """

    clauses: Sequence[tuple[Clause, Told]]
    aside: frozenset[str] = frozenset()
    foreign: bool = False

    @cached_property
    def calm(self) -> list[tuple[Clause, frozenset[int]]]:
        """Clauses that sound grave and in which every such word is explained, denied, long past or only possible.

        With the tokens of those words, and of all that means nothing.
        """
        sounding = ((clause, by) for clause, by in self.clauses if sounds_grave(clause))
        words = ((clause, by, alarm_mentions(clause, *grave())) for clause, by in sounding)
        return [(clause, _settled(clause, told)) for clause, by, told in words if not still_told(clause, by, told)]

    @cached_property
    def wordless(self) -> list[Clause]:
        """Clauses in which no word is grave."""
        return [clause for clause, _ in self.clauses if not sounds_grave(clause)]

    @cached_property
    def starts(self) -> list[int]:
        """Where each clause begins, in order."""
        return [clause.start for clause, _ in self.clauses]

    def around(self, one: Heard) -> list[Clause]:
        """The clauses in which words that named it stand, in order; found by bisection, since a note may have many."""
        places = sorted({bisect_right(self.starts, start) - 1 for start, _ in one.named})
        return [clause for k in places if k >= 0 and _in(one, clause := self.clauses[k][0])]

    @cached_property
    def long(self) -> bool:
        """Whether the note tells of more than whatever danger may be in it."""
        return sum(len(clause.sentence.tokens) for clause, _ in self.clauses) > _SHORT

    def believable(self, heard: Iterable[Heard]) -> list[Heard]:
        """What the learned reader heard, but danger that its words do not bear, what lacks a word, and mere names."""
        heard = [*heard]
        calm = max((one.score for one in heard if one.finding == DANGER), default=1.0) < _CALM
        sound = (one for one in heard if not (calm and _faint(one)) and not self._of_goods(one))
        kept = (one for one in sound if self._worded(one) and not self._names_only(one))
        return [one for one in kept if not (_speaks_of_danger(one) and self._unfounded(one))]

    def plain(self, heard: Iterable[Heard]) -> frozenset[str]:
        """Findings beside which no word denies anything, nor looks as if it did."""
        every = [*heard]
        beside = {one.finding for one in every if any(_denies(clause) for clause in self.around(one))}
        return frozenset({one.finding for one in every} - beside)

    def _of_goods(self, one: Heard) -> bool:
        """Whether it is an alarm at a freezer that only says how warm it is; more than that is told nowhere."""
        finding, goods, unless = of_goods()
        around = self.around(one)
        told = one.finding in (finding, DANGER) and around and any(_has(clause, goods) for clause in around)
        if not told or self._tells(unless):
            return False
        return one.finding == finding or all(_only_alarm(clause, one, goods) for clause in around)

    def _tells(self, names: Sequence[str]) -> bool:
        """Whether some clause of the note has a word of these concepts."""
        return any(_has(clause, names) for clause, _ in self.clauses)

    def _names_only(self, one: Heard) -> bool:
        """Whether it is no danger and was heard in the names of parts alone."""
        return not _speaks_of_danger(one) and names_only(self.around(one), one.named)

    def _worded(self, one: Heard) -> bool:
        """Whether a word stands with it that the learned reader needs; never for what rules alone may hear."""
        if one.finding in rules_alone():
            return False
        needed = needs(faint=one.score < THRESHOLD).get(one.finding, ())
        return not needed or any(name in clause.sentence.places for clause in self.around(one) for name in needed)

    def _unfounded(self, one: Heard) -> bool:
        """Words that are all told calmly; hardly heard as denied; faint without a grave word."""
        if self._calmly(one):
            return True
        hardly = one.outcome == "absent" and one.score < DENIAL
        if hardly and any(name in clause.sentence.places for clause in self.around(one) for name in _DENYING):
            return True
        wary = self.long or self.foreign
        return wary and one.finding != DANGER and one.score < THRESHOLD and _only_in(one, self.wordless)

    def _calmly(self, one: Heard) -> bool:
        """Whether it is heard in calm clauses alone, and a third of its words at least are those that make them so."""
        places = [_settled_at(start, self.calm) for start, _ in one.named]
        return None not in places and 3 * sum(place is True for place in places) >= len(places)

    def call_back(
        self, heard: Sequence[Heard], level: float, found: Sequence[Match], language: Language
    ) -> CallBack | None:
        """A call back, where no danger was understood. level: score from which the learned reader may ask for one."""
        if any(is_danger(m.finding) and alarming(m) for m in found):
            return None
        told = self._alarm_words(found, language) or self.suspected or self._sounds(heard, level, found, language)
        return told or (None if language.read else self._unread())

    @cached_property
    def plights(self) -> tuple[str, ...]:
        """Plights of people that are told as there, by id."""
        told = (mention for clause, by in self.clauses for mention in still_told(clause, by, plights(clause)))
        return tuple(dict.fromkeys(mention.finding for mention in told))

    def _unread(self) -> CallBack | None:
        """Nobody knows what such a note says: with its beginning, so that whoever rings back knows the language."""
        whole = [
            excerpt for clause, _ in self.clauses for excerpt in excerpts([(clause.start, clause.end)], clause.text)
        ]
        return CallBack("written in a language that is not read", tuple(whole[:1])) if whole else None

    def _alarm_words(self, found: Sequence[Match], language: Language) -> CallBack | None:
        lists: list[tuple[CallBackReason, str]] = [("alarm words, but no danger understood", ALARM)]
        if not found:
            lists.append(("alarm words, but nothing understood", ALONE))
        strange = STRANGE if language.name == ENGLISH else NOT_HEARD
        lists.append(("danger words of a language that is not read", strange))
        for reason, name in lists:
            if words := [*self._told(name)]:
                return CallBack(reason, tuple(words[:_SHOWN]))
        return None

    @cached_property
    def suspected(self) -> CallBack | None:
        """Somebody seems to be in trouble, in words that name no hazard."""
        told = (mention for clause, by in self.clauses for mention in still_told(clause, by, suspects(clause)))
        words = [excerpt for m in told for excerpt in excerpts([(m.start, m.end)], self.clauses[0][0].text)]
        return CallBack("alarm words, but no danger understood", tuple(words[:_SHOWN])) if words else None

    def _told(self, name: str) -> Iterator[Excerpt]:
        for clause, by in self.clauses:
            told = still_told(clause, by, alarm_mentions(clause, name))
            loud = [(m.start, m.end) for m in told if fold(clause.text[m.start : m.end])[0] not in self.aside]
            yield from excerpts(loud, clause.text)

    def _sounds(
        self, heard: Sequence[Heard], level: float, found: Sequence[Match], language: Language
    ) -> CallBack | None:
        """Where the learned reader hears danger and no rule for danger fires."""
        least = level
        if language.name not in {ENGLISH, UNCERTAIN}:
            least = max(level, _WITHOUT_A_WORD_OF_ANOTHER)
        elif self.long and any(m.score >= THRESHOLD for m in found):
            least = max(level, _WITHOUT_A_WORD)
        dangers = [one for one in heard if one.finding == DANGER]
        sounds = [one for one in dangers if one.score >= (least if _only_in(one, self.wordless) else level)]
        words = [excerpt for one in sounds for excerpt in excerpts(one.named, self.clauses[0][0].text)]
        return CallBack("sounds like danger", tuple(words[:_SHOWN])) if sounds else None


def alarming(match: Match) -> bool:
    """Whether it fires its rules: a sign that is there, in doubt, or said in passing where people are in danger."""
    reasons = _ALARMING_HAZARD if is_danger(match.finding) else _ALARMING
    return match.state in _SIGNS or match.unknown_because in reasons


def _settled(clause: Clause, words: Sequence[Mention]) -> frozenset[int]:
    """The tokens of words of danger, of what explains them and of what denies, and those that mean nothing."""
    dangers = (mention.tokens for mention in (*words, *hazards(clause)))
    cues = clause.sentence.positions(*_DENYING, *_ASIDE)
    return clause.sentence.idle.union(harmless_words(clause.sentence), cues, *dangers)


def _settled_at(start: int, calm: Sequence[tuple[Clause, frozenset[int]]]) -> bool | None:
    """Whether the word that begins there settles a calm clause; None where it stands in none."""
    for clause, settled in calm:
        if clause.start <= start < clause.end:
            return bool(settled & clause.tokens_of(start, start + 1))
    return None


def _faint(one: Heard) -> bool:
    """Whether it is one of the dangers, and none that is surely heard as there."""
    return is_danger(one.finding) and (one.outcome != "present" or one.score < THRESHOLD)


def _speaks_of_danger(one: Heard) -> bool:
    return one.finding == DANGER or is_danger(one.finding)


def _only_alarm(clause: Clause, one: Heard, goods: Sequence[str]) -> bool:
    """Whether the words of the clause that named it are of an alarm, of goods, or mean nothing."""
    known = clause.sentence.positions(*goods, *ALARMS) | clause.sentence.idle
    return all(clause.tokens_of(*span) <= known for span in one.named if clause.start <= span[0] < clause.end)


def _has(clause: Clause, names: Iterable[str]) -> bool:
    return any(name in clause.sentence.places for name in names)


def _denies(clause: Clause) -> bool:
    return any(name in clause.sentence.places for name in (*_DENYING, "~pseudo-negation"))


def _only_in(one: Heard, clauses: Sequence[Clause]) -> bool:
    """Every word that named it stands in one of these clauses."""
    return all(any(c.start <= start < c.end for c in clauses) for start, _ in one.named)


def _in(one: Heard, clause: Clause) -> bool:
    """Some word that named it stands in the clause."""
    return any(clause.start <= start < clause.end for start, _ in one.named)
