"""What to send and what to do until then."""

from __future__ import annotations

from witnessmark.diagnosis.answer.dispatch import dispatch
from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.misfits import contradictions, fits, misfits
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.answer.verdict import verdict
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.result import DispatchAdvice

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def sent(known: Knowledge, *reports: tuple[str, str]) -> DispatchAdvice:
    inquiry = inquire(known, Case(SCROLL, tuple(Report(key, state) for key, state in reports)))  # type: ignore[arg-type]
    ruling = verdict(inquiry, misfits(inquiry), contradictions(inquiry), fits=fits(inquiry))
    return dispatch(inquiry, ruling, notices(inquiry))


WET = (("superheat", "low"), ("sump-cold", "present"), ("bearing-washed", "present"))


def test_a_diagnosed_mode_and_its_likely_cause(small: Knowledge) -> None:
    outcome = sent(small, *WET)
    assert outcome.for_hypotheses == ("floodback", "overfeeding")
    assert outcome.priority == 2
    assert outcome.parts_class == "compressor, driers"
    assert outcome.tools == ("gauges", "valve driver")
    assert outcome.keep_as_evidence == ("oil sample", "valve")
    assert outcome.do_now == ("Stop it",)
    assert outcome.text == "Send today: one technician; for floodback and valve overfeeds."


def test_the_most_urgent_comes_first_and_power_is_forbidden(small: Knowledge) -> None:
    burnt = (("oil-black", "present"), ("oil-acid", "present"), ("insulation-low", "present"))
    outcome = sent(small, *WET, *burnt)
    assert outcome.priority == 1
    assert outcome.crew == "two persons"
    assert outcome.do_now[:2] == ("Do not energise: lock out.", "Do not open the circuit yet.")
    assert outcome.text.startswith("Send at once: two persons; for ")


def test_no_parts_before_a_verdict(small: Knowledge) -> None:
    outcome = sent(small, ("oil-black", "present"), ("oil-acid", "present"))
    assert outcome.parts_class.startswith("none to order before the next checks; may become: compressor")


def test_nothing_known_sends_a_technician_as_planned_work(small: Knowledge) -> None:
    outcome = sent(small)
    assert (outcome.priority, outcome.parts_class) == (4, "none before the next checks")
    assert outcome.text == "Send as planned work: one refrigeration technician."


def test_a_hazard_alone_is_urgent(small: Knowledge) -> None:
    outcome = sent(small, ("insulation-low", "present"), ("oil-good", "present"))
    assert outcome.priority == 1


def test_where_no_fault_is_likely(small: Knowledge) -> None:
    clean = [("oil-good", "present"), ("parts-good", "present"), ("insulation-low", "absent"), ("sump-cold", "absent")]
    outcome = sent(small, *clean)
    assert outcome.for_hypotheses == ("no-compressor-fault",)
    assert outcome.parts_class == "none"
    assert "Do not condemn the compressor" in outcome.do_now
    assert outcome.text == "Send as planned work: one technician."


def test_a_suspicion_beside_a_harmless_rule_is_not_urgent(shipped: Knowledge) -> None:
    """Washed bearings on the bench forbid no power; a burn that cannot be ruled out does, but nobody has seen one."""
    washed = ("bearings-washed-bright", "wear-grows-away-from-pump", "drive-bearing-worn", "main-bearing-worn")
    outcome = sent(shipped, *((key, "present") for key in washed))
    assert outcome.for_hypotheses[0] == "liquid-floodback"
    assert outcome.priority == 2
    assert "Do not energise: lock out." in outcome.do_now


def test_a_cold_sump_forbids_the_start_and_keeps_the_heater(shipped: Knowledge) -> None:
    cold = (("sump-cold-at-rest", "present"), ("start-noise", "present"), ("long-idle-before-failure", "present"))
    outcome = sent(shipped, *cold, ("insulation-low", "absent"), ("compressor-runs", "present"))
    assert "Do not start the compressor yet." in outcome.do_now
    assert "Do not energise: lock out." not in outcome.do_now
    assert any("heater" in line for line in outcome.do_now)


def test_what_is_only_in_view_is_not_sent_for_at_once(shipped: Knowledge) -> None:
    """Dark oil alone: a burnt winding is in view (an urgent thing), and nothing is known yet."""
    outcome = sent(shipped, ("oil-burnt", "present"))
    assert "general-burnout" in outcome.for_hypotheses
    assert outcome.priority == 2
    assert outcome.parts_class.startswith("none to order before the next checks")


def test_a_lock_out_is_said_once_and_the_crew_is_that_of_the_machine(shipped: Knowledge) -> None:
    """A lost phase is the electrician's; who judges the burnt winding behind it comes along."""
    burnt = ("phase-missing", "contactor-bad", "windings-one-or-two-phases-burnt", "oil-burnt")
    outcome = sent(shipped, *((key, "present") for key in burnt))
    assert outcome.do_now[0] == "Do not energise: lock out."
    assert not {"Lock out", "Do not re-energise"} & set(outcome.do_now)
    assert outcome.crew == "an electrician and a refrigeration technician"
    hot = ("valve-plate-discoloured", "rings-worn-hot", "oil-burnt", "condenser-fouled")
    machine = Machine("reciprocating", "low-side", "fixed-speed")
    inquiry = inquire(shipped, Case(machine, tuple(Report(key, "present") for key in hot)))
    ruling = verdict(inquiry, misfits(inquiry), contradictions(inquiry), fits=fits(inquiry))
    assert dispatch(inquiry, ruling, notices(inquiry)).crew == "one refrigeration technician"


def test_a_mere_candidate_hurries_nobody(shipped: Knowledge) -> None:
    """A wet machine whose oil switch trips: a locked rotor is in view at one in five, and is not why one is sent."""
    inquiry_of = ("oil-safety-trips", "foam-while-running")
    machine = Machine("reciprocating", "low-side", "fixed-speed")
    reports = (*(Report(key, "present") for key in inquiry_of), Report("suction-superheat", "low"))
    inquiry = inquire(shipped, Case(machine, reports, reported_by=("form",)))
    outcome = dispatch(
        inquiry, verdict(inquiry, misfits(inquiry), contradictions(inquiry), fits=fits(inquiry)), notices(inquiry)
    )
    assert outcome.for_hypotheses[0] == "liquid-floodback"
    assert outcome.priority == 2
    assert outcome.crew == "one refrigeration technician"
