"""POST /v1/cycle and /v1/cycle/diagram."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Header
from starlette.responses import Response

from witnessmark.api.accepting import chosen
from witnessmark.api.context import RequestContext
from witnessmark.api.problems import documented
from witnessmark.api.quantities import (
    Capacity,
    Density,
    MassFlow,
    Power,
    Pressure,
    PressureDifference,
    Quantity,
    SpecificEnergy,
    SpecificEntropy,
    Temperature,
    TemperatureDifference,
    VolumeFlow,
    VolumetricCapacity,
)
from witnessmark.api.routes.reading_ranges import (
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
from witnessmark.api.schemas import cycle as wire
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.slow_work import apart
from witnessmark.calculations.circuit import cycle as core
from witnessmark.calculations.circuit import diagram
from witnessmark.calculations.compressor.compressor_types import compressor_type
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.reconciliation import Assumption, Residual
from witnessmark.calculations.metrology.uncertainty import Measured

router = version_one("calculations")
SVG, PNG = "image/svg+xml", "image/png"
_READINGS = {
    "suction_pressure": (PRESSURES, GAUGE),
    "discharge_pressure": (PRESSURES, GAUGE),
    "evaporating_temperature": (TEMPERATURES, PIPE),
    "condensing_temperature": (TEMPERATURES, PIPE),
    "suction_temperature": (TEMPERATURES, PIPE),
    "discharge_temperature": (TEMPERATURES, HOT),
    "liquid_temperature": (TEMPERATURES, PIPE),
    "mass_flow": (MASS_FLOWS, "mass-flow-meter"),
    "power": (POWERS, "power-meter"),
    "cooling_capacity": (POWERS, "capacity-estimate"),
    "heating_capacity": (POWERS, "capacity-estimate"),
    "displacement": (DISPLACEMENTS, "displacement"),
    "speed": (SPEEDS, "speed-display"),
}
_ERRORS: dict[str, type[Quantity]] = {
    "suction_pressure": PressureDifference,
    "discharge_pressure": PressureDifference,
    "mass_flow": MassFlow,
    "power": Power,
    "cooling_capacity": Capacity,
    "heating_capacity": Capacity,
    "swept_flow": VolumeFlow,
    "superheat": TemperatureDifference,
    "subcooling": TemperatureDifference,
}
_PICTURES: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The picture; `Accept: image/png` gives it as pixels.",
        "content": {SVG: {"schema": {"type": "string"}}, PNG: {"schema": {"type": "string", "format": "binary"}}},
    }
}


@calculation(router, "/cycle", "The whole cycle from whatever readings there are", responses=documented("unavailable"))
async def cycle(body: wire.CycleRequest) -> wire.CycleAnswer:
    """State points, capacity per volume, COP, and which reading contradicts the others, if the data can tell.

    All readings are fitted at once, each weighted by its uncertainty; usual values stand in for what was not read.
    """
    context = RequestContext.of(body)
    found = await apart(_solved, context, body)
    return wire.CycleAnswer(result=_result(context, body.refrigerant, found), **context.notes())


@calculation(
    router,
    "/cycle/diagram",
    "The cycle as a pressure-enthalpy picture",
    responses={**_PICTURES, **documented("not-acceptable", "unavailable")},
    response_class=Response,
)
async def cycle_diagram(
    body: wire.CycleRequest, accept: Annotated[str, Header(include_in_schema=False)] = "*/*"
) -> Response:
    """Dome, isotherms, isentropes, the cycle and its uncertainty, as SVG or (by Accept) PNG.

    Assumptions, cautions and sources stand in the metadata of the picture.
    """
    kind = chosen(accept, (SVG, PNG))
    context = RequestContext.of(body)
    found = await apart(_solved, context, body)
    form: diagram.Format = "png" if kind == PNG else "svg"
    picture = await apart(diagram.draw, body.refrigerant, found, form, body.report_in, _about(context))
    return Response(picture, media_type=kind, headers={"vary": "Accept"})


def _solved(context: RequestContext, body: wire.CycleRequest) -> core.Cycle:
    context.cite("coolprop", "first-law", "data-snooping", compressor_type(body.compressor_type).source)
    context.warn("licensed", "running-readings", "cycle-is-a-snapshot")
    found = core.solve(body.refrigerant, _read(context, body), body.compressor_type)
    for note in found.notes:
        context.assume(text(note))
    return found


def _read(context: RequestContext, body: wire.CycleRequest) -> core.Readings:
    read: dict[str, Measured | None] = {
        name: context.read_optional(getattr(body, name), name, *limits, instrument)
        for name, (limits, instrument) in _READINGS.items()
    }
    return core.Readings(**read)


def _about(context: RequestContext) -> diagram.About:
    notes = context.notes()
    said = [*notes["assumptions"], *(c.text for c in notes["cautions"])]
    return diagram.About("\n".join(said), "\n".join(s.citation for s in notes["sources"]))


def _result(context: RequestContext, refrigerant: str, found: core.Cycle) -> wire.CycleResult:
    suspicion = found.suspicion
    return wire.CycleResult(
        refrigerant=refrigerant,
        points=[_point(context, p) for p in found.points],
        numbers=_numbers(context, found.numbers),
        contradiction=wire.Contradiction(
            verdict=suspicion.verdict,
            meaning=text(suspicion.verdict.replace(" ", "-")),
            probability=round(found.probability, 6),
            suspects=[_check(context, r) for r in suspicion.suspects],
        ),
        corrected=None if found.corrected is None else _numbers(context, found.corrected),
        checks=[_check(context, r) for r in found.residuals],
    )


def _point(context: RequestContext, point: core.Point) -> wire.CyclePoint:
    state = point.state
    return wire.CyclePoint(
        name=point.name,
        pressure=context.show(Pressure, point.pressure),
        temperature=context.show(Temperature, point.temperature),
        enthalpy=context.show(SpecificEnergy, point.enthalpy),
        entropy=context.show(SpecificEntropy, state.entropy),
        density=context.show(Density, state.density),
        quality=None if state.quality is None else round(state.quality, 6),
        phase=state.phase,
    )


def _numbers(context: RequestContext, n: core.Numbers) -> wire.CycleNumbers:
    show, maybe = context.show, context.show_optional
    return wire.CycleNumbers(
        pressure_ratio=Ratio.of(n.pressure_ratio),
        suction_dew_temperature=show(Temperature, n.suction_dew_temperature),
        discharge_bubble_temperature=maybe(Temperature, n.discharge_bubble_temperature),
        discharge_dew_temperature=maybe(Temperature, n.discharge_dew_temperature),
        superheat=show(TemperatureDifference, n.superheat),
        subcooling=maybe(TemperatureDifference, n.subcooling),
        discharge_superheat=maybe(TemperatureDifference, n.discharge_superheat),
        efficiency=Ratio.of(n.efficiency),
        work=show(SpecificEnergy, n.work),
        refrigerating_effect=show(SpecificEnergy, n.refrigerating_effect),
        heat_rejected=show(SpecificEnergy, n.heat_rejected),
        cooling_cop=Ratio.of(n.cooling_cop),
        heating_cop=Ratio.of(n.heating_cop),
        volumetric_capacity=show(VolumetricCapacity, n.volumetric_capacity),
        evaporator_inlet_quality=Ratio.of(n.evaporator_inlet_quality),
        mass_flow=maybe(MassFlow, n.mass_flow),
        power=maybe(Power, n.power),
        cooling_capacity=maybe(Capacity, n.cooling_capacity),
        heating_capacity=maybe(Capacity, n.heating_capacity),
        volumetric_efficiency=Ratio.of_optional(n.volumetric_efficiency),
    )


def _check(context: RequestContext, residual: Residual) -> wire.ReadingCheck:
    return wire.ReadingCheck(
        reading=residual.observation.name,
        assumed=isinstance(residual.observation, Assumption),
        error=_error(context, residual),
        normalised=round(residual.normalised, 4),
        redundancy=round(min(1.0, residual.redundancy), 6),
    )


def _error(context: RequestContext, residual: Residual) -> Any:
    """The error in the kind of its reading: temperatures as differences, assumed fractions as ratios."""
    name = residual.observation.name
    if not residual.redundancy:
        return None
    if name.endswith("_temperature"):
        return context.show(TemperatureDifference, residual.error)
    kind = _ERRORS.get(name)
    return Ratio.of(Measured(residual.error)) if kind is None else context.show(kind, residual.error)
