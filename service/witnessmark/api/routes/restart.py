"""POST /v1/restart."""

from __future__ import annotations

from witnessmark.api.desk import Desk
from witnessmark.api.quantities import Pressure, PressureDifference, Temperature, TemperatureDifference, Time
from witnessmark.api.routes.restart_reading import read_gate, read_run
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import inside, number_limit, quantity_limit
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
from witnessmark.calculations.limits import Ruling
from witnessmark.calculations.uncertainty import Measured
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
    desk = Desk.of(body)
    desk.warn("licensed", "never-more-than-may-start")
    desk.cite("restart-gate-rule")
    given = read_gate(desk, body)
    found, run = core.gate(given), _after_run(desk, body, given)
    found = found if run is None else core.with_run(found, run.verdict)
    for check in found.checks:
        desk.cite(check.source)
        if check.state != "not required":
            desk.warn(*check.cautions)
    result = RestartResult(
        verdict=found.verdict,
        blocking=list(found.blocking),
        checks=[_check(desk, c) for c in found.checks],
        watching=[_item(desk, i) for i in found.watching],
        reading_times=[desk.show(Time, t, "min") for t in reading_times()],
        after_run=run,
    )
    return RestartAnswer(result=result, **desk.notes())


def _check(desk: Desk, found: core.CheckResult) -> GateCheckResult:
    return GateCheckResult(
        check=found.check,
        title=found.title,
        state=found.state,
        required_by=list(found.required_by),
        evidence=[EvidenceResult(origin=e.origin, outcome=e.outcome, detail=e.detail) for e in found.evidence],
        measured=[_held(desk, h) for h in found.held],
        source=found.source,
    )


def _held(desk: Desk, held: core.Held) -> DurationLimit | DifferenceLimit | NumberLimit:
    dimension = core.MEASURES[held.name][1]
    if dimension == "time":
        return DurationLimit(value=desk.show(Time, held.value), limit=quantity_limit(desk, held.limit, Time))
    if dimension == "temperature_difference":
        limit = quantity_limit(desk, held.limit, TemperatureDifference)
        return DifferenceLimit(value=desk.show(TemperatureDifference, held.value), limit=limit)
    return NumberLimit(value=Ratio.of(held.value).value, limit=number_limit(desk, held.limit))


def _item(desk: Desk, item: WatchItem) -> WatchItemResult:
    desk.cite(item.source)
    return WatchItemResult(
        item=item.item,
        title=item.title,
        low=_limit(desk, item, item.low),
        high=_limit(desk, item, item.high),
        stop=item.stop,
        act=item.act,
        needs_maker=item.needs_maker,
        source=item.source,
    )


def _limit(desk: Desk, item: WatchItem, ruling: Ruling | None) -> LimitOfItem | None:
    if ruling is None:
        return None
    kind = _KINDS.get(item.unit)
    return number_limit(desk, ruling) if kind is None else quantity_limit(desk, ruling, kind)  # type: ignore[return-value]


def _shown(desk: Desk, item: WatchItem, value: Measured) -> Shown:
    kind = _KINDS.get(item.unit)
    return Ratio.of(value) if kind is None else desk.show(kind, value)


def _after_run(desk: Desk, body: RestartRequest, given: core.GateInput) -> AfterRunResult | None:
    if body.after_run is None:
        return None
    with inside("after_run"):
        readings, elapsed = read_run(desk, body)
        found = run_core.after_run(given.machine, readings, elapsed, given.bands)
    desk.cite("restart-follow-up", "restart-windows-estimate")
    return AfterRunResult(
        verdict=found.verdict,
        next_look=desk.show_optional(Time, found.next_look),
        stages=[_stage(desk, s) for s in found.stages],
        outside=[_found(desk, f) for f in found.outside],
        trends=[_trend(desk, t) for t in found.trends],
    )


def _found(desk: Desk, found: run_core.ItemFound) -> FoundResult:
    shown = _shown(desk, found.item, found.value)
    return FoundResult(at=desk.show(Time, found.at), item=found.item.item, value=shown, verdict=found.standing)


def _stage(desk: Desk, found: run_core.StageResult) -> StageOfRun:
    return StageOfRun(
        stage=found.stage,
        title=found.title,
        state=found.state,
        due=desk.show(Time, found.due),
        latest=desk.show(Time, found.latest),
        missing=list(found.missing),
        failed_proofs=list(found.failed_proofs),
        found=[_found(desk, f) for f in found.found],
        source=found.source,
    )


def _trend(desk: Desk, found: run_core.ItemTrend) -> TrendResult:
    kind = _CHANGES.get(found.item.unit)
    change = Ratio.of(found.change) if kind is None else desk.show(kind, found.change)
    return TrendResult(item=found.item.item, trend=found.trend, change=change)
