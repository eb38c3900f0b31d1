"""POST /v1/restart."""

from __future__ import annotations

from typing import Annotated

from fastapi import Header

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Pressure, PressureDifference, Temperature, TemperatureDifference, Time
from witnessmark.api.routes.restart_reading import read_gate
from witnessmark.api.routes.restart_run import read_run
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import number_limit, quantity_limit
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.restart import (
    DifferenceLimit,
    DurationLimit,
    EvidenceResult,
    GateCheckResult,
    LengthLimit,
    NumberLimit,
    RestartAnswer,
    RestartRequest,
    RestartResult,
)
from witnessmark.api.schemas.watching import (
    AfterRunResult,
    ItemReadingResult,
    LimitOfItem,
    ShownValue,
    StageOfRun,
    TrendResult,
    WatchItemResult,
)
from witnessmark.api.told_units import in_units
from witnessmark.api.worded import told_in
from witnessmark.calculations.metrology.limits import Ruling
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import located
from witnessmark.language.catalogue import wanted
from witnessmark.restart import after_run, gate
from witnessmark.restart.watch_list import TABLE, ReadingKind, WatchItem

router = version_one("restart")
_KINDS: dict[ReadingKind, type[Pressure | PressureDifference | Temperature | TemperatureDifference]] = {
    "pressure": Pressure,
    "pressure_difference": PressureDifference,
    "temperature": Temperature,
    "temperature_difference": TemperatureDifference,
}
_CHANGES: dict[ReadingKind, type[PressureDifference | TemperatureDifference]] = {
    "pressure": PressureDifference,
    "pressure_difference": PressureDifference,
    "temperature": TemperatureDifference,
    "temperature_difference": TemperatureDifference,
}


@calculation(router, "/restart", "The gate before power, the watch of the first hour, the looks after it")
def restart(
    body: RestartRequest, accept_language: Annotated[str, Header(include_in_schema=False)] = ""
) -> RestartAnswer:
    """Hold what was done and measured against what this machine requires, and answer with one verdict.

    The verdict is "do not start" or that a licensed technician may start while watching; it is never more than that.
    Readings of the tests count as evidence, judged as by their own endpoints; a claim that they contradict conflicts.
    `Accept-Language` says in which language sentences are told.
    """
    context = RequestContext.of(body)
    context.warn("licensed", "never-more-than-may-start")
    context.cite("restart-gate-rule")
    result, run = judged(context, body)
    shown = RestartResult(
        verdict=result.verdict,
        blocking=list(result.blocking),
        contradictions=[],
        conditions=list(result.conditions),
        checks=[_check(context, c) for c in result.checks],
        watching=[_item(context, i) for i in result.watching],
        reading_times=[context.show(Time, t, "min") for t in TABLE().times.at],
        after_run=run,
    )
    answer = told_in(RestartAnswer(result=shown, **context.notes()), wanted(accept_language))
    told = answer.result.model_copy(update={"contradictions": _contradictions(answer.result)})
    return in_units(answer.model_copy(update={"result": told}), context.system)


def _contradictions(result: RestartResult) -> list[str]:
    """What contradicts, put together of what the checks say, in whatever language they say it."""
    clashes = [check for check in result.checks if check.state == "conflicting"]
    return [gate.clash(check.title, ((e.origin, e.detail) for e in check.evidence)) for check in clashes]


def judged(context: RequestContext, body: RestartRequest) -> tuple[gate.GateResult, AfterRunResult | None]:
    """What the gate says, and the log of the run where there is one, which may withdraw a start."""
    known = read_gate(context, body)
    result, run = gate.gate(known), _after_run(context, body, known)
    return (result if run is None else gate.with_run(result, run.verdict)), run


def _check(context: RequestContext, check: gate.CheckResult) -> GateCheckResult:
    context.cite(check.source)
    if check.state != "not required":
        context.warn(*check.cautions)
    return GateCheckResult(
        check=check.check,
        title=check.title,
        state=check.state,
        required_by=list(check.required_by),
        evidence=[EvidenceResult.model_validate(e) for e in check.evidence],
        measured=[_measured(context, m) for m in check.measured],
        by_maker=list(check.by_maker),
        source=check.source,
    )


_LIMITS: dict[str, type[DurationLimit | DifferenceLimit | LengthLimit]] = {
    "time": DurationLimit,
    "temperature_difference": DifferenceLimit,
    "length": LengthLimit,
}


def _measured(
    context: RequestContext, reading: gate.MeasuredValue
) -> DurationLimit | DifferenceLimit | LengthLimit | NumberLimit:
    model = _LIMITS.get(gate.TABLE().measures[reading.measure].dimension)
    if model is not None:
        return model.model_validate(reading, context=context)
    limit = number_limit(context, reading.limit)
    return NumberLimit(measure=reading.measure, value=reading.value.value, limit=limit)


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


def _value(context: RequestContext, item: WatchItem, value: Measured) -> ShownValue:
    kind = _KINDS.get(item.unit)
    return Ratio.of(value) if kind is None else context.show(kind, value)


def _after_run(context: RequestContext, body: RestartRequest, known: gate.GateInput) -> AfterRunResult | None:
    if body.after_run is None:
        return None
    with located("after_run"):
        log, elapsed = read_run(context, body.after_run, known.machine)
        run = after_run.after_run(known.machine, log, elapsed, known.bands, known.bounds)
    context.cite("restart-follow-up", after_run.TABLE().windows.source)
    return AfterRunResult(
        verdict=run.verdict,
        next_look=context.show_optional(Time, run.next_look),
        stages=[_stage(context, s) for s in run.stages],
        outside=[_reading(context, r) for r in run.outside],
        trends=[_trend(context, t) for t in run.trends],
    )


def _reading(context: RequestContext, reading: after_run.ItemReading) -> ItemReadingResult:
    value, at = _value(context, reading.item, reading.value), context.show(Time, reading.at)
    return ItemReadingResult(at=at, item=reading.item.item, value=value, standing=reading.standing)


def _stage(context: RequestContext, stage: after_run.StageResult) -> StageOfRun:
    return StageOfRun(
        stage=stage.stage,
        title=stage.title,
        state=stage.state,
        due=context.show(Time, stage.due),
        latest=context.show(Time, stage.latest),
        missing=list(stage.missing),
        failed_proofs=list(stage.failed_proofs),
        readings=[_reading(context, r) for r in stage.readings],
        source=stage.source,
    )


def _trend(context: RequestContext, trend: after_run.ItemTrend) -> TrendResult:
    kind = _CHANGES.get(trend.item.unit)
    change = Ratio.of(trend.change) if kind is None else context.show(kind, trend.change)
    return TrendResult(item=trend.item.item, trend=trend.trend, change=change)
