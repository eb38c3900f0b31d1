"""POST /v1/supply-unbalance."""

from __future__ import annotations

import math
from collections.abc import Sequence

from witnessmark.api.alike import read_alike, shared
from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Current, Voltage
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.supply_unbalance import (
    SupplyFields,
    SupplyUnbalanceAnswer,
    SupplyUnbalanceRequest,
    SupplyUnbalanceResult,
)
from witnessmark.calculations.electrical import supply_unbalance as core
from witnessmark.calculations.electrical.nameplate import rated_for
from witnessmark.calculations.metrology.uncertainty import Measured

router = version_one("restart")


@calculation(router, "/supply-unbalance", "Unbalance, derating, voltage band and currents of a three-phase supply")
async def supply_unbalance(body: SupplyUnbalanceRequest) -> SupplyUnbalanceAnswer:
    """Judge the supply at the motor's terminals.

    Unbalance is the greatest deviation from the mean over the mean; (greatest - least) / mean is another figure.
    """
    context = RequestContext.of(body)
    verdict = core.supply(read_supply(context, body))
    context.cite(
        "unbalance-rise-rule", core.TABLE().full_load.source, *(verdict.derating.by_source if verdict.derating else ())
    )
    if verdict.band is not None:
        context.cite(core.TABLE().zones.source)
    if verdict.current is not None:
        context.cite(core.TABLE().current_ratio.source, *(["roll-the-leads"] if body.when_rolled else []))
    if verdict.verdict == "lost phase":
        context.cite(core.TABLE().lost_phase.source, core.TABLE().lost_phase.current_source)
        context.warn("single-phasing")
    result = SupplyUnbalanceResult.model_validate(verdict, context=context)
    return SupplyUnbalanceAnswer(result=result, **context.notes())


def read_supply(context: RequestContext, body: SupplyFields) -> core.SupplyReadings:
    """The readings in SI, cautions of the measurement noted."""
    context.warn("licensed", "live-measurement", "measure-all-currents")
    voltages = _three(context, body, body.voltages, "voltages")
    rated = None
    if body.rated_voltage is not None:
        middle = math.fsum(v.value for v in voltages) / len(voltages)
        rated = read_rated(context, body.rated_voltage, body.rated_voltage_to, middle)
    no_width = any(voltage.uncertainty is None for voltage in body.voltages)
    return core.SupplyReadings(
        voltages=voltages,
        currents=None if body.currents is None else _three(context, body, body.currents, "currents"),
        rated_voltage=rated,
        scale_uncertainty=shared("voltmeter") if body.one_meter and no_width else 0.0,
        maker_voltage_unbalance=body.maker_limits.voltage_unbalance,
        maker_current_unbalance=body.maker_limits.current_unbalance,
        maker_document=body.maker_limits.document,
        between=body.measured_between,
        when_rolled=body.when_rolled,
    )


def read_rated(context: RequestContext, rated: Voltage, upto: Voltage | None, supply: float) -> float:
    """The rated voltage that counts, V; upto: the upper end of a range; supply: the mean that was read, V."""
    span = (1.0, core.HIGHEST_VOLTAGE)
    low, high = (
        context.read(rated, "rated_voltage", *span).value,
        context.read_optional(upto, "rated_voltage_to", *span),
    )
    return rated_for(supply, low, None if high is None else high.value)


def _three(
    context: RequestContext, body: SupplyFields, readings: Sequence[Voltage | Current], field: str
) -> tuple[Measured, Measured, Measured]:
    span, instrument = (0.0, core.HIGHEST_VOLTAGE), "voltmeter"
    if field == "currents":
        span, instrument = (0.0, core.HIGHEST_CURRENT), "clamp-ammeter"
    a, b, c = (
        read_alike(context, reading, f"{field}.{k}", span, instrument)
        if body.one_meter
        else context.read(reading, f"{field}.{k}", *span, instrument)
        for k, reading in enumerate(readings)
    )
    return a, b, c
