"""What to send and what to do until then."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.diagnosis.answer.dispatch import dispatch
from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.misfits import contradictions, fits, misfits
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.answer.verdict import verdict
from witnessmark.diagnosis.case import Case, Fluid, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.result import DispatchAdvice, Named

SCROLL = Machine("scroll", "low-side", "fixed-speed")
HARMLESS = Fluid(flammable=False, toxic=False)


def advised(known: Knowledge, case: Case) -> DispatchAdvice:
    inquiry = inquire(known, case)
    ruling = verdict(inquiry, misfits(inquiry), contradictions(inquiry), fits=fits(inquiry))
    return dispatch(inquiry, ruling, notices(inquiry))


def sent(known: Knowledge, *reports: tuple[str, str], **more: object) -> DispatchAdvice:
    case = Case(SCROLL, tuple(Report(key, state) for key, state in reports))  # type: ignore[arg-type]
    return advised(known, replace(case, **more))  # type: ignore[arg-type]


WET = (("superheat", "low"), ("sump-cold", "present"), ("bearing-washed", "present"))
BURNT = (("oil-black", "present"), ("oil-acid", "present"), ("insulation-low", "present"))


def test_a_diagnosed_mode_and_its_likely_cause(small: Knowledge) -> None:
    outcome = sent(small, *WET)
    assert outcome.for_hypotheses == ("floodback", "overfeeding")
    assert [(part.id, part.when) for part in outcome.parts] == [
        ("compressor", "order"),
        ("suction-drier", "take-along"),
        ("expansion-valve", "only-if-proved"),
    ]
    assert outcome.parts_note == "bulb first"
    assert outcome.tools == (Named("gauges", "gauge set"), Named("valve-driver", "valve driver or magnet"))
    assert outcome.keep_as_evidence == ("oil sample", "valve")
    assert (outcome.persons, outcome.minutes) == (1, 90)
    assert outcome.skills == (Named("refrigeration", "refrigeration technician"),)
    assert outcome.text == "Send this week: refrigeration technician; for floodback and valve overfeeds."


def test_a_step_that_a_finding_has_ruled_out_is_not_ordered(small: Knowledge) -> None:
    """And one that waits for a finding comes with it: work already done is not ordered again."""
    outcome = sent(small, *WET)
    assert outcome.for_technician == ("Note the superheat", "Warm the sump", "Swap legs")
    dry = sent(small, WET[0], ("sump-cold", "absent"), WET[2])
    assert dry.for_hypotheses[0] == "floodback"
    assert dry.for_technician[:2] == ("Note the superheat", "Look at the sump")


def test_phases_decide_what_is_swapped(small: Knowledge) -> None:
    single = replace(SCROLL, phases="single-phase")
    reports = tuple(Report(key, state) for key, state in WET)  # type: ignore[arg-type]
    assert "Swap legs" not in advised(small, Case(single, reports)).for_technician
    assert "Swap legs" in advised(small, Case(replace(SCROLL, phases="three-phase"), reports)).for_technician


def test_power_is_forbidden_first_and_said_once(small: Knowledge) -> None:
    outcome = sent(small, *WET, *BURNT)
    assert outcome.persons == 2
    assert outcome.for_technician[:2] == ("Do not energise: lock out.", "Do not open the circuit yet.")
    assert "Lock out" not in outcome.for_technician
    assert outcome.operation.advice == "stop"
    assert outcome.for_caller[:1] == ("Switch it off and leave it off until a technician has looked at it",)
    assert "Drive it shut" not in outcome.for_technician


def test_what_burns_is_warned_of_only_where_it_burns(small: Knowledge) -> None:
    assert "Which refrigerant?" in sent(small, *BURNT).for_technician
    assert "Flammable: no power" in sent(small, *BURNT, fluid=Fluid(flammable=True, toxic=False)).for_technician
    said = sent(small, *BURNT, fluid=HARMLESS).for_technician
    assert not {"Which refrigerant?", "Flammable: no power"} & set(said)


def test_nothing_is_ordered_before_a_verdict(small: Knowledge) -> None:
    outcome = sent(small, ("oil-black", "present"), ("oil-acid", "present"))
    assert outcome.for_hypotheses[0] == "burnout"
    assert ("compressor", "only-if-proved") in [(part.id, part.when) for part in outcome.parts]
    assert outcome.parts_note.startswith("order nothing before the next checks")


def test_a_compressor_that_is_replaced_anyway_is_ordered(small: Knowledge) -> None:
    told = sent(small, compressor_fate="replaced-anyway")
    assert [(part.id, part.when) for part in told.parts] == [("compressor", "order")]


def test_nothing_known_sends_a_technician_as_planned_work(small: Knowledge) -> None:
    outcome = sent(small)
    assert (outcome.priority.level, outcome.priority.kind) == (8, "planned-work")
    assert (outcome.parts, outcome.tools, outcome.for_technician, outcome.minutes) == ((), (), (), 60)
    assert outcome.operation.advice == "unknown"
    assert outcome.text == "Send as planned work: refrigeration technician."


def test_where_no_fault_is_likely(small: Knowledge) -> None:
    clean = [("oil-good", "present"), ("parts-good", "present"), ("insulation-low", "absent"), ("sump-cold", "absent")]
    outcome = sent(small, *clean)
    assert outcome.for_hypotheses == ("no-compressor-fault",)
    assert (outcome.parts, outcome.parts_note) == ((), "")
    assert "Do not condemn the compressor" in outcome.for_technician
    assert outcome.operation.advice != "stop"
    assert outcome.text == "Send as planned work: refrigeration technician."


def test_a_condenser_reported_clean_is_not_to_be_cleaned(shipped: Knowledge) -> None:
    hot = (("discharge-temperature-high", "present"), ("valve-plate-discoloured", "present"))
    machine = Machine("reciprocating", "low-side", "fixed-speed")
    reports = tuple(Report(key, state) for key, state in hot)  # type: ignore[arg-type]
    said = advised(shipped, Case(machine, reports))
    assert "overheating" in said.for_hypotheses
    assert not [step for step in said.for_technician if "Clean the condenser" in step]  # nobody found it dirty
    dirty = advised(shipped, Case(machine, (*reports, Report("condenser-fouled", "present"))))
    assert any("Clean the condenser" in step for step in dirty.for_technician)
    clean = advised(shipped, Case(machine, (*reports, Report("condenser-fouled", "absent"))))
    assert "overheating" in clean.for_hypotheses
    assert not [step for step in (*clean.for_technician, *clean.for_caller) if "ondenser" in step]
    assert not [step for step in clean.for_caller if "outdoor unit" in step]


def test_a_machine_that_runs_on_is_told_nothing_that_would_stop_it(shipped: Knowledge) -> None:
    """A mode that would stop it is in view at less than two in five: its steps are left out, its tools are not."""
    case = Case(Machine("scroll", "low-side", "fixed-speed"), (Report("superheat-hunting", "present"),), ran=True)
    said = advised(shipped, case)
    assert said.operation.advice == "keep-running"
    words = " ".join((*said.for_technician, *said.for_caller)).lower()
    assert not [word for word in ("lock out", "switch it off", "do not run", "keep it off") if word in words]


def test_the_crew_is_that_of_the_machine(shipped: Knowledge) -> None:
    """A lost phase is the electrician's; who judges the burnt winding behind it comes along."""
    burnt = ("phase-missing", "contactor-bad", "windings-one-or-two-phases-burnt", "oil-burnt")
    outcome = sent(shipped, *((key, "present") for key in burnt))
    assert outcome.for_technician[0] == "Do not energise: lock out."
    assert not {"Lock out", "Do not re-energise"} & set(outcome.for_technician)
    assert {"electrical", "refrigeration"} <= {skill.id for skill in outcome.skills}
    assert outcome.persons == 2


def test_dangers_are_told_on_the_phone_in_the_words_of_their_rule(shipped: Knowledge) -> None:
    outcome = sent(shipped, ("smoke-seen", "present"))
    assert outcome.for_caller[0].startswith("Smoke or fire: get everybody out")
    assert outcome.priority.level == 1
    quiet = sent(shipped, ("charge-short", "present"))
    assert quiet.for_caller[0] == "Leave it as it is, and do not try to start it"


def test_a_cold_sump_forbids_the_start_and_keeps_the_heater(shipped: Knowledge) -> None:
    cold = (("sump-cold-at-rest", "present"), ("start-noise", "present"), ("long-idle-before-failure", "present"))
    outcome = sent(shipped, *cold, ("insulation-low", "absent"))
    assert "Do not start the compressor yet." in outcome.for_technician
    assert "Do not energise: lock out." not in outcome.for_technician
    assert any("heater" in line for line in outcome.for_caller)


def test_a_mode_that_is_merely_in_view_forbids_no_run(shipped: Knowledge) -> None:
    """Worst: the checks ask for a pump-down, and the orders forbid to run it."""
    advice = sent(shipped, ("pump-down-fails", "present"))
    assert advice.operation.advice == "unknown"
    assert not any("No restart" in step for step in advice.for_technician)
    leads = sent(shipped, ("wraps-shattered", "present"), ("bang-then-dead", "present"))
    assert any("No restart" in step for step in leads.for_technician)


@pytest.mark.parametrize(
    ("reports", "ordered"),
    [
        ((("suction-superheat", "low"), ("sump-cold-running", "present"), ("frost-on-suction", "present")), False),
        ((("heater-dead", "present"), ("start-noise", "present"), ("sump-cold-at-rest", "present")), False),
        ((("suction-superheat", "low"), ("sump-cold-running", "present"), ("metal-fines-in-oil", "present")), True),
        ((("insulation-low", "present"), ("oil-burnt", "present"), ("breaker-trips-at-once", "present")), True),
    ],
)
def test_no_compressor_is_ordered_for_what_a_sound_one_lives_through(
    shipped: Knowledge, reports: tuple[tuple[str, str], ...], *, ordered: bool
) -> None:
    """Worst: a bulb hangs loose, and a compressor is bought."""
    when = {part.id: part.when for part in sent(shipped, *reports).parts}
    assert (when["compressor"] == "order") is ordered


def test_a_compressor_that_is_known_to_have_failed_is_ordered(shipped: Knowledge) -> None:
    wet = (("suction-superheat", "low"), ("sump-cold-running", "present"), ("frost-on-suction", "present"))
    for fate, when in ((None, "only-if-proved"), ("known-failed", "order")):
        parts = sent(shipped, *wet, compressor_fate=fate).parts
        assert {part.id: part.when for part in parts}["compressor"] == when


def test_no_part_is_taken_that_was_found_good(shipped: Knowledge) -> None:
    stalled = (("locked-rotor-current", "present"), ("relay-clicks", "present"))
    taken = {part.id for part in sent(shipped, *stalled).parts}
    assert {"capacitor", "start-relay"} <= taken
    good = (("capacitor-bad", "absent"), ("start-relay-bad", "absent"))
    assert not {"capacitor", "start-relay"} & {part.id for part in sent(shipped, *stalled, *good).parts}


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("low-pressure-trips", "Leave it as it is; once it has stopped, do not start it again"),
        ("bearing-whine", "Switch it off if it can be spared; once it has stopped, do not start it again"),
    ],
)
def test_of_a_machine_that_runs_nobody_is_told_not_to_start_it(shipped: Knowledge, key: str, said: str) -> None:
    runs = sent(shipped, (key, "present"), conditions=("compressor-runs",))
    assert runs.operation.advice == "unknown"
    assert runs.for_caller[0] == said
    assert sent(shipped, ("charge-short", "present")).for_caller[0].endswith("do not try to start it")


def test_what_whines_is_not_told_to_run_on(shipped: Knowledge) -> None:
    worn = (("high-hours", "present"), ("capacity-lost-slowly", "present"), ("wear-metals-high", "present"))
    assert any("Let it run" in step for step in sent(shipped, *worn).for_technician)
    assert not any("Let it run" in step for step in sent(shipped, *worn, ("bearing-whine", "present")).for_technician)


@pytest.mark.parametrize(("condenser", "fans"), [(None, True), ("air-cooled", True), ("water-cooled", False)])
def test_a_condenser_in_water_has_no_fan(shipped: Knowledge, condenser: str | None, *, fans: bool) -> None:
    advice = sent(shipped, ("condensing-pressure", "high"), ("high-pressure-trips", "present"), condenser=condenser)
    assert "condenser-heat-rejection" in advice.for_hypotheses
    assert ("condenser-fan-motor" in {part.id for part in advice.parts}) is fans
    assert any("outdoor" in line for line in advice.for_caller) is fans
