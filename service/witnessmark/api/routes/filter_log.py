"""POST /v1/cleanup/filter-log."""

from __future__ import annotations

import math

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import PressureDifference, TemperatureDifference
from witnessmark.api.routes.cleanup import drop_limit_result
from witnessmark.api.routes.cleanup_reading import ACID, DROPS, SUPERHEATS, TEMPERATURES, maker_limits, moment
from witnessmark.api.routes.sample_items import optional_sample
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import filter_log as wire
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.filter_log import FilterLog, JudgedReading, Trend, judge_log
from witnessmark.cleanup.log_readings import FilterLogCase, FilterReading
from witnessmark.errors import located
from witnessmark.reference.instruments import default_uncertainty
from witnessmark.refrigerants import saturation

router = version_one("cleanup")
GAUGE = "differential-pressure-gauge"
LOGGED_DROPS = (-5e5, 5e5)
PRESSURES = (0.0, 1e9)


@calculation(router, "/cleanup/filter-log", "Judge a log of filter readings: change, keep or clean")
async def judge_filter_log(body: wire.FilterLogRequest) -> wire.FilterLogAnswer:
    """Bring every drop to full flow as an interval, follow its trend to the limit, and say when to look again.

    Readings under 40 % of full flow are not judged. Torn cores, swapped taps and gauge offsets are named.
    """
    context = RequestContext.of(body)
    found = judge_log(_case(context, body))
    for text in found.assumptions:
        context.assume(text)
    context.warn(*found.cautions)
    context.cite(*found.sources)
    return wire.FilterLogAnswer(result=_result(context, body.refrigerant, found), **context.notes())


def _case(context: RequestContext, body: wire.FilterLogRequest) -> FilterLogCase:
    superheat = context.read_optional(body.suction_superheat, "suction_superheat", *SUPERHEATS)
    drop = context.read_optional(body.maker_limits.suction_drop, "maker_limits.suction_drop", *DROPS)
    return FilterLogCase(
        refrigerant=body.refrigerant,
        evaporating=context.read(body.evaporating_temperature, "evaporating_temperature", *TEMPERATURES).value,
        readings=tuple(_reading(context, body.refrigerant, n, one) for n, one in enumerate(body.readings)),
        time_zone=body.time_zone,
        oil=body.oil,
        superheat=None if superheat is None else superheat.value,
        share_of=body.share_of,
        installation=body.installation,
        maker_drop=None if drop is None else drop.value,
        maker_limits=maker_limits(context, body.maker_limits),
    )


def _reading(context: RequestContext, refrigerant: str, position: int, given: wire.LogReading) -> FilterReading:
    at = f"readings.{position}"
    evaporating = context.read_optional(given.evaporating_temperature, f"{at}.evaporating_temperature", *TEMPERATURES)
    suction = context.read_optional(given.suction_temperature, f"{at}.suction_temperature", *TEMPERATURES)
    drop, dew = _drop(context, refrigerant, at, given)
    return FilterReading(
        at=moment(given.at, f"{at}.at"),
        drop=drop,
        flow_share=given.flow_share,
        evaporating=dew if evaporating is None else evaporating.value,
        suction=None if suction is None else suction.value,
        new_core=given.new_core,
        colour=given.oil_colour,
        acid_number=optional_sample(context, given.acid_number, f"{at}.acid_number", ACID, "Acid numbers"),
        acid_test=given.acid_test,
    )


def _drop(context: RequestContext, refrigerant: str, at: str, given: wire.LogReading) -> tuple[Measured, float | None]:
    """The drop, and the dew temperature at the inlet where its pressure was read."""
    if given.inlet_pressure is None or given.outlet_pressure is None:
        assert given.drop is not None  # noqa: S101 - the validator says so
        return context.read(given.drop, f"{at}.drop", *LOGGED_DROPS, instrument=GAUGE), None
    inlet = context.read(given.inlet_pressure, f"{at}.inlet_pressure", *PRESSURES)
    outlet = context.read(given.outlet_pressure, f"{at}.outlet_pressure", *PRESSURES)
    value, width = inlet.value - outlet.value, math.hypot(inlet.uncertainty, outlet.uncertainty)
    if width == 0:
        width = default_uncertainty(GAUGE, value)
        context.assume("Inlet and outlet read with one gauge moved from tap to tap: its bias cancels.")
    with located(pressure=f"{at}.inlet_pressure"):
        return Measured(value, width), float(saturation.dew_temperature(refrigerant, inlet.value))


def _result(context: RequestContext, refrigerant: str, found: FilterLog) -> wire.FilterLogResult:
    working = found.working_limit
    return wire.FilterLogResult(
        refrigerant=refrigerant,
        verdict=found.decision.verdict,
        reasons=list(found.decision.reasons),
        next_check=found.next_check.isoformat(),
        working_limit=wire.WorkingLimitResult(
            drop=context.show(PressureDifference, working.drop), why=working.why, source=working.source
        ),
        drop_limit=drop_limit_result(context, found.limit),
        trend=_trend(context, found.trend),
        faults=[wire.LogFaultResult.model_validate(fault) for fault in found.faults],
        clean=wire.CleanConditionsResult.model_validate(found.clean),
        readings=[_reading_result(context, reading) for reading in found.readings],
    )


def _trend(context: RequestContext, found: Trend | None) -> wire.DropTrendResult | None:
    if found is None:
        return None
    times = [None if at is None else at.isoformat() for at in (found.expected, found.earliest, found.latest)]
    return wire.DropTrendResult(
        rise_per_day=context.show(PressureDifference, found.rise_per_day),
        readings=found.readings,
        limit_expected=times[0],
        limit_earliest=times[1],
        limit_latest=times[2],
    )


def _reading_result(context: RequestContext, found: JudgedReading) -> wire.LogReadingResult:
    full = found.prepared.full
    middle, low, high = (None, None, None) if full is None else (full.middle, full.low, full.high)
    return wire.LogReadingResult(
        reading=found.prepared.position,
        local=found.local.isoformat(),
        judged=found.prepared.standing,
        full_flow_drop=context.show_optional(PressureDifference, middle),
        low=context.show_optional(PressureDifference, low),
        high=context.show_optional(PressureDifference, high),
        penalty_low=context.show_optional(TemperatureDifference, found.penalty_low),
        penalty_high=context.show_optional(TemperatureDifference, found.penalty_high),
        against_limit=found.place,
    )
