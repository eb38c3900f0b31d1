"""POST /v1/cycle and /v1/cycle/diagram."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Header
from starlette.responses import Response

from witnessmark.api.accepting import chosen
from witnessmark.api.desk import Desk
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
from witnessmark.calculations import cycle as core
from witnessmark.calculations import diagram
from witnessmark.calculations.compressor_types import compressor_type
from witnessmark.calculations.reconciliation import Assumption, Residual
from witnessmark.calculations.uncertainty import Measured
from witnessmark.calculations.wording import text

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
    desk = Desk.of(body)
    found = await apart(_solved, desk, body)
    return wire.CycleAnswer(result=_result(desk, body.refrigerant, found), **desk.notes())


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
    desk = Desk.of(body)
    found = await apart(_solved, desk, body)
    form: diagram.Format = "png" if kind == PNG else "svg"
    picture = await apart(diagram.draw, body.refrigerant, found, form, body.report_in, _about(desk))
    return Response(picture, media_type=kind, headers={"vary": "Accept"})


def _solved(desk: Desk, body: wire.CycleRequest) -> core.Cycle:
    desk.cite("coolprop", "first-law", "data-snooping", compressor_type(body.compressor_type).source)
    desk.warn("licensed", "running-readings", "cycle-is-a-snapshot")
    found = core.solve(body.refrigerant, _read(desk, body), body.compressor_type)
    for note in found.notes:
        desk.assume(text(note))
    return found


def _read(desk: Desk, body: wire.CycleRequest) -> core.Readings:
    read: dict[str, Measured | None] = {
        name: desk.read_optional(getattr(body, name), name, *limits, instrument)
        for name, (limits, instrument) in _READINGS.items()
    }
    return core.Readings(**read)


def _about(desk: Desk) -> diagram.About:
    notes = desk.notes()
    said = [*notes["assumptions"], *(c.text for c in notes["cautions"])]
    return diagram.About("\n".join(said), "\n".join(s.citation for s in notes["sources"]))


def _result(desk: Desk, refrigerant: str, found: core.Cycle) -> wire.CycleResult:
    suspicion = found.suspicion
    return wire.CycleResult(
        refrigerant=refrigerant,
        points=[_point(desk, p) for p in found.points],
        numbers=_numbers(desk, found.numbers),
        contradiction=wire.Contradiction(
            verdict=suspicion.verdict,
            meaning=text(suspicion.verdict.replace(" ", "-")),
            probability=round(found.probability, 6),
            suspects=[_check(desk, r) for r in suspicion.suspects],
        ),
        corrected=None if found.corrected is None else _numbers(desk, found.corrected),
        checks=[_check(desk, r) for r in found.residuals],
    )


def _point(desk: Desk, point: core.Point) -> wire.CyclePoint:
    state = point.state
    return wire.CyclePoint(
        name=point.name,
        pressure=desk.show(Pressure, point.pressure),
        temperature=desk.show(Temperature, point.temperature),
        enthalpy=desk.show(SpecificEnergy, point.enthalpy),
        entropy=desk.show(SpecificEntropy, state.entropy),
        density=desk.show(Density, state.density),
        quality=None if state.quality is None else round(state.quality, 6),
        phase=state.phase,
    )


def _numbers(desk: Desk, n: core.Numbers) -> wire.CycleNumbers:
    show, maybe = desk.show, desk.show_optional
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


def _check(desk: Desk, residual: Residual) -> wire.ReadingCheck:
    return wire.ReadingCheck(
        reading=residual.observation.name,
        assumed=isinstance(residual.observation, Assumption),
        error=_error(desk, residual),
        normalised=round(residual.normalised, 4),
        redundancy=round(min(1.0, residual.redundancy), 6),
    )


def _error(desk: Desk, residual: Residual) -> Any:
    """The error in the kind of its reading: temperatures as differences, assumed fractions as ratios."""
    name = residual.observation.name
    if not residual.redundancy:
        return None
    if name.endswith("_temperature"):
        return desk.show(TemperatureDifference, residual.error)
    kind = _ERRORS.get(name)
    return Ratio.of(Measured(residual.error)) if kind is None else desk.show(kind, residual.error)
