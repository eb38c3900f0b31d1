"""POST /v1/cleanup/plan: the plan as JSON, or its dated checks as text/calendar."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from typing import Annotated, Any

from fastapi import Header
from starlette.responses import Response

from witnessmark.api.accepting import chosen
from witnessmark.api.context import RequestContext
from witnessmark.api.problems import documented
from witnessmark.api.quantities import (
    Density,
    Mass,
    MassFlow,
    PressureDifference,
    TemperatureDifference,
    Time,
    VolumeFlow,
)
from witnessmark.api.routes.cleanup_reading import read
from witnessmark.api.routes.oil_quality import item_result
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import cleanup as wire
from witnessmark.cleanup.calendar import calendar
from witnessmark.cleanup.contaminants import Load
from witnessmark.cleanup.drop_limits import DropCandidate, DropLimit
from witnessmark.cleanup.filters import Fit, Need
from witnessmark.cleanup.plan import CleanupPlan, plan
from witnessmark.cleanup.schedule import Check
from witnessmark.cleanup.severity import Severity
from witnessmark.cleanup.turnover import Turnover

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
    router,
    "/cleanup/plan",
    "Clean a circuit: grade, limits, filters, steps, dated checks",
    responses=_RESPONSES,
)
async def plan_cleanup(
    body: wire.CleanupPlanRequest,
    accept: Annotated[str, Header(include_in_schema=False)] = "*/*",
) -> wire.CleanupPlanAnswer:
    """Grade the contamination, size filters, order the steps and date the checks.

    `Accept: text/calendar` gives the dated checks alone, for any calendar program.
    """
    context = RequestContext.of(body)
    made = plan(read(context, body))
    if chosen(accept, OFFERED) == CALENDAR:
        title = f"{body.refrigerant} cleanup"
        stream = calendar(made, title, datetime.now(UTC))
        return Response(stream, media_type=f"{CALENDAR}; charset=utf-8")  # type: ignore[return-value]
    for text in made.assumptions:
        context.assume(text)
    context.warn(*made.cautions)
    context.cite(*made.sources)
    return wire.CleanupPlanAnswer(result=_result(context, body.refrigerant, made), **context.notes())


def _result(context: RequestContext, refrigerant: str, made: CleanupPlan) -> wire.CleanupPlanResult:
    amounts = made.amounts
    return wire.CleanupPlanResult(
        refrigerant=refrigerant,
        severity=_severity(context, made.severity),
        drop_limit=drop_limit_result(context, made.drop_limit),
        turnover=_turnover(context, amounts.turnover),
        needs=[_need(context, need) for need in amounts.needs],
        fits=[_fit(context, fit) for fit in amounts.fits],
        loads=[_load(context, load) for load in amounts.loads],
        oil_changes=None if amounts.dilution is None else wire.OilChangeResult.model_validate(amounts.dilution),
        parts=[wire.PartResult.model_validate(part) for part in made.parts],
        steps=[wire.StepResult.model_validate(step) for step in made.steps],
        checks=[_check(context, check) for check in made.checks],
        clean_when=list(made.clean_when),
    )


def _severity(context: RequestContext, found: Severity) -> wire.SeverityResult:
    return wire.SeverityResult(
        grade=found.grade,
        name=found.name,
        text=found.text,
        score=found.score,
        items=[
            wire.ScoreResult(id=i.id, points=i.points, lowest_grade=i.floor, text=i.text, source=i.source)
            for i in found.items
        ],
        oil=[item_result(context, item) for item in found.oil_items],
        not_looked_at=list(found.not_looked_at),
    )


def drop_limit_result(context: RequestContext, found: DropLimit) -> wire.DropLimitResult:
    """The limit of a suction core with all its candidates; a maker's looser one is warned of."""
    if found.maker_overrides and any(one.deciding and one.drop < found.drop for one in found.candidates):
        context.warn("maker-limit-looser")
    return wire.DropLimitResult(
        drop=context.show(PressureDifference, found.drop),
        penalty=context.show(TemperatureDifference, found.penalty),
        source=found.source,
        maker_overrides=found.maker_overrides,
        rise_over_new=_candidate(context, found.rise),
        candidates=[_candidate(context, one) for one in found.candidates],
    )


def _candidate(context: RequestContext, found: DropCandidate) -> wire.DropCandidateResult:
    known = None if math.isinf(found.penalty) else found.penalty
    return wire.DropCandidateResult(
        drop=context.show(PressureDifference, found.drop),
        penalty=context.show_optional(TemperatureDifference, known),
        decides=found.deciding,
        note=found.note,
        source=found.source,
    )


def _turnover(context: RequestContext, found: Turnover | None) -> wire.TurnoverResult | None:
    if found is None:
        return None
    return wire.TurnoverResult(
        mass_flow=context.show(MassFlow, found.mass_flow),
        mass_flow_from=found.mass_flow_from,
        charge_time=context.show(Time, found.charge_time, "min"),
        oil_time=context.show_optional(Time, found.oil_time, "min"),
    )


def _need(context: RequestContext, found: Need) -> wire.NeedResult:
    return wire.NeedResult(
        line=found.line,
        mass_flow=context.show(MassFlow, found.mass_flow),
        volume_flow=context.show(VolumeFlow, found.volume_flow),
        density=context.show(Density, found.density),
        start_drop=context.show(PressureDifference, found.start_drop),
    )


def _fit(context: RequestContext, found: Fit) -> wire.FitResult:
    return wire.FitResult(
        filter=found.position,
        rated_mass_flow=context.show(MassFlow, found.rating.mass_flow),
        drop_low=context.show(PressureDifference, found.drop_low),
        drop_high=context.show(PressureDifference, found.drop_high),
        needed_rated_flow=context.show(MassFlow, found.needed_rated_flow),
        count=found.count,
    )


def _load(context: RequestContext, found: Load) -> wire.LoadResult:
    return wire.LoadResult(contaminant=found.contaminant, mass=context.show(Mass, found.mass, "g"), cores=found.cores)


def _check(context: RequestContext, found: Check) -> wire.CheckResult:
    return wire.CheckResult(
        id=found.id,
        elapsed=context.show(Time, found.elapsed),
        at=found.at.isoformat().replace("+00:00", "Z"),
        local=found.local.isoformat(),
        what=found.what,
        wins=found.wins,
        why=found.why,
        source=found.source,
    )
