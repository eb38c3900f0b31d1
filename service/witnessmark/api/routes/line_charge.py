"""POST /v1/line-charge."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import reading, taken
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.bore import bore_of
from witnessmark.api.schemas.line_charge import (
    LineChargeAnswer,
    LineChargeRequest,
    LineSegment,
    LineSegmentResult,
    PublishedAdder,
)
from witnessmark.calculations.circuit import line_charge as core
from witnessmark.calculations.circuit.charge_rules import RULES, Adder, AdderLine, OilTopUp, oil_top_up, published
from witnessmark.calculations.circuit.tubes import Tube
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import catalogue

router = version_one("calculations")


@calculation(router, "/line-charge", "Refrigerant that stands in runs of pipe")
def line_charge(body: LineChargeRequest) -> LineChargeAnswer:
    """Charge per length and in all by bore and state, velocity, what a rise costs, and what manuals print beside it."""
    context = RequestContext.of(body)
    context.cite("coolprop")
    context.warn("licensed", "weigh-charge", *catalogue.get(body.refrigerant).doubts)
    read = [_read(context, segment, f"segments.{k}") for k, segment in enumerate(body.segments)]
    segments = [segment for segment, _ in read]
    charges = core.line_charge(body.refrigerant, segments, reading(context, body, "mass_flow"))
    if catalogue.get(body.refrigerant).extrapolates(*map(core.gas_temperature, segments)):
        context.assume(text("extrapolated"))
    pairs = zip(charges.segments, read, strict=True)
    shown = [_segment(context, body.refrigerant, charge, *asked) for charge, asked in pairs]
    oil = _oil(context, reading(context, body, "charge"), segments)
    return context.answer(LineChargeAnswer, charges, refrigerant=body.refrigerant, segments=shown, oil_top_up=oil)


def _read(context: RequestContext, run: LineSegment, field: str) -> tuple[core.Segment, Tube | None]:
    bore, tube = bore_of(context, run, field)
    content = taken(context, core.Content, run, f"{field}.")
    return taken(context, core.Segment, run, f"{field}.", bore=bore, content=content), tube


def _segment(
    context: RequestContext, refrigerant: str, charge: core.SegmentCharge, segment: core.Segment, tube: Tube | None
) -> LineSegmentResult:
    if segment.content.phase == "two-phase":
        context.cite(RULES().slip.source)
    line: AdderLine = "suction" if segment.content.phase == "vapour" else "liquid"
    printed = () if tube is None else published(refrigerant, tube.outside, line)
    adders = [_adder(context, adder, charge) for adder in printed]
    return context.result(LineSegmentResult, charge, published_adders=adders)


def _adder(context: RequestContext, adder: Adder, charge: core.SegmentCharge) -> PublishedAdder:
    context.cite(adder.source)
    over = float(f"{adder.per_length / charge.per_length.value:.4g}")
    return context.result(PublishedAdder, adder, over_computed=over)


def _oil(context: RequestContext, charge: Measured | None, segments: list[core.Segment]) -> OilTopUp | None:
    if charge is None:
        return None
    top_up = oil_top_up(charge.value, core.longest_line(segments))
    context.cite(top_up.source)
    return top_up
