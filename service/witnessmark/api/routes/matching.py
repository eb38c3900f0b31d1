"""POST /v1/findings/match: plain words of a job note to findings."""

from __future__ import annotations

from collections.abc import Iterable

from fastapi.concurrency import run_in_threadpool

from witnessmark.api.context import RequestContext
from witnessmark.api.derived import show_derived
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import matching as wire
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evidence.readings import catalogue
from witnessmark.diagnosis.notes.matching import Match, NoteReading, Words, alarms, read_note
from witnessmark.diagnosis.notes.scoring import THRESHOLD

router = version_one("diagnosis")


@calculation(router, "/findings/match", "Findings from the plain words of a job note")
async def match_findings(body: wire.MatchRequest) -> wire.MatchAnswer:
    """Read a job note: which findings it reports present, absent, low, normal, high or unknown, and from which words.

    Shorthand, spelling mistakes, denials, doubt, numbers and units are understood, by rules and without a model; the
    same note gives the same answer. Below the threshold it says so. `matches` without `contradictory` ones can go into
    the `findings` of a diagnosis once a person has confirmed them.
    """
    context = RequestContext.of(body)
    read = await run_in_threadpool(read_note, body.text)
    context.cite("common-practice", "denial-scope", "edit-distance")
    context.warn("licensed", "match-is-a-proposal")
    context.assume("The note is English and about one compressor and its system.")
    return wire.MatchAnswer(result=_result(context, read), **context.notes())


def _result(context: RequestContext, read: NoteReading) -> wire.MatchResult:
    said: tuple[str, ...] = ("nothing matched", "only candidates below the threshold", "something matched")
    return wire.MatchResult(
        safety=_safety(context, read),
        matches=[_matched(context, one) for one in read.matches],
        contradictory=list(read.contradictory),
        candidates=[_matched(context, one) for one in read.candidates],
        unmatched=_words(read.unmatched),
        threshold=THRESHOLD,
        verdict=said[2 if read.matches else bool(read.candidates)],  # type: ignore[arg-type]
    )


def _safety(context: RequestContext, read: NoteReading) -> list[wire.AlarmNote]:
    fired = alarms((*read.matches, *read.candidates))
    for one in fired:
        context.warn(*one.cautions)
        context.cite(one.source)
    return [
        wire.AlarmNote(rule=one.rule, text=one.text, forbids=list(one.forbids), because=list(one.because))
        for one in fired
    ]


def _matched(context: RequestContext, one: Match) -> wire.MatchedFinding:
    return wire.MatchedFinding(
        finding=one.finding,
        text=_text(one),
        state=one.state,
        score=one.score,
        words=_words(one.words),
        negation=_words(one.negation),
        doubt=_words(one.doubt),
        unknown_because=one.unknown,
        number=_number(context, one),
    )


def _text(one: Match) -> str:
    held = knowledge()
    if one.finding in held.findings:
        return held.findings[one.finding].wording(one.state)
    text = held.normals[one.finding].text
    return text if one.state == "present" else f"{text}: {one.state}"


def _words(found: Iterable[Words]) -> list[wire.WordsAt]:
    return [wire.WordsAt(text=one.text, start=one.start, end=one.end) for one in found]


def _number(context: RequestContext, one: Match) -> wire.NumberRead | None:
    if one.quantity is None or one.value is None:
        return None
    row = catalogue()[one.quantity]
    return wire.NumberRead(reading=row.text, value=show_derived(context, row.dimension, Measured(one.value)))
