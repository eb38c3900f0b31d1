"""POST /v1/liquid-ingestion."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import reading, taken
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.liquid_ingestion import IngestionAdvice, LiquidIngestionAnswer, LiquidIngestionRequest
from witnessmark.calculations.compressor import liquid_ingestion as core
from witnessmark.calculations.compressor.liquid_model import PocketCompressor, WetSuctionState
from witnessmark.calculations.compressor.liquid_rules import RULES
from witnessmark.errors import located

router = version_one("calculations")


@calculation(router, "/liquid-ingestion", "How much liquid a compressor can swallow before it locks")
def liquid_ingestion(body: LiquidIngestionRequest) -> LiquidIngestionAnswer:
    """Liquid per turn against the closing pocket, by speed and along a ramp; gradual wetting against a slug."""
    context = RequestContext.of(body)
    context.cite("coolprop", "liquid-model", "liquid-model-gaps", RULES().dilution.source)
    context.warn("licensed", "liquid-model-is-screening", "no-start-when-wet")
    if body.leakage_area is None:
        context.assume("leakage_area: estimated from the displacement, good to about a third.")
    machine = taken(context, PocketCompressor, body)
    suction = taken(context, WetSuctionState, body, pressure=reading(context, body, "suction_pressure"))
    with located(pressure="suction_pressure"):
        ingestion = core.liquid_ingestion(machine, suction, taken(context, core.Run, body))
    advice = [IngestionAdvice(id=key, text=RULES().advice[key]) for key in ingestion.advice]
    limit = RULES().dilution.quality
    return context.answer(
        LiquidIngestionAnswer, ingestion, refrigerant=body.refrigerant, advice=advice, dilution_quality=limit
    )
