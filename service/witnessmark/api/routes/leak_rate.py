"""POST /v1/leak-rate."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Mass, Pressure
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.leak_rate import (
    LeakRateAnswer,
    LeakRateRequest,
    LeakRateResult,
    LeakVerdict,
    RecoveryResult,
    RefrigerantAddition,
    TriggerResult,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.tightness import leak_rate as core
from witnessmark.calculations.tightness import leak_rules as rules

router = version_one("calculations")


@calculation(router, "/leak-rate", "Leak rate by both methods of 40 CFR 82 and 84, and the recovery level")
async def leak_rate(body: LeakRateRequest) -> LeakRateAnswer:
    """Annualising and rolling leak rate, capped at 365 days, against the triggers in force on the day."""
    context = RequestContext.of(body)
    context.cite("cfr-82-152", rules.data()["substances"]["source"], rules.data()["chronic"]["source"])
    context.warn("licensed", "leak-rule-is-arithmetic", "find-the-leak-first", "refrigerant-release")
    charge = context.read(body.full_charge, "full_charge", *core.MASS_RANGE)
    exempt = body.residential_light_commercial
    appliance = core.Appliance(body.refrigerant, charge, body.category, body.substance, exempt)
    additions = [_read(context, given, f"additions.{k}") for k, given in enumerate(body.additions)]
    found = core.leak_rate(appliance, additions, body.last_repair)
    return LeakRateAnswer(result=_result(context, body, found, charge.value), **context.notes())


def _read(context: RequestContext, given: RefrigerantAddition, field: str) -> core.Addition:
    instrument = "scale" if given.mass.value > 0 else None
    return core.Addition(given.day, context.read(given.mass, f"{field}.mass", 0.0, core.MASS_RANGE[1], instrument))


def _result(context: RequestContext, body: LeakRateRequest, found: core.LeakRate, charge: float) -> LeakRateResult:
    return LeakRateResult(
        refrigerant=body.refrigerant,
        day=found.day,
        substance=found.substance,
        days=found.days,
        annualising=Ratio.of(found.annualising),
        rolling=Ratio.of(found.rolling),
        triggers=[_trigger(context, judged) for judged in found.judged],
        calendar_year=Ratio.of(found.calendar_year),
        chronic=found.chronic,
        recovery=_recovery(context, body, charge),
    )


def _trigger(context: RequestContext, judged: core.Judged) -> TriggerResult:
    context.cite(judged.trigger.source)
    return TriggerResult(
        regulation=judged.trigger.regulation,
        limit=judged.limit,
        from_day=judged.trigger.start,
        until_day=judged.trigger.until,
        least_charge=context.show(Mass, judged.trigger.charge),
        reason=judged.reason,
        annualising=_verdict(judged.annualising),
        rolling=_verdict(judged.rolling),
        source=judged.trigger.source,
    )


def _verdict(verdict: core.Verdict | None) -> LeakVerdict | None:
    return None if verdict is None else LeakVerdict(exceeded=verdict.exceeded, standing=verdict.standing)


def _recovery(context: RequestContext, body: LeakRateRequest, charge: float) -> RecoveryResult:
    kind = rules.pressure_class(body.refrigerant)
    level = rules.recovery_level(kind, charge, new_machine=body.recovery_machine == "new")
    context.cite(level.source, rules.data()["pressure-classes"]["source"])
    return RecoveryResult(
        pressure_class=kind,
        pressure=context.show(Pressure, level.pressure),
        gauge_pressure=context.show_gauge(level.pressure),
        large_appliance=level.large,
        source=level.source,
    )
