"""POST /v1/supply-unbalance."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.api.alike import read_alike, shared
from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Current, Voltage
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import number_limit
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.supply_unbalance import (
    CurrentResult,
    PermittedLoad,
    SupplyFields,
    SupplyUnbalanceAnswer,
    SupplyUnbalanceRequest,
    SupplyUnbalanceResult,
    VoltageBandResult,
)
from witnessmark.calculations.electrical import supply_unbalance as core
from witnessmark.calculations.metrology.uncertainty import Measured

router = version_one("restart")


@calculation(router, "/supply-unbalance", "Unbalance, derating, voltage band and currents of a three-phase supply")
async def supply_unbalance(body: SupplyUnbalanceRequest) -> SupplyUnbalanceAnswer:
    """Judge the supply at the motor's terminals.

    Unbalance is the greatest deviation from the mean over the mean; (greatest - least) / mean is another figure.
    """
    context = RequestContext.of(body)
    found = core.supply(read_supply(context, body))
    return SupplyUnbalanceAnswer(result=_result(context, found), **context.notes())


def read_supply(context: RequestContext, body: SupplyFields) -> core.SupplyReadings:
    """The readings in SI, cautions of the measurement noted."""
    context.warn("licensed", "live-measurement", "measure-all-currents")
    rated = context.read_optional(body.rated_voltage, "rated_voltage", 1.0, core.HIGHEST_VOLTAGE)
    return core.SupplyReadings(
        voltages=_three(context, body, body.voltages, "voltages"),
        currents=None if body.currents is None else _three(context, body, body.currents, "currents"),
        rated_voltage=None if rated is None else rated.value,
        scale_uncertainty=shared("voltmeter") if body.one_meter and _unstated(body.voltages) else 0.0,
        maker_voltage_unbalance=body.maker_limits.voltage_unbalance,
        maker_current_unbalance=body.maker_limits.current_unbalance,
    )


def _unstated(given: Sequence[Voltage]) -> bool:
    return any(q.uncertainty is None for q in given)


def _three(
    context: RequestContext, body: SupplyFields, given: Sequence[Voltage | Current], field: str
) -> tuple[Measured, Measured, Measured]:
    span, instrument = (0.0, core.HIGHEST_VOLTAGE), "voltmeter"
    if field == "currents":
        span, instrument = (0.0, core.HIGHEST_CURRENT), "clamp-ammeter"
    names = [f"{field}.{k}" for k in range(len(given))]
    if body.one_meter:
        one, two, three = (read_alike(context, q, n, span, instrument) for q, n in zip(given, names, strict=True))
    else:
        one, two, three = (context.read(q, n, *span, instrument) for q, n in zip(given, names, strict=True))
    return one, two, three


def _result(context: RequestContext, found: core.SupplyVerdict) -> SupplyUnbalanceResult:
    context.cite("unbalance-rise-rule")
    return SupplyUnbalanceResult(
        mean_voltage=context.show(Voltage, found.voltage.mean),
        voltage_unbalance=Ratio.of(found.voltage.fraction),
        furthest=found.voltage.furthest + 1,
        spread_over_mean=Ratio.of(Measured(found.voltage.spread_over_mean)).value,
        limit=number_limit(context, found.limit),
        verdict=found.standing,
        permitted_load=_load(context, found.derating),
        extra_temperature_rise=Ratio.of(found.extra_temperature_rise),
        voltage_band=_band(context, found.band),
        current=_current(context, found.current),
        fit=found.fit,
    )


def _load(context: RequestContext, found: core.Derating | None) -> PermittedLoad | None:
    if found is None:
        return None
    context.cite(*(source for source, _ in found.by_source))
    return PermittedLoad(factor=found.factor, by_source=dict(found.by_source))


def _band(context: RequestContext, found: core.VoltageBand | None) -> VoltageBandResult | None:
    if found is None:
        return None
    limit = number_limit(context, found.limit)
    return VoltageBandResult(deviation=Ratio.of(found.deviation), limit=limit, verdict=found.standing)


def _current(context: RequestContext, found: core.CurrentCheck | None) -> CurrentResult | None:
    if found is None:
        return None
    context.cite(core.data()["current_ratio"]["source"])
    return CurrentResult(
        unbalance=Ratio.of(found.unbalance.fraction),
        limit=number_limit(context, found.limit),
        verdict=found.standing,
        explained_low=found.explained[0],
        explained_high=found.explained[1],
        origin=found.origin,
        lost_phase=found.lost_phase,
    )
