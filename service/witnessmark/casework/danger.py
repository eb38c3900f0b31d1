"""What of the danger in a case stands now, and what was ended by the work that was done since.

A rule fires because of findings. A finding that was heard stands until a step that came after its words; one that only
the document names has no time: that a compressor is out ends what was found of the compressor, danger to people ends by
a step that says so (`made-safe`). Where the order of time is not known, danger stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from witnessmark.casework.document import at
from witnessmark.casework.moments import moment, zone_of
from witnessmark.casework.repair import OUT, REPLACED, End, ends, kind_of
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.matching import LONGEST, alarms, ruled_matches
from witnessmark.diagnosis.notes.telling import is_danger

Result = Mapping[str, Any]
SAFE = ("made-safe",)
WRONG_GAS = "wrong-gas-under-pressure"
OF_THE_COMPRESSOR = frozenset({"terminal-vented"})
"""Danger to people that goes out with the compressor."""


@dataclass(frozen=True, slots=True)
class Danger:
    """standing: safety notices that hold now, those told after the repair first. call_back: alarm not understood.

    repaired: the failed compressor is open or out, so that nothing is to be done at it any more. replaced: another one
    is in. made_safe: somebody said that danger to people is over.
    """

    standing: tuple[Result, ...] = ()
    call_back: Result | None = None
    repaired: bool = False
    replaced: bool = False
    made_safe: bool = False

    @property
    def to_people(self) -> tuple[Result, ...]:
        """Of the notices those that fire on a danger to people."""
        return tuple(note for note in self.standing if any(is_danger(key) for key in note.get("because", ())))


@dataclass(frozen=True, slots=True)
class Spoken:
    """A text of the case. settled: whether it tells of the failed machine by its place in the document."""

    text: str
    when: datetime | None = None
    settled: bool = False
    place: int | None = None

    def ended(self, by: End) -> bool:
        """Whether the step came after these words."""
        if self.place is not None:
            return by.place is not None and by.place > self.place
        if by.moment is None or self.when is None:
            return self.settled
        return by.moment >= self.when


def of_the_failed(case: Result) -> tuple[Spoken, ...]:
    """Complaint and notes of the failed machine, in the order in which they are read; none is empty."""
    zone = zone_of(case)
    told = [Spoken(case.get("complaint") or "", _when(case, "complaint_at", zone), settled=True)]
    notes = (note for note in case.get("notes") or () if note.get("of", "found") == "found")
    told += [Spoken(note["text"], _when(note, "at", zone), settled="of" in note) for note in notes]
    return tuple(spoken for spoken in told if spoken.text.strip())


def _later(case: Result) -> tuple[Spoken, ...]:
    """What was written of the repair and after it, which is read for danger alone."""
    zone = zone_of(case)
    notes = (n for n in case.get("notes") or () if n.get("of") == "after-repair")
    steps = ((k, s) for k, s in enumerate(case.get("work_done") or ()) if kind_of(s) != "made-safe")
    return (
        *(Spoken(note["text"], _when(note, "at", zone)) for note in notes),
        *(Spoken(step["text"], _when(step, "at", zone), place=k) for k, step in steps),
    )


def danger(case: Result, done: Mapping[str, Result]) -> Danger:
    """What of the safety rules of diagnosis and notes stands now. done: results by part."""
    found = ends(case)
    told = _Told(case, done, found)
    later = tuple(_heard(case, found))
    fired = (*(at(done, "diagnosis.safety") or ()), *(at(done, "note.safety") or ()))
    standing = (note for note in fired if any(map(told.stands, note.get("because") or ("",))))
    call = at(done, "note.call_back")
    if call is not None and call.get("words") and all(map(told.past, (w["start"] for w in call["words"]))):
        call = None
    notices = tuple({note["text"]: note for note in (*later, *standing)}.values())
    return Danger(notices, call, *(any(end.kind in kinds for end in found) for kinds in (OUT, REPLACED, SAFE)))


def _heard(case: Result, found: tuple[End, ...]) -> Iterator[Result]:
    """The rules on which danger fires that was told at or after the repair, as results have them."""
    open_ones = [spoken for spoken in _later(case) if not any(map(spoken.ended, found))]
    text = "\n".join(spoken.text for spoken in open_ones)[:LONGEST]
    for notice in alarms(match for match in ruled_matches(text) if is_danger(match.finding)) if text.strip() else ():
        yield {"rule": notice.rule, "text": notice.text, "cautions": list(notice.cautions), "because": notice.because}
    if _wrong_gas(case) and not any(end.kind in SAFE for end in found):
        rule = next(rule for rule in knowledge().safety if WRONG_GAS in rule.when.any_of)
        yield {"rule": rule.id, "text": rule.text, "cautions": list(rule.cautions), "because": (WRONG_GAS,)}


def _wrong_gas(case: Result) -> bool:
    """Whether a pressure test was made with a gas that may explode with oil or heat."""
    tests = at(case, "before_start.pressure_tests") or ()
    return any(test.get("gas") in ("oxygen", "air", "flammable-gas") for test in tests)


def _when(entry: Result, name: str, zone: Any) -> datetime | None:
    return moment(entry[name], zone) if entry.get(name) else None


class _Told:
    """Where the findings of the document and of its notes were told, and whether that is past."""

    def __init__(self, case: Result, done: Mapping[str, Result], found: tuple[End, ...]) -> None:
        self.found, self.case = found, case
        self.spans: list[tuple[int, Spoken]] = []
        begins = 0
        for spoken in of_the_failed(case):
            self.spans.append((begins, spoken))
            begins += len(spoken.text) + 1
        self.reported = {report["finding"] for report in case.get("findings") or ()}
        self.words: dict[str, list[int]] = {}
        for match in (*(at(done, "note.matches") or ()), *(at(done, "note.candidates") or ())):
            self.words.setdefault(match["finding"], []).extend(span["start"] for span in match["words"])

    def past(self, place: int) -> bool:
        """Whether a step came after the words that stand there in the text that was read."""
        spoken = next((spoken for begins, spoken in reversed(self.spans) if begins <= place), None)
        return spoken is not None and any(map(spoken.ended, self.found))

    def stands(self, key: str) -> bool:
        """Whether a finding (or a mode that readings made probable) still holds."""
        if key in self.reported and not self._over(key):
            return True
        if key in self.words:
            return not all(map(self.past, self.words[key]))
        return key not in self.reported and not self._any(OUT)

    def _over(self, key: str) -> bool:
        """Whether what the document names without a time is ended."""
        people = is_danger(key) and key not in OF_THE_COMPRESSOR
        return self._any(SAFE if people else (*OUT, *SAFE) if is_danger(key) else OUT)

    def _any(self, kinds: tuple[str, ...]) -> bool:
        return any(end.kind in kinds for end in self.found)
