"""What a decay test of the vacuum is worth to the gate."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from witnessmark.calculations.metrology.limits import judge
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness.decay_rules import EvacuationVerdict
from witnessmark.calculations.tightness.evacuation import DecayVerdict
from witnessmark.calculations.tightness.vacuum_levels import MICRON, vacuum_levels
from witnessmark.restart.evidence import TABLE, Evidence, EvidenceOutcome

VACUUM: Mapping[EvacuationVerdict, EvidenceOutcome] = {
    "tight and dry": "passed",
    "moisture": "failed",
    "leak": "failed",
    "leak or moisture": "failed",
    "hold too short": "undecided",
    "cannot tell": "undecided",
    "readings contradict": "conflicting",
}


@dataclass(frozen=True, slots=True)
class Isolation:
    """How the vacuum gauge saw the circuit; None where it was not said."""

    pump_valved_off: bool | None = None
    gauge_at_pump: bool | None = None


def from_decay(
    result: DecayVerdict, isolation: Isolation, *, shown_tight: bool = False, burnt: bool = False
) -> Evidence:
    """Evidence of a decay test; it proves nothing with the pump on, nor by a gauge that sees the pump only.

    The verdict decides. Where it is left open only because the hold was too short to bound a leak, a circuit that
    is shown tight by its pressure tests (shown_tight) needs the vacuum for its dryness alone: see `_dry`. After a
    burn (burnt) sources differ on the level: what the strictest asks is a condition where it is not met.
    """
    origin = "vacuum decay"
    if isolation.pump_valved_off is not True:
        said = "was not said to be" if isolation.pump_valved_off is None else "was not"
        return Evidence(origin, "missing", f"the pump {said} valved off")
    if isolation.gauge_at_pump is not False:
        said = "was not said to stand in the circuit" if isolation.gauge_at_pump is None else "stood at the pump"
        return Evidence(origin, "missing", f"the gauge {said}, so it may have seen the pump only")
    condition = _after_burn(result) if burnt else ""
    if result.verdict == "cannot tell" and shown_tight and _dry(result):
        return Evidence(origin, "passed", "dry by where it levels off; tight by the pressure tests", condition)
    outcome = VACUUM[result.verdict]
    condition = condition if outcome == "passed" else ""
    return Evidence(origin, outcome, f"{result.verdict}: {', '.join(result.reasons)}", condition)


def _after_burn(result: DecayVerdict) -> str:
    """What the strictest source asks of a burnt circuit, where it is not met."""
    strictest = vacuum_levels(situation="after-burn").after_hold.rule()
    if judge(result.after_hold.value, strictest) == "within":
        return ""
    return f"after a burn the strictest source asks for {strictest.value / MICRON:.0f} micron after the hold: pump on"


def _dry(result: DecayVerdict) -> bool:
    """Whether it levels off below the limit of the level after a hold, at 95 % with the gauge's accuracy.

    Water must have been able to boil, the hold as long as any source asks, and no leak to be seen. Ice and water in
    oil begin slowly: so there must be enough of readings and of time (`Levelling`), and what remains of the hold that
    is asked must not lead above the limit at the last rate either.
    """
    least = TABLE().levelling
    gauge = result.reached.value.uncertainty / result.reached.value.value
    level = result.after_hold.value
    if result.rise == "levels off" and result.fit.plateau is not None and result.plateau_high is not None:
        reach = (result.plateau_high - result.fit.plateau) / COVERAGE
        level = Measured(result.fit.plateau, math.hypot(reach, gauge * result.fit.plateau))
    return (
        result.rise in ("none", "levels off")
        and result.climb.standing != "outside"
        and result.hold.standing != "outside"
        and result.water_boils
        and result.count >= least.readings
        and result.hold.value.value >= least.hold
        and result.at_last_rate.standing == "within"
        and judge(level, result.after_hold.limit) == "within"
    )
