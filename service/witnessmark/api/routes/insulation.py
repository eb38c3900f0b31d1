"""POST /v1/insulation."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import si
from witnessmark.api.schemas.insulation import InsulationAnswer, InsulationFields, InsulationRequest, InsulationResult
from witnessmark.calculations.electrical import insulation as core
from witnessmark.calculations.electrical.motors import TABLE
from witnessmark.calculations.metrology.limits import Ruling

router = version_one("restart")
TEMPERATURES = (0.0, 1000.0)
HEATER = (0.0, 3.2e7)
_UNSTATED = {
    "under_vacuum": "It was not stated whether the shell was under vacuum: prove that it was not.",
    "through_drive": "It was not stated whether a drive was connected: prove that it was not.",
    "power_locked_out": "It was not stated whether the supply was locked out: prove that it was.",
    "liquid_refrigerant": "It was not stated whether cold liquid refrigerant may lie in the shell: taken as possible.",
}


@calculation(router, "/insulation", "Insulation of a winding to ground")
async def insulation(body: InsulationRequest) -> InsulationAnswer:
    """Correct the reading to 40 degC and hold it against the minima that sources state for such a motor.

    A reading under vacuum, through a drive or without lock-out is refused, and where that is not stated it is not
    proven to be valid; a cold hermetic motor is warmed before it is condemned.
    """
    context = RequestContext.of(body)
    verdict = judge_insulation(context, body)
    context.cite(*(c.source for c in verdict.corrected))
    if verdict.verdict == "warm up and repeat":
        context.cite(TABLE().liquid_refrigerant.rule_source, TABLE().liquid_refrigerant.source)
        context.warn("warm-before-condemning", "terminal-venting")
    if verdict.verdict in ("grounded", "below every stated minimum", "below the maker's minimum"):
        context.warn("terminal-venting")
    if verdict.polarisation is not None:
        context.cite(verdict.polarisation.source, TABLE().polarisation.scope_source)
        if body.same_tester:
            context.assume("Polarisation index: both readings taken with one tester, whose gain cancels.")
            context.cite(TABLE().polarisation.between_source)
    return InsulationAnswer(result=InsulationResult.model_validate(verdict, context=context), **context.notes())


def judge_insulation(context: RequestContext, body: InsulationFields) -> core.InsulationVerdict:
    """The verdict, with the cautions that it calls for and what was not stated."""
    verdict = core.insulation(_read(context, body))
    for name in verdict.unstated:
        context.assume(_UNSTATED[name])
    _tell_voltage(context, body, verdict)
    if TABLE().motors[body.motor].hermetic:
        context.assume(
            "Minima: those for windings in refrigerant and oil. The 5 MOhm at 40 degC of IEEE Std 43 are for windings "
            "in air and are not held against this motor."
        )
    if verdict.validity == "not proven":
        context.warn("insulation-test-not-proven")
    context.warn(*(key for m in verdict.minima if m.limit.maker for key in m.limit.maker.cautions))
    for limit in (m.limit for m in verdict.minima if m.limit.looser_than_published):
        context.assume(_looser(limit))
    return verdict


def _tell_voltage(context: RequestContext, body: InsulationFields, verdict: core.InsulationVerdict) -> None:
    """What goes with the test voltage, and with a rated voltage on which the minimum hangs."""
    if body.test_voltage is not None:
        context.cite(TABLE().test_voltage.validity_source)
    if verdict.test_voltage is not None:
        context.cite(verdict.test_voltage.source)
        if verdict.test_voltage.standing == "too high":
            context.warn("test-voltage-hermetic")
        if verdict.test_voltage.standing == "too low":
            context.assume(
                "The test voltage is below the one for this rated voltage: a good reading of it proves nothing."
            )
    elif TABLE().motors[body.motor].at_40_low_voltage is not None:
        context.assume(
            "The rated voltage was not given: form-wound coils below 1 kV have a minimum of 5 MOhm, others of "
            "100 MOhm; between the two nothing can be said."
        )


def _looser(limit: Ruling) -> str:
    stricter = sorted({s.value for s in limit.stated if s.value > limit.value})
    figures = ", ".join(f"{value / 1e6:g}" for value in stricter)
    return (
        f"The maker's minimum of {limit.value / 1e6:g} MOhm is looser than published minima of {figures} MOhm: "
        "the verdict speaks for the maker's minimum only."
    )


def _read(context: RequestContext, body: InsulationFields) -> core.InsulationReading:
    context.warn("licensed", "insulation-test", "no-test-through-drive", "test-voltage-hermetic", "discharge-winding")
    tester, test = "insulation-tester", body.conditions
    heater = context.read_optional(test.heater_on, "conditions.heater_on", *HEATER)
    rated = context.read_optional(body.rated_voltage, "rated_voltage", *core.RATED_VOLTAGE)
    applied = context.read_optional(body.test_voltage, "test_voltage", *core.TEST_VOLTAGE)
    return core.InsulationReading(
        resistance=context.read(body.resistance, "resistance", 0.0, core.HIGHEST, tester),
        temperature=context.read(body.temperature, "temperature", *TEMPERATURES, "shell-thermometer"),
        motor=body.motor,
        ten_minutes=context.read_optional(body.ten_minutes, "ten_minutes", 0.0, core.HIGHEST, tester),
        rated_voltage=None if rated is None else rated.value,
        test_voltage=None if applied is None else applied.value,
        insulation_class=body.insulation_class,
        maker_minimum=si(body.maker_minimum, "maker_minimum", (core.LEAST_MINIMUM, core.HIGHEST)),
        maker_document=body.maker_document,
        conditions=core.InsulationConditions(
            under_vacuum=test.under_vacuum,
            through_drive=test.through_drive,
            liquid_refrigerant=test.liquid_refrigerant,
            heater_on=None if heater is None else heater.value,
            over_range=test.over_range,
            power_locked_out=test.power_locked_out,
        ),
        same_tester=body.same_tester,
    )
