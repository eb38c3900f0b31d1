"""POST /v1/liquid-ingestion."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Frequency, PressureDifference, Time, Volume
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.estimated import (
    Estimated,
    read_ratio,
    read_ratio_optional,
    shown,
    shown_optional,
)
from witnessmark.api.schemas.liquid_ingestion import (
    AtSpeedResult,
    LiquidIngestionAnswer,
    LiquidIngestionRequest,
    LiquidIngestionResult,
    RampStepResult,
    WordNote,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.compressor import liquid_ingestion as core
from witnessmark.calculations.compressor import liquid_rules as rules
from witnessmark.calculations.compressor.liquid_model import Machine, Suction
from witnessmark.errors import located

router = version_one("calculations")
PRESSURES = (0.0, 1e9)


@calculation(router, "/liquid-ingestion", "How much liquid a compressor can swallow before it locks")
async def liquid_ingestion(body: LiquidIngestionRequest) -> LiquidIngestionAnswer:
    """Liquid per turn against the closing pocket, by speed and along a ramp; gradual wetting against a slug."""
    context = RequestContext.of(body)
    context.cite("coolprop", "liquid-model", "liquid-model-gaps")
    context.warn("licensed", "liquid-model-is-screening", "no-start-when-wet")
    machine, suction = _read(context, body)
    run = _run(context, body)
    with located(pressure="suction_pressure"):
        found = core.liquid_ingestion(machine, suction, run)
    return LiquidIngestionAnswer(result=_result(context, body, found), **context.notes())


def _read(context: RequestContext, body: LiquidIngestionRequest) -> tuple[Machine, Suction]:
    gauge = "pressure-gauge-digital"
    area = context.read_optional(body.leakage_area, "leakage_area", *core.AREAS)
    if area is None:
        context.assume("leakage_area: estimated from the displacement, good to about a third.")
    machine = Machine(
        context.read(body.displacement, "displacement", *core.VOLUMES, "displacement"),
        read_ratio(body.volume_ratio),
        area,
        read_ratio_optional(body.closing_turns),
    )
    suction = Suction(
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


def _result(context: RequestContext, body: LiquidIngestionRequest, found: core.Ingestion) -> LiquidIngestionResult:
    return LiquidIngestionResult(
        refrigerant=body.refrigerant,
        at_speed=_at_speed(context, found.at_speed),
        other_speeds=[_at_speed(context, point) for point in found.others],
        trip_quality=shown(context, Estimated[Ratio], found.trip_quality, "trip_quality"),
        ramp=[_step(context, step) for step in found.ramp],
        time_to_act=context.show_optional(Time, found.seconds_to_act, "s"),
        words=[WordNote(id=key, text=rules.words(key)) for key in found.words],
    )


def _at_speed(context: RequestContext, point: core.AtSpeed) -> AtSpeedResult:
    ratio, volume = Estimated[Ratio], Estimated[Volume]
    small = "in3" if context.system == "IP" else "cm3"
    pressure = Estimated[PressureDifference]
    return AtSpeedResult(
        speed=context.show(Frequency, point.speed),
        pocket_quality=shown(context, ratio, point.pocket_quality, "pocket_quality"),
        liquid_per_turn=shown(context, volume, point.liquid_per_turn, "liquid_per_turn", small),
        filled=shown(context, ratio, point.filled, "filled"),
        expelling_pressure=shown(context, pressure, point.expelling_pressure, "expelling_pressure"),
        load_factor=shown_optional(context, ratio, point.load_factor, "load_factor"),
        lock_quality=shown_optional(context, ratio, point.lock_quality, "lock_quality"),
        least_slug=shown_optional(context, volume, point.least_slug, "least_slug", small),
        verdict=point.verdict,
        by_the_numbers=point.by_the_numbers,
    )


def _step(context: RequestContext, step: core.RampStep) -> RampStepResult:
    return RampStepResult(
        time=context.show(Time, step.time, "s"),
        speed=context.show(Frequency, step.speed),
        quality=_rounded(step.quality),
        lock_quality=None if step.lock_quality is None else _rounded(step.lock_quality),
        verdict=step.verdict,
    )


def _rounded(value: float) -> float:
    return float(f"{value:.4g}")
