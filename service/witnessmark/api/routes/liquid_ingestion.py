"""POST /v1/liquid-ingestion."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.results import result
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.estimated import read_ratio, read_ratio_optional
from witnessmark.api.schemas.liquid_ingestion import (
    IngestionAdvice,
    LiquidIngestionAnswer,
    LiquidIngestionRequest,
    LiquidIngestionResult,
)
from witnessmark.calculations.compressor import liquid_ingestion as core
from witnessmark.calculations.compressor.liquid_model import PocketCompressor, WetSuctionState
from witnessmark.calculations.compressor.liquid_rules import RULES
from witnessmark.errors import located

router = version_one("calculations")
PRESSURES = (0.0, 1e9)


@calculation(router, "/liquid-ingestion", "How much liquid a compressor can swallow before it locks")
async def liquid_ingestion(body: LiquidIngestionRequest) -> LiquidIngestionAnswer:
    """Liquid per turn against the closing pocket, by speed and along a ramp; gradual wetting against a slug."""
    context = RequestContext.of(body)
    context.cite("coolprop", "liquid-model", "liquid-model-gaps", RULES().dilution.source)
    context.warn("licensed", "liquid-model-is-screening", "no-start-when-wet")
    machine, suction = _read(context, body)
    run = _run(context, body)
    with located(pressure="suction_pressure"):
        ingestion = core.liquid_ingestion(machine, suction, run)
    return LiquidIngestionAnswer(result=_result(context, body, ingestion), **context.notes())


def _read(context: RequestContext, body: LiquidIngestionRequest) -> tuple[PocketCompressor, WetSuctionState]:
    gauge = "pressure-gauge-digital"
    area = context.read_optional(body.leakage_area, "leakage_area", *core.AREAS)
    if area is None:
        context.assume("leakage_area: estimated from the displacement, good to about a third.")
    machine = PocketCompressor(
        context.read(body.displacement, "displacement", *core.VOLUMES, "displacement"),
        read_ratio(body.volume_ratio),
        area,
        read_ratio_optional(body.closing_turns),
    )
    suction = WetSuctionState(
        body.refrigerant,
        context.read(body.suction_pressure, "suction_pressure", *PRESSURES, gauge),
        read_ratio(body.quality),
        context.read(body.discharge_pressure, "discharge_pressure", *PRESSURES, gauge),
        context.read_optional(body.heat, "heat", *core.HEATS),
    )
    return machine, suction


def _run(context: RequestContext, body: LiquidIngestionRequest) -> core.Run:
    speed = context.read(body.speed, "speed", *core.SPEEDS).value
    others = [context.read(s, f"other_speeds.{k}", *core.SPEEDS).value for k, s in enumerate(body.other_speeds)]
    if body.ramp is None:
        return core.Run(speed, tuple(others))
    end = context.read(body.ramp.speed, "ramp.speed", *core.SPEEDS).value
    time = context.read(body.ramp.time, "ramp.time", *core.TIMES).value
    return core.Run(speed, tuple(others), core.SpeedRamp(end, time, body.ramp.quality.value))


def _result(context: RequestContext, body: LiquidIngestionRequest, ingestion: core.Ingestion) -> LiquidIngestionResult:
    small = "in3" if context.system == "IP" else "cm3"
    return result(
        context,
        LiquidIngestionResult,
        ingestion,
        {"time": "s", "time_to_act": "s", "liquid_per_turn": small, "least_slug": small},
        refrigerant=body.refrigerant,
        dilution_quality=RULES().dilution.quality,
        advice=[IngestionAdvice(id=key, text=RULES().advice[key]) for key in ingestion.advice],
    )
