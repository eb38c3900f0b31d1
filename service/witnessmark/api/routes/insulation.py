"""POST /v1/insulation."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Resistance, Time
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import quantity_limit, si
from witnessmark.api.schemas.insulation import (
    CorrectedReading,
    InsulationAnswer,
    InsulationFields,
    InsulationRequest,
    InsulationResult,
    MinimumResult,
    PolarisationResult,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.electrical import insulation as core
from witnessmark.calculations.metrology.limits import Ruling
from witnessmark.calculations.metrology.uncertainty import Measured

router = version_one("restart")
TEMPERATURES = (0.0, 1000.0)
HEATER = (0.0, 3.2e7)
_UNSTATED = {
    "under_vacuum": "It was not stated whether the shell was under vacuum: prove that it was not.",
    "through_drive": "It was not stated whether a drive was connected: prove that it was not.",
    "power_locked_out": "It was not stated whether the supply was locked out: prove that it was.",
    "liquid_refrigerant": "It was not stated whether cold liquid refrigerant may lie in the shell: taken as possible.",
}

_ANY_MACHINE = ("through_drive", "power_locked_out")


@calculation(router, "/insulation", "Insulation of a winding to ground")
async def insulation(body: InsulationRequest) -> InsulationAnswer:
    """Correct the reading to 40 degC and hold it against the minima that sources state for such a machine.

    A reading under vacuum, through a drive or without lock-out is refused, and where that is not stated it is not
    proven to be valid; a cold hermetic motor is warmed before it is condemned.
    """
    context = RequestContext.of(body)
    found = judge_insulation(context, body)
    return InsulationAnswer(result=_result(context, found), **context.notes())


def judge_insulation(context: RequestContext, body: InsulationFields) -> core.InsulationVerdict:
    """The verdict, with the cautions that it calls for."""
    found = core.insulation(read_insulation(context, body))
    if found.validity == "not proven":
        context.warn("insulation-test-not-proven")
    for ruling in (m.ruling for m in found.minima if m.ruling.looser_than_published):
        context.warn("maker-limit-looser")
        context.assume(_looser(ruling))
    return found


def _looser(ruling: Ruling) -> str:
    stricter = sorted({s.value for s in ruling.stated if s.value > ruling.value})
    figures = ", ".join(f"{value / 1e6:g}" for value in stricter)
    return (
        f"The maker's minimum of {ruling.value / 1e6:g} MOhm is looser than published minima of {figures} MOhm: "
        "the verdict speaks for the maker's minimum only."
    )


def read_insulation(context: RequestContext, body: InsulationFields) -> core.InsulationReading:
    """The reading in SI, with cautions and what was not stated."""
    context.warn("licensed", "insulation-test", "no-test-through-drive", "test-voltage-hermetic", "discharge-winding")
    given = body.conditions
    heater = context.read_optional(given.heater_on, "conditions.heater_on", *HEATER)
    rated = context.read_optional(body.rated_voltage, "rated_voltage", *core.RATED_VOLTAGE)
    conditions = core.InsulationConditions(
        given.under_vacuum,
        given.through_drive,
        given.liquid_refrigerant,
        None if heater is None else heater.value,
        given.over_range,
        given.power_locked_out,
    )
    tester = "insulation-tester"
    reading = core.InsulationReading(
        context.read(body.resistance, "resistance", 0.0, core.HIGHEST, tester),
        context.read(body.temperature, "temperature", *TEMPERATURES, "shell-thermometer"),
        body.machine,
        context.read_optional(body.ten_minutes, "ten_minutes", 0.0, core.HIGHEST, tester),
        None if rated is None else rated.value,
        body.insulation_class,
        si(body.maker_minimum, "maker_minimum", (core.LEAST_MINIMUM, core.HIGHEST)),
        conditions,
    )
    _say_unstated(context, reading)
    return reading


def _say_unstated(context: RequestContext, reading: core.InsulationReading) -> None:
    hermetic = core.data()["machines"][reading.machine]["hermetic"]
    for name, text in _UNSTATED.items():
        if getattr(reading.conditions, name) is None and (hermetic or name in _ANY_MACHINE):
            context.assume(text)


def _result(context: RequestContext, found: core.InsulationVerdict) -> InsulationResult:
    context.cite(*(c.source for c in found.corrected))
    if found.verdict == "warm up and repeat":
        context.cite("residential-manual-warm-up", "warm-up-hours-estimate")
        context.warn("warm-before-condemning", "terminal-venting")
    if found.verdict in ("grounded", "below every stated minimum", "below the maker's minimum"):
        context.warn("terminal-venting")
    return InsulationResult(
        verdict=found.verdict,
        validity=found.validity,
        not_proven=list(found.not_proven),
        refusals=list(found.refusals),
        corrected=[CorrectedReading(resistance=_ohms(context, c.resistance), source=c.source) for c in found.corrected],
        minima=[_minimum(context, m) for m in found.minima],
        polarisation=_polarisation(context, found.polarisation),
        warm_up=context.show(Time, found.warm_up),
    )


def _ohms(context: RequestContext, value: Measured) -> Resistance:
    return context.show(Resistance, value, "megohm")


def _minimum(context: RequestContext, found: core.MinimumCheck) -> MinimumResult:
    return MinimumResult(
        limit=quantity_limit(context, found.ruling, Resistance, "megohm"),
        held_against="reading at 40 degC" if found.at_40 else "reading as taken",
        verdict=found.standing,
    )


def _polarisation(context: RequestContext, found: core.Polarisation | None) -> PolarisationResult | None:
    if found is None:
        return None
    table = core.data()["polarisation"]
    context.cite(table["source"], table["scope_source"])
    return PolarisationResult(
        index=Ratio.of(found.index), minimum=found.minimum, verdict=found.verdict, source=table["source"]
    )
