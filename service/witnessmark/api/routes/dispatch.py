"""POST /v1/dispatch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from types import SimpleNamespace
from typing import Annotated, Any

from fastapi import Header
from pydantic import ValidationError

from witnessmark.api.context import RequestContext
from witnessmark.api.problems import Problem, documented, unfit, unusable
from witnessmark.api.routes.diagnosis import case_of
from witnessmark.api.routing import calculation, version_one, written
from witnessmark.api.schemas import dispatch as wire
from witnessmark.api.schemas.diagnosis import MOST_REPORTS
from witnessmark.api.schemas.field_readings import FieldReadings, acceptable
from witnessmark.api.shorter import fitting
from witnessmark.api.slow_work import apart
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import DANGER, STATES
from witnessmark.diagnosis.dispatching import Dispatched, ToConfirm, dispatch_call
from witnessmark.diagnosis.notes.telling import is_danger
from witnessmark.errors import InputError
from witnessmark.language.catalogue import FIRST, Language, mark, translated, translator, wanted
from witnessmark.refrigerants import catalogue

router = version_one("diagnosis")
AT_ONCE = 20
"""Calls worked out in one piece of slow work: others wait for no more than a quarter of a second."""
MOST_ALARMS, MOST_STEPS = 3, 4
MOST_BYTES = 2_850
"""Of one outcome: with what stands around it an answer to one call stays below four kilobytes."""


@dataclass(frozen=True, slots=True)
class _Length:
    """How much of what may be shortened is given. words: characters of one finding. What to say never is."""

    matched: int
    items: int
    likely: int
    words: int


_MOST = (
    (7, 4, 3, 60), (7, 3, 1, 60), (7, 2, 1, 45), (6, 1, 1, 40), (5, 1, 0, 36), (4, 0, 0, 30), (3, 0, 0, 22),
)  # fmt: skip
LENGTHS = tuple(_Length(*most) for most in _MOST)
"""Tried in turn until an outcome is short enough."""


@calculation(
    router,
    "/dispatch",
    "From a call to priority, crew and what to say on the phone",
    slow=True,
    responses=documented("unavailable"),
)
async def dispatch(
    body: wire.DispatchRequest, accept_language: Annotated[str, Header(include_in_schema=False)] = ""
) -> wire.DispatchAnswer:
    """Read a call, or a list of up to 200: what it means, stop or keep running, how soon to send, whom, with what.

    Danger to people goes before spreading damage, that before loss of care or goods, then comfort, then planned work.
    What was read from a note is a proposal: confirm it. A call of a list that cannot be used gets its own problem;
    what its note says, and its findings where one tells of danger to people, are answered all the same.
    """
    context, language = RequestContext.of(body), wanted(accept_language, body.language)
    if body.calls:
        answers = await _listed(context, body.calls, language)
    else:
        answers = [await apart(_single, context, body, language)]
    return await apart(written, _whole, context, answers, language)  # type: ignore[arg-type] # written as such


def one_call(body: wire.DispatchRequest) -> wire.DispatchAnswer:
    """The answer to a request with one call, here and now. Raises InputError and its kinds."""
    context, language = RequestContext.of(body), wanted("", body.language)
    return _whole(context, [_single(context, body, language)], language)


def _whole(context: RequestContext, answers: list[wire.CallAnswer], language: Language) -> wire.DispatchAnswer:
    context.warn("licensed", *(("match-is-a-proposal",) if any(map(_read_in, answers)) else ()))
    context.cite("common-practice")
    told = {"calls": answers, "language": language, "translation": mark(language)}
    answer, say = context.answer(wire.DispatchAnswer, told), translator(language)
    spoken = [caution.model_copy(update={"text": say(caution.text)}) for caution in answer.cautions]
    return answer.model_copy(update={"cautions": spoken})


def _told_in(language: Language, outcome: wire.CallOutcome) -> wire.CallOutcome:
    """The outcome with its words in another language; ids, numbers and what the caller wrote stay."""
    if language == FIRST:
        return outcome
    return wire.CallOutcome.model_validate(translated(outcome.model_dump(), language))


def _read_in(answer: wire.CallAnswer) -> bool:
    """Whether something was read from words."""
    return answer.outcome is not None and bool(answer.outcome.matched)


async def _listed(context: RequestContext, calls: Sequence[Any], language: Language) -> list[wire.CallAnswer]:
    answers: list[wire.CallAnswer] = []
    for first in range(0, len(calls), AT_ONCE):
        answers += await apart(_some, context, calls[first : first + AT_ONCE], first, language)
    return answers


def _some(context: RequestContext, calls: Sequence[Any], first: int, language: Language) -> list[wire.CallAnswer]:
    return [_one(context, call, first + number, language) for number, call in enumerate(calls)]


def _one(context: RequestContext, call: Any, number: int, language: Language) -> wire.CallAnswer:
    """The answer to one of many calls, whatever is wrong with it."""
    at = ("calls", number)
    try:
        told = call if isinstance(call, wire.Call) else wire.Call.model_validate(call)
        return _answered(context, told, language)
    except ValidationError as error:
        problem = unfit(error.errors(), at)
    except InputError as error:
        problem = unusable(error, _plain(call), context.air_pressure(), at)
    return _refused(context, call, problem, language)


def _single(context: RequestContext, call: wire.Call, language: Language) -> wire.CallAnswer:
    """The answer to a call alone. InputError where it cannot be used and tells nothing that is answered in any case."""
    try:
        return _answered(context, call, language)
    except InputError as error:
        if not (call.note or _dangers([report.model_dump() for report in call.findings])):
            raise
        problem = unusable(error, call.model_dump(), context.air_pressure(), ())
    return _refused(context, call, problem, language)


def _plain(call: Any) -> Any:
    return call.model_dump() if isinstance(call, wire.Call) else call


def _refused(context: RequestContext, call: Any, problem: Problem, language: Language) -> wire.CallAnswer:
    """The problem of a call, with what else it comes to: a wrong field beside it silences no danger.

    Answered are its note, and its findings where one of them is a danger to people.
    """
    plain = _plain(call)
    fields: dict[str, Any] = plain if isinstance(plain, dict) else {}
    alone = {name: fields[name] for name in ("reference", "note") if _fits(name, fields.get(name))}
    reports = _reports(fields)
    dangers = _dangers(reports)
    told = [{**_beside(fields), "findings": found} for found in (reports, dangers)] if dangers else []
    outcome = _first_answered(context, [{**alone, **more} for more in (*told, {})], language)
    return wire.CallAnswer(reference=alone.get("reference"), outcome=outcome, problem=problem)


def _first_answered(
    context: RequestContext, ways: Sequence[Mapping[str, Any]], language: Language
) -> wire.CallOutcome | None:
    """What comes of the first of these that tells something and can be used."""
    for fields in ways:
        known = wire.Call.model_validate(dict(fields))
        if known.note or known.findings:
            with suppress(InputError):
                return _answered(context, known, language).outcome
    return None


def _reports(fields: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The findings of a call that are of the right form, known, and in a state that they can be in."""
    value = fields.get("findings")
    reports = [one for one in value if _fits("findings", [one])] if isinstance(value, list) else []
    return [one for one in reports if one["state"] in _states(one["finding"])][:MOST_REPORTS]


def _states(finding: str) -> Sequence[str]:
    row = knowledge().findings.get(finding)
    return STATES[row.kind] if row else ()


def _dangers(reports: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Those that tell of danger to people."""
    told = [one for one in reports if one["state"] == "present"]
    return [one for one in told if (row := knowledge().findings.get(one["finding"])) and row.group == DANGER]


def _beside(fields: Mapping[str, Any]) -> dict[str, Any]:
    """The urgency, and the refrigerant where it is known: a toxic one needs other words than one that burns."""
    beside = {name: fields[name] for name in ("urgency", "refrigerant") if _fits(name, fields.get(name))}
    with suppress(InputError):
        catalogue.get(str(beside.get("refrigerant", "")))
        return beside
    return {name: value for name, value in beside.items() if name != "refrigerant"}


def _fits(name: str, value: Any) -> bool:
    try:
        wire.Call.model_validate({name: value})
    except ValidationError:
        return False
    return value is not None


def _answered(context: RequestContext, call: wire.Call, language: Language) -> wire.CallAnswer:
    case, _ = case_of(context, call)
    dispatched = dispatch_call(case, call.note or "", from_note=partial(_with_note, context, call))
    return wire.CallAnswer(reference=call.reference, outcome=_fitting(context, dispatched, language))


def _fitting(context: RequestContext, dispatched: Dispatched, language: Language) -> wire.CallOutcome:
    """The outcome as long as it may be: danger takes many words, and leaves fewer for parts and tools."""
    return fitting(
        lambda length: _told_in(language, _outcome(context, dispatched, language, length)), LENGTHS, MOST_BYTES
    )


def _with_note(
    context: RequestContext, call: wire.Call, read: Mapping[str, Sequence[float]], refrigerant: str | None
) -> Case:
    """The case with the readings of a note beside those of the call, which outweigh them."""
    found = context.result(FieldReadings, SimpleNamespace(**acceptable(read)))
    own = {name: getattr(call.readings, name) for name in call.readings.model_fields_set}
    both = call.model_copy(
        update={"readings": found.model_copy(update=own), "refrigerant": call.refrigerant or refrigerant}
    )
    return case_of(context, both)[0]


def _outcome(context: RequestContext, told: Dispatched, language: Language, length: _Length) -> wire.CallOutcome:
    """Short: the first of everything, since the whole is `/v1/diagnosis`."""
    advice = told.advice
    return context.result(
        wire.CallOutcome,
        advice,
        tools=advice.tools[: length.items],
        parts=advice.parts[: length.items],
        for_caller=_spoken(advice.for_caller),
        for_technician=advice.for_technician[:MOST_STEPS],
        call_back=told.call_back,
        safety=[notice.rule for notice in told.safety[:MOST_ALARMS]],
        matched=[
            {"finding": m.finding, "state": m.state, "words": _short(m.words, language, length.words)}
            for m in _gravest(told.matched, length.matched)
        ],
        likely=told.likely[: length.likely],
        ask=told.ask,
        taken=told.taken,
    )


def _gravest(matched: Sequence[ToConfirm], most: int) -> list[ToConfirm]:
    """At most so many, danger to people before the rest, in the order of the note."""
    ranked = sorted(range(len(matched)), key=lambda k: not is_danger(matched[k].finding))
    return [matched[k] for k in sorted(ranked[:most])]


def _spoken(lines: Sequence[str]) -> list[str]:
    """What to say first in full, the rest in its first sentences: nobody listens to three paragraphs."""
    return [*lines[:1], *(_first_sentence(line) for line in lines[1:MOST_STEPS])]


def _first_sentence(text: str) -> str:
    return text.split(". ", maxsplit=1)[0].rstrip(".") + "."


def _short(words: str, language: Language, most: int) -> str:
    """As far as the words name the finding."""
    first = translator(language)(words).split("; ", maxsplit=1)[0]
    return first if len(first) <= most else first[: most - 1].rstrip() + "…"
