"""POST /v1/cycle and /v1/cycle/diagram."""

from __future__ import annotations

from dataclasses import fields
from typing import Annotated, Any

from fastapi import Header
from starlette.responses import Response

from witnessmark import heavy
from witnessmark.api.accepting import chosen
from witnessmark.api.context import RequestContext
from witnessmark.api.problems import documented
from witnessmark.api.quantities import (
    Capacity,
    MassFlow,
    Power,
    PressureDifference,
    Quantity,
    TemperatureDifference,
    VolumeFlow,
)
from witnessmark.api.routes.reading_ranges import read
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import cycle as wire
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.compressor.compressor_types import LIMITS, compressor_type, heads_may_be_cooled
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.cycle import cycle as core
from witnessmark.calculations.cycle.about_diagram import About, PictureFormat
from witnessmark.calculations.metrology.reconciliation import Assumption, Residual
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import catalogue

router = version_one("calculations")
SVG, PNG = "image/svg+xml", "image/png"
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


@calculation(router, "/cycle", "The whole cycle from whatever readings there are")
def cycle(body: wire.CycleRequest) -> wire.CycleAnswer:
    """State points, capacity per volume, COP, and which reading contradicts the others, if the data can tell.

    All readings are fitted at once, each weighted by its uncertainty; usual values stand in for what was not read.
    """
    context = RequestContext.of(body)
    fitted = solved(context, body)
    return wire.CycleAnswer(result=_result(context, body.refrigerant, fitted), **context.notes())


@calculation(
    router,
    "/cycle/diagram",
    "The cycle as a pressure-enthalpy picture",
    responses={**_PICTURES, **documented("not-acceptable")},
    response_class=Response,
)
def cycle_diagram(body: wire.CycleRequest, accept: Annotated[str, Header(include_in_schema=False)] = "*/*") -> Response:
    """Dome, isotherms, isentropes, the cycle and its uncertainty, as SVG or (by Accept) PNG.

    Assumptions, cautions and sources stand in the metadata of the picture.
    """
    kind = chosen(accept, (SVG, PNG))
    context = RequestContext.of(body)
    fitted = solved(context, body)
    heavy.ask()
    from witnessmark.calculations.cycle import diagram  # noqa: PLC0415 - where pictures are drawn alone

    form: PictureFormat = "png" if kind == PNG else "svg"
    picture = diagram.draw(body.refrigerant, fitted, form, context.system, about(context))
    return Response(picture, media_type=kind, headers={"vary": "Accept"})


def solved(context: RequestContext, body: wire.CycleRequest) -> core.Cycle:
    """The cycle of a request. Raises InputError and its kinds."""
    context.cite("coolprop", "first-law", "data-snooping", compressor_type(body.compressor).source)
    if heads_may_be_cooled(body.refrigerant, body.compressor, body.cooling):
        context.cite(LIMITS().cooled_heads.share_source)
    context.warn("licensed", "running-readings", "cycle-is-a-snapshot", *catalogue.get(body.refrigerant).doubts)
    readings = core.CycleReadings(**read(context, body, [f.name for f in fields(core.CycleReadings)]))
    fitted = core.solve(body.refrigerant, readings, body.compressor, body.cooling)
    for note in fitted.notes:
        context.assume(text(note))
    return fitted


def about(context: RequestContext) -> About:
    """What the picture says of itself."""
    air = context.air_pressure()
    notes = context.notes()
    lines = [*notes["assumptions"], *(c.text for c in notes["cautions"])]
    return About("\n".join(lines), "\n".join(s.citation for s in notes["sources"]), air)


def _result(context: RequestContext, refrigerant: str, cycle: core.Cycle) -> wire.CycleResult:
    suspicion = cycle.suspicion
    return context.result(
        wire.CycleResult,
        cycle,
        refrigerant=refrigerant,
        contradiction=wire.ReadingContradiction(
            verdict=suspicion.verdict,
            meaning=text(suspicion.verdict.replace(" ", "-")),
            probability=round(cycle.probability, 6),
            suspects=[_check(context, residual) for residual in suspicion.suspects],
        ),
        checks=[_check(context, residual) for residual in cycle.residuals],
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
