"""POST /v1/saturation, /v1/superheat, /v1/subcooling."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.reading_ranges import DIFFERENCES, PIPE, temperatures
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.saturation import (
    MakerMargin,
    MarginAnswer,
    MarginRequest,
    SaturationAnswer,
    SaturationRequest,
    SuperheatRequest,
)
from witnessmark.calculations.circuit import saturation as ends
from witnessmark.calculations.circuit import superheat as margins
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.reference.instruments import HIGH_SIDE, LOW_SIDE
from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants import saturation as curves

router = version_one("properties")
REASONS = {
    "both ends": None,
    "bubble only": "The dew line is not known so low or so near the critical point: only the bubble point is answered.",
    "dew only": "The bubble line is not known so low or so near the critical point: only the dew point is answered.",
    "near critical": "Neither line is known from here to the critical point: GET /v1/refrigerants/{designation} says "
    "where they end, and why.",
    "above critical": "Above the critical point there is no saturation: nothing boils or condenses, so superheat and "
    "subcooling mean nothing; judge a gas cooler by its outlet temperature and its pressure.",
}
TO_VACUUM = (
    "The uncertainty of the pressure reaches down to no pressure at all: the saturation temperature may be any colder "
    "than its uncertainty says."
)
GAUGES = {"suction": LOW_SIDE, "sump": LOW_SIDE, "discharge": HIGH_SIDE}


@calculation(router, "/saturation", "Bubble and dew pressure or temperature")
async def saturation(body: SaturationRequest) -> SaturationAnswer:
    """Saturated pressure at a temperature, or saturated temperature at a pressure, at both ends of evaporation.

    Use the dew point for superheat and the bubble point for subcooling; on blends they differ by the glide. A reading
    without an uncertainty has that of the instruments of these two: a clamp thermometer; a gauge of the low side for
    the dew point, of the high side for the bubble point.
    """
    context = RequestContext.of(body)
    name = body.refrigerant
    if body.temperature is not None:
        span = curves.temperature_range(name)[0], ends.hottest(name)
        both = ends.at_temperature(name, context.read(body.temperature, "temperature", *span, PIPE))
    else:
        assert body.pressure is not None  # noqa: S101 - the schema says so
        span = ends.lowest_pressure(name), ends.highest_pressure(name)
        low, high = (context.read(body.pressure, "pressure", *span, gauge) for gauge in (LOW_SIDE, HIGH_SIDE))
        both = ends.at_pressure(name, low, high)
        if margins.reaches_vacuum(low) or margins.reaches_vacuum(high):
            context.assume(TO_VACUUM)
    context.cite("coolprop", "saturation-accuracy")
    context.warn(*catalogue.get(name).cautions)
    return context.answer(SaturationAnswer, both, refrigerant=name, reason=REASONS[both.region])


@calculation(router, "/superheat", "Superheat of suction gas, discharge gas or sump oil")
async def superheat(body: SuperheatRequest) -> MarginAnswer:
    """Line temperature minus dew temperature, with uncertainty and a verdict against the limits of such a machine.

    Where several limits may hold, the verdict is what all of them agree on.
    """
    context, pressure, temperature, machine = _readings(body, "dew", GAUGES[body.place])
    if machine.maker is not None:
        _weigh(context, body.place, machine)
    margin = margins.superheat(body.refrigerant, pressure, temperature, body.place, machine)
    if body.place != "suction" and margin.bands:
        hot = margins.hot_ruling(body.refrigerant, margin.saturation_temperature.value, machine, body.place)
        context.cite(*hot.sources)
        context.warn(*(hot.maker.cautions if hot.maker else ()))
    return _answer(context, body, margin)


@calculation(router, "/subcooling", "Subcooling of the liquid line")
async def subcooling(body: MarginRequest) -> MarginAnswer:
    """Bubble temperature minus line temperature, with uncertainty and a verdict against the limits of such a machine.

    Where several limits may hold, the verdict is what all of them agree on.
    """
    context, pressure, temperature, machine = _readings(body, "bubble", HIGH_SIDE)
    if machine.maker is not None:
        _weigh(context, "liquid", machine)
    return _answer(context, body, margins.subcooling(body.refrigerant, pressure, temperature, machine))


def _readings(
    body: MarginRequest, side: curves.Side, gauge: str
) -> tuple[RequestContext, Measured, Measured, margins.MarginMachine]:
    span = curves.pressure_range(body.refrigerant, side)
    context = RequestContext.of(body)
    try:
        pressure = context.read(body.pressure, "pressure", *span, gauge)
    except OutOfRangeError as error:
        if error.value > span[1]:
            _above_critical(body.refrigerant, error.value)
        raise
    temperature = context.read(body.temperature, "temperature", *temperatures(body.refrigerant), PIPE)
    maker = None if body.maker is None else _stated(context, body.maker)
    return (
        context,
        pressure,
        temperature,
        margins.MarginMachine(
            body.compressor, body.application, body.metering, maker, body.maker.document if body.maker else ""
        ),
    )


def _weigh(context: RequestContext, place: str, machine: margins.MarginMachine) -> None:
    """Say what the maker's limits are worth."""
    words = margins.maker_words(place, machine)
    context.warn(*(key for word in words for key in word.cautions))
    if words and all(word.counts for word in words):
        context.assume(f"The maker's limits override all others: {machine.maker_document}.")


def _above_critical(designation: str, pressure: float) -> None:
    """InputError that says so, where that is why no line is known at this pressure."""
    if ends.at_pressure(designation, Measured(pressure)).region == "above critical":
        fault = "above the critical pressure there is no saturation, so neither superheat nor subcooling"
        raise InputError("pressure", fault, "a pressure below critical; /v1/compression and /v1/cycle take this one")


def _stated(context: RequestContext, maker: MakerMargin) -> tuple[float, float | None]:
    low = context.read(maker.low, "maker.low", *DIFFERENCES).value
    high = None if maker.high is None else context.read(maker.high, "maker.high", *DIFFERENCES).value
    if high is not None and not low < high:
        raise InputError("maker.high", "not above the lower limit", "a higher one, or none")
    return low, high


def _answer(context: RequestContext, body: MarginRequest, margin: margins.Margin) -> MarginAnswer:
    context.cite("coolprop", "saturation-accuracy", *(band.source for band in margin.bands))
    context.warn("licensed", *catalogue.get(body.refrigerant).cautions)
    return context.answer(MarginAnswer, margin, refrigerant=body.refrigerant)
