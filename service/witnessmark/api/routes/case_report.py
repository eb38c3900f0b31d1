"""POST /v1/cases/report: the case for the owner and the warranty desk, as HTML, Markdown or PDF."""

from __future__ import annotations

import binascii
from base64 import b64decode
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Annotated, Any

from fastapi import Header
from pydantic import ValidationError
from starlette.responses import Response

from witnessmark.api.accepting import chosen
from witnessmark.api.context import RequestContext
from witnessmark.api.problems import documented
from witnessmark.api.quantities import Quantity
from witnessmark.api.routes.case_parts import Worked
from witnessmark.api.routes.cases import cautions, noted, state_of, why_not, worked
from witnessmark.api.routes.cycle import about, solved
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.case import CaseRequest, CaseWant
from witnessmark.api.schemas.case_report import Photograph, ReportRequest
from witnessmark.api.schemas.cycle import CycleRequest
from witnessmark.api.schemas.diagnosis import Wanted
from witnessmark.api.schemas.field_readings import Accepted, FieldReadings
from witnessmark.calculations.cycle import diagram
from witnessmark.calculations.metrology.uncertainty import figure
from witnessmark.casework import summary
from witnessmark.casework.cuts import CUTS
from witnessmark.casework.document import Json, at, digest
from witnessmark.casework.report.as_markdown import markdown
from witnessmark.casework.report.as_page import page
from witnessmark.casework.report.as_pdf import pdf
from witnessmark.casework.report.blocks import Picture
from witnessmark.casework.report.material import Material
from witnessmark.casework.report.numbers import named
from witnessmark.casework.report.photographs import photograph
from witnessmark.casework.report.pictures import Form
from witnessmark.casework.report.texts import Say, catalogue
from witnessmark.casework.report.whole import report
from witnessmark.casework.timeline import timeline
from witnessmark.errors import InputError
from witnessmark.language.catalogue import Language, Translate, localized, translated, translator, wanted
from witnessmark.reference.instruments import default_uncertainty

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
_CYCLE = (
    "suction_pressure",
    "discharge_pressure",
    "suction_temperature",
    "discharge_temperature",
    "liquid_temperature",
)
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
        made = body.case.as_of and datetime.fromisoformat(str(body.case.as_of))
        return Response(pdf(whole, body.paper, made or None), media_type=PDF, headers=headers)
    text = page(whole) if kind == HTML else markdown(whole)
    headers["content-security-policy"] = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox"
    return Response(text, media_type=f"{kind}; charset=utf-8", headers=headers)


def _material(body: ReportRequest, request: CaseRequest, form: Form | None, language: Language) -> Material:
    done = worked(request)
    context, say, word = noted(done, request), catalogue(language), translator(language)
    notes = context.notes()
    assumed = (*notes["assumptions"], *(text for answer in done.answers.values() for text in answer.assumptions))
    return Material(
        case=done.case,
        results=translated(done.results, language),
        say=say,
        step=_step(done, word),
        repaired=done.danger.repaired,
        settled=done.danger.good,
        danger=_first_of_all(done, word),
        cautions=tuple(word(caution.text) for caution in notes["cautions"]),
        assumptions=tuple(dict.fromkeys(_raised(word(named(text))) for text in assumed)),
        sources=tuple(f"{source.citation} ({word(source.trust)})" for source in notes["sources"]),
        aside={
            part: word(why_not(done, part))
            for part in CUTS
            if state_of(done, part) in ("problem", "withheld", "lacking")
        },
        accuracy=_accuracy(say, body, language),
        moments=tuple(
            replace(moment, what=word(moment.what)) for moment in timeline(done.case, done.results.get("cleanup"))
        ),
        contradictions=tuple(word(entry.text) for entry in summary.contradictions(done.results, done.case)),
        versions=notes["model_version"].model_dump(),
        digest=digest(done.case),
        language=language,
        form=form,
        diagram=_diagram(say, done, body, form),
        photographs=tuple(_photograph(photo, k) for k, photo in enumerate(body.photographs)),
    )


def _first_of_all(done: Worked, word: Translate) -> tuple[str, ...]:
    """What stands above all else: danger, then what must stop now."""
    urgent = (order.line for order in done.danger.orders if order.urgent)
    return tuple(word(text) for text in (*(note["text"] for note in done.danger.leading), *urgent))


def _raised(text: str) -> str:
    return text[:1].upper() + text[1:]


def _photograph(photo: Photograph, position: int) -> Picture:
    field = f"photographs.{position}.data"
    try:
        content = b64decode(photo.data, validate=True)
    except binascii.Error:
        raise InputError(field, "not base64", "a JPEG or PNG in base64") from None
    return photograph(content, photo.caption, photo.alt, field)


def _step(done: Worked, word: Translate) -> summary.Step | None:
    step = summary.next_step(done.results, cautions(done), done.danger)
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
            shown = f"{figure(value.uncertainty, 2)} {value.scale.width_name}"
            return say("accuracy_given", value=localized(language, shown))
        return _usual(say, context, value, name, language)

    return told


def _usual(say: Say, context: RequestContext, value: Quantity, name: str, language: Language) -> str:
    """That of the usual instrument, which stands in where none was given."""
    accepted = next(m for m in FieldReadings.model_fields[name].metadata if isinstance(m, Accepted))
    if accepted.instrument is None:
        return say("accuracy_none")
    scale = value.scale
    width = default_uncertainty(
        accepted.instrument, scale.to_si(value.value, context.air_pressure() if scale.gauge else 0.0)
    )
    shown = f"{figure(scale.width_from_si(width), 2)} {scale.width_name}"
    instrument = translator(language)(accepted.instrument.replace("-", " "))
    return say("accuracy_usual", value=localized(language, shown), instrument=instrument)


def _diagram(say: Say, done: Worked, body: ReportRequest, form: Form | None) -> Picture | None:
    """The pressure-enthalpy picture: as found where the machine pumped, else as a sound one would run."""
    refrigerant = done.view.get("refrigerant") if form is not None else None
    pumped = at(done.results, "compression.verdict") in ("pumping", "weak")
    found = {name: at(done.view, f"now.{name}") for name in _CYCLE} if pumped else {}
    machine = done.view.get("machine", {})
    sound = {k: machine.get(k) for k in ("evaporating_temperature", "condensing_temperature", "liquid_temperature")}
    for basis, readings in (("cycle_found", found), ("cycle_sound", sound)):
        given = {key: value for key, value in readings.items() if value is not None}
        drawn = _drawn(done, body, given, form) if refrigerant and given else None
        if drawn is not None:
            alt = say("cycle_alt", refrigerant=refrigerant, basis=say(basis))
            caption = say("cycle_caption", basis=say(basis))
            return Picture(alt, caption, pixels=drawn) if form == "png" else Picture(alt, caption, vector=drawn)
    return None


def _drawn(done: Worked, body: ReportRequest, readings: Json, form: Form | None) -> bytes | None:
    """The picture; None where these readings make no cycle."""
    site = {k: v for k, v in done.view.get("site", {}).items() if k in ("altitude", "barometer")}
    fields = {"refrigerant": done.view["refrigerant"], "report_in": body.report_in, **readings}
    fields |= {k: at(done.view, f"machine.{k}") for k in ("compressor", "cooling") if at(done.view, f"machine.{k}")}
    try:
        request = CycleRequest.model_validate(fields | ({"site": site} if site else {}))
        context = RequestContext.of(request)
        fitted = solved(context, request)
        return diagram.draw(request.refrigerant, fitted, form or "svg", context.system, about(context))
    except (InputError, ValidationError):
        return None
