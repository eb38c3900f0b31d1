"""POST /v1/compression."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import (
    Capacity,
    Current,
    MassFlow,
    Power,
    PressureDifference,
    Temperature,
    TemperatureDifference,
)
from witnessmark.api.routes.reading_ranges import (
    DIFFERENCES,
    DISPLACEMENTS,
    GAUGE,
    HOT,
    MASS_FLOWS,
    PIPE,
    POWERS,
    PRESSURES,
    SPEEDS,
    TEMPERATURES,
)
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.compression import (
    CompressionAnswer,
    CompressionRequest,
    CompressionResult,
    MapResult,
    PublishedMap,
    TemperatureRange,
    VerdictReason,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.units import dimensions
from witnessmark.calculations.compressor import compression as core
from witnessmark.calculations.compressor.compressor_types import compressor_type, limits
from witnessmark.calculations.compressor.performance_map import Limits, PerformanceMap, Quantity
from witnessmark.calculations.compressor.pumping import Reason
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.uncertainty import Measured

router = version_one("calculations")
_IN_KELVIN = {"colder-than-ideal", "colder-than-expected", "hotter-than-expected", "suction-below-bubble"}


@calculation(router, "/compression", "What the readings at a compressor say, and whether it pumps")
async def compression(body: CompressionRequest) -> CompressionAnswer:
    """Ratio, saturation at both ends, efficiencies, expected against measured discharge temperature, maker's maps.

    The verdict names what decided it. Pressures alone can prove that nothing is pumped, never that all is pumped.
    """
    context = RequestContext.of(body)
    context.cite("coolprop", "first-law", compressor_type(body.compressor_type).source, limits()["no_lift"]["source"])
    context.warn("licensed", "running-readings")
    machine = core.Machine(
        body.compressor_type, body.running, tuple(_map(context, body, k) for k in range(len(body.maps)))
    )
    if body.maps:
        context.cite("ahri-540", "dabiri-rice")
    found = core.assess(body.refrigerant, read(context, body), machine)
    for note in found.notes:
        context.assume(text(note))
    return CompressionAnswer(result=_result(context, body, found), **context.notes())


def read(context: RequestContext, body: CompressionRequest) -> core.Readings:
    """The readings of a request in SI."""
    optional = context.read_optional
    return core.Readings(
        suction_pressure=context.read(body.suction_pressure, "suction_pressure", *PRESSURES, GAUGE),
        discharge_pressure=context.read(body.discharge_pressure, "discharge_pressure", *PRESSURES, GAUGE),
        suction_temperature=optional(body.suction_temperature, "suction_temperature", *TEMPERATURES, PIPE),
        discharge_temperature=optional(body.discharge_temperature, "discharge_temperature", *TEMPERATURES, HOT),
        mass_flow=optional(body.mass_flow, "mass_flow", *MASS_FLOWS, "mass-flow-meter"),
        power=optional(body.power, "power", *POWERS, "power-meter"),
        displacement=optional(body.displacement, "displacement", *DISPLACEMENTS, "displacement"),
        speed=optional(body.speed, "speed", *SPEEDS, "speed-display"),
    )


def _map(context: RequestContext, body: CompressionRequest, k: int) -> PerformanceMap:
    given, field = body.maps[k], f"maps.{k}"
    superheat = context.read_optional(given.rating_superheat, f"{field}.rating_superheat", *DIFFERENCES)
    temperature = context.read_optional(
        given.rating_suction_temperature, f"{field}.rating_suction_temperature", *TEMPERATURES
    )
    return PerformanceMap(
        quantity=given.quantity,
        coefficients=tuple(given.coefficients),
        scale=given.temperature_unit,
        si_per_unit=dimensions()[given.dimension].units[given.unit].factor,
        rating_superheat=superheat.value if superheat else None,
        rating_suction_temperature=temperature.value if temperature else None,
        limits=_limits(context, given, field),
    )


def _limits(context: RequestContext, given: PublishedMap, field: str) -> Limits:
    def ends(found: TemperatureRange | None, name: str) -> tuple[float, float] | None:
        if found is None:
            return None
        low, high = ((q, f"{field}.{name}.{end}") for q, end in ((found.low, "low"), (found.high, "high")))
        return context.read(*low, *TEMPERATURES).value, context.read(*high, *TEMPERATURES).value

    return Limits(ends(given.evaporating_range, "evaporating_range"), ends(given.condensing_range, "condensing_range"))


def _result(context: RequestContext, body: CompressionRequest, found: core.Assessment) -> CompressionResult:
    n, show = found.numbers, context.show_optional
    return CompressionResult(
        refrigerant=body.refrigerant,
        verdict=found.verdict.verdict,
        reasons=[_reason(context, r) for r in found.verdict.reasons],
        pressure_ratio=Ratio.of(n.pressure_ratio),
        pressure_difference=context.show(PressureDifference, n.pressure_difference),
        suction_dew_temperature=context.show(Temperature, n.evaporating_temperature),
        discharge_dew_temperature=show(Temperature, n.condensing_dew_temperature),
        discharge_bubble_temperature=show(Temperature, n.condensing_bubble_temperature),
        suction_superheat=show(TemperatureDifference, n.suction_superheat),
        discharge_superheat=show(TemperatureDifference, n.discharge_superheat),
        isentropic_discharge_temperature=show(Temperature, n.isentropic_discharge_temperature),
        expected_discharge_temperature=show(Temperature, n.expected_discharge_temperature),
        discharge_above_expected=show(TemperatureDifference, n.discharge_excess),
        discharge_above_isentropic=show(TemperatureDifference, n.discharge_above_ideal),
        isentropic_efficiency=Ratio.of_optional(n.isentropic_efficiency),
        power_efficiency=Ratio.of_optional(n.power_efficiency),
        volumetric_efficiency=Ratio.of_optional(n.volumetric_efficiency),
        estimated_mass_flow=show(MassFlow, n.estimated_mass_flow),
        shell_loss=Ratio.of_optional(n.shell_loss),
        maps=[_map_result(context, m.quantity, found) for m in body.maps],
    )


def _reason(context: RequestContext, reason: Reason) -> VerdictReason:
    def shown(value: Measured) -> Ratio | TemperatureDifference:
        return context.show(TemperatureDifference, value) if reason.id in _IN_KELVIN else Ratio.of(value)

    return VerdictReason(
        id=reason.id,
        favours=reason.favours,
        text=text(reason.id),
        value=None if reason.value is None else shown(reason.value),
        limit=None if reason.limit is None else shown(Measured(reason.limit)),
    )


def _map_result(context: RequestContext, quantity: Quantity, found: core.Assessment) -> MapResult:
    n = found.numbers
    shares = {"mass_flow": n.mass_flow_share, "power": n.power_share}
    return MapResult(
        quantity=quantity,
        mass_flow=context.show_optional(MassFlow, n.map_mass_flow if quantity == "mass_flow" else None),
        power=context.show_optional(Power, n.map_power if quantity == "power" else None),
        capacity=context.show_optional(Capacity, n.map_capacity if quantity == "capacity" else None),
        current=context.show_optional(Current, n.map_current if quantity == "current" else None),
        measured_share=Ratio.of_optional(shares.get(quantity)),
        range=found.coverage.get(quantity, "not stated"),
    )
