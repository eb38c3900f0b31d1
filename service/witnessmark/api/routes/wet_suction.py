"""POST /v1/wet-suction."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.reading_ranges import read_at_compressor
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.wet_suction import WetSuctionAnswer, WetSuctionRequest
from witnessmark.calculations.circuit.superheat import bands
from witnessmark.calculations.compressor import wet_suction as core
from witnessmark.calculations.compressor.compressor_types import LIMITS, compressor_type, heat_taken
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.metrology.uncertainty import figures
from witnessmark.refrigerants import catalogue

router = version_one("calculations")
_MEANING: dict[core.WetnessVerdict, str] = {"wet": "wet", "dry": "dry", "cannot tell": "wet-or-dry"}


@calculation(router, "/wet-suction", "How much liquid comes in with the suction gas")
def wet_suction(body: WetSuctionRequest) -> WetSuctionAnswer:
    """The suction quality that explains the discharge temperature, as an interval over the band of efficiency.

    "cannot tell" where the band covers dry gas as well.
    """
    context = RequestContext.of(body)
    context.cite("coolprop", "first-law")
    context.warn("licensed", *catalogue.get(body.refrigerant).doubts)
    band = None if body.efficiency is None else core.Interval(body.efficiency.low, body.efficiency.high)
    if band is None:
        context.cite(compressor_type(body.compressor).source)
        context.assume(f"Efficiency: the usual band of a sound compressor of {_type(body)}.")
    names = [f.name for f in fields(core.WetSuctionReadings)]
    readings = core.WetSuctionReadings(**read_at_compressor(context, body, names))  # type: ignore[arg-type] # three are there
    machine = core.WetSuctionMachine(band, body.compressor, body.cooling)
    suction = core.infer(body.refrigerant, readings, machine)
    if suction.verdict != "dry":  # nobody looks for why dry gas floods
        context.warn("wet-suction-stop")
    for note in _notes(context, body, suction):
        context.assume(note)
    for reason in bands().reasons["suction"] if suction.line_contradicts else ():
        context.assume(reason)
    if suction.discharge_may_be_wet:
        context.assume(text("discharge-may-be-wet"))
    if suction.extrapolated:
        context.assume(text("extrapolated"))
    return context.answer(WetSuctionAnswer, suction, refrigerant=body.refrigerant, meaning=text(_meaning(suction)))


def _notes(context: RequestContext, body: WetSuctionRequest, suction: core.WetSuction) -> Iterator[str]:
    """What was taken for granted of the heat that does not stay in the gas."""
    taken = heat_taken(suction.cooling)
    if suction.heads:
        context.cite(LIMITS().cooled_heads.share_source)
        yield text("heads-take")
    elif taken is None:
        share = LIMITS().shell_loss.share
        yield f"Shell loss: {figures(100 * share.value, 100 * share.uncertainty)} % of the power, as usual."
    else:
        context.cite(taken.source)
        low, high = taken.share
        yield f"What cools the gas ({suction.cooling}) takes {100 * low:.0f} to {100 * high:.0f} % of the power."
    yield "The compression of wet gas is taken as reversible mixing."
    if suction.cooling is None and not suction.heads:
        yield text("cooling-not-said")
    elif body.cooling is None and taken is not None:
        yield text("cooling-usual")


def _meaning(suction: core.WetSuction) -> str:
    """The id of what the verdict means."""
    if suction.line_contradicts:
        return "line-contradicts"
    if suction.shown_dry:
        return "dry-by-line"
    if suction.verdict == "cannot tell" and suction.quality.high < 1:
        return "cool-for-dry"
    if suction.verdict == "cannot tell" and suction.line_too_warm:
        return "line-too-warm"
    warm = suction.line_superheat is not None and suction.line_superheat.value > 0
    return "wet-under-warm-line" if suction.verdict == "wet" and warm else _MEANING[suction.verdict]


def _type(body: WetSuctionRequest) -> str:
    return "any type" if body.compressor is None else f"this type ({body.compressor})"
