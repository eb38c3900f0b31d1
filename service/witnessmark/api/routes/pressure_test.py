"""POST /v1/pressure-test."""

from __future__ import annotations

from witnessmark.api.alike import read_alike
from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Pressure
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import si
from witnessmark.api.schemas.pressure_test import (
    PressureTestAnswer,
    PressureTestFields,
    PressureTestRequest,
    PressureTestResult,
    TestStage,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import pressure_test as core
from witnessmark.refrigerants import nitrogen

router = version_one("restart")
MAXIMA = (1e5, 30e6)


@calculation(router, "/pressure-test", "Standing pressure with nitrogen, corrected for temperature")
async def pressure_test(body: PressureTestRequest) -> PressureTestAnswer:
    """Tell a leak from cooling, by the gas law on absolute pressure and temperature and by what the gauges can show.

    Thumb rules of so much per degree hold at one pressure only; what they would have said stands beside the verdict.
    """
    context = RequestContext.of(body)
    result = core.pressure_test(read_pressure_test(context, body))
    context.cite(core.TABLE().sensitivity.source, *(rule.source for rule in core.TABLE().thumb_rules))
    return PressureTestAnswer(result=PressureTestResult.model_validate(result, context=context), **context.notes())


def read_pressure_test(context: RequestContext, body: PressureTestFields) -> core.PressureTest:
    """The test in SI, cautions and the gas law noted."""
    context.warn("licensed", "no-oxygen", "below-design-pressure", "thermometer-of-the-gas")
    context.cite("gas-law-constant-volume")
    model = body.model or ("real-nitrogen" if body.gas == "dry-nitrogen" else "ideal-gas")
    if model == "real-nitrogen":
        context.cite("nitrogen-equation-of-state", "coolprop")
    context.assume(
        "Thermometers: errors at the start and at the end of a stage taken as independent, on the safe side."
    )
    if body.maximum_pressure is None:
        context.assume("No maximum pressure of the plant was given: it was not checked.")
    highest = context.read_optional(body.maximum_pressure, "maximum_pressure", *MAXIMA)
    return core.PressureTest(
        stages=tuple(_stage(context, body, s, f"stages.{k}.") for k, s in enumerate(body.stages)),
        gas=body.gas,
        model=model,
        air_pressure=context.air_pressure(),
        maximum_pressure=None if highest is None else highest.value,
        wanted_sensitivity=body.wanted_sensitivity,
        maker_hold=si(body.maker_hold, "maker_hold", core.MAKER_HOLDS),
    )


def _stage(context: RequestContext, body: PressureTestFields, stage: TestStage, prefix: str) -> core.StageReading:
    clamp = "pipe-thermometer"
    return core.StageReading(
        _pressure(context, body, stage.start_pressure, f"{prefix}start_pressure"),
        context.read(stage.start_temperature, f"{prefix}start_temperature", *nitrogen.TEMPERATURES, clamp),
        _pressure(context, body, stage.end_pressure, f"{prefix}end_pressure"),
        context.read(stage.end_temperature, f"{prefix}end_temperature", *nitrogen.TEMPERATURES, clamp),
        context.read(stage.duration, f"{prefix}duration", *core.HOLDS).value,
    )


def _pressure(context: RequestContext, body: PressureTestFields, quantity: Pressure, field: str) -> Measured:
    if body.same_gauge:
        return read_alike(context, quantity, field, nitrogen.PRESSURES, "differential-pressure-gauge")
    return context.read(quantity, field, *nitrogen.PRESSURES, "pressure-gauge-digital")
