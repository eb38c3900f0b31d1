"""POST /v1/compression."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from witnessmark.api.context import BAROMETER_RANGE, RequestContext
from witnessmark.api.quantities import Pressure, Quantity, Temperature, TemperatureDifference
from witnessmark.api.routes.reading_ranges import DIFFERENCES, TEMPERATURES, read_at_compressor
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.compression import (
    CompressionAnswer,
    CompressionRequest,
    CompressionResult,
    OperatingCheckResult,
    OperatingFigure,
    OperationResult,
    PublishedMap,
    TemperatureRange,
    VerdictReason,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.units import dimensions
from witnessmark.calculations.compressor import compression as core
from witnessmark.calculations.compressor.compressor_types import LIMITS, compressor_type
from witnessmark.calculations.compressor.operating_limits import OperatingCheck, OperatingQuantity
from witnessmark.calculations.compressor.performance_map import MapRange, PerformanceMap
from witnessmark.calculations.compressor.pumping import PumpingReason
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import catalogue

router = version_one("calculations")
KINDS: dict[OperatingQuantity, type[Quantity | Ratio]] = {
    "discharge_temperature": Temperature,
    "pressure_ratio": Ratio,
    "discharge_superheat": TemperatureDifference,
    "suction_pressure": Pressure,
}
"""As what the value of a check is shown."""
IN_KELVIN = {"colder-than-ideal", "colder-than-expected", "hotter-than-expected", "suction-below-bubble"}
"""Reasons whose value is a difference of temperatures; those of all others are ratios."""


@calculation(router, "/compression", "What the readings at a compressor say, and whether it pumps")
def compression(body: CompressionRequest) -> CompressionAnswer:
    """Ratio, saturation at both ends, efficiencies, expected against measured discharge temperature, maker's maps.

    The verdict names what decided it. Pressures alone can prove that nothing is pumped, never that all is pumped.
    """
    context = RequestContext.of(body)
    context.cite("coolprop", "first-law", compressor_type(body.compressor).source, LIMITS().no_lift.source)
    context.warn("licensed", "running-readings", *catalogue.get(body.refrigerant).doubts)
    maps = tuple(_map(context, published, f"maps.{k}") for k, published in enumerate(body.maps))
    if maps:
        context.cite("ahri-540", "dabiri-rice")
    names = [f.name for f in fields(core.CompressorReadings)]
    readings = core.CompressorReadings(**read_at_compressor(context, body, names))  # type: ignore[arg-type] # both pressures are there
    low = readings.suction_pressure.value < BAROMETER_RANGE[1]
    air = {"air_pressure": context.air_pressure()} if low else {}
    machine = core.RunningCompressor(body.compressor, body.running, maps, body.cooling, body.application, **air)
    assessment = core.assess(body.refrigerant, readings, machine)
    for note in assessment.notes:
        context.assume(text(note))
    for check in assessment.operation.checks:
        context.cite(*check.limit.sources)
        if check.quantity == "suction_pressure" and check.standing == "outside":
            context.warn("no-vacuum-running")
    return CompressionAnswer(result=_result(context, body, assessment), **context.notes())


def _map(context: RequestContext, published: PublishedMap, field: str) -> PerformanceMap:
    superheat = context.read_optional(published.rating_superheat, f"{field}.rating_superheat", *DIFFERENCES)
    temperature = context.read_optional(
        published.rating_suction_temperature, f"{field}.rating_suction_temperature", *TEMPERATURES
    )
    return PerformanceMap(
        quantity=published.quantity,
        coefficients=tuple(published.coefficients),
        scale=published.temperature_unit,
        si_per_unit=dimensions()[published.dimension].units[published.unit].factor,
        rating_superheat=superheat.value if superheat else None,
        rating_suction_temperature=temperature.value if temperature else None,
        stated=MapRange(
            _ends(context, published.evaporating_range, f"{field}.evaporating_range"),
            _ends(context, published.condensing_range, f"{field}.condensing_range"),
        ),
    )


def _ends(context: RequestContext, stated: TemperatureRange | None, field: str) -> tuple[float, float] | None:
    if stated is None:
        return None
    low, high = ((q, f"{field}.{end}") for q, end in ((stated.low, "low"), (stated.high, "high")))
    return context.read(*low, *TEMPERATURES).value, context.read(*high, *TEMPERATURES).value


def _result(
    context: RequestContext, body: CompressionRequest, assessment: core.CompressionAssessment
) -> CompressionResult:
    return context.result(
        CompressionResult,
        assessment.numbers,
        refrigerant=body.refrigerant,
        verdict=assessment.judgement.verdict,
        reasons=[reason_shown(context, reason) for reason in assessment.judgement.reasons],
        operation=OperationResult(
            verdict=assessment.operation.verdict,
            checks=[check_shown(context, check) for check in assessment.operation.checks],
        ),
        maps=assessment.maps,
    )


def check_shown(context: RequestContext, check: OperatingCheck) -> OperatingCheckResult:
    """A check as answers show it."""

    def shown(value: Measured) -> Any:
        kind = KINDS[check.quantity]
        return Ratio.of(value) if kind is Ratio else context.show(kind, value)  # type: ignore[type-var]

    return OperatingCheckResult(
        quantity=check.quantity,
        standing=check.standing,
        text=check.text,
        value=shown(check.value),
        limit=shown(Measured(check.limit.value)),
        stated=[
            OperatingFigure(value=shown(Measured(figure.value)), source=figure.source, note=figure.note)
            for figure in check.limit.stated
        ],
    )


def reason_shown(context: RequestContext, reason: PumpingReason) -> VerdictReason:
    """A reason as answers show it."""

    def shown(value: Measured | None) -> Ratio | TemperatureDifference | None:
        if value is None:
            return None
        return context.show(TemperatureDifference, value) if reason.id in IN_KELVIN else Ratio.of(value)

    limit = None if reason.limit is None else Measured(reason.limit)
    more: dict[str, Any] = {"value": shown(reason.value), "limit": shown(limit)}
    return context.result(VerdictReason, reason, text=text(reason.id), **more)
