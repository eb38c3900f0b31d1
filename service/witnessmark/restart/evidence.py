"""What the calculations' verdicts are worth to the gate: passed, failed, conflicting, undecided or missing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.electrical.insulation import InsulationOutcome, InsulationVerdict, TestCondition
from witnessmark.calculations.electrical.supply_unbalance import SupplyOutcome, SupplyVerdict
from witnessmark.calculations.electrical.winding_rules import WindingVerdict
from witnessmark.calculations.electrical.windings import WindingsResult
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.samples.oil_quality import OilQuality, OilVerdict
from witnessmark.calculations.tightness.decay_rules import EvacuationVerdict
from witnessmark.calculations.tightness.evacuation import DecayVerdict
from witnessmark.calculations.tightness.pressure_test import PressureTestResult, PressureTestVerdict

EvidenceOutcome = TypeAliasType("EvidenceOutcome", Literal["passed", "failed", "conflicting", "undecided", "missing"])
"""Missing: a test was reported, but it is not proved to be a valid one, so it counts as not done."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One piece of evidence for a check; `origin` says where it comes from, `detail` what it said."""

    origin: str
    outcome: EvidenceOutcome
    detail: str


INSULATION: Mapping[InsulationOutcome, EvidenceOutcome] = {
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
WINDINGS: Mapping[WindingVerdict, EvidenceOutcome] = {
    "balanced": "passed",
    "adds up": "passed",
    "unbalanced": "failed",
    "does not add up": "failed",
    "open winding": "failed",
    "shorted winding": "failed",
    "open or shorted winding": "failed",
    "open start winding": "failed",
    "open run winding": "failed",
    "open circuit": "failed",
    "terminals not as labelled": "failed",
    "readings contradict": "conflicting",
    "sources disagree": "conflicting",
    "protector may be open": "undecided",
    "cannot tell": "undecided",
}
PRESSURE: Mapping[PressureTestVerdict, EvidenceOutcome] = {
    "no loss seen": "passed",
    "leak": "failed",
    "hold disputed": "conflicting",
    "readings contradict": "conflicting",
    "not a valid test": "undecided",
    "hold too short": "undecided",
    "cannot tell": "undecided",
}
VACUUM: Mapping[EvacuationVerdict, EvidenceOutcome] = {
    "tight and dry": "passed",
    "moisture": "failed",
    "leak": "failed",
    "leak or moisture": "failed",
    "hold too short": "undecided",
    "cannot tell": "undecided",
}
OIL: Mapping[OilVerdict, EvidenceOutcome] = {
    "in limit": "passed",
    "change oil and driers": "failed",
    "sample again": "undecided",
    "cannot tell": "undecided",
}
SUPPLY: Mapping[SupplyOutcome, EvidenceOutcome] = {
    "within": "passed",
    "derate": "failed",
    "outside": "failed",
    "lost phase": "failed",
    "readings contradict": "conflicting",
    "measure line to line": "undecided",
    "cannot tell": "undecided",
}
STANDING: Mapping[Standing, EvidenceOutcome] = {
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


NOT_STATED: Mapping[TestCondition, str] = {
    "under_vacuum": "whether the shell was under vacuum",
    "through_drive": "whether a drive was connected",
    "power_locked_out": "whether the supply was locked out",
}


def from_insulation(result: InsulationVerdict) -> Evidence:
    """Evidence of an insulation test; a good reading proves nothing where it is not said that the test was valid."""
    outcome = INSULATION[result.verdict]
    if outcome == "passed" and result.polarisation is not None and result.polarisation.verdict == "low":
        return Evidence("insulation test", "failed", f"{result.verdict}, but the polarisation index is low")
    unstated = [NOT_STATED[name] for name in result.not_proven]
    detail = f"{result.verdict}; not stated: {', '.join(unstated)}" if unstated else result.verdict
    return Evidence("insulation test", outcome, detail)


def from_windings(result: WindingsResult) -> Evidence:
    """Evidence of winding resistances."""
    return Evidence("winding resistances", WINDINGS[result.verdict], result.verdict)


def from_pressure_test(result: PressureTestResult, reached: float = math.inf, least: float | None = None) -> Evidence:
    """Evidence of a standing pressure test; one whose last stage stood at less than `least` (Pa) proves nothing."""
    outcome = PRESSURE[result.verdict]
    if outcome == "passed" and least is not None and reached < least:
        detail = f"the last stage stood below {least / 1e6:.3g} MPa absolute, which the refrigerant itself reaches"
        return Evidence("standing pressure test", "missing", detail)
    return Evidence("standing pressure test", outcome, result.verdict)


def from_decay(result: DecayVerdict) -> Evidence:
    """Evidence of a decay test; a vacuum that was never deep enough is not proved by standing still."""
    outcome, deep = VACUUM[result.verdict], result.reached.standing
    if outcome == "passed" and deep != "within":
        return Evidence("vacuum decay", STANDING[deep], SHALLOW[deep])
    if outcome == "passed" and not result.water_boils:
        return Evidence("vacuum decay", "missing", "water could not boil at the coldest spot: dryness is not proved")
    return Evidence("vacuum decay", outcome, result.verdict)


def from_oil(result: OilQuality) -> Evidence:
    """Evidence of an oil analysis, which must hold an acid number to count for acid."""
    if not any(item.quantity == "acid_number" for item in result.items):
        return Evidence("oil analysis", "undecided", "no acid number was measured")
    return Evidence("oil analysis", OIL[result.verdict], result.verdict)


def from_supply(result: SupplyVerdict) -> Evidence:
    """Evidence of supply readings: lost phase, unbalance or derating, voltage band and currents.

    Without the rated voltage the band was not judged: balanced readings of the wrong voltage prove nothing.
    """
    if result.band is None and result.verdict == "within":
        return Evidence("supply readings", "missing", "the rated voltage was not given: the band is not judged")
    return Evidence("supply readings", SUPPLY[result.verdict], result.explanation or result.verdict)
