"""POST /v1/cleanup/plan: the plan as JSON, or its dated checks as text/calendar."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from typing import Annotated, Any

from fastapi import Header
from starlette.responses import Response

from witnessmark.api.accepting import chosen
from witnessmark.api.desk import Desk
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
    desk = Desk.of(body)
    made = plan(read(desk, body))
    if chosen(accept, OFFERED) == CALENDAR:
        title = f"{body.refrigerant} cleanup"
        stream = calendar(made, title, datetime.now(UTC))
        return Response(stream, media_type=f"{CALENDAR}; charset=utf-8")  # type: ignore[return-value]
    for text in made.assumptions:
        desk.assume(text)
    desk.warn(*made.cautions)
    desk.cite(*made.sources)
    return wire.CleanupPlanAnswer(result=_result(desk, body.refrigerant, made), **desk.notes())


def _result(desk: Desk, refrigerant: str, made: CleanupPlan) -> wire.CleanupPlanResult:
    amounts = made.amounts
    return wire.CleanupPlanResult(
        refrigerant=refrigerant,
        severity=_severity(desk, made.severity),
        drop_limit=drop_limit_result(desk, made.drop_limit),
        turnover=_turnover(desk, amounts.turnover),
        needs=[_need(desk, need) for need in amounts.needs],
        fits=[_fit(desk, fit) for fit in amounts.fits],
        loads=[_load(desk, load) for load in amounts.loads],
        oil_changes=None if amounts.dilution is None else wire.OilChangeResult.model_validate(amounts.dilution),
        parts=[wire.PartResult.model_validate(part) for part in made.parts],
        steps=[wire.StepResult.model_validate(step) for step in made.steps],
        checks=[_check(desk, check) for check in made.checks],
        clean_when=list(made.clean_when),
    )


def _severity(desk: Desk, found: Severity) -> wire.SeverityResult:
    return wire.SeverityResult(
        grade=found.grade,
        name=found.name,
        text=found.text,
        score=found.score,
        items=[
            wire.ScoreResult(id=i.id, points=i.points, lowest_grade=i.floor, text=i.text, source=i.source)
            for i in found.items
        ],
        oil=[item_result(desk, item) for item in found.oil_items],
        not_looked_at=list(found.not_looked_at),
    )


def drop_limit_result(desk: Desk, found: DropLimit) -> wire.DropLimitResult:
    """The limit of a suction core with all its candidates; a maker's looser one is warned of."""
    if found.maker_overrides and any(one.deciding and one.drop < found.drop for one in found.candidates):
        desk.warn("maker-limit-looser")
    return wire.DropLimitResult(
        drop=desk.show(PressureDifference, found.drop),
        penalty=desk.show(TemperatureDifference, found.penalty),
        source=found.source,
        maker_overrides=found.maker_overrides,
        rise_over_new=_candidate(desk, found.rise),
        candidates=[_candidate(desk, one) for one in found.candidates],
    )


def _candidate(desk: Desk, found: DropCandidate) -> wire.DropCandidateResult:
    known = None if math.isinf(found.penalty) else found.penalty
    return wire.DropCandidateResult(
        drop=desk.show(PressureDifference, found.drop),
        penalty=desk.show_optional(TemperatureDifference, known),
        decides=found.deciding,
        note=found.note,
        source=found.source,
    )


def _turnover(desk: Desk, found: Turnover | None) -> wire.TurnoverResult | None:
    if found is None:
        return None
    return wire.TurnoverResult(
        mass_flow=desk.show(MassFlow, found.mass_flow),
        mass_flow_from=found.mass_flow_from,
        charge_time=desk.show(Time, found.charge_time, "min"),
        oil_time=desk.show_optional(Time, found.oil_time, "min"),
    )


def _need(desk: Desk, found: Need) -> wire.NeedResult:
    return wire.NeedResult(
        line=found.line,
        mass_flow=desk.show(MassFlow, found.mass_flow),
        volume_flow=desk.show(VolumeFlow, found.volume_flow),
        density=desk.show(Density, found.density),
        start_drop=desk.show(PressureDifference, found.start_drop),
    )


def _fit(desk: Desk, found: Fit) -> wire.FitResult:
    return wire.FitResult(
        filter=found.position,
        rated_mass_flow=desk.show(MassFlow, found.rating.mass_flow),
        drop_low=desk.show(PressureDifference, found.drop_low),
        drop_high=desk.show(PressureDifference, found.drop_high),
        needed_rated_flow=desk.show(MassFlow, found.needed_rated_flow),
        count=found.count,
    )


def _load(desk: Desk, found: Load) -> wire.LoadResult:
    return wire.LoadResult(contaminant=found.contaminant, mass=desk.show(Mass, found.mass, "g"), cores=found.cores)


def _check(desk: Desk, found: Check) -> wire.CheckResult:
    return wire.CheckResult(
        id=found.id,
        elapsed=desk.show(Time, found.elapsed),
        at=found.at.isoformat().replace("+00:00", "Z"),
        local=found.local.isoformat(),
        what=found.what,
        wins=found.wins,
        why=found.why,
        source=found.source,
    )
