"""POST /v1/leak-rate."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.leak_rate import LeakRateAnswer, LeakRateRequest, LeakRateResult, RefrigerantAddition
from witnessmark.calculations.tightness import leak_rate as core
from witnessmark.calculations.tightness.leak_rules import TABLE

router = version_one("calculations")


@calculation(router, "/leak-rate", "Leak rate by both methods of 40 CFR 82 and 84, and the recovery level")
async def leak_rate(body: LeakRateRequest) -> LeakRateAnswer:
    """Annualising and rolling leak rate, capped at 365 days, against the triggers in force on the day."""
    context = RequestContext.of(body)
    context.cite("cfr-82-152", TABLE().substances.source, TABLE().chronic.source)
    context.warn("licensed", "leak-rule-is-arithmetic", "find-the-leak-first", "refrigerant-release")
    appliance = core.Appliance(
        refrigerant=body.refrigerant,
        full_charge=context.read(body.full_charge, "full_charge", *core.MASS_RANGE),
        category=body.category,
        substance=body.substance,
        residential_light_commercial=body.residential_light_commercial,
        new_recovery_machine=body.recovery_machine == "new",
    )
    additions = [_addition(context, addition, f"additions.{k}") for k, addition in enumerate(body.additions)]
    result = core.leak_rate(appliance, additions, body.last_repair)
    context.cite(*(check.trigger.source for check in result.triggers))
    if result.recovery is not None:
        context.cite(result.recovery.source, TABLE().pressure_classes.source)
    return LeakRateAnswer(result=LeakRateResult.model_validate(result, context=context), **context.notes())


def _addition(context: RequestContext, addition: RefrigerantAddition, field: str) -> core.Addition:
    instrument = "scale" if addition.mass.value > 0 else None
    return core.Addition(
        addition.day, context.read(addition.mass, f"{field}.mass", 0.0, core.MASS_RANGE[1], instrument)
    )
