"""POST /v1/wet-suction."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Temperature, TemperatureDifference
from witnessmark.api.routes.reading_ranges import GAUGE, HOT, PRESSURES, TEMPERATURES
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.compression import TemperatureRange
from witnessmark.api.schemas.wet_suction import (
    Band,
    DifferenceRange,
    WetSuctionAnswer,
    WetSuctionRequest,
    WetSuctionResult,
)
from witnessmark.calculations.compressor import wet_suction as core
from witnessmark.calculations.compressor.compressor_types import compressor_type
from witnessmark.calculations.compressor.wording import text

router = version_one("calculations")
_MEANING = {"wet": "wet", "dry": "dry", "cannot tell": "wet-or-dry"}


@calculation(router, "/wet-suction", "How much liquid comes in with the suction gas")
async def wet_suction(body: WetSuctionRequest) -> WetSuctionAnswer:
    """The suction quality that explains the discharge temperature, as an interval over the band of efficiency.

    "cannot tell" where the band covers dry gas as well.
    """
    context = RequestContext.of(body)
    context.cite("coolprop", "first-law")
    context.warn("licensed", "wet-suction-stop")
    band = None if body.efficiency is None else core.Interval(body.efficiency.low, body.efficiency.high)
    if band is None:
        context.cite(compressor_type(body.compressor_type).source)
        context.assume(f"Efficiency: the usual band of a sound compressor of this type ({body.compressor_type}).")
    context.assume(
        "Shell loss: 3 to 11 % of the power, as usual; the compression of wet gas is taken as reversible mixing."
    )
    found = core.infer(body.refrigerant, _read(context, body), band, body.compressor_type)
    if found.discharge_may_be_wet:
        context.assume(text("discharge-may-be-wet"))
    if found.extrapolated:
        context.assume(text("extrapolated"))
    return WetSuctionAnswer(result=_result(context, body.refrigerant, found), **context.notes())


def _read(context: RequestContext, body: WetSuctionRequest) -> core.Readings:
    return core.Readings(
        suction_pressure=context.read(body.suction_pressure, "suction_pressure", *PRESSURES, GAUGE),
        discharge_pressure=context.read(body.discharge_pressure, "discharge_pressure", *PRESSURES, GAUGE),
        discharge_temperature=context.read(body.discharge_temperature, "discharge_temperature", *TEMPERATURES, HOT),
    )


def _result(context: RequestContext, refrigerant: str, found: core.WetSuction) -> WetSuctionResult:
    dry, superheat, quality = found.dry_discharge_temperature, found.superheat, found.quality
    return WetSuctionResult(
        refrigerant=refrigerant,
        verdict=found.verdict,
        meaning=text(_MEANING[found.verdict]),
        quality=_band(quality.low, quality.high),
        liquid_fraction=_band(1 - quality.high, 1 - quality.low),
        superheat=None if superheat is None else _differences(context, superheat),
        dry_discharge_temperature=None if dry is None else _temperatures(context, dry),
        efficiency=_band(found.efficiency.low, found.efficiency.high),
        discharge_may_be_wet=found.discharge_may_be_wet,
    )


def _differences(context: RequestContext, found: core.Interval) -> DifferenceRange:
    low, high = (context.show(TemperatureDifference, end) for end in (found.low, found.high))
    return DifferenceRange(low=low, high=high)


def _temperatures(context: RequestContext, found: core.Interval) -> TemperatureRange:
    low, high = (context.show(Temperature, end) for end in (found.low, found.high))
    return TemperatureRange(low=low, high=high)


def _band(low: float, high: float) -> Band:
    return Band(low=round(low, 6), high=round(high, 6))
