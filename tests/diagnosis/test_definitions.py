"""What is seen, weighed or measured speaks for what it defines; what is broken is no sound machine.

The lists are written out here, not read from the knowledge, so that a mark lost there is noticed.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest

from witnessmark.diagnosis.case import RANKING_ONLY, Case, Machine, Reading, Report, ReportState
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import Cause, Mode
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.result import Diagnosis

CAUSES: tuple[tuple[str, ReportState, str], ...] = (
    ("charge-over", "present", "overcharge"),
    ("charge-short", "present", "undercharge"),
    ("airflow-low", "present", "low-airflow"),
    ("expansion-stays-open", "present", "expansion-overfeeding"),
    ("liquid-line-temperature-drop", "present", "expansion-starved"),
    ("off-cycle-valve-leak", "present", "off-cycle-leak"),
    ("long-low-load-running", "present", "low-load"),
    ("oil-return-piping-poor", "present", "poor-oil-return-piping"),
    ("accumulator-overfull", "present", "accumulator-fault"),
    ("accumulator-port-plugged", "present", "accumulator-fault"),
    ("heater-dead", "present", "heater-off"),
    ("short-cycling", "present", "short-cycling-control"),
    ("trouble-at-defrost", "present", "defrost-fault"),
    ("standing-pressure-high", "present", "air-in-circuit"),
    ("condenser-fouled", "present", "condenser-heat-rejection"),
    ("moisture-high", "present", "moisture-left-in"),
    ("oil-wrong-type", "present", "wrong-oil-charged"),
    ("supply-voltage", "low", "supply-out-of-range"),
    ("supply-voltage", "high", "supply-out-of-range"),
    ("voltage-unbalance", "present", "supply-unbalance"),
    ("phase-missing", "present", "phase-loss"),
    ("contactor-bad", "present", "contactor-failed"),
    ("sensor-or-command-wrong", "present", "control-fault"),
    ("suction-drop-high", "present", "suction-restriction"),
    ("surge-marks", "present", "surge"),
    ("no-cleanup-last-time", "present", "poor-cleanup"),
    ("oxide-scale-found", "present", "dirty-installation"),
    ("phase-rotation-wrong", "present", "reversed-supply"),
    ("outside-envelope-by-design", "present", "misapplication"),
    ("injection-fault", "present", "injection-circuit-fault"),
    ("suction-valve-shut", "present", "suction-closed"),
    ("oil-uneven-between-modules", "present", "oil-management-fault"),
    ("drive-cooling-bad", "present", "drive-cooling"),
    ("bonding-missing", "present", "drive-bonding-poor"),
    ("high-hours", "present", "age-and-hours"),
    ("reversing-or-bypass-valve-leaks", "present", "outside-valve-leak"),
    ("protection-bridged", "present", "protection-defeated"),
    ("head-pressure-control-bad", "present", "head-pressure-control-fault"),
    ("refrigerant-mixed", "present", "wrong-refrigerant"),
    ("water-in-circuit", "present", "water-side-leak"),
    ("replacement-model-wrong", "present", "wrong-replacement"),
    ("power-blinked", "present", "rapid-re-power"),
    ("control-voltage-low", "present", "low-control-voltage"),
    ("capacitor-bad", "present", "capacitor-failed"),
    ("start-relay-bad", "present", "start-relay-failed"),
)
MODES = (
    ("standing-pressure-high", "non-condensables"),
    ("windings-burnt-evenly", "general-burnout"),
    ("windings-one-or-two-phases-burnt", "single-phase-burn"),
    ("winding-one-phase-darker", "unbalance-burn"),
    ("spot-burn-in-winding", "spot-burn"),
    ("insulation-low", "ground-fault"),
    ("terminal-vented", "ground-fault"),
    ("locked-rotor-current", "locked-rotor"),
    ("module-fails-diode-check", "drive-module-fault"),
    ("dc-bus-wrong", "dc-bus-fault"),
    ("bearing-fluted", "bearing-current"),
    ("back-emf-low", "demagnetised-rotor"),
    ("magnets-weak-or-cracked", "demagnetised-rotor"),
    ("wrap-cracked-from-root", "broken-scroll"),
    ("coupling-keys-broken", "coupling-failure"),
    ("oil-wrong-type", "wrong-oil"),
    ("start-winding-open", "start-winding-failure"),
    ("start-winding-burnt", "start-winding-failure"),
    ("protector-open-cold", "protector-failed"),
    ("valves-leak-on-test", "valve-failure"),
    ("reed-broken", "valve-failure"),
    ("oil-pump-failed", "oil-pump-failure"),
    ("relief-valve-stuck", "relief-valve-open"),
    ("unloader-stuck", "capacity-control-failure"),
    ("shaft-seal-leaking", "shaft-seal-leak"),
)
BROKEN = (
    "rod-or-crank-broken",
    "wraps-shattered",
    "vane-broken",
    "fixed-scroll-mount-broken",
    "wrap-cracked-from-root",
    "coupling-keys-broken",
    "reed-broken",
    "gasket-or-backer-bolt-failed",
    "winding-open",
    "start-winding-open",
    "start-winding-burnt",
    "windings-burnt-evenly",
    "windings-one-or-two-phases-burnt",
    "winding-burnt-pattern-unknown",
    "spot-burn-in-winding",
    "terminal-vented",
    "terminal-burnt",
    "insulation-low",
    "shaft-seized",
    "rotor-bars-melted",
)
CLEAR: tuple[tuple[str, float, str], ...] = (
    ("voltage-fraction", 0.8, "supply-out-of-range"),
    ("voltage-unbalance", 0.04, "supply-unbalance"),
    ("charge-fraction", 0.6, "undercharge"),
    ("charge-fraction", 1.3, "overcharge"),
    ("starts-per-hour", 25.0, "short-cycling-control"),
    ("lost-leg-by-current", 1.0, "phase-loss"),
    ("lost-leg-by-voltage", 1.0, "phase-loss"),
    ("control-voltage-fraction", 0.65, "low-control-voltage"),
    ("capacitor-outside-tolerance", 0.4, "capacitor-failed"),
    ("restart-interval", 5.0, "rapid-re-power"),
)


@cache
def machine_of(finding: str, origin: str = "") -> Machine:
    """A machine that can show the finding and have its origin, the rest of it unknown."""
    hypotheses: dict[str, Mode | Cause] = {**knowledge().modes, **knowledge().causes}
    parts = dict(hypotheses[origin].applies.parts) if origin else {}
    for part, wanted in knowledge().findings[finding].applies.parts:
        parts[part] = wanted & parts.get(part, wanted)
    return Machine(**{part: min(wanted) for part, wanted in parts.items()})  # type: ignore[arg-type]


@cache
def alone(finding: str, state: ReportState, origin: str = "") -> Diagnosis:
    return diagnose(Case(machine_of(finding, origin), (Report(finding, state),), want=RANKING_ONLY))


def probability(answer: Diagnosis, key: str) -> float:
    return next(h.probability for h in (*answer.modes, *answer.causes) if h.id == key)


@pytest.mark.parametrize(("finding", "state", "cause"), CAUSES)
def test_a_finding_that_defines_a_cause_speaks_like_one(finding: str, state: ReportState, cause: str) -> None:
    answer = alone(finding, state, cause)
    assert probability(answer, cause) >= 0.85
    assert answer.causes[0].id == cause


@pytest.mark.parametrize(("finding", "mode"), MODES)
def test_a_finding_that_defines_a_mode_speaks_like_one(finding: str, mode: str) -> None:
    answer = alone(finding, "present", mode)
    assert probability(answer, mode) >= 0.8
    assert answer.modes[0].id == mode


@pytest.mark.parametrize("finding", BROKEN)
def test_what_is_broken_is_no_sound_machine(finding: str) -> None:
    assert alone(finding, "present").no_fault < 0.01


@pytest.mark.parametrize(("quantity", "value", "cause"), CLEAR)
def test_a_clear_reading_of_what_defines_a_cause(quantity: str, value: float, cause: str) -> None:
    machine = Machine(drive="fixed-speed", phases="single-phase" if "capacitor" in quantity else None)
    answer = diagnose(Case(machine, readings=(Reading(quantity, value),), want=RANKING_ONLY))
    assert probability(answer, cause) >= 0.9


def test_the_lists_hold_every_definition() -> None:
    marked = {(link.target, link.state, link.origin) for link in knowledge().links if link.defines}
    assert marked == {*CAUSES, *((finding, "present", mode) for finding, mode in MODES)}


@pytest.mark.parametrize(("finding", "state", "cause"), CAUSES)
def test_no_definition_is_hard(finding: str, state: ReportState, cause: str) -> None:
    """A report that its own writer hardly believes proves nothing; one to the contrary does not forbid the cause."""
    doubtful = Case(machine_of(finding), (Report(finding, state, reliability=0.6),), want=RANKING_ONLY)
    assert probability(diagnose(doubtful), cause) < 0.3
    contrary = Report(finding, "normal" if state in {"low", "high"} else "absent")
    assert probability(diagnose(Case(machine_of(finding), (contrary,), want=RANKING_ONLY)), cause) > 1e-5


@pytest.mark.parametrize("ohm", [1e-2, 1.0, 10.0, 100.0, 1e3])
def test_a_few_ohms_to_the_shell_are_a_ground_fault(ohm: float) -> None:
    answer = diagnose(Case(readings=(Reading("insulation-resistance", ohm),), want=RANKING_ONLY))
    assert probability(answer, "ground-fault") >= 0.97
    assert answer.no_fault < 0.01


def test_insulation_is_continuous_evidence() -> None:
    """Rising as the reading falls; half a megohm, which a soaked winding shows, condemns nothing."""
    ohms = (1e3, 3e3, 1e4, 3e4, 1e5, 2e5, 5e5, 1e6, 2e6, 5e6, 1e7)
    answers = [diagnose(Case(readings=(Reading("insulation-resistance", x),), want=RANKING_ONLY)) for x in ohms]
    chances = [probability(answer, "ground-fault") for answer in answers]
    assert chances == sorted(chances, reverse=True)
    assert all(a - b < 0.3 for a, b in pairwise(chances))
    half = answers[ohms.index(5e5)]
    assert probability(half, "ground-fault") < 0.5
    assert half.verdict.state == "not-enough-evidence"
    assert chances[-1] < 0.02


LEANS: tuple[tuple[str, ReportState, str], ...] = (
    ("unbalance-follows-supply", "present", "supply-unbalance"),
    ("brazed-without-nitrogen", "present", "dirty-installation"),
    ("oil-quantity", "high", "wrong-oil-charged"),
    ("net-oil-pressure", "high", "wrong-oil-charged"),
    ("gas-alarm", "present", "undercharge"),
    ("slide-valve-stuck", "present", "capacity-control-failure"),
    ("condensing-pressure", "high", "condenser-heat-rejection"),
    ("subcooling", "high", "overcharge"),
    ("subcooling", "low", "undercharge"),
    ("contactor-chatter", "present", "contactor-failed"),
)
"""What the trade would think of first, where a finding alone proves nothing."""


@pytest.mark.parametrize(("finding", "state", "origin"), LEANS)
def test_a_finding_alone_leans_to_what_the_trade_would_think_of(finding: str, state: ReportState, origin: str) -> None:
    answer = alone(finding, state)
    assert origin in {answer.modes[0].id, answer.causes[0].id}
    assert probability(answer, origin) < 0.85


STAND_FOR_THEMSELVES = {
    "about-to-burst-or-fall", "burst-with-release", "electrical-part-overheated", "fire-seen", "people-unwell",
    "person-hurt", "water-on-live-parts", "wrong-gas-under-pressure",
}  # fmt: skip


def test_every_finding_alone_moves_something() -> None:
    """Save those that are acted on for the sake of people and say nothing of why."""
    still = set()
    for key, finding in knowledge().findings.items():
        for state in finding.signs:
            answer = alone(key, state)
            if max(h.shift for h in (*answer.modes, *answer.causes)) < 2.0:
                still.add(key)
    assert still <= STAND_FOR_THEMSELVES
