"""POST /v1/saturation, /v1/superheat, /v1/subcooling."""

from __future__ import annotations

import math

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Temperature, TemperatureDifference
from witnessmark.api.routes.reading_ranges import GAUGE, PIPE, TEMPERATURES
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.saturation import (
    MarginAnswer,
    MarginRequest,
    MarginResult,
    SaturationAnswer,
    SaturationRequest,
    SuperheatRequest,
)
from witnessmark.calculations.circuit import saturation as ends
from witnessmark.calculations.circuit import superheat as margins
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants import saturation as curves

router = version_one("properties")


@calculation(router, "/saturation", "Bubble and dew pressure or temperature")
async def saturation(body: SaturationRequest) -> SaturationAnswer:
    """Saturated pressure at a temperature, or saturated temperature at a pressure, at both ends of evaporation.

    Use the dew point for superheat and the bubble point for subcooling; on blends they differ by the glide.
    """
    context = RequestContext.of(body)
    name = body.refrigerant
    if body.temperature is not None:
        reading = context.read(body.temperature, "temperature", *curves.temperature_range(name))
        both = ends.at_temperature(name, reading)
    else:
        assert body.pressure is not None  # noqa: S101 - the schema says so
        both = ends.at_pressure(name, context.read(body.pressure, "pressure", *ends.pressure_range(name)))
    context.cite("coolprop", "saturation-accuracy")
    context.warn(*catalogue.get(name).cautions)
    return context.answer(SaturationAnswer, both, refrigerant=name)


@calculation(router, "/superheat", "Superheat of suction gas, discharge gas or sump oil")
async def superheat(body: SuperheatRequest) -> MarginAnswer:
    """Line temperature minus dew temperature, with uncertainty and a verdict against limits."""
    context, pressure, temperature = _readings(body, "dew")
    return _answer(context, body, margins.superheat(body.refrigerant, pressure, temperature, body.place))


@calculation(router, "/subcooling", "Subcooling of the liquid line")
async def subcooling(body: MarginRequest) -> MarginAnswer:
    """Bubble temperature minus line temperature, with uncertainty and a verdict against limits."""
    context, pressure, temperature = _readings(body, "bubble")
    return _answer(context, body, margins.subcooling(body.refrigerant, pressure, temperature))


def _readings(body: MarginRequest, side: curves.Side) -> tuple[RequestContext, Measured, Measured]:
    context = RequestContext.of(body)
    pressure = context.read(body.pressure, "pressure", *curves.pressure_range(body.refrigerant, side), GAUGE)
    return context, pressure, context.read(body.temperature, "temperature", *TEMPERATURES, PIPE)


def _answer(context: RequestContext, body: MarginRequest, margin: margins.Margin) -> MarginAnswer:
    context.cite("coolprop", "saturation-accuracy", margin.band.source)
    context.warn("licensed", *catalogue.get(body.refrigerant).cautions)
    upper = None if math.isinf(margin.band.high) else margin.band.high
    result = MarginResult(
        refrigerant=body.refrigerant,
        saturation_temperature=context.show(Temperature, margin.saturation_temperature),
        margin=context.show(TemperatureDifference, margin.margin),
        phase=margin.phase,
        lower_limit=context.show(TemperatureDifference, margin.band.low),
        upper_limit=context.show_optional(TemperatureDifference, upper),
        verdict=margin.standing,
        limits_from=margin.band.source,
    )
    return MarginAnswer(result=result, **context.notes())
