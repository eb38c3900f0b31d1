"""POST /v1/wet-suction."""

from __future__ import annotations

from dataclasses import fields

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.reading_ranges import read
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.wet_suction import WetSuctionAnswer, WetSuctionRequest
from witnessmark.calculations.compressor import wet_suction as core
from witnessmark.calculations.compressor.compressor_types import compressor_type
from witnessmark.calculations.compressor.wording import text

router = version_one("calculations")
_MEANING: dict[core.WetnessVerdict, str] = {"wet": "wet", "dry": "dry", "cannot tell": "wet-or-dry"}


@calculation(router, "/wet-suction", "How much liquid comes in with the suction gas")
def wet_suction(body: WetSuctionRequest) -> WetSuctionAnswer:
    """The suction quality that explains the discharge temperature, as an interval over the band of efficiency.

    "cannot tell" where the band covers dry gas as well.
    """
    context = RequestContext.of(body)
    context.cite("coolprop", "first-law")
    context.warn("licensed", "wet-suction-stop")
    band = None if body.efficiency is None else core.Interval(body.efficiency.low, body.efficiency.high)
    if band is None:
        context.cite(compressor_type(body.compressor).source)
        context.assume(f"Efficiency: the usual band of a sound compressor of {_type(body)}.")
    context.assume(
        "Shell loss: 3 to 11 % of the power, as usual; the compression of wet gas is taken as reversible mixing."
    )
    names = [f.name for f in fields(core.WetSuctionReadings)]
    readings = core.WetSuctionReadings(**read(context, body, names))  # type: ignore[arg-type] # none may be left out
    suction = core.infer(body.refrigerant, readings, band, body.compressor)
    if suction.discharge_may_be_wet:
        context.assume(text("discharge-may-be-wet"))
    if suction.extrapolated:
        context.assume(text("extrapolated"))
    meaning = text(_MEANING[suction.verdict])
    return context.answer(WetSuctionAnswer, suction, refrigerant=body.refrigerant, meaning=meaning)


def _type(body: WetSuctionRequest) -> str:
    return "any type" if body.compressor is None else f"this type ({body.compressor})"
