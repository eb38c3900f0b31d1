"""POST /v1/accumulator."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import taken
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.accumulator import AccumulatorAnswer, AccumulatorRequest
from witnessmark.calculations.compressor import accumulator as core
from witnessmark.calculations.compressor.accumulator_rules import RULES
from witnessmark.refrigerants import catalogue

router = version_one("calculations")


@calculation(router, "/accumulator", "How a suction accumulator fills, overflows and carries over")
def accumulator(body: AccumulatorRequest) -> AccumulatorAnswer:
    """Holding mass against the published rule, level over time, time to overflow, carry-over on the ramp back."""
    context = RequestContext.of(body)
    context.cite("coolprop", RULES().half_charge.source)
    context.warn("licensed", "accumulator-no-cure", "no-start-when-wet", *catalogue.get(body.refrigerant).doubts)
    case = _case(context, body)
    _cite(context, case)
    filling = core.accumulator(case)
    if filling.sizing.required is not None:
        context.cite(filling.sizing.required.source)
    return context.answer(AccumulatorAnswer, filling, refrigerant=body.refrigerant)


def _case(context: RequestContext, body: AccumulatorRequest) -> core.AccumulatorCase:
    back = taken(context, core.WetReturn, body.wet_return, "wet_return.", refrigerant=body.refrigerant)
    return taken(context, core.AccumulatorCase, body, wet_return=back)


def _cite(context: RequestContext, case: core.AccumulatorCase) -> None:
    """Name the estimates that the case makes use of."""
    rules, carries_over = RULES(), case.ramp is not None and case.vessel.diameter is not None
    used = (
        (rules.oil_hole.source, case.vessel.oil_hole is not None),
        (rules.mixing.source, case.wet_return.superheated_flow.value > 0),
        (rules.swelling.source, carries_over),
        (rules.drops.source, carries_over),
    )
    context.cite(*(source for source, needed in used if needed))
