"""POST /v1/saturation, /v1/superheat, /v1/subcooling."""

from __future__ import annotations

import math

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Pressure, Temperature, TemperatureDifference
from witnessmark.api.routes.reading_ranges import TEMPERATURES
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.saturation import (
    MarginAnswer,
    MarginRequest,
    MarginResult,
    SaturationAnswer,
    SaturationPoint,
    SaturationRequest,
    SaturationResult,
    SuperheatRequest,
)
from witnessmark.calculations.circuit import superheat as margins
from witnessmark.calculations.metrology.uncertainty import Measured, propagate
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
    context.cite("coolprop", "saturation-accuracy")
    context.warn(*catalogue.get(name).cautions)
    bubble, dew = _points_at_temperature(context, body) if body.temperature else _points_at_pressure(context, body)
    pressure = 0.5 * (bubble[1].value + dew[1].value)
    glide = float(curves.dew_temperature(name, pressure)) - float(curves.bubble_temperature(name, pressure))
    result = SaturationResult(
        refrigerant=name,
        bubble=_point(context, *bubble),
        dew=_point(context, *dew),
        glide=context.show(TemperatureDifference, glide),
        accuracy=context.show(TemperatureDifference, catalogue.get(name).accuracy_K),
    )
    return SaturationAnswer(result=result, **context.notes())


def _points_at_temperature(context: RequestContext, body: SaturationRequest) -> list[tuple[Measured, Measured]]:
    assert body.temperature is not None  # noqa: S101 - asked by the caller
    reading = context.read(body.temperature, "temperature", *curves.temperature_range(body.refrigerant))
    functions = (curves.bubble_pressure, curves.dew_pressure)
    return [(reading, propagate(lambda t, f=f: float(f(body.refrigerant, t)), reading)) for f in functions]


def _points_at_pressure(context: RequestContext, body: SaturationRequest) -> list[tuple[Measured, Measured]]:
    assert body.pressure is not None  # noqa: S101 - asked by the caller
    reading = context.read(body.pressure, "pressure", *_both(body.refrigerant))
    functions = (curves.bubble_temperature, curves.dew_temperature)
    return [(propagate(lambda p, f=f: float(f(body.refrigerant, p)), reading), reading) for f in functions]


def _both(name: str) -> tuple[float, float]:
    """Pressures, Pa, at which both lines are known."""
    bubble, dew = (curves.pressure_range(name, side) for side in ("bubble", "dew"))
    return max(bubble[0], dew[0]), min(bubble[1], dew[1])


def _point(context: RequestContext, temperature: Measured, pressure: Measured) -> SaturationPoint:
    return SaturationPoint(
        temperature=context.show(Temperature, temperature),
        pressure=context.show(Pressure, pressure),
        gauge_pressure=context.show_gauge(pressure),
    )


@calculation(router, "/superheat", "Superheat of suction gas, discharge gas or sump oil")
async def superheat(body: SuperheatRequest) -> MarginAnswer:
    """Line temperature minus dew temperature, with uncertainty and a verdict against limits."""
    context, pressure, temperature = _readings(body, "dew")
    return _margin_answer(context, body, margins.superheat(body.refrigerant, pressure, temperature, body.place))


@calculation(router, "/subcooling", "Subcooling of the liquid line")
async def subcooling(body: MarginRequest) -> MarginAnswer:
    """Bubble temperature minus line temperature, with uncertainty and a verdict against limits."""
    context, pressure, temperature = _readings(body, "bubble")
    return _margin_answer(context, body, margins.subcooling(body.refrigerant, pressure, temperature))


def _readings(body: MarginRequest, side: curves.Side) -> tuple[RequestContext, Measured, Measured]:
    context = RequestContext.of(body)
    span = curves.pressure_range(body.refrigerant, side)
    pressure = context.read(body.pressure, "pressure", *span, instrument="pressure-gauge-digital")
    temperature = context.read(body.temperature, "temperature", *TEMPERATURES, instrument="pipe-thermometer")
    return context, pressure, temperature


def _margin_answer(context: RequestContext, body: MarginRequest, found: margins.Margin) -> MarginAnswer:
    context.cite("coolprop", "saturation-accuracy", found.band.source)
    context.warn("licensed", *catalogue.get(body.refrigerant).cautions)
    upper = None if math.isinf(found.band.high) else found.band.high
    result = MarginResult(
        refrigerant=body.refrigerant,
        saturation_temperature=context.show(Temperature, found.saturation_temperature),
        margin=context.show(TemperatureDifference, found.margin),
        phase=found.phase,
        lower_limit=context.show(TemperatureDifference, found.band.low),
        upper_limit=context.show_optional(TemperatureDifference, upper),
        verdict=found.standing,
        limits_from=found.band.source,
    )
    return MarginAnswer(result=result, **context.notes())
