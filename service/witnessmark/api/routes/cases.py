"""POST /v1/cases and what hangs on it: the whole job in one call."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated

from fastapi import Header

from witnessmark.api.context import RequestContext
from witnessmark.api.problems import pointer
from witnessmark.api.routes.case_forms import (
    answer_of_check,
    answer_of_finding,
    answer_to,
    asked_at,
    asked_together,
    worded,
)
from witnessmark.api.routes.case_parts import OPERATIONS, Worked, operation_of, work
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import case as wire
from witnessmark.api.schemas import case_questions as asked_wire
from witnessmark.casework import stages, summary
from witnessmark.casework.briefs import brief
from witnessmark.casework.cuts import CUTS, began
from witnessmark.casework.document import Json, canonical, digest
from witnessmark.casework.moments import unknown_zone
from witnessmark.casework.open_questions import ALWAYS, Question, questions
from witnessmark.casework.places import field_of
from witnessmark.casework.report.numbers import named
from witnessmark.casework.timeline import timeline
from witnessmark.language.catalogue import mark, translator, wanted

router = version_one("cases")
FIRST_QUESTIONS, LAST_MOMENTS, FIRST_TOLD = 8, 30, 3
"""How much of the long lists is given unless everything is wanted."""
SHORT = 59_000
"""Bytes that a short answer fills at most; 60 kB are promised."""
FIRST_GIVEN = ("diagnosis", "restart")
"""What is left out last of a short answer: what failed, then whether there may be power."""
_LAID_ASIDE = "Given in short, as `brief`; `want.parts` gives the whole of it."


@calculation(router, "/cases", "The whole job in one call: from a line of complaint to the restart gate")
def work_case(body: wire.CaseRequest) -> wire.CaseAnswer:
    """Work out whatever the case allows: findings, numbers, diagnosis, cleanup, fragments, tests, gate, open questions.

    Every part is what its own operation answers to the request cut from the case. What one part concludes feeds the
    next; a part that cannot be worked out says why and harms no other. The same case gives the same bytes.
    """
    done = worked(body)
    if body.want.everything or body.want.parts is not None:
        return _answered(done, body, chosen(done, body.want))
    bare = _bytes(_answered(done, body, frozenset()).model_dump(mode="json"))
    return _answered(done, body, chosen(done, body.want, SHORT - bare))


def _answered(done: Worked, body: wire.CaseRequest, given: frozenset[str]) -> wire.CaseAnswer:
    context = noted(done, body, given)
    if body.case.as_of is None:
        context.assume("The case gives no `as_of`: what lies ahead and what has been is not told apart.")
    return context.answer(wire.CaseAnswer, _result(done, body, given))


@calculation(router, "/cases/questions", "What to ask next of a partial case, ready for a form")
def ask_case(
    body: asked_wire.QuestionsRequest, accept_language: Annotated[str, Header(include_in_schema=False)] = ""
) -> asked_wire.QuestionsAnswer:
    """The open questions in the order worth asking, each with its kind of answer, choices, units and labels.

    Put the answer where `field` points, as a report of `finding` or as `before_start.stated` of `check`, and ask again.
    """
    request = wire.CaseRequest(case=body.case)
    done = worked(request)
    asked = _asked(done)
    context = noted(done, request)
    language = wanted(accept_language, body.language)
    say = translator(language)
    first = [shown(question, done.case) | _form(question, done.case) for question in asked[: body.most]]
    told = {
        "questions": [worded(question, say) for question in first],
        "left": max(0, len(asked) - body.most),
        "language": language,
        "translation": mark(language),
    }
    answer = context.answer(asked_wire.QuestionsAnswer, told)
    cautioned = [caution.model_copy(update={"text": say(caution.text)}) for caution in answer.cautions]
    return answer.model_copy(
        update={"cautions": cautioned, "assumptions": [say(named(text)) for text in answer.assumptions]}
    )


def _asked(done: Worked) -> list[Question]:
    """The open questions, each place of the document once: what belongs together is asked as one."""
    places: dict[str, Question] = {}
    for asked in questions(done.view, done.lacking, done.results, done.danger):
        place = asked_at(asked.field, done.case) if asked.field else asked.finding or asked.check or asked.text
        places.setdefault(place, asked)
    return list(places.values())


def first_told(done: Worked) -> tuple[str, ...]:
    """The first of the open questions that a field of the document answers, as people read them in a report."""
    plain_ones = {text for _, text in (*ALWAYS, *stages.READ, *stages.LATER)}
    return tuple(question.text for question in _asked(done) if question.text in plain_ones)[:FIRST_TOLD]


def _form(question: Question, case: Json) -> Json:
    if question.field:
        field = asked_at(question.field, case)
        whole = field != question.field or question.beside or question.preset
        listed = answer_to(field)["answer"] in ("group", "list")
        below = [name for name in question.beside if field == question.field]
        together = asked_together(field, below, dict(question.preset)) if whole or listed else []
        return answer_to(field) | {"together": together}
    return answer_of_finding(question.finding) if question.finding else answer_of_check()


def worked(body: wire.CaseRequest) -> Worked:
    """The case worked out."""
    wanted = body.want.diagnosis.model_dump(exclude_defaults=True)
    return work(plain(body), body.report_in, wanted)


def plain(body: wire.CaseRequest) -> Json:
    """The case as plain JSON, with what the caller sent and no more; units stay as sent."""
    case: Json = body.case.model_dump(mode="json", exclude_unset=True, warnings=False)
    return case


def noted(done: Worked, body: wire.CaseRequest, given: frozenset[str] | None = None) -> RequestContext:
    """What stands beside the result: cautions of the next step first, then those of every part, each once.

    given: the parts that are shown, where they are known already.
    """
    context = RequestContext(body.report_in)
    for text in (*done.said, *filter(None, [unknown_zone(done.case)])):
        context.assume(text)
    step = summary.next_step(done.results, cautions(done), done.danger, done.problems)
    context.warn(*(step.cautions if step else ()), *done.danger.of_the_gas)
    shown_parts = chosen(done, body.want) if given is None else given
    found = [caution.id for answer in done.answers.values() for caution in answer.cautions]
    context.warn(*(key for key in found if key not in summary.GENERAL), *found)
    for part, answer in done.answers.items():
        context.cite(*(source.id for source in answer.sources if part in shown_parts))
    context.warn("licensed")
    return context


def chosen(done: Worked, want: wire.CaseWant, room: int = SHORT) -> frozenset[str]:
    """The parts whose results are given: those asked for, or as many as fit: diagnosis, gate, next step, others.

    room: in bytes, for results and what stands beside them on their account.
    """
    if want.everything:
        return frozenset(done.results)
    if want.parts is not None:
        return frozenset(want.parts)
    step = summary.next_step(done.results, cautions(done), done.danger, done.problems)
    left, fitting = room, set[str]()
    for part in dict.fromkeys((*FIRST_GIVEN, *((step.part,) if step else ()), *done.results)):
        if part in done.results and (size := _bytes_of(done, part) - _bytes_in_short(done, part)) <= left:
            fitting.add(part)
            left -= size
    return frozenset(fitting)


def _bytes_of(done: Worked, part: str) -> int:
    """What a part adds to an answer: its result, what was assumed for it, and its sources."""
    if (answer := done.answers.get(part)) is None:
        return 0
    sources = [source.model_dump(mode="json") for source in answer.sources]
    return _bytes([done.results[part], answer.assumptions, sources])


def _bytes_in_short(done: Worked, part: str) -> int:
    """What stands in an answer for a part that is not given whole."""
    return _bytes([asdict(brief(part, done.results[part])), _LAID_ASIDE])


def _bytes(document: object) -> int:
    return len(canonical(document).encode("utf-8", "surrogatepass"))


def cautions(done: Worked) -> dict[str, tuple[str, ...]]:
    """Ids of cautions by part."""
    return {part: tuple(caution.id for caution in answer.cautions) for part, answer in done.answers.items()}


def _result(done: Worked, body: wire.CaseRequest, given: frozenset[str]) -> Json:
    asked = _asked(done)
    moments = timeline(done.case, done.results.get("cleanup"))
    everything = body.want.everything
    return {
        "reference": body.case.reference,
        "as_of": body.case.as_of,
        "digest": digest(done.case),
        "headline": list(summary.headline(done.results, done.danger, done.problems)),
        "next_step": summary.next_step(done.results, cautions(done), done.danger, done.problems),
        "contradictions": list(summary.contradictions(done.results, done.case)),
        "questions": [shown(question, done.case) for question in asked[: None if everything else FIRST_QUESTIONS]],
        "timeline": list(moments if everything else moments[-LAST_MOMENTS:]),
        "parts": {part: _part(done, part, body.want, part in given) for part in OPERATIONS},
    }


def shown(question: Question, case: Json) -> Json:
    """A question as the wire has it."""
    where = pointer(asked_at(question.field, case).split(".")).removeprefix("#") if question.field else ""
    return {
        "kind": question.kind,
        "text": question.text,
        "why": question.why,
        "field": where,
        "finding": question.finding,
        "check": question.check,
        "unlocks": [part for part in question.unlocks if part in OPERATIONS],
    }


def _part(done: Worked, part: str, want: wire.CaseWant, given: bool) -> Json:  # noqa: FBT001 - one of many
    answer, problem = done.answers.get(part), done.problems.get(part)
    lacking = [pointer(field_of(path, done.case).split(".")).removeprefix("#") for path in done.lacking.get(part, ())]
    return {
        "operation": operation_of(part),
        "state": state_of(done, part),
        "why": _LAID_ASIDE if answer is not None and not given else why_not(done, part),
        "missing": lacking if state_of(done, part) == "lacking" else [],
        "problem": problem,
        "result": answer.result if answer is not None and given else None,  # type: ignore[attr-defined]
        "brief": brief(part, done.results[part]) if answer is not None and not given else None,
        "assumptions": answer.assumptions if answer is not None and given else [],
        "cautions": [caution.id for caution in answer.cautions] if answer is not None else [],
        "request": done.requests.get(part) if want.requests else None,
    }


def state_of(done: Worked, part: str) -> wire.PartState:
    """How far a part has come."""
    if part in done.answers:
        return "answered"
    if part in done.problems:
        return "problem"
    if part in done.withheld:
        return "withheld"
    return "lacking" if part in CUTS and began(part, done.view) else "not begun"


def why_not(done: Worked, part: str) -> str:
    """Why there is no result, in words; empty where there is one."""
    state = state_of(done, part)
    if state == "withheld":
        return done.withheld[part]
    if state == "problem":
        return done.problems[part].detail or ""
    return {"lacking": "Something that it needs is not in the case.", "not begun": "The case says nothing of it."}.get(
        state, ""
    )
