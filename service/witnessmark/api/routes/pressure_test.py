"""POST /v1/pressure-test."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from witnessmark.api.alike import read_alike
from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Pressure, Temperature
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import si
from witnessmark.api.schemas.pressure_test import (
    PressureTestAnswer,
    PressureTestFields,
    PressureTestRequest,
    PressureTestResult,
    StandardTestResult,
    TestStage,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import pressure_test as core
from witnessmark.calculations.tightness.pressure_test_table import TABLE
from witnessmark.calculations.tightness.standard_tests import StandardTest, standard_tests
from witnessmark.reference.instruments import default_uncertainty
from witnessmark.refrigerants import nitrogen
from witnessmark.vocabulary import Country

router = version_one("restart")
MAXIMA = (1e5, 30e6)
GAUGE, CLAMP = "pressure-gauge-digital", "pipe-thermometer"
LOW_GAUGE, LOW = "low-test-gauge", 3.5e5
"""Up to so many Pa absolute a test is read on a gauge of its own."""


@calculation(router, "/pressure-test", "Standing pressure with nitrogen, corrected for temperature")
def pressure_test(body: PressureTestRequest) -> PressureTestAnswer:
    """Tell a leak from cooling, by the gas law on absolute pressure and temperature and by what the gauges can show.

    Thumb rules of so much per degree hold at one pressure only; what they would have said stands beside the verdict.
    """
    context = RequestContext.of(body)
    allowable = context.read_optional(body.allowable_pressure, "allowable_pressure", *MAXIMA)
    test = replace(read_pressure_test(context, body), allowable_pressure=None if allowable is None else allowable.value)
    result, standards = core.pressure_test(test), _standards(context, body.country, test)
    context.cite(TABLE().sensitivity.source, *(rule.source for rule in TABLE().thumb_rules))
    shown = [StandardTestResult.model_validate(row, context=context) for row in standards]
    return PressureTestAnswer(
        result=PressureTestResult.model_validate(result, context=context), standards=shown, **context.notes()
    )


def _standards(context: RequestContext, country: Country | None, test: core.PressureTest) -> tuple[StandardTest, ...]:
    """What standards ask for at the allowable pressure, held against the highest stage."""
    if test.allowable_pressure is None:
        return ()
    highest = max((stage.start_pressure for stage in test.stages), key=lambda pressure: pressure.value)
    gauge = Measured(highest.value - test.air_pressure, highest.uncertainty)
    found = standard_tests(test.allowable_pressure - test.air_pressure, gauge, country)
    context.cite(TABLE().factors.source, *(row.source for row in found))
    context.assume(
        "Factors of strength and tightness tests are from memory, so no day can be named up to which they hold: look "
        "them up in the standard in force."
    )
    if country is None:
        context.assume("No country was given: the standards of every country known here stand side by side.")
    return found


def read_pressure_test(context: RequestContext, body: PressureTestFields) -> core.PressureTest:
    """The test in SI, cautions and the gas law noted."""
    context.warn("licensed", "no-oxygen", "below-design-pressure", "thermometer-of-the-gas")
    context.cite("gas-law-constant-volume")
    model = body.model or ("real-nitrogen" if body.gas == "dry-nitrogen" else "ideal-gas")
    if model == "real-nitrogen":
        context.cite("nitrogen-equation-of-state", "coolprop")
    for name, same in (("gauge", body.same_gauge), ("thermometer", body.same_thermometer)):
        alike = "the same one at start and end: only what differs between two of its readings is left"
        context.assume(f"{name.capitalize()}: {alike if same else 'two of them, their errors independent'}.")
    if body.maximum_pressure is None:
        context.assume(
            "No maximum pressure of the plant was given: nothing here proves that it may be tested so high. "
            "Read the nameplate pressure of each side first."
        )
    highest = context.read_optional(body.maximum_pressure, "maximum_pressure", *MAXIMA)
    test = core.PressureTest(
        stages=tuple(_stage(context, body, s, f"stages.{k}.") for k, s in enumerate(body.stages)),
        gas=body.gas,
        model=model,
        air_pressure=context.air_pressure(),
        maximum_pressure=None if highest is None else highest.value,
        wanted_sensitivity=body.wanted_sensitivity,
        maker_hold=si(body.maker_hold, "maker_hold", core.MAKER_HOLDS),
        maker_document=body.maker_document,
        mixed=any(_mixed(stage) for stage in body.stages),
    )
    if test.mixed:
        context.cite(TABLE().air_slip.source)
    for slip in _slips(test):
        context.assume(slip)
    return test


def _mixed(stage: TestStage) -> bool:
    """Whether one end of a stage is a gauge pressure and the other an absolute one."""
    return stage.start_pressure.scale.gauge is not stage.end_pressure.scale.gauge


def _slips(test: core.PressureTest) -> Iterator[str]:
    """What is no loss and no test, in words."""
    if test.in_vacuum:
        yield (
            "The last stage stood at no more than the air outside: such a stand shows no loss, gas leaks in. Test with "
            "dry nitrogen above the air pressure, or judge the rise of a vacuum."
        )
    if test.mixed:
        yield (
            "A stage has a gauge pressure at one end and an absolute one at the other: where the change is within "
            f"{TABLE().air_slip.share:.0%} of the air pressure, one of them was written in the other's unit."
        )


def _stage(context: RequestContext, body: PressureTestFields, stage: TestStage, prefix: str) -> core.StageReading:
    start = _pressure(context, body, stage.start_pressure, f"{prefix}start_pressure")
    warm = _temperature(context, body, stage.start_temperature, f"{prefix}start_temperature")
    return core.StageReading(
        start,
        warm,
        _pressure(context, body, stage.end_pressure, f"{prefix}end_pressure"),
        _temperature(context, body, stage.end_temperature, f"{prefix}end_temperature"),
        context.read(stage.duration, f"{prefix}duration", *core.HOLDS).value,
        gauge_bias=default_uncertainty(_gauge(start.value), start.value) if body.same_gauge else 0.0,
        thermometer_bias=default_uncertainty(CLAMP, warm.value) if body.same_thermometer else 0.0,
    )


def _pressure(context: RequestContext, body: PressureTestFields, quantity: Pressure, field: str) -> Measured:
    gauge = _gauge(context.read(quantity, field, *nitrogen.PRESSURES).value)
    if body.same_gauge:
        between = "differential-pressure-gauge" if gauge == GAUGE else f"{LOW_GAUGE}-between"
        return read_alike(context, quantity, field, nitrogen.PRESSURES, between)
    return context.read(quantity, field, *nitrogen.PRESSURES, gauge)


def _gauge(pressure: float) -> str:
    """The gauge that such a test is read on; pressure: Pa absolute."""
    return LOW_GAUGE if pressure <= LOW else GAUGE


def _temperature(context: RequestContext, body: PressureTestFields, quantity: Temperature, field: str) -> Measured:
    if body.same_thermometer:
        return read_alike(context, quantity, field, nitrogen.TEMPERATURES, "differential-thermometer")
    return context.read(quantity, field, *nitrogen.TEMPERATURES, CLAMP)
