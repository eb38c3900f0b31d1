"""POST /v1/pressure-test."""

from __future__ import annotations

from witnessmark.api.alike import read_alike
from witnessmark.api.desk import Desk
from witnessmark.api.quantities import Pressure, PressureDifference, Time
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import quantity_limit, si
from witnessmark.api.schemas.pressure_test import (
    PressureTestAnswer,
    PressureTestFields,
    PressureTestRequest,
    PressureTestResult,
    StageResult,
    TestStage,
    ThumbRuleResult,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations import pressure_test as core
from witnessmark.calculations.uncertainty import Measured
from witnessmark.refrigerants import nitrogen

router = version_one("restart")
MAXIMA = (1e5, 30e6)


@calculation(router, "/pressure-test", "Standing pressure with nitrogen, corrected for temperature")
async def pressure_test(body: PressureTestRequest) -> PressureTestAnswer:
    """Tell a leak from cooling, by the gas law on absolute pressure and temperature and by what the gauges can show.

    Thumb rules of so much per degree hold at one pressure only; what they would have said stands beside the verdict.
    """
    desk = Desk.of(body)
    found = core.pressure_test(read_pressure_test(desk, body))
    return PressureTestAnswer(result=_result(desk, found), **desk.notes())


def read_pressure_test(desk: Desk, body: PressureTestFields) -> core.PressureTest:
    """The test in SI, cautions and the gas law noted."""
    desk.warn("licensed", "no-oxygen", "below-design-pressure", "thermometer-of-the-gas")
    desk.cite("gas-law-constant-volume")
    model = body.model or ("real nitrogen" if body.gas == "dry nitrogen" else "ideal gas")
    if model == "real nitrogen":
        desk.cite("nitrogen-equation-of-state", "coolprop")
    desk.assume("Thermometers: errors at the start and at the end of a stage taken as independent, on the safe side.")
    if body.maximum_pressure is None:
        desk.assume("No maximum pressure of the plant was given: it was not checked.")
    highest = desk.read_optional(body.maximum_pressure, "maximum_pressure", *MAXIMA)
    return core.PressureTest(
        stages=tuple(_stage(desk, body, s, f"stages.{k}.") for k, s in enumerate(body.stages)),
        gas=body.gas,
        model=model,
        air_pressure=desk.air_pressure(),
        maximum_pressure=None if highest is None else highest.value,
        wanted_sensitivity=body.wanted_sensitivity,
        maker_hold=si(body.maker_hold, "maker_hold", core.MAKER_HOLDS),
    )


def _stage(desk: Desk, body: PressureTestFields, stage: TestStage, prefix: str) -> core.StageReading:
    clamp = "pipe-thermometer"
    return core.StageReading(
        _pressure(desk, body, stage.start_pressure, f"{prefix}start_pressure"),
        desk.read(stage.start_temperature, f"{prefix}start_temperature", *nitrogen.TEMPERATURES, clamp),
        _pressure(desk, body, stage.end_pressure, f"{prefix}end_pressure"),
        desk.read(stage.end_temperature, f"{prefix}end_temperature", *nitrogen.TEMPERATURES, clamp),
        desk.read(stage.held, f"{prefix}held", *core.HOLDS).value,
    )


def _pressure(desk: Desk, body: PressureTestFields, quantity: Pressure, field: str) -> Measured:
    if body.same_gauge:
        return read_alike(desk, quantity, field, nitrogen.PRESSURES, "differential-pressure-gauge")
    return desk.read(quantity, field, *nitrogen.PRESSURES, "pressure-gauge-digital")


def _result(desk: Desk, found: core.PressureTestVerdict) -> PressureTestResult:
    desk.cite(core.data()["sensitivity"]["source"])
    return PressureTestResult(
        verdict=found.verdict,
        refusals=list(found.refusals),
        remarks=list(found.remarks),
        sensitivity=found.sensitivity,
        hold=quantity_limit(desk, found.hold, Time),
        stages=[_stage_result(desk, s) for s in found.stages],
    )


def _stage_result(desk: Desk, found: core.StageVerdict) -> StageResult:
    return StageResult(
        verdict=found.verdict,
        expected_pressure=desk.show(Pressure, found.expected),
        expected_gauge_pressure=desk.show_gauge(found.expected),
        loss=desk.show(PressureDifference, found.loss),
        loss_fraction=Ratio.of(found.loss_fraction),
        loss_per_day=found.loss_per_day,
        smallest_visible_loss=desk.show(PressureDifference, found.smallest_visible),
        visible_per_day=found.visible_per_day,
        thumb_rules=[_rule(desk, r) for r in found.rules],
    )


def _rule(desk: Desk, found: core.ThumbRule) -> ThumbRuleResult:
    desk.cite(found.source)
    return ThumbRuleResult(
        rule=found.rule,
        expected_pressure=desk.show_gauge(found.expected),
        loss=desk.show(PressureDifference, found.loss),
        verdict=found.verdict,
        misleads=found.misleads,
        right_at=desk.show(Pressure, found.right_at),
        source=found.source,
    )
