"""POST /v1/line-charge."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import (
    Density,
    LinearDensity,
    Mass,
    PressureDifference,
    TemperatureDifference,
    Velocity,
)
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.bore import bore_of
from witnessmark.api.schemas.estimated import Estimated, read_ratio_optional, shown, shown_optional
from witnessmark.api.schemas.line_charge import (
    LineChargeAnswer,
    LineChargeRequest,
    LineChargeResult,
    LineSegment,
    LineSegmentResult,
    OilTopUpResult,
    PublishedAdder,
)
from witnessmark.calculations.circuit import charge_rules as adders
from witnessmark.calculations.circuit import line_charge as core
from witnessmark.calculations.circuit.tubes import Tube
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import catalogue

router = version_one("calculations")
PRESSURES, TEMPERATURES = (0.0, 1e9), (0.0, 5000.0)
CHARGES = (0.0, 1e6)


@calculation(router, "/line-charge", "Refrigerant that stands in runs of pipe")
async def line_charge(body: LineChargeRequest) -> LineChargeAnswer:
    """Charge per length and in all by bore and state, velocity, what a rise costs, and what manuals print beside it."""
    context = RequestContext.of(body)
    context.cite("coolprop")
    context.warn("licensed", "weigh-charge")
    read = [_read(context, segment, f"segments.{k}") for k, segment in enumerate(body.segments)]
    flow = context.read_optional(body.mass_flow, "mass_flow", *core.FLOWS, "mass-flow-meter")
    found = core.line_charge(body.refrigerant, [segment for segment, _ in read], flow)
    if catalogue.get(body.refrigerant).extrapolates(*(_gas_temperature(segment) for segment, _ in read)):
        context.assume(text("extrapolated"))
    pairs = zip(found.segments, read, strict=True)
    result = LineChargeResult(
        refrigerant=body.refrigerant,
        segments=[_segment(context, body, made, (asked, tube)) for made, (asked, tube) in pairs],
        total=context.show(Mass, found.total),
        oil_top_up=_oil(context, body, [segment for segment, _ in read]),
    )
    return LineChargeAnswer(result=result, **context.notes())


def _gas_temperature(segment: core.Segment) -> float | None:
    temperature = segment.content.temperature
    return temperature.value if temperature is not None and segment.content.phase == "vapour" else None


def _read(context: RequestContext, given: LineSegment, field: str) -> tuple[core.Segment, Tube | None]:
    bore, tube = bore_of(context, given, field)
    content = core.Content(
        given.phase,
        context.read_optional(given.temperature, f"{field}.temperature", *TEMPERATURES, "pipe-thermometer"),
        context.read_optional(given.pressure, f"{field}.pressure", *PRESSURES, "pressure-gauge-digital"),
        read_ratio_optional(given.quality),
    )
    length = context.read(given.length, f"{field}.length", *core.LENGTHS, "tape-measure")
    rise = context.read_optional(given.rise, f"{field}.rise", *core.RISES)
    return core.Segment(bore, length, content, rise or core.LEVEL), tube


def _segment(
    context: RequestContext, body: LineChargeRequest, made: core.SegmentCharge, asked: tuple[core.Segment, Tube | None]
) -> LineSegmentResult:
    segment, tube = asked
    if segment.content.phase == "two-phase":
        context.cite(adders.data()["slip"]["source"])
    return LineSegmentResult(
        density=shown(context, Estimated[Density], made.density, "density"),
        per_length=shown(context, Estimated[LinearDensity], made.per_metre, "per_length"),
        charge=shown(context, Estimated[Mass], made.mass, "charge"),
        velocity=shown_optional(context, Estimated[Velocity], made.velocity, "velocity"),
        static_pressure=shown_optional(context, Estimated[PressureDifference], made.static_pressure, "static_pressure"),
        subcooling_lost=shown_optional(
            context, Estimated[TemperatureDifference], made.subcooling_lost, "subcooling_lost"
        ),
        published_adders=[] if tube is None else _published(context, body.refrigerant, segment, made, tube),
    )


def _published(
    context: RequestContext, refrigerant: str, segment: core.Segment, made: core.SegmentCharge, tube: Tube
) -> list[PublishedAdder]:
    line: adders.Line = "suction" if segment.content.phase == "vapour" else "liquid"
    found = adders.published(refrigerant, tube.outside, line)
    context.cite(*(a.source for a in found))
    return [
        PublishedAdder(
            size=a.size,
            expansion=a.expansion,
            per_length=context.show(LinearDensity, a.per_metre),
            over_computed=float(f"{a.per_metre / made.per_metre.value:.4g}"),
            source=a.source,
        )
        for a in found
    ]


def _oil(context: RequestContext, body: LineChargeRequest, segments: list[core.Segment]) -> OilTopUpResult | None:
    """By the longest line that carries liquid, which runs beside the suction line."""
    charge = context.read_optional(body.charge, "charge", *CHARGES)
    if charge is None:
        return None
    longest = max(_run(segments, vapour) for vapour in (False, True))
    found = adders.oil_top_up(charge.value, longest)
    context.cite(found.source)
    low, high = (context.show(Mass, Measured(x)) for x in (found.low, found.high))
    return OilTopUpResult(low=low, high=high, source=found.source)


def _run(segments: list[core.Segment], vapour: bool) -> float:  # noqa: FBT001 - one of two lines
    return sum(s.length.value for s in segments if (s.content.phase == "vapour") == vapour)
