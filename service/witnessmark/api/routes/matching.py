"""POST /v1/findings/match: plain words of a job note to findings."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.derived import show_derived
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import matching as wire
from witnessmark.api.schemas.diagnosis_result import SafetyNote
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.notes.matching import Match, NoteReading, alarms, read_note
from witnessmark.diagnosis.notes.scoring import THRESHOLD

router = version_one("diagnosis")


@calculation(router, "/findings/match", "Findings from the plain words of a job note")
def match_findings(body: wire.MatchRequest) -> wire.MatchAnswer:
    """Read a job note: which findings it reports present, absent, low, normal, high or unknown, and from which words.

    Shorthand, spelling mistakes, denials, doubt, numbers and units are understood, by rules and without a model; the
    same note gives the same answer. Below the threshold it says so. `matches` without `contradictory` ones can go into
    the `findings` of a diagnosis once a person has confirmed them.
    """
    context = RequestContext.of(body)
    reading = read_note(body.text)
    context.cite("common-practice", "denial-scope", "edit-distance")
    context.warn("licensed", "match-is-a-proposal")
    context.assume("The note is English and about one compressor and its system.")
    return wire.MatchAnswer(result=_result(context, reading), **context.notes())


def _result(context: RequestContext, reading: NoteReading) -> wire.MatchResult:
    return wire.MatchResult(
        safety=_safety(context, reading),
        matches=[_matched(context, match) for match in reading.matches],
        contradictory=list(reading.contradictory),
        candidates=[_matched(context, match) for match in reading.candidates],
        unmatched=[wire.WordsAt.model_validate(words) for words in reading.unmatched],
        threshold=THRESHOLD,
        verdict=_verdict(reading),
    )


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
