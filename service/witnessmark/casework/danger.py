"""What of the danger in a case stands now, and what was ended by the work that was done since.

A rule fires because of findings. A finding that was heard stands until a step that came after its words; one that only
the document names has no time: that a compressor is out ends what was found of the compressor, danger to people ends by
a step that says so (`made-safe`). Where the order of time is not known, danger stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from witnessmark.casework.document import at
from witnessmark.casework.moments import moment, zone_of
from witnessmark.casework.orders import AFTER, Order, good_after, orders
from witnessmark.casework.repair import GONE, OUT, REPLACED, UNBRIDGED, End, ends, kind_of, unbridged_up_to
from witnessmark.diagnosis.answer.plights import first_words
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evidence.reports import NORMAL_STATES
from witnessmark.diagnosis.notes.danger_rows import as_ruled
from witnessmark.diagnosis.notes.matches import Match
from witnessmark.diagnosis.notes.matching import LONGEST, alarms, plights_of, ruled_matches
from witnessmark.diagnosis.notes.telling import is_danger

Result = Mapping[str, Any]
OF_THE_COMPRESSOR = frozenset({"terminal-vented"})
"""Danger to people that goes out with the compressor."""
SMELLED = "burning-smell"
SCORCHED = frozenset(
    {"oil-burnt", "winding-burnt-pattern-unknown", "windings-burnt-evenly", "windings-one-or-two-phases-burnt"}
)
"""A smell goes out with a compressor that was found burnt, as these say: else it may be one of the wiring."""
WRONG_GASES, WRONG_GAS = ("oxygen", "air", "flammable-gas"), "wrong-gas-under-pressure"
"""Gases of a pressure test that can explode or burn in the circuit, and the finding that says so."""
SAFE: tuple[str, ...] = ("made-safe",)
"""Steps that say that danger to people is over."""


@dataclass(frozen=True, slots=True)
class Danger:
    """standing: safety notices that hold now, those told after the repair first. call_back: alarm not understood.

    later: those of `standing` that were told of the repair or after it. repaired: the failed compressor is open or out,
    so that nothing is to be done at it any more. replaced: another one is in. made_safe: somebody said that danger to
    people is over. good: it was read after the repair and is in order. orders: what the results order by themselves.
    of_the_gas: cautions that the refrigerant asks for. first: what the plight of somebody asks to be done before all.
    out: a step or the case says that the failed compressor is out, not only what was seen inside it.
    owed: what was done or found asks for the proofs before a start, whatever the machine reads since.
    """

    standing: tuple[Result, ...] = ()
    call_back: Result | None = None
    repaired: bool = False
    replaced: bool = False
    made_safe: bool = False
    later: tuple[Result, ...] = ()
    good: bool = False
    orders: tuple[Order, ...] = ()
    of_the_gas: tuple[str, ...] = ()
    first: tuple[str, ...] = ()
    out: bool = False
    owed: bool = False

    @property
    def to_people(self) -> tuple[Result, ...]:
        """Of the notices those that fire on a danger to people."""
        return tuple(note for note in self.standing if any(is_danger(key) for key in note.get("because", ())))

    @property
    def leading(self) -> tuple[Result, ...]:
        """Of the notices those that go before the gate: danger to people, else what was told after the repair."""
        return self.to_people or self.later


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

    def is_end(self, case: Result) -> bool:
        """Whether these are the words of a step that is said to have taken a bridge away."""
        return self.place is not None and case["work_done"][self.place].get("kind") in UNBRIDGED

    def still_bridged(self) -> Spoken:
        """Without the words that a bridge was taken away, and what stands before them."""
        return replace(self, text=self.text[unbridged_up_to(self.text) :])

    def unbridged(self, other: Spoken, place: int) -> bool:
        """Whether the words of `other` that stand there are overtaken by these, that tell of a bridge taken away."""
        if other is self:
            return place < unbridged_up_to(self.text)
        dated = self.when is not None and other.when is not None and self.when > other.when
        return dated and unbridged_up_to(self.text) > 0


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
    steps = ((k, s) for k, s in enumerate(case.get("work_done") or ()) if kind_of(s) not in SAFE)
    return (
        *(Spoken(note["text"], _when(note, "at", zone)) for note in notes),
        *(Spoken(step["text"], _when(step, "at", zone), place=k) for k, step in steps),
    )


def danger(case: Result, done: Mapping[str, Result], after: Result | None = None) -> Danger:
    """What of the safety rules of diagnosis and notes stands now, and what the results order.

    done: results by part. after: those of the readings after the repair.
    """
    found, results = ends(case), {**done, AFTER: after or {}}
    told = _Told(case, done, found)
    later = (*_wrong_gas(case, found), *_heard(case, found))
    fired = (*_of_diagnosis(case, done), *(at(done, "note.safety") or ()))
    standing = [note for note in fired if any(map(told.stands, note.get("because") or ("",)))]
    if good := good_after(results):
        standing = [note for note in standing if any(map(_lasting, note.get("because") or ()))]
    call = at(done, "note.call_back")
    if call is not None and _answered(call, told, case, found):
        call = None
    notices = tuple({note.get("rule") or note["text"]: note for note in (*later, *standing)}.values())
    out, replaced, safe = (any(end.kind in kinds for end in found) for kinds in (OUT, REPLACED, SAFE))
    ordered = orders(results, repaired=out, made_safe=safe)
    told_now = Danger(notices, call, out, replaced, safe, later, good, ordered)
    told_now = replace(told_now, out=any(end.kind in GONE for end in found))
    return replace(told_now, first=_plight(case, found)) if told_now.to_people else told_now


def _answered(call: Result, told: _Told, case: Result, found: tuple[End, ...]) -> bool:
    """Whether a step came after the words that sounded like danger; where none are named, a step that ends danger."""
    if words := call.get("words"):
        return all(map(told.past, (word["start"] for word in words)))
    over = [end for end in found if end.kind in SAFE]
    return bool(over) and all(any(map(spoken.ended, over)) for spoken in of_the_failed(case))


def _plight(case: Result, found: tuple[End, ...]) -> tuple[str, ...]:
    """What is to be done first for people in a plight that no later step ended."""
    ongoing = [spoken.text for spoken in of_the_failed(case) if not any(map(spoken.ended, found))]
    return first_words(plights_of("\n".join(ongoing)[:LONGEST]))


def _lasting(key: str) -> bool:
    """Whether no repair and no good reading ends a finding, but a step that says so: danger, a bridged protection."""
    return is_danger(key) or key in as_ruled()


def _of_diagnosis(case: Result, done: Mapping[str, Result]) -> Iterator[Result]:
    """The notices of the diagnosis; where it could not be had, those that its findings fire whatever the machine."""
    if "diagnosis" in done:
        yield from at(done, "diagnosis.safety") or ()
        return
    reported = (report for report in case.get("findings") or () if report["state"] not in NORMAL_STATES)
    yield from _notices(frozenset(report["finding"] for report in reported))


def _notices(signs: frozenset[str]) -> Iterator[Result]:
    """The rules that these findings fire, as results have them, whatever the refrigerant."""
    for rule in knowledge().safety:
        because = tuple(key for key in rule.when.any_of if key in signs)
        if because and rule.fluid is None:
            yield _shown(rule.id, rule.text, rule.cautions, rule.forbids, because)


def _shown(rule: str, text: str, cautions: Any, forbids: Any, because: tuple[str, ...]) -> Result:
    return {"rule": rule, "text": text, "cautions": list(cautions), "forbids": list(forbids), "because": because}


def _wrong_gas(case: Result, found: tuple[End, ...]) -> Iterator[Result]:
    """The rule on a gas that can explode, where a pressure test was made with one, until somebody says it is out."""
    gases = {test.get("gas") for test in at(case, "before_start.pressure_tests") or ()}
    if gases.intersection(WRONG_GASES) and not any(end.kind in SAFE for end in found):
        yield from _notices(frozenset({WRONG_GAS}))


def _heard(case: Result, found: tuple[End, ...]) -> Iterator[Result]:
    """The rules on which danger or a bridged protection fires that was told at or after the repair."""
    later, off = _later(case), [end for end in found if end.kind in UNBRIDGED]
    ongoing = [spoken for spoken in later if not any(map(spoken.ended, found))]
    bridged = [
        spoken.still_bridged() for spoken in later if not any(map(spoken.ended, off)) and not spoken.is_end(case)
    ]
    kept = (
        *(match for match in _matches(ongoing) if is_danger(match.finding)),
        *(match for match in _matches(bridged) if match.finding in as_ruled()),
    )
    for notice in alarms(kept):
        yield _shown(notice.rule, notice.text, notice.cautions, notice.forbids, notice.because)


def _matches(spoken: list[Spoken]) -> list[Match]:
    text = "\n".join(one.text for one in spoken)[:LONGEST]
    return ruled_matches(text) if text.strip() else []


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

    def past(self, place: int, kinds: tuple[str, ...] = ()) -> bool:
        """Whether a step (of these kinds) came after the words that stand there in the text that was read."""
        spoken = next((spoken for begins, spoken in reversed(self.spans) if begins <= place), None)
        over = (end for end in self.found if not kinds or end.kind in kinds)
        return spoken is not None and any(map(spoken.ended, over))

    def _unbridged(self, place: int) -> bool:
        """Whether the text itself, or one of later, says that what bridged a protection there was taken away."""
        begins, spoken = next((pair for pair in reversed(self.spans) if pair[0] <= place), (0, None))
        return spoken is not None and any(other.unbridged(spoken, place - begins) for _, other in self.spans)

    def stands(self, key: str) -> bool:
        """Whether a finding (or a mode that readings made probable) still holds."""
        if key in self.reported and not self._over(key):
            return True
        if key in self.words:
            if key in as_ruled():
                return not all(self.past(place, UNBRIDGED) or self._unbridged(place) for place in self.words[key])
            return not all(self.past(place) for place in self.words[key])
        return key not in self.reported and not self._any(OUT)

    def _over(self, key: str) -> bool:
        """Whether what the document names without a time is ended."""
        if key in as_ruled():
            return self._any(UNBRIDGED)
        if key == SMELLED and self._smelled_at_it():
            return True
        people = is_danger(key) and key not in OF_THE_COMPRESSOR
        return self._any(SAFE if people else (*OUT, *SAFE) if is_danger(key) else OUT)

    def _smelled_at_it(self) -> bool:
        """Whether a smell was of a compressor found burnt, which a dated step after a dated call says is out."""
        burnt = at(self.case, "signs.burn") in ("winding", "spot") or at(self.case, "signs.smell") == "burnt"
        told = {report["finding"] for report in self.case.get("findings") or () if report["state"] == "present"}
        out = any(end.kind in GONE and end.moment is not None for end in self.found)
        return bool(self.case.get("complaint_at")) and out and (burnt or not told.isdisjoint(SCORCHED))

    def _any(self, kinds: tuple[str, ...]) -> bool:
        return any(end.kind in kinds for end in self.found)
