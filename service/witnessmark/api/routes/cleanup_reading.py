"""From the request of POST /v1/cleanup/plan to the planner's case."""

from __future__ import annotations

from datetime import datetime

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.sample_items import exact, optional_sample
from witnessmark.api.schemas import cleanup as wire
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.cleanup import case as core
from witnessmark.cleanup import filters, turnover
from witnessmark.cleanup.contaminants import koh_equivalent
from witnessmark.cleanup.drop_limits import LARGEST_LIMIT
from witnessmark.cleanup.quantities import MASSES
from witnessmark.cleanup.severity import Signs
from witnessmark.errors import InputError, located

TEMPERATURES = (0.0, 5000.0)
SUPERHEATS = (0.0, 60.0)
DROPS = (1.0, LARGEST_LIMIT)
CAPACITIES = (1e-6, 10.0)
WATER = oil_quality.RANGES["water"]
ACID = oil_quality.RANGES["acid_number"]
RATED_VAPOUR, RATED_LIQUID = 258.15, 303.15
"""Rating temperatures of liquid-line driers, K: 5 °F saturated vapour, 86 °F liquid (AHRI 710, Table 4)."""


def read(context: RequestContext, body: wire.CleanupPlanRequest) -> core.CleanupCase:
    """The case; every reading in SI, its field named as it stands in the request."""
    circuit = _circuit(context, body)
    return core.CleanupCase(
        circuit=circuit,
        signs=_signs(context, body),
        start=moment(body.start),
        time_zone=body.time_zone,
        installation=body.installation,
        oil=_oil(context, body.oil),
        ratings=tuple(_rating(context, circuit, index, rated) for index, rated in enumerate(body.filters)),
        maker_drop=_value(context.read_optional(body.maker_limits.suction_drop, "maker_limits.suction_drop", *DROPS)),
        maker_liquid_drop=_value(
            context.read_optional(body.maker_limits.liquid_drop, "maker_limits.liquid_drop", *DROPS)
        ),
    )


def moment(text: str, field: str = "start") -> datetime:
    """The date and time that the text stands for; InputError where the calendar has no such day or hour."""
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise InputError(field, "no such date or time", "a date of the calendar and a time of day") from None


def _value(reading: Measured | None) -> float | None:
    return None if reading is None else reading.value


def _circuit(context: RequestContext, body: wire.CleanupPlanRequest) -> core.Circuit:
    liquid = context.read_optional(body.liquid_temperature, "liquid_temperature", *TEMPERATURES)
    return core.Circuit(
        refrigerant=body.refrigerant,
        evaporating=context.read(body.evaporating_temperature, "evaporating_temperature", *TEMPERATURES).value,
        plant=body.plant,
        can_lock=body.can_lock,
        compressors=body.compressors,
        charge=_value(context.read_optional(body.charge, "charge", *turnover.CHARGES)),
        mass_flow=_value(context.read_optional(body.mass_flow, "mass_flow", *turnover.FLOWS)),
        capacity=_value(context.read_optional(body.capacity, "capacity", *turnover.CAPACITIES)),
        liquid=_value(liquid),
        superheat=_value(context.read_optional(body.suction_superheat, "suction_superheat", *SUPERHEATS)),
        parts=None if body.parts is None else tuple(body.parts),
        water_in_refrigerant=_value(context.read_optional(body.refrigerant_water, "refrigerant_water", *WATER)),
    )


def _signs(context: RequestContext, body: wire.CleanupPlanRequest) -> Signs:
    oil, found = body.oil, body.teardown
    return Signs(
        oil=oil.type,
        acid_number=optional_sample(context, oil.acid_number, "oil.acid_number", ACID, "oil.acid_number"),
        acid_test=oil.acid_test,
        colour=None if oil.colour is None else exact(context, "oil.colour", oil.colour),
        water=optional_sample(context, oil.water, "oil.water", WATER, "oil.water"),
        smell=oil.smell,
        burn=found.burn,
        burnt_while_turning=found.burnt_while_turning,
        debris=frozenset(found.debris),
        dirt=frozenset(found.dirt),
        repeated=found.repeated_failure,
        maker_limits=maker_limits(context, body.maker_limits),
    )


def maker_limits(context: RequestContext, given: wire.MakerLimits) -> dict[oil_quality.OilProperty, float]:
    """The maker's limits of the oil that were given, SI."""
    found: dict[oil_quality.OilProperty, float | None] = {
        "acid_number": _value(context.read_optional(given.acid_number, "maker_limits.acid_number", *ACID)),
        "water": _value(context.read_optional(given.water, "maker_limits.water", *WATER)),
        "colour": given.colour,
    }
    return {quantity: limit for quantity, limit in found.items() if limit is not None}


def _oil(context: RequestContext, oil: wire.OilFindings) -> core.OilCharge:
    drained = context.read_optional(oil.drained_per_change, "oil.drained_per_change", 0.0, MASSES[1])
    return core.OilCharge(
        total=_value(context.read_optional(oil.charge, "oil.charge", *MASSES)),
        drained=_value(context.read_optional(oil.drained, "oil.drained", 0.0, MASSES[1])),
        drained_per_change=_value(drained),
    )


def _rating(context: RequestContext, circuit: core.Circuit, index: int, rated: wire.RatedFilter) -> filters.Rating:
    at = f"filters.{index}"
    refrigerant = rated.refrigerant or circuit.refrigerant
    evaporating, liquid = _rating_temperatures(context, circuit, at, rated)
    with located(
        evaporating_temperature=f"{at}.evaporating_temperature", liquid_temperature=f"{at}.liquid_temperature"
    ):
        density = _density(rated.line, refrigerant, evaporating, liquid)
        if rated.mass_flow is not None:
            flow = context.read(rated.mass_flow, f"{at}.mass_flow", *turnover.FLOWS).value
        else:
            flow = _flow_from_capacity(context, rated, at, refrigerant, (evaporating, liquid))
    return filters.Rating(
        line=rated.line,
        mass_flow=flow,
        drop=context.read(rated.drop, f"{at}.drop", *DROPS).value,
        density=density,
        water_capacity=_value(context.read_optional(rated.water_capacity, f"{at}.water_capacity", *CAPACITIES)),
        acid_capacity=_acid_capacity(context, rated.acid_capacity, f"{at}.acid_capacity.mass"),
    )


def _rating_temperatures(
    context: RequestContext, circuit: core.Circuit, at: str, rated: wire.RatedFilter
) -> tuple[float, float | None]:
    evaporating = _value(
        context.read_optional(rated.evaporating_temperature, f"{at}.evaporating_temperature", *TEMPERATURES)
    )
    liquid = _value(context.read_optional(rated.liquid_temperature, f"{at}.liquid_temperature", *TEMPERATURES))
    if rated.line == "liquid":
        context.cite("ahri-710")
        return evaporating or RATED_VAPOUR, liquid or RATED_LIQUID
    context.cite("ahri-730")
    return evaporating or circuit.evaporating, liquid or circuit.liquid


def _density(line: filters.Line, refrigerant: str, evaporating: float, liquid: float | None) -> float:
    if line == "liquid" and liquid is not None:
        return filters.liquid_density(refrigerant, liquid)
    return filters.suction_density(refrigerant, evaporating, 0.0)


def _flow_from_capacity(
    context: RequestContext,
    rated: wire.RatedFilter,
    at: str,
    refrigerant: str,
    temperatures: tuple[float, float | None],
) -> float:
    evaporating, liquid = temperatures
    if rated.capacity is None or liquid is None:
        raise InputError(f"{at}.liquid_temperature", "missing", "the liquid temperature of the rating")
    capacity = context.read(rated.capacity, f"{at}.capacity", *turnover.CAPACITIES).value
    return turnover.flow_from_capacity(refrigerant, capacity, evaporating, liquid)


def _acid_capacity(context: RequestContext, given: wire.AcidCapacity | None, field: str) -> float | None:
    if given is None:
        return None
    return koh_equivalent(context.read(given.mass, field, *CAPACITIES).value, given.acid)
