"""POST /v1/findings/match: plain words of a job note to findings."""

from __future__ import annotations

from types import SimpleNamespace

from witnessmark.api.context import RequestContext
from witnessmark.api.derived import show_derived
from witnessmark.api.quantities import Time
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import matching as wire
from witnessmark.api.schemas.diagnosis_result import SafetyNote
from witnessmark.api.schemas.field_readings import FieldReadings, acceptable
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import MACHINE_WORDS, Machine
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.notes.beside.facts import Fact
from witnessmark.diagnosis.notes.matches import THRESHOLD, Match
from witnessmark.diagnosis.notes.matching import NoteReading, alarms, read_note
from witnessmark.diagnosis.unheard import ask_again

router = version_one("diagnosis")


@calculation(router, "/findings/match", "Findings from the plain words of a job note")
def match_findings(body: wire.MatchRequest) -> wire.MatchAnswer:
    """Read a job note: which findings it reports present, absent, low, normal, high or unknown, and from which words.

    Danger to people is heard first: read `safety` and `call_back` before all else. Shorthand, spelling mistakes,
    denials, doubt, history, other machines, conditions, numbers and units are understood, by rules and by a reader that
    learned from constructed sentences; the same note gives the same answer. Below the threshold it says so. `matches`
    without `contradictory` ones can go into the `findings` of a diagnosis once a person has confirmed them.
    """
    context = RequestContext.of(body)
    machine = Machine(**{part: getattr(body.machine, part) for part in MACHINE_WORDS})
    reading = read_note(body.text, machine)
    context.cite("common-practice", "denial-scope", "assertion-scope", "edit-distance", "term-weighting", "notes-model")
    context.warn("licensed", "match-is-a-proposal")
    context.assume("The note is about one compressor and its system.")
    if not reading.language.read:
        context.assume("The language of the note is not read: of danger only its words were looked for.")
    return wire.MatchAnswer(result=_result(context, reading, body, machine), **context.notes())


def _result(
    context: RequestContext, reading: NoteReading, body: wire.MatchRequest, machine: Machine
) -> wire.MatchResult:
    return wire.MatchResult(
        safety=_safety(context, reading),
        call_back=_call_back(reading),
        ask_again=ask_again(body.text, reading, machine),
        language=wire.NoteLanguage.model_validate(reading.language),
        facts=[_fact(context, fact, body.text) for fact in reading.facts],
        readings=_readings(context, reading),
        matches=[_matched(context, match) for match in reading.matches],
        contradictory=list(reading.contradictory),
        candidates=[_matched(context, match) for match in reading.candidates],
        unmatched=[wire.WordsAt.model_validate(words) for words in reading.unmatched],
        threshold=THRESHOLD,
        verdict=_verdict(reading),
    )


def _call_back(reading: NoteReading) -> wire.CallBackCall | None:
    return None if reading.call_back is None else wire.CallBackCall.model_validate(reading.call_back)


def _fact(context: RequestContext, fact: Fact, text: str) -> wire.NoteFact:
    words = wire.WordsAt(text=text[fact.start : fact.end], start=fact.start, end=fact.end)
    time = (
        None
        if fact.seconds is None
        else context.show(Time, Measured(fact.seconds), "h" if fact.kind == "running hours" else "d")
    )
    return wire.NoteFact(kind=fact.kind, value=fact.value, time=time, words=words)


def _verdict(reading: NoteReading) -> wire.MatchVerdict:
    if reading.matches:
        return "something matched"
    return "only candidates below the threshold" if reading.candidates else "nothing matched"


def _safety(context: RequestContext, reading: NoteReading) -> list[SafetyNote]:
    fired = alarms((*reading.matches, *reading.candidates))
    for notice in fired:
        context.warn(*notice.cautions)
        context.cite(notice.source)
    return [SafetyNote.model_validate(notice) for notice in fired]


def _matched(context: RequestContext, match: Match) -> wire.MatchedFinding:
    return context.result(wire.MatchedFinding, match, text=_text(match), number=_number(context, match))


def _readings(context: RequestContext, reading: NoteReading) -> FieldReadings:
    """Those that a diagnosis would take."""
    return context.result(FieldReadings, SimpleNamespace(**acceptable(reading.readings)))


def _text(match: Match) -> str:
    finding = knowledge().findings.get(match.finding)
    if finding is not None:
        return finding.wording(match.state)
    text = knowledge().normals[match.finding].text
    return text if match.state == "present" else f"{text}: {match.state}"


def _number(context: RequestContext, match: Match) -> wire.NumberRead | None:
    if match.quantity is None or match.value is None:
        return None
    row = catalogue()[match.quantity]
    return wire.NumberRead(reading=row.text, value=show_derived(context, row.dimension, Measured(match.value)))
