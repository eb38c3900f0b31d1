"""A cause that was told as such is what a crew is sent for. Worst: a dead solenoid was told, and a leak is looked for.

The part and the work of a named cause follow from the name (common practice).
"""

from __future__ import annotations

import pytest
from tests.diagnosis.evidence.read import barg, celsius

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.settled import follows_from, told_causes
from witnessmark.diagnosis.case import Case, Machine, Reading, Report
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings

SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")
HOT = (Reading("discharge-temperature", 406.0, 1.5), Reading("suction-superheat", 38.0, 2.0))
LEAK = {"leak-repair", "refrigerant"}


def case_of(*told: str) -> Case:
    return Case(SCROLL, tuple(Report(key, "present") for key in told), HOT, ran=True)


@pytest.mark.parametrize(
    ("finding", "cause"),
    [
        ("injection-fault", "injection-circuit-fault"),
        ("liquid-line-temperature-drop", "expansion-starved"),
        ("reversing-or-bypass-valve-leaks", "outside-valve-leak"),
    ],
)
def test_its_work_comes_first_and_no_other_cause_beside_it(finding: str, cause: str) -> None:
    case = case_of(finding)
    assert told_causes(inquire(knowledge(), case)) == (cause,)
    for advised in (dispatch_call(case).advice, diagnose(case).dispatch):
        assert advised.for_hypotheses[0] == cause
        assert [key for key in advised.for_hypotheses if key in knowledge().causes] == [cause]
        parts = {part.id for part in advised.parts}
        assert parts >= {*knowledge().advice[cause].parts}


def test_an_injection_that_is_dead_sends_no_leak_parts() -> None:
    note = "Injection solenoid coil on the scroll is dead, no click, tube is warm. Discharge 133 C."
    sent = dispatch_call(Case(SCROLL, (), HOT, ran=True), note)
    assert LEAK.isdisjoint(part.id for part in sent.advice.parts)
    assert "injection-coil" in {part.id for part in sent.advice.parts}
    assert sent.advice.operation.advice == "stop"
    assert any("Prove the injection" in step for step in sent.advice.for_technician)


def test_without_a_told_cause_the_likely_ones_stay() -> None:
    inquiry = inquire(knowledge(), case_of())
    assert told_causes(inquiry) == ()
    assert not follows_from(inquiry, (), "overheating")
    assert follows_from(inquiry, ("injection-circuit-fault",), "overheating")
    assert not follows_from(inquiry, ("injection-circuit-fault",), "unbalance-burn")


def test_readings_in_doubt_send_nobody_for_a_leak() -> None:
    """Wrong answer: 130/380 psi typed as kPa, and leak parts go out."""
    slip = FieldReadings(
        running=True, suction_pressure=barg(1.3), suction_temperature=celsius(14.0), discharge_pressure=barg(3.8),
        discharge_temperature=celsius(65.0), outdoor_temperature=celsius(33.0),
    )  # fmt: skip
    found = derive("R-410A", slip, machine=SCROLL, condenser="air-cooled")
    case = Case(SCROLL, (), found.readings, ran=True, doubts=found.doubts)
    assert found.doubts
    for advised in (dispatch_call(case).advice, diagnose(case).dispatch):
        assert LEAK.isdisjoint(part.id for part in advised.parts)
