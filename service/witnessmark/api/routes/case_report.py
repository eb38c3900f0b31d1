"""POST /v1/cases/report: the case for the owner and the warranty desk, as HTML, Markdown or PDF."""

from __future__ import annotations

import binascii
import re
from base64 import b64decode
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Annotated, Any

from fastapi import Header
from starlette.responses import Response

from witnessmark import heavy
from witnessmark.api.accepting import chosen
from witnessmark.api.context import RequestContext
from witnessmark.api.problems import documented
from witnessmark.api.quantities import Quantity
from witnessmark.api.routes.case_accuracy import instrument_of, usual
from witnessmark.api.routes.case_parts import NOTE, Worked
from witnessmark.api.routes.case_picture import diagram_of
from witnessmark.api.routes.cases import cautions, first_told, noted, state_of, why_not, worked
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.case import CaseRequest, CaseWant
from witnessmark.api.schemas.case_report import Photograph, ReportRequest
from witnessmark.api.schemas.diagnosis import Wanted
from witnessmark.calculations.metrology.uncertainty import figure
from witnessmark.casework import summary
from witnessmark.casework.cuts import CUTS
from witnessmark.casework.document import at, digest
from witnessmark.casework.orders import UNPROVED
from witnessmark.casework.report.as_markdown import markdown
from witnessmark.casework.report.as_page import page
from witnessmark.casework.report.blocks import Form, Picture
from witnessmark.casework.report.material import Material, raised
from witnessmark.casework.report.numbers import name as named_field
from witnessmark.casework.report.numbers import named, sign
from witnessmark.casework.report.photographs import photograph
from witnessmark.casework.report.texts import Say, catalogue
from witnessmark.casework.report.whole import report
from witnessmark.casework.stages import runs_now
from witnessmark.casework.timeline import timeline, undated
from witnessmark.diagnosis.answer.plights import SAVE
from witnessmark.errors import InputError
from witnessmark.language.catalogue import Language, Translate, localized, translated, translator, wanted
from witnessmark.restart.gate import clash

router = version_one("cases")
HTML, MARKDOWN, PDF = "text/html", "text/markdown", "application/pdf"
OFFERED = (HTML, MARKDOWN, PDF)
FORMS: dict[str, Form | None] = {HTML: "svg", MARKDOWN: None, PDF: "png"}
"""How pictures are drawn for each; Markdown tells them in words."""
_TEXT = {"schema": {"type": "string"}}
_RESPONSES: dict[int | str, dict[str, Any]] = {
    **documented("not-acceptable"),
    200: {
        "description": "The report; `Accept` chooses between a page of its own, Markdown and PDF.",
        "content": {HTML: _TEXT, MARKDOWN: _TEXT, PDF: {"schema": {"type": "string", "format": "binary"}}},
    },
}
_ALL = CaseWant(everything=True, diagnosis=Wanted(all_used=True, all_weights=True))


@calculation(
    router,
    "/cases/report",
    "The report of a case: a page for the owner, the evidence for the warranty desk",
    responses=_RESPONSES,
    response_class=Response,
)
def report_case(
    body: ReportRequest,
    accept: Annotated[str, Header(include_in_schema=False)] = HTML,
    accept_language: Annotated[str, Header(include_in_schema=False)] = "",
) -> Response:
    """Write what happened, why, what is being done, what prevents the next one and what is not known.

    The page loads nothing and runs nothing. What a caller wrote is shown as text, whatever it holds. The same case
    gives the same bytes.
    """
    kind = chosen(accept, OFFERED)
    request = CaseRequest(case=body.case, report_in=body.report_in, want=_ALL)
    language = wanted(accept_language, body.language)
    material = _material(body, request, FORMS[kind], language)
    whole = report(material)
    headers = {"vary": "Accept, Accept-Language", "content-language": language, "x-content-type-options": "nosniff"}
    if kind == PDF:
        heavy.ask()
        from witnessmark.casework.report.as_pdf import pdf  # noqa: PLC0415 - where something is printed alone

        made = body.case.as_of and datetime.fromisoformat(str(body.case.as_of))
        return Response(pdf(whole, body.paper, made or None), media_type=PDF, headers=headers)
    text = page(whole) if kind == HTML else markdown(whole)
    headers["content-security-policy"] = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox"
    return Response(text, media_type=f"{kind}; charset=utf-8", headers=headers)


def _material(body: ReportRequest, request: CaseRequest, form: Form | None, language: Language) -> Material:
    done = worked(request)
    cited = frozenset(done.results) - {NOTE}  # how a note is read is of no interest to whoever pays
    context, say, word = noted(done, request, cited), catalogue(language), translator(language)
    notes = context.notes()
    assumed = (*notes["assumptions"], *_assumed(done, body))
    return Material(
        case=done.case,
        results=translated(done.results, language),
        say=say,
        step=_step(done, word),
        repaired=done.danger.repaired,
        settled=done.danger.good,
        unproved=_unproved(done),
        runs=runs_now(done.view) is True,
        saving=word(_saving(done)),
        questions=first_told(done),
        insulation=done.requests.get("insulation", {}),
        not_begun=tuple(part for part in CUTS if state_of(done, part) == "not begun"),
        undated=tuple(word(text) for text in undated(done.case)),
        danger=_first_of_all(done, word),
        cautions=tuple(word(caution.text) for caution in notes["cautions"]),
        assumptions=tuple(dict.fromkeys(raised(word(named(text))) for text in assumed)),
        sources=tuple(f"{source.citation} ({word(source.trust)})" for source in notes["sources"]),
        aside=_aside(done, say, word),
        senseless=tuple(done.withheld),
        accuracy=_accuracy(say, body, language),
        moments=tuple(
            replace(moment, what=word(moment.what)) for moment in timeline(done.case, done.results.get("cleanup"))
        ),
        contradictions=_contradictions(done, word),
        versions=notes["model_version"].model_dump(),
        digest=digest(done.case),
        language=language,
        form=form,
        diagram=diagram_of(done, body, form, language),
        photographs=tuple(_photograph(photo, k) for k, photo in enumerate(body.photographs)),
    )


def _contradictions(done: Worked, word: Translate) -> tuple[str, ...]:
    """What contradicts; of the gate, told by what its checks say."""
    clashes = (check for check in at(done.results, "restart.checks") or () if check["state"] == "conflicting")
    pieces = [(c["title"], [(e["origin"], e["detail"]) for e in c["evidence"]]) for c in clashes]
    told = {
        clash(title, said): clash(word(title), ((word(origin), word(detail)) for origin, detail in said))
        for title, said in pieces
    }
    found = summary.contradictions(done.results, done.case)
    return tuple(told.get(entry.text) or word(entry.text) for entry in found)


def _aside(done: Worked, say: Say, word: Translate) -> dict[str, str]:
    """Why a part was not worked out: of one that lacks something, or cannot use it, what that is."""
    told = {
        part: word(why_not(done, part)) for part in CUTS if state_of(done, part) in ("problem", "withheld", "lacking")
    }
    for part, paths in done.lacking.items():
        if part in told:
            told[part] = say("lacking", list=", ".join(word(_field(path.split("."))) for path in paths))
    for part, problem in done.problems.items():
        if part in told:
            fields = dict.fromkeys(_field(error.pointer.split("/")) for error in problem.errors or ())
            told[part] = say("cannot_use", list=", ".join(map(word, fields)) or word(part))
    return told


def _field(steps: Sequence[str]) -> str:
    """The name of what stands at a place of the document, in words."""
    return named_field([step for step in steps if not step.isdecimal() and step not in _WITHIN][-1])


_WITHIN = ("value", "unit", "uncertainty")
"""Parts of a quantity, which have no name of their own."""


def _assumed(done: Worked, body: ReportRequest) -> Iterator[str]:
    """What the parts assumed, without the usual instruments: they stand beside the readings."""
    read = {name for entry in body.case.readings or () for name in entry.values.model_fields_set}
    for answer in done.answers.values():
        for text in answer.assumptions:
            usual_one = _USUAL.match(text)
            if usual_one is None or usual_one[1] not in read:
                yield text


_USUAL = re.compile(r"(?:readings\.)?([a-z_]+)(?:\.\d+)?: standard uncertainty .* taken for its instrument \(.*\)\.$")


def _first_of_all(done: Worked, word: Translate) -> tuple[str, ...]:
    """What stands above all else: danger, then what must stop now, be it by an order or because nothing proves it."""
    urgent = (order.line for order in done.danger.orders if order.urgent)
    running = (UNPROVED,) if _unproved(done) else ()
    return tuple(word(text) for text in (*(note["text"] for note in done.danger.leading), *urgent, *running))


def _saving(done: Worked) -> str:
    """What saves goods or people who depend on the machine; not where people are in danger, nor once it runs."""
    at_stake = str(done.view.get("urgency"))
    over = done.danger.to_people or done.danger.call_back is not None or done.danger.good
    return "" if over else next((text for urgency, text in SAVE.items() if urgency == at_stake), "")


def _unproved(done: Worked) -> bool:
    """Whether the machine runs after its repair, and was never proved fit to start."""
    return done.danger.good and summary.open_still(done.results, done.danger, done.problems)


def _photograph(photo: Photograph, position: int) -> Picture:
    field = f"photographs.{position}.data"
    try:
        content = b64decode(photo.data, validate=True)
    except binascii.Error:
        raise InputError(field, "not base64", "a JPEG or PNG in base64") from None
    return photograph(content, photo.caption, photo.alt, field)


def _step(done: Worked, word: Translate) -> summary.Step | None:
    step = summary.next_step(done.results, cautions(done), done.danger, done.problems)
    return None if step is None else replace(step, text=word(step.text))


def _accuracy(say: Say, body: ReportRequest, language: Language) -> Callable[[int, str], str]:
    """What is known of the uncertainty of a reading, in its own unit."""
    context = RequestContext(body.report_in, body.case.site)

    def told(position: int, name: str) -> str:
        values = getattr(body.case.readings[position].values, name)
        value = values[0] if isinstance(values, list) else values
        if not isinstance(value, Quantity):
            return say("accuracy_none")
        if value.uncertainty is not None:
            shown = f"{figure(value.uncertainty, 2)} {sign(value.scale.width_words)}"
            return say("accuracy_given", value=localized(language, shown))
        return _usual(say, context, value, name, language)

    return told


def _usual(say: Say, context: RequestContext, value: Quantity, name: str, language: Language) -> str:
    """That of the usual instrument, which stands in where none was given."""
    width, instrument = usual(name, value, context.air_pressure()), instrument_of(name)
    if width is None or instrument is None:
        return say("accuracy_none")
    shown = f"{figure(width, 2)} {sign(value.scale.width_words)}"
    named_so = translator(language)(instrument.replace("-", " "))
    return say("accuracy_usual", value=localized(language, shown), instrument=named_so)
