"""POST /v1/leak-rate."""

from __future__ import annotations

from dataclasses import replace

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import taken
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.leak_rate import LeakRateAnswer, LeakRateRequest, RefrigerantAddition
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import leak_duties
from witnessmark.calculations.tightness import leak_rate as core
from witnessmark.calculations.tightness.leak_rules import TABLE
from witnessmark.refrigerants.unserved import Bare

router = version_one("calculations")


@calculation(router, "/leak-rate", "Leak rate by 40 CFR 82 and 84, recovery level, leak checks of the European Union")
def leak_rate(body: LeakRateRequest) -> LeakRateAnswer:
    """Annualising and rolling leak rate against the triggers in force, how often to check for leaks, and the duties.

    `country` chooses whose rules count; where it is left out those of every country known here stand side by side.
    """
    context = RequestContext.of(body)
    context.warn("licensed", "leak-rule-is-arithmetic", "find-the-leak-first", "refrigerant-release")
    appliance = taken(context, core.Appliance, body, new_recovery_machine=body.recovery_machine == "new")
    additions = [_addition(context, addition, f"additions.{k}.") for k, addition in enumerate(body.additions)]
    rate = core.leak_rate(appliance, additions, body.last_repair)
    rules = leak_duties.leak_rules_of(
        appliance, rate, body.country, hermetic=body.hermetically_sealed, detection=body.leak_detection
    )
    shown = (
        _of_the_states(context, rate) if body.country != "european-union" else replace(rate, triggers=(), recovery=None)
    )
    _tell(context, body, rules)
    return context.answer(
        LeakRateAnswer, shown, leak_check=rules.leak_check, duties=rules.duties, rules_as_of=rules.rules_as_of
    )


def _of_the_states(context: RequestContext, rate: core.LeakRate) -> core.LeakRate:
    context.cite("cfr-82-152", TABLE().substances.source, TABLE().chronic.source)
    context.cite(*(check.trigger.source for check in rate.triggers))
    if rate.recovery is not None:
        context.cite(rate.recovery.source, TABLE().pressure_classes.source)
    return rate


def _tell(context: RequestContext, body: LeakRateRequest, rules: leak_duties.LeakRules) -> None:
    if rules.leak_check is not None:
        context.cite(*rules.leak_check.sources)
    context.cite(*(duty.source for duty in rules.duties))
    if isinstance(body.refrigerant, Bare):
        _tell_bare(context, body, body.refrigerant)
    days = ", ".join(f"{known.country.replace('-', ' ')} {known.day.isoformat()}" for known in rules.rules_as_of)
    context.assume(
        f"Rules as read up to: {days}. What changed later, and what a state or member state adds, is not in it."
    )
    if body.country is None:
        context.assume("No country was given: the rules of every country known here stand side by side.")


def _tell_bare(context: RequestContext, body: LeakRateRequest, refrigerant: Bare) -> None:
    """What could not be judged of a refrigerant without properties: a null must not be read as `nothing is asked`."""
    if body.substance is None:
        context.assume("substance: taken as `mixed`, to which the triggers of every kind apply.")
    if body.country != "european-union":
        context.assume(
            f"The recovery level was not worked out, since {refrigerant} has no properties here: look it up."
        )
    if body.country != "united-states":
        context.assume(
            f"Leak checks, and duties by warming potential, were not worked out, since what {refrigerant} consists of "
            "is not known here: they may apply all the same. Look up its warming potential."
        )


def _addition(context: RequestContext, addition: RefrigerantAddition, at: str) -> core.Addition:
    nothing = addition.mass.value == 0 and addition.mass.uncertainty is None  # nothing was weighed
    return taken(context, core.Addition, addition, at, **({"mass": Measured(0.0)} if nothing else {}))
