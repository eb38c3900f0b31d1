"""What of a call was not understood, and whether somebody should ring back before anything else."""

from __future__ import annotations

import re
from collections.abc import Mapping

from witnessmark.diagnosis.answer.priority import Unheard
from witnessmark.diagnosis.case import Case, Machine
from witnessmark.diagnosis.catalogue.rows import DANGER, Knowledge
from witnessmark.diagnosis.catalogue.triage import triage
from witnessmark.diagnosis.notes.calling import alarming
from witnessmark.diagnosis.notes.errands import can_wait, planned, request
from witnessmark.diagnosis.notes.matches import Match
from witnessmark.diagnosis.notes.matching import NoteReading, read_note
from witnessmark.diagnosis.notes.telling import is_danger

CALL_BACK: Mapping[Unheard, str] = {
    "sounds": "The note may tell of danger in words that were not understood.",
    "danger": "The note holds words of alarm that were not understood.",
    "suspected": "The note may tell of danger in words that were not understood.",
    "alarm": "The note holds words of alarm that were not understood.",
    "unread": "The note is in a language that is not read.",
    "uneasy": "The note may tell of danger in words that were not understood.",
    "nothing": "Nothing in the note was understood.",
    "part": "Part of the note was not understood.",
    "unfit": "What the note tells does not fit this machine: ask again what was seen, and what machine it is.",
}
UNEASY = 0.2
"""Score of danger of the learned reader from which a note of which little was understood is rung back before comfort:
of 46 dangers of a judged set none lies below it, of 78 other calls 14 above (seen in mending, never learned from)."""
LOUD = 0.5
"""Score of danger from which a note is more likely than not to tell of danger to people, whatever the rules heard."""
_UNREAD = "written in a language that is not read"
_SUSPECTED = "sounds like danger"
"""The reason of a call back that no word gave. Alone it is a reason to ring before power is
put on, not to send a crew before others: of 22 such notes among the open judged calls two told of danger to people, of
the 11 among the open labelled notes none. Where planned work is asked for, it is no more than loud."""


def left_unheard(about: tuple[Knowledge, Case], note: str, reading: NoteReading, *, good: bool) -> Unheard | None:
    """What of the note was not understood; None where nobody need ring back. good: only good was told besides."""
    known, case = about
    if mere_request(note, reading):
        return None
    if reading.call_back is not None:
        said = " ".join(excerpt.text.lower() for excerpt in reading.call_back.words)
        loud = triage().heard.loud.issuperset(re.findall(r"\w+", said))
        return "alarm" if loud else _alarmed(known, note, reading, reading.call_back.reason)
    if good and any(of_danger(known, match) and in_doubt(match) for match in reading.candidates):
        return None if planned(note) else "suspected"
    return _not_understood(note, reading, case.machine)


def sounds_of_danger(note: str, reading: NoteReading) -> bool:
    """Whether the note as a whole speaks of danger to people more likely than not, and asks for no planned work."""
    return reading.unease >= LOUD and not planned(note)


def ask_again(note: str, reading: NoteReading, machine: Machine) -> str:
    """What to say where nothing was understood of a note that asks for no planned work; empty elsewhere."""
    unheard = None if reading.call_back else _not_understood(note, reading, machine)
    return CALL_BACK[unheard] if unheard else ""


def mere_request(note: str, reading: NoteReading) -> bool:
    """Whether it asks for what can be done on any day and tells of nothing wrong: nobody need ring back for that.

    Of a language of which only danger is heard that is so where no word of danger stands in it.
    """
    alarmed = reading.call_back is not None and not (reading.language.danger and reading.call_back.reason == _UNREAD)
    faint = any(alarming(match) for match in reading.candidates if is_danger(match.finding))
    return not (alarmed or faint) and reading.unease < UNEASY and request(note)


def _not_understood(note: str, reading: NoteReading, machine: Machine) -> Unheard | None:
    """Whatever else is known: what the note tells may be the worst of it."""
    if not note.strip() or reading.matches or can_wait(note, reading.matches):
        return None
    return "unfit" if machine != Machine() and read_note(note, Machine()).matches else "nothing"


def _alarmed(known: Knowledge, note: str, reading: NoteReading, reason: str) -> Unheard:
    """How grave a call back is that is no mere shouting: two hints at danger, in whatever state, are danger."""
    if reason == _UNREAD:
        return "unread"
    if reason != _SUSPECTED:
        return "danger"
    if planned(note):
        return "alarm"
    hinted = any(of_danger(known, match) for match in (*reading.matches, *reading.candidates))
    return "danger" if hinted else "suspected"


def in_doubt(match: Match) -> bool:
    """Whether it is told as something that may be there, or of which nobody can say how it is."""
    return match.state == "unknown" and alarming(match)


def of_danger(known: Knowledge, match: Match) -> bool:
    """Whether it is danger to people."""
    return match.finding in known.findings and known.findings[match.finding].group == DANGER
