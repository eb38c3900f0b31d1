"""What the calculations' verdicts are worth to the gate: passed, failed, conflicting, undecided or missing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from witnessmark.calculations.electrical.insulation import Condition, InsulationVerdict
from witnessmark.calculations.electrical.supply_unbalance import SupplyVerdict
from witnessmark.calculations.electrical.windings import SinglePhaseVerdict, ThreePhaseVerdict
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.samples.oil_quality import OilQuality
from witnessmark.calculations.tightness.evacuation import DecayVerdict
from witnessmark.calculations.tightness.pressure_test import PressureTestVerdict

Outcome = Literal["passed", "failed", "conflicting", "undecided", "missing"]
"""Missing: a test was reported, but it is not proved to be a valid one, so it counts as not done."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One piece of evidence for a check; `origin` says where it comes from, `detail` what it said."""

    origin: str
    outcome: Outcome
    detail: str


INSULATION: Mapping[str, Outcome] = {
    "meets every stated minimum": "passed",
    "meets the maker's minimum": "passed",
    "minimum met, test not proven valid": "missing",
    "grounded": "failed",
    "below every stated minimum": "failed",
    "below the maker's minimum": "failed",
    "sources disagree": "conflicting",
    "not a valid test": "undecided",
    "warm up and repeat": "undecided",
    "cannot tell": "undecided",
}
WINDINGS: Mapping[str, Outcome] = {
    "balanced": "passed",
    "unbalanced": "failed",
    "open circuit": "failed",
    "sources disagree": "conflicting",
    "protector may be open": "undecided",
    "cannot tell": "undecided",
}
PRESSURE: Mapping[str, Outcome] = {
    "no loss seen": "passed",
    "leak": "failed",
    "hold disputed": "conflicting",
    "readings contradict": "conflicting",
    "not a valid test": "undecided",
    "hold too short": "undecided",
    "cannot tell": "undecided",
}
VACUUM: Mapping[str, Outcome] = {
    "tight and dry": "passed",
    "moisture": "failed",
    "leak": "failed",
    "leak or moisture": "failed",
    "hold disputed": "conflicting",
    "hold too short": "undecided",
    "cannot tell": "undecided",
}
OIL: Mapping[str, Outcome] = {
    "in limit": "passed",
    "change oil and driers": "failed",
    "sample again": "undecided",
    "cannot tell": "undecided",
}
STANDING: Mapping[Standing, Outcome] = {
    "within": "passed",
    "outside": "failed",
    "sources disagree": "conflicting",
    "cannot tell": "undecided",
}


SHALLOW: Mapping[Standing, str] = {
    "outside": "the vacuum was not deep enough to begin with",
    "sources disagree": "the vacuum was deep enough by some sources only: pull deeper, or give the maker's limit",
    "cannot tell": "the gauge cannot tell whether the vacuum was deep enough: pull deeper",
}


NOT_SAID: Mapping[Condition, str] = {
    "under_vacuum": "whether the shell was under vacuum",
    "through_drive": "whether a drive was connected",
    "power_locked_out": "whether the supply was locked out",
}


def from_insulation(found: InsulationVerdict) -> Evidence:
    """Evidence of an insulation test; a good reading proves nothing where it is not said that the test was valid."""
    outcome = INSULATION[found.verdict]
    if outcome == "passed" and found.polarisation is not None and found.polarisation.verdict == "low":
        return Evidence("insulation test", "failed", f"{found.verdict}, but the polarisation index is low")
    said = [NOT_SAID[name] for name in found.not_proven]
    detail = f"{found.verdict}; not stated: {', '.join(said)}" if said else found.verdict
    return Evidence("insulation test", outcome, detail)


def from_windings(found: ThreePhaseVerdict | SinglePhaseVerdict) -> Evidence:
    """Evidence of winding resistances."""
    return Evidence("winding resistances", WINDINGS[found.verdict], found.verdict)


def from_pressure_test(found: PressureTestVerdict, reached: float = math.inf, least: float | None = None) -> Evidence:
    """Evidence of a standing pressure test; one whose last stage stood at less than `least` (Pa) proves nothing."""
    outcome = PRESSURE[found.verdict]
    if outcome == "passed" and least is not None and reached < least:
        detail = f"the last stage stood below {least / 1e6:.3g} MPa absolute, which the refrigerant itself reaches"
        return Evidence("standing pressure test", "missing", detail)
    return Evidence("standing pressure test", outcome, found.verdict)


def from_decay(found: DecayVerdict) -> Evidence:
    """Evidence of a decay test; a vacuum that was never deep enough is not proved by standing still."""
    outcome, deep = VACUUM[found.verdict], found.reached.standing
    if outcome == "passed" and deep != "within":
        return Evidence("vacuum decay", STANDING[deep], SHALLOW[deep])
    if outcome == "passed" and not found.water_boils:
        return Evidence("vacuum decay", "missing", "water could not boil at the coldest spot: dryness is not proved")
    return Evidence("vacuum decay", outcome, found.verdict)


def from_oil(found: OilQuality) -> Evidence:
    """Evidence of an oil analysis, which must hold an acid number to count for acid."""
    if not any(item.quantity == "acid_number" for item in found.items):
        return Evidence("oil analysis", "undecided", "no acid number was measured")
    return Evidence("oil analysis", OIL[found.verdict], found.verdict)


def from_supply(found: SupplyVerdict) -> Evidence:
    """Evidence of supply readings: the worst of unbalance, voltage band and currents.

    Without the rated voltage the band was not judged: balanced readings of the wrong voltage prove nothing.
    """
    if found.current is not None and found.current.lost_phase:
        return Evidence("supply readings", "failed", "a phase carries no current")
    standings = [found.standing]
    standings += [found.band.standing] if found.band else []
    standings += [found.current.standing] if found.current else []
    worst = next(s for s in ("outside", "sources disagree", "cannot tell", "within") if s in standings)
    if found.band is None and worst == "within":
        return Evidence("supply readings", "missing", "the rated voltage was not given: the band is not judged")
    return Evidence("supply readings", STANDING[worst], worst)
