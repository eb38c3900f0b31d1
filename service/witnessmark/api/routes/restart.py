"""POST /v1/restart."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Pressure, PressureDifference, Temperature, TemperatureDifference, Time
from witnessmark.api.routes.restart_reading import read_gate, read_run
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import number_limit, quantity_limit
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.restart import (
    DifferenceLimit,
    DurationLimit,
    EvidenceResult,
    GateCheckResult,
    NumberLimit,
    RestartAnswer,
    RestartRequest,
    RestartResult,
)
from witnessmark.api.schemas.watching import (
    AfterRunResult,
    FoundResult,
    LimitOfItem,
    Shown,
    StageOfRun,
    TrendResult,
    WatchItemResult,
)
from witnessmark.calculations.metrology.limits import Ruling
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import located
from witnessmark.restart import after_run as run_core
from witnessmark.restart import gate as core
from witnessmark.restart.watch_list import WatchItem, reading_times

router = version_one("restart")
_KINDS: dict[str, type[Pressure | PressureDifference | Temperature | TemperatureDifference]] = {
    "pressure": Pressure,
    "pressure_difference": PressureDifference,
    "temperature": Temperature,
    "temperature_difference": TemperatureDifference,
}

_CHANGES: dict[str, type[PressureDifference | TemperatureDifference]] = {
    "pressure": PressureDifference,
    "pressure_difference": PressureDifference,
    "temperature": TemperatureDifference,
    "temperature_difference": TemperatureDifference,
}


@calculation(router, "/restart", "The gate before power, the watch of the first hour, the looks after it")
async def restart(body: RestartRequest) -> RestartAnswer:
    """Hold what was done and measured against what this machine requires, and answer with one verdict.

    The verdict is "do not start" or that a licensed technician may start while watching; it is never more than that.
    Readings of the tests count as evidence, judged as by their own endpoints; a claim that they contradict conflicts.
    """
    context = RequestContext.of(body)
    context.warn("licensed", "never-more-than-may-start")
    context.cite("restart-gate-rule")
    given = read_gate(context, body)
    found, run = core.gate(given), _after_run(context, body, given)
    found = found if run is None else core.with_run(found, run.verdict)
    for check in found.checks:
        context.cite(check.source)
        if check.state != "not required":
            context.warn(*check.cautions)
    result = RestartResult(
        verdict=found.verdict,
        blocking=list(found.blocking),
        checks=[_check(context, c) for c in found.checks],
        watching=[_item(context, i) for i in found.watching],
        reading_times=[context.show(Time, t, "min") for t in reading_times()],
        after_run=run,
    )
    return RestartAnswer(result=result, **context.notes())


def _check(context: RequestContext, found: core.CheckResult) -> GateCheckResult:
    return GateCheckResult(
        check=found.check,
        title=found.title,
        state=found.state,
        required_by=list(found.required_by),
        evidence=[EvidenceResult(origin=e.origin, outcome=e.outcome, detail=e.detail) for e in found.evidence],
        measured=[_held(context, h) for h in found.held],
        source=found.source,
    )


def _held(context: RequestContext, held: core.Held) -> DurationLimit | DifferenceLimit | NumberLimit:
    dimension = core.MEASURES[held.name][1]
    if dimension == "time":
        return DurationLimit(value=context.show(Time, held.value), limit=quantity_limit(context, held.limit, Time))
    if dimension == "temperature_difference":
        limit = quantity_limit(context, held.limit, TemperatureDifference)
        return DifferenceLimit(value=context.show(TemperatureDifference, held.value), limit=limit)
    return NumberLimit(value=Ratio.of(held.value).value, limit=number_limit(context, held.limit))


def _item(context: RequestContext, item: WatchItem) -> WatchItemResult:
    context.cite(item.source)
    return WatchItemResult(
        item=item.item,
        title=item.title,
        low=_limit(context, item, item.low),
        high=_limit(context, item, item.high),
        stop=item.stop,
        act=item.act,
        needs_maker=item.needs_maker,
        source=item.source,
    )


def _limit(context: RequestContext, item: WatchItem, ruling: Ruling | None) -> LimitOfItem | None:
    if ruling is None:
        return None
    kind = _KINDS.get(item.unit)
    return number_limit(context, ruling) if kind is None else quantity_limit(context, ruling, kind)  # type: ignore[return-value]


def _shown(context: RequestContext, item: WatchItem, value: Measured) -> Shown:
    kind = _KINDS.get(item.unit)
    return Ratio.of(value) if kind is None else context.show(kind, value)


def _after_run(context: RequestContext, body: RestartRequest, given: core.GateInput) -> AfterRunResult | None:
    if body.after_run is None:
        return None
    with located("after_run"):
        readings, elapsed = read_run(context, body)
        found = run_core.after_run(given.machine, readings, elapsed, given.bands)
    context.cite("restart-follow-up", "restart-windows-estimate")
    return AfterRunResult(
        verdict=found.verdict,
        next_look=context.show_optional(Time, found.next_look),
        stages=[_stage(context, s) for s in found.stages],
        outside=[_found(context, f) for f in found.outside],
        trends=[_trend(context, t) for t in found.trends],
    )


def _found(context: RequestContext, found: run_core.ItemFound) -> FoundResult:
    shown = _shown(context, found.item, found.value)
    return FoundResult(at=context.show(Time, found.at), item=found.item.item, value=shown, verdict=found.standing)


def _stage(context: RequestContext, found: run_core.StageResult) -> StageOfRun:
    return StageOfRun(
        stage=found.stage,
        title=found.title,
        state=found.state,
        due=context.show(Time, found.due),
        latest=context.show(Time, found.latest),
        missing=list(found.missing),
        failed_proofs=list(found.failed_proofs),
        found=[_found(context, f) for f in found.found],
        source=found.source,
    )


def _trend(context: RequestContext, found: run_core.ItemTrend) -> TrendResult:
    kind = _CHANGES.get(found.item.unit)
    change = Ratio.of(found.change) if kind is None else context.show(kind, found.change)
    return TrendResult(item=found.item.item, trend=found.trend, change=change)
