"""What a caller can state beside findings, what machines can have, and what cannot both be right."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.diagnosis.case import RANKING_ONLY, Case, Machine, Report, ReportState
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.result import Diagnosis

SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")
SOUND = Case(
    SCROLL,
    tuple(
        Report(finding, "absent")
        for finding in (
            "insulation-low",
            "winding-open",
            "locked-rotor-current",
            "breaker-trips-at-once",
            "knock-while-running",
            "no-pressure-difference",
            "pump-down-fails",
            "bleeds-down-fast",
            "metal-fines-in-oil",
            "oil-burnt",
            "acid-test-positive",
            "oil-thin-and-foaming",
            "discharge-temperature-high",
            "compression-ratio-high",
        )
    ),
    want=RANKING_ONLY,
)


def told(*findings: tuple[str, ReportState], machine: Machine = SCROLL, first: str | None = None) -> Diagnosis:
    reports = tuple(Report(finding, state) for finding, state in findings)
    return diagnose(Case(machine, reports, first=first, want=RANKING_ONLY))


def test_a_compressor_that_is_known_to_have_failed_has_a_fault() -> None:
    assert diagnose(SOUND).verdict.state == "no-compressor-fault-likely"
    known = diagnose(replace(SOUND, compressor_fate="known-failed"))
    assert known.no_fault == 0.0
    assert known.verdict.state != "no-compressor-fault-likely"
    assert sum(mode.probability for mode in known.modes) >= 1.0


def test_known_failed_conditions_properly() -> None:
    """P(mode | some mode is there) = P(mode) / P(some mode is there), for every mode."""
    open_case = Case(SCROLL, (Report("capacity-low", "present"),), want=RANKING_ONLY)
    free, known = diagnose(open_case), diagnose(replace(open_case, compressor_fate="known-failed"))
    before = {mode.id: mode.probability / (1 - free.no_fault) for mode in free.modes}
    assert {mode.id: mode.probability for mode in known.modes} == pytest.approx(before, abs=1e-5)


def test_a_compressor_that_is_replaced_anyway_is_ordered_whatever_is_found() -> None:
    anyway = diagnose(replace(SOUND, compressor_fate="replaced-anyway"))
    assert anyway.no_fault == diagnose(SOUND).no_fault
    assert anyway.dispatch.text.endswith("The compressor is ordered anyway, whatever is found.")
    assert "ordered anyway" not in diagnose(SOUND).dispatch.text


def test_what_was_first_began_it() -> None:
    """A washed bearing, a rub and a burnt spot: told the other way round it began with the winding."""
    seen: tuple[tuple[str, ReportState], ...] = (
        ("bearings-washed-bright", "present"),
        ("wear-grows-away-from-pump", "present"),
        ("suction-superheat", "low"),
        ("spot-burn-in-winding", "present"),
    )
    assert told(*seen, first="bearings-washed-bright").initiating == ("liquid-floodback",)
    turned = told(*seen, first="spot-burn-in-winding")
    assert turned.initiating == ("spot-burn",)
    assert "spot-burn" not in turned.terminal


@pytest.mark.parametrize("first", ["fire-seen", "bearing-fluted"])
def test_what_no_likely_mode_shows_moves_nothing(first: str) -> None:
    """Flames are shown by no mode; fluting this machine cannot have."""
    seen: tuple[str, ReportState] = ("spot-burn-in-winding", "present")
    assert told(seen, first=first).initiating == told(seen).initiating


@pytest.mark.parametrize(
    ("machine", "finding"),
    [
        (Machine("scroll", "low-side", "inverter"), "phase-missing"),
        (Machine("scroll", "low-side", "inverter"), "voltage-unbalance"),
        (Machine("scroll", "low-side", "inverter"), "current-unbalance"),
        (Machine("rotary", "high-side", "inverter", "hermetic", "single-phase"), "current-unbalance"),
        (Machine("rotary", "high-side", "inverter"), "windings-one-or-two-phases-burnt"),
        (Machine("reciprocating", "low-side", "fixed-speed"), "seal-or-relief-leaking"),
        (Machine("reciprocating", None, "fixed-speed", "semi-hermetic", "three-phase"), "oil-pump-failed"),
        (Machine("screw", None, "fixed-speed", "open-drive", "three-phase"), "shaft-seal-leaking"),
    ],
)
def test_what_a_machine_can_have_counts(machine: Machine, finding: str) -> None:
    answer = told((finding, "present"), machine=machine)
    assert answer.set_aside == ()
    (used,) = answer.used
    assert used.finding == finding
    shifts = [h.shift for h in (*answer.modes, *answer.causes)]
    assert max(shifts) > 5, "something accounts for it on this machine"


@pytest.mark.parametrize(
    ("machine", "finding"),
    [
        (SCROLL, "bearing-fluted"),
        (SCROLL, "reed-broken"),
        (SCROLL, "start-winding-burnt"),
        (SCROLL, "shaft-seal-leaking"),
        (Machine(phases="single-phase", drive="fixed-speed"), "phase-missing"),
    ],
)
def test_what_a_machine_cannot_have_is_named_and_harms_nothing(machine: Machine, finding: str) -> None:
    other: tuple[str, ReportState] = ("insulation-low", "present")
    both, alone = told((finding, "present"), other, machine=machine), told(other, machine=machine)
    ((aside),) = both.set_aside
    assert aside.finding == finding
    assert aside.reason.startswith("It is a finding of other machines (")
    assert both.modes == alone.modes
    assert both.verdict == alone.verdict


NOT_BOTH: tuple[tuple[tuple[str, ReportState], tuple[str, ReportState]], ...] = (
    (("locked-rotor-current", "present"), ("knock-while-running", "present")),
    (("locked-rotor-current", "present"), ("running-current", "normal")),
    (("shaft-seized", "present"), ("running-current", "normal")),
    (("shaft-seized", "present"), ("knock-while-running", "present")),
    (("winding-open", "present"), ("running-current", "normal")),
    (("protector-open-cold", "present"), ("running-current", "normal")),
    (("protector-open-cold", "present"), ("protector-open-hot", "present")),
    (("sump-cold-running", "present"), ("discharge-temperature-high", "present")),
    (("breaker-trips-at-once", "present"), ("running-current", "normal")),
    (("breaker-trips-at-once", "present"), ("trips-after-minutes", "present")),
)


@pytest.mark.parametrize(("one", "other"), NOT_BOTH)
def test_what_cannot_both_be_right_is_told(one: tuple[str, ReportState], other: tuple[str, ReportState]) -> None:
    (clash,) = told(one, other).contradictions
    assert set(clash.findings) == {one[0], other[0]}
    assert clash.ask


def test_wet_without_acid_is_early_moisture() -> None:
    answer = told(("moisture-high", "present"), ("acid-test-positive", "absent"))
    assert answer.contradictions == ()
    assert answer.verdict.state != "contradictory-evidence"
    assert answer.causes[0].id == "moisture-left-in"


def test_nothing_is_explained_already_by_what_is_unlikely_or_reads_the_other_way() -> None:
    """Low current is no sign of too much refrigerant, which raises it; a rival that is named is likely itself."""
    seen: tuple[tuple[str, ReportState], ...] = (
        ("running-current", "low"),
        ("charge-over", "present"),
        ("no-pressure-difference", "present"),
        ("bleeds-down-fast", "present"),
        ("capacity-low", "present"),
    )
    answer = diagnose(Case(SCROLL, tuple(Report(finding, state) for finding, state in seen)))
    likely = {knowledge().name(h.id) for h in (*answer.modes, *answer.causes) if h.probability >= 0.5}
    texts = [w.text for e in answer.explanations for w in e.weights if w.effect == "already explained"]
    assert texts
    overcharge = knowledge().name("overcharge").lower()
    assert not [text for text in texts if "current" in text.lower() and overcharge in text.lower()]
    named = [text for text in texts if any(knowledge().name(key).lower() in text.lower() for key in knowledge().modes)]
    assert all(any(name.lower() in text.lower() for name in likely) for text in named)
