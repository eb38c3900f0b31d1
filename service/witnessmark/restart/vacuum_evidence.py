"""What a decay test of the vacuum is worth to the gate."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from witnessmark.calculations.metrology.limits import judge
from witnessmark.calculations.metrology.ratios import scaled
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness.decay_rules import EvacuationVerdict
from witnessmark.calculations.tightness.evacuation import DecayVerdict
from witnessmark.calculations.tightness.vacuum_levels import MICRON, VacuumSituation, allowed_rise
from witnessmark.restart.evidence import TABLE, Evidence, EvidenceOutcome
from witnessmark.vocabulary import BurnoutGrade

VACUUM: Mapping[EvacuationVerdict, EvidenceOutcome] = {
    "tight and dry": "passed",
    "moisture": "failed",
    "leak": "failed",
    "leak or moisture": "failed",
    "hold too short": "undecided",
    "cannot tell": "undecided",
    "readings contradict": "conflicting",
}


ORIGIN = "vacuum decay"
READ_ON = "take five readings or more over a quarter of an hour and longer, until it levels off"
NOT_SHOWN_TIGHT = "the pressure tests do not prove the circuit tight, so that the vacuum has to"
DEEPER = "pump deeper, the sump warm and the pump's oil fresh, and let it stand again"
WARMER = "warm the coldest spot and let it stand again"
LONGER = "let it stand for longer, until it levels off"
COLDER = "water at a colder spot could hold it"
VOLUME_NEEDED = "cannot tell: it climbs by more than an allowed leak in a large circuit: give the volume"


@dataclass(frozen=True, slots=True)
class Isolation:
    """How the vacuum gauge saw the circuit; None where it was not said."""

    pump_valved_off: bool | None = None
    gauge_at_pump: bool | None = None


def situation_of(told: VacuumSituation, grade: BurnoutGrade | None) -> VacuumSituation:
    """The row of the table that counts: a burn counts though nothing was told of it, water before a burn.

    >>> situation_of("ordinary", 2), situation_of("ordinary", 0), situation_of("wet", 2), situation_of("ordinary", None)
    ('after-burn', 'ordinary', 'wet', 'after-burn')
    """
    return "after-burn" if told == "ordinary" and grade != 0 else told


def from_decay(result: DecayVerdict, isolation: Isolation, *, shown_tight: bool = False) -> Evidence:
    """Evidence of a decay test; it proves nothing with the pump on, nor by a gauge that sees the pump only.

    The verdict decides. Where it is left open only because the hold was too short to bound a leak, a circuit that
    is shown tight by its pressure tests (shown_tight) needs the vacuum for its dryness alone: see `_dry`. There it also
    passes by the climb that published standing tests allow whatever the volume, over the longest hold asked: telling a
    volume, in which the allowed leak lifts the pressure by less than a gauge shows, is never worse than leaving it
    out. A level
    above what a source asks that does not speak of burns is a condition.
    """
    if unseen := _unseen(isolation):
        return Evidence(ORIGIN, "missing", unseen)
    condition = "; ".join(filter(None, (_pump_on(result), _ice(result))))
    proved = _proved(result) if shown_tight else ""
    if proved:
        return Evidence(ORIGIN, "passed", f"{proved}; tight by the pressure tests", condition)
    if result.volume_needed:
        return Evidence(ORIGIN, "undecided", VOLUME_NEEDED)
    outcome = VACUUM[result.verdict]
    told = f"{result.verdict}: {', '.join(result.reasons)}"
    if outcome == "undecided":
        return Evidence(ORIGIN, outcome, f"{told}: {_next(result) if shown_tight else NOT_SHOWN_TIGHT}")
    return Evidence(ORIGIN, outcome, told, condition if outcome == "passed" else "")


def _next(result: DecayVerdict) -> str:
    """What to do about a vacuum that cannot be told, where a leak is not the question: by what keeps it open."""
    if COLDER in result.reasons:
        return WARMER
    least = TABLE().levelling
    enough = result.count > least.readings and result.hold.value.value >= least.hold
    if "stands above the limit" in result.reasons or (enough and result.after_hold.standing != "within"):
        return DEEPER
    return LONGER if enough else READ_ON


def _ice(result: DecayVerdict) -> str:
    """What a good vacuum owes to a spot so cold that water in it is ice.

    Example: a cold room pulled at -20 degC: ice dries slowly, and comes as moisture when it thaws.
    """
    if result.coldest.standing != "outside":
        return ""
    coldest = result.coldest.limit.value - 273.15
    return f"evacuated with a spot below {coldest:.0f} degC, where water is ice: look for frost, warm it and read again"


def _unseen(isolation: Isolation) -> str:
    """Why the gauge may have seen the pump, or something else than a shut circuit; empty where it did not."""
    if isolation.pump_valved_off is not True:
        said = "was not said to be" if isolation.pump_valved_off is None else "was not"
        return f"the pump {said} valved off"
    if isolation.gauge_at_pump is not False:
        said = "was not said to stand in the circuit" if isolation.gauge_at_pump is None else "stood at the pump"
        return f"the gauge {said}, so it may have seen the pump only"
    return ""


def _proved(result: DecayVerdict) -> str:
    """By what a vacuum whose leak cannot be told passes in a circuit that is tight by its pressure tests; or empty."""
    if result.verdict != "cannot tell" or COLDER in result.reasons:
        return ""
    if _dry(result):
        return "dry by where it levels off"
    if result.by_rise == "tight and dry" and result.hold.standing == "within":
        return "holds as a standing test asks"
    return "holds as its maker asks" if _as_its_maker_asks(result) else ""


def _as_its_maker_asks(result: DecayVerdict) -> bool:
    """Whether hold and level after it are those that the maker states, and both are met, where water could boil."""
    by_maker = result.hold.limit.basis == result.after_hold.limit.basis == "maker"
    return by_maker and result.hold.standing == result.after_hold.standing == "within" and result.water_boils


def _pump_on(result: DecayVerdict) -> str:
    """What the deepest source asks of a burnt circuit, where it is not met."""
    if result.deeper is None or result.deeper.standing == "within":
        return ""
    asked = result.deeper.limit.value / MICRON
    return f"after a burn the strictest source asks for {asked:.0f} micron after the hold: pump on where there is time"


def _slows(result: DecayVerdict) -> bool:
    """Whether the climb slows down for good: a steady one is neither dry nor to be told from a leak or from water.

    The second half climbs at half of the first's rate or less, where the first is seen to climb; or its bound at 95 %
    is below the climb that is allowed in a circuit of unknown volume.
    """
    early, late = result.halves
    seen = early.value > COVERAGE * early.uncertainty
    halved = seen and late.value <= TABLE().levelling.slower * early.value
    return halved or judge(scaled(late, 3600), allowed_rise()) == "within"


def _dry(result: DecayVerdict) -> bool:
    """Whether it levels off below the limit of the level after a hold, at 95 % with the gauge's accuracy.

    Water must have been able to boil, the hold as long as any source asks, and no leak to be seen. Ice and water in
    oil begin slowly: so there must be enough of readings and of time (`Levelling`), and what remains of the hold that
    is asked must not lead above the limit at the last rate either, and the climb must slow down (`_slows`), save
    where the refrigerant takes up water: at its levels no gauge shows the climbs that are meant there.
    """
    least = TABLE().levelling
    gauge = result.reached.value.uncertainty / result.reached.value.value
    level = result.after_hold.value
    if result.rise == "levels off" and result.fit.plateau is not None and result.plateau_high is not None:
        reach = (result.plateau_high - result.fit.plateau) / COVERAGE
        level = Measured(result.fit.plateau, math.hypot(reach, gauge * result.fit.plateau))
    return (
        "the gauge does not move" not in result.reasons
        and result.rise in ("none", "levels off")
        and result.climb.standing != "outside"
        and result.hold.standing != "outside"
        and result.water_boils
        and result.count >= least.readings
        and result.hold.value.value >= least.hold
        and result.at_last_rate.standing == "within"
        and (result.takes_up_water or _slows(result))
        and judge(level, result.after_hold.limit) == "within"
    )
