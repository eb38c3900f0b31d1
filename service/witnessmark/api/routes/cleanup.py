"""POST /v1/cleanup/plan: the plan as JSON, or its dated checks as text/calendar."""

from __future__ import annotations

from hashlib import sha256
from typing import Annotated, Any

from fastapi import Header
from starlette.responses import Response

from witnessmark.api.accepting import chosen
from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import note, taken
from witnessmark.api.problems import documented
from witnessmark.api.routes.oil_quality import item_result
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import cleanup as wire
from witnessmark.api.worded import told_in
from witnessmark.cleanup.calendar import calendar
from witnessmark.cleanup.job import CleanupJob
from witnessmark.cleanup.plan import plan
from witnessmark.language.catalogue import wanted

router = version_one("cleanup")
CALENDAR = "text/calendar"
OFFERED = ("application/json", CALENDAR)
_RESPONSES: dict[int | str, dict[str, Any]] = {
    **documented("not-acceptable"),
    200: {
        "description": "The plan; with `Accept: text/calendar` its dated checks as iCalendar (RFC 5545).",
        "content": {CALENDAR: {"schema": {"type": "string"}}},
    },
}


@calculation(
    router, "/cleanup/plan", "Clean a circuit: grade, limits, filters, steps, dated checks", responses=_RESPONSES
)
def plan_cleanup(
    body: wire.CleanupPlanRequest,
    accept: Annotated[str, Header(include_in_schema=False)] = "*/*",
    accept_language: Annotated[str, Header(include_in_schema=False)] = "",
) -> wire.CleanupPlanAnswer:
    """Grade the contamination, size filters, order the steps and date the checks.

    `Accept: text/calendar` gives the dated checks alone, for any calendar program; `Accept-Language` says in which
    language sentences are told.
    """
    context, language = RequestContext.of(body), wanted(accept_language)
    job = taken(context, CleanupJob, body)
    cleanup = plan(job)
    if chosen(accept, OFFERED) == CALENDAR:
        stream = calendar(cleanup, job, sha256(body.model_dump_json(warnings=False).encode()).hexdigest(), language)
        return Response(stream, media_type=f"{CALENDAR}; charset=utf-8")  # type: ignore[return-value]
    note(context, cleanup.notes)
    oil = [item_result(context, item) for item in cleanup.severity.oil_items]
    severity = context.result(wire.SeverityResult, cleanup.severity, oil=oil)
    answer = context.answer(wire.CleanupPlanAnswer, cleanup, refrigerant=body.refrigerant, severity=severity)
    return told_in(answer, language)
