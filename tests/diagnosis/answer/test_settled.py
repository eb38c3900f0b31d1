"""Once a cause is found, what confirms it and what the repair needs are asked, and no other cause is looked for."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.next_checks import next_checks
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.answer.settled import WHEN, found_cause, needed
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.result import NextChecks

SCROLL = Machine("scroll", "low-side", "fixed-speed", phases="three-phase")
FOUND = {
    "suction-closed": ("suction-valve-shut",),
    "wrong-refrigerant": ("refrigerant-mixed",),
    "low-control-voltage": ("control-voltage-low", "contactor-chatter"),
    "phase-loss": ("phase-missing",),
    "supply-unbalance": ("voltage-unbalance", "current-unbalance"),
    "injection-circuit-fault": ("injection-fault", "discharge-temperature-high"),
    "water-side-leak": ("water-in-circuit",),
    "heater-off": ("heater-dead",),
    "overcharge": ("charge-over",),
    "outside-valve-leak": ("reversing-or-bypass-valve-leaks",),
    "suction-restriction": ("core-left-in", "suction-drop-high"),
}


def told(known: Knowledge, *keys: str, machine: Machine = SCROLL) -> Inquiry:
    return inquire(known, Case(machine, tuple(Report(key, "present") for key in keys)))


def asked(inquiry: Inquiry) -> NextChecks:
    return next_checks(inquiry, notices(inquiry))


@pytest.mark.parametrize("cause", FOUND)
def test_no_second_cause_is_looked_for_where_the_first_accounts_for_everything(cause: str, shipped: Knowledge) -> None:
    """Worst: the suction valve is found shut, and the list asks whether the condenser is dirty."""
    inquiry = told(shipped, *FOUND[cause])
    assert found_cause(inquiry) == cause
    others = {link.target for link in shipped.cause_finding if link.defines and link.origin != cause}
    checks = asked(inquiry).checks
    assert checks
    assert not {check.finding for check in checks} & (others - needed(cause))


def test_a_shut_valve_is_opened_before_it_runs_again(shipped: Knowledge) -> None:
    """The repair itself, with the machine standing, then the cut-out and the motor that ran in vacuum."""
    first, *others = asked(told(shipped, "suction-valve-shut")).checks
    assert (first.action, first.needs) == ("open-suction-valve", ("power-off",))
    assert {"protection-bridged", "insulation-low"} <= {check.finding for check in others}


def test_what_the_repair_must_prove_is_asked_though_it_moves_no_leader(shipped: Knowledge) -> None:
    """A coil that chatters at low voltage burns its contactor; the outcome tells of the contactor."""
    checks = {check.finding: check for check in asked(told(shipped, "control-voltage-low", "contactor-chatter")).checks}
    assert {outcome.leads_to for outcome in checks["contactor-bad"].outcomes} == {"contactor-failed"}


def test_what_is_left_unexplained_keeps_every_cause_in_play(shipped: Knowledge) -> None:
    """An overcharge starts no bearing whine; a knock and low oil with a shut valve are more than the valve."""
    assert found_cause(told(shipped, "charge-over", "contactor-bad")) == ""
    assert found_cause(told(shipped, "suction-valve-shut", "oil-uneven-between-modules")) == ""


def test_what_was_not_seen_itself_is_not_found(shipped: Knowledge) -> None:
    inquiry = told(shipped, "condenser-fouled", "airflow-low")
    assert found_cause(inquiry) == ""
    assert found_cause(told(shipped, "high-pressure-trips")) == ""
    assert found_cause(told(shipped)) == ""


def test_a_danger_to_people_leaves_the_cause_found(shipped: Knowledge) -> None:
    assert found_cause(told(shipped, "condenser-fouled", "electric-shock")) == "condenser-heat-rejection"


def test_three_way_findings_count_by_their_side(shipped: Knowledge) -> None:
    """A dirty condenser raises the head, it does not lower it."""
    for state, found in (("high", "condenser-heat-rejection"), ("low", "")):
        reports = (Report("condenser-fouled", "present"), Report("condensing-pressure", state))  # type: ignore[arg-type]
        assert found_cause(inquire(shipped, Case(SCROLL, reports))) == found


def test_nothing_is_asked_where_nothing_is_left(shipped: Knowledge) -> None:
    """The answer then says so, and what the repair is."""
    reports = tuple(Report(key, "present") for key in ("suction-valve-shut", "low-pressure-trips", "terminal-burnt"))
    proved = (Report("protection-bridged", "absent"), Report("failed-soon-after-work", "present"))
    done = inquire(shipped, Case(SCROLL, (*reports, *proved), conditions=()))
    outcome = asked(done)
    assert found_cause(done) == "suction-closed"
    assert (outcome.stop, outcome.checks) == (True, ())
    start = "The cause is found; no further check is needed before the repair: "
    assert outcome.reason == f"{start}open, restore the cut-out."


def test_needs_name_what_is_there(shipped: Knowledge) -> None:
    assert needed("") == frozenset()
    assert needed("suction-closed") <= shipped.findings.keys()


@pytest.mark.parametrize("key", sorted(WHEN))
def test_when_or_how_often_it_happens_is_no_reason_found(key: str, shipped: Knowledge) -> None:
    """A compressor that knocks at every defrost: why liquid comes is still to be found."""
    assert key in {link.target for link in shipped.cause_finding if link.defines}
    assert not found_cause(told(shipped, key))
