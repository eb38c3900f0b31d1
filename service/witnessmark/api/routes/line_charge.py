"""POST /v1/line-charge."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Mass
from witnessmark.api.results import result
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.bore import bore_of
from witnessmark.api.schemas.estimated import read_ratio_optional
from witnessmark.api.schemas.line_charge import (
    LineChargeAnswer,
    LineChargeRequest,
    LineChargeResult,
    LineSegment,
    LineSegmentResult,
    OilTopUpResult,
    PublishedAdder,
)
from witnessmark.calculations.circuit import line_charge as core
from witnessmark.calculations.circuit.charge_rules import RULES, Adder, AdderLine, oil_top_up, published
from witnessmark.calculations.circuit.tubes import Tube
from witnessmark.calculations.compressor.wording import text
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
    segments = [segment for segment, _ in read]
    charges = core.line_charge(body.refrigerant, segments, flow)
    if catalogue.get(body.refrigerant).extrapolates(*map(core.gas_temperature, segments)):
        context.assume(text("extrapolated"))
    pairs = zip(charges.segments, read, strict=True)
    shown = LineChargeResult(
        refrigerant=body.refrigerant,
        segments=[_segment(context, body.refrigerant, charge, asked) for charge, asked in pairs],
        total=context.show(Mass, charges.total),
        oil_top_up=_oil(context, body, segments),
    )
    return LineChargeAnswer(result=shown, **context.notes())


def _read(context: RequestContext, run: LineSegment, field: str) -> tuple[core.Segment, Tube | None]:
    bore, tube = bore_of(context, run, field)
    content = core.Content(
        run.phase,
        context.read_optional(run.temperature, f"{field}.temperature", *TEMPERATURES, "pipe-thermometer"),
        context.read_optional(run.pressure, f"{field}.pressure", *PRESSURES, "pressure-gauge-digital"),
        read_ratio_optional(run.quality),
    )
    length = context.read(run.length, f"{field}.length", *core.LENGTHS, "tape-measure")
    rise = context.read_optional(run.rise, f"{field}.rise", *core.RISES)
    return core.Segment(bore, length, content, rise or core.LEVEL), tube


def _segment(
    context: RequestContext, refrigerant: str, charge: core.SegmentCharge, asked: tuple[core.Segment, Tube | None]
) -> LineSegmentResult:
    segment, tube = asked
    if segment.content.phase == "two-phase":
        context.cite(RULES().slip.source)
    line: AdderLine = "suction" if segment.content.phase == "vapour" else "liquid"
    printed = () if tube is None else published(refrigerant, tube.outside, line)
    adders = [_adder(context, adder, charge) for adder in printed]
    return result(context, LineSegmentResult, charge, published_adders=adders)


def _adder(context: RequestContext, adder: Adder, charge: core.SegmentCharge) -> PublishedAdder:
    context.cite(adder.source)
    over = float(f"{adder.per_length / charge.per_length.value:.4g}")
    return result(context, PublishedAdder, adder, over_computed=over)


def _oil(context: RequestContext, body: LineChargeRequest, segments: list[core.Segment]) -> OilTopUpResult | None:
    charge = context.read_optional(body.charge, "charge", *CHARGES)
    if charge is None:
        return None
    top_up = oil_top_up(charge.value, core.longest_line(segments))
    context.cite(top_up.source)
    return result(context, OilTopUpResult, top_up)
