"""What is proved before anything is fitted. Worst: a sound compressor is replaced because somebody wrote `seized`.

A rotor that stands draws several times its rated current and lifts no gas (common practice).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Case, Fluid, Machine, Report
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings

SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")
PISTON = Machine("reciprocating", "low-side", "fixed-speed", "hermetic", "single-phase")
PUMPS = FieldReadings(
    running=True,
    suction_pressure=Measured(0.9e6, 1e4),
    discharge_pressure=Measured(2.6e6, 2e4),
    running_current=Measured(12.0, 0.3),
    rated_current=Measured(16.0),
)


def case_of(readings: FieldReadings, *told: str, machine: Machine = SCROLL, **more: object) -> Case:
    found = derive("R-410A", readings, machine=machine)
    return Case(
        machine,
        tuple(Report(key, "present") for key in told),
        found.readings,
        ran=found.running is True,
        doubts=found.doubts,
        **more,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(
    "told", [("shaft-seized",), ("locked-rotor-current",), ("shaft-seized", "locked-rotor-current")]
)
@pytest.mark.parametrize("fate", [None, "replaced-anyway"])
@pytest.mark.parametrize("left", ["running_current", "discharge_pressure", ""])
def test_a_seizure_that_the_readings_belie_is_named_first_and_nothing_is_fitted(
    told: tuple[str, ...], fate: str | None, left: str
) -> None:
    readings = replace(PUMPS, **({left: None} if left else {}))
    case = case_of(readings, *told, compressor_fate=fate)
    answer, sent = diagnose(case), dispatch_call(case).advice
    assert answer.verdict.state == "contradictory-evidence"
    assert "locked-rotor" not in answer.verdict.leading
    assert told[-1] in answer.contradictions[0].findings or told[0] in answer.contradictions[0].findings
    assert answer.dispatch.operation == sent.operation
    assert sent.operation.advice == "unknown"
    assert sent.operation.reason.startswith("These two cannot both be right")
    for advised in (answer.dispatch, sent):
        assert all(part.when != "order" for part in advised.parts)
        assert advised.for_technician[0].startswith("Prove first: ")
        assert not [line for line in advised.for_caller if "each further try" in line]
        assert "proved" in advised.parts_note


@pytest.mark.parametrize("told", ["shaft-seized", "locked-rotor-current"])
def test_without_readings_of_a_machine_that_turns_it_is_kept_off(told: str) -> None:
    stalled = replace(PUMPS, running_current=Measured(80.0, 2.0), discharge_pressure=None, suction_pressure=None)
    for readings in (FieldReadings(), stalled, replace(PUMPS, running=False, running_current=None)):
        assert dispatch_call(case_of(readings, told)).advice.operation.advice == "stop"


def test_in_an_opened_compressor_the_readings_are_older() -> None:
    case = case_of(PUMPS, "shaft-seized", reported_by=("teardown",))
    assert dispatch_call(case).advice.operation.reason != "contradiction"
    assert "shaft-seized" in diagnose(case).dispatch.operation.because or not diagnose(case).contradictions


def test_a_fault_of_the_supply_still_stops_a_machine_that_is_said_to_be_seized() -> None:
    assert dispatch_call(case_of(PUMPS, "shaft-seized", "insulation-low")).advice.operation.advice == "stop"


def test_a_sound_machine_that_is_to_be_replaced_is_asked_about_first() -> None:
    case = case_of(PUMPS, compressor_fate="replaced-anyway")
    answer = diagnose(case)
    assert answer.contradictions[0].text.startswith("The compressor is to be replaced")
    assert [part.when for part in answer.dispatch.parts if part.id == "compressor"] == ["only-if-proved"]
    assert "ordered anyway" not in answer.dispatch.text
    told = diagnose(replace(case, findings=(Report("oil-burnt", "present"),)))
    assert [part.when for part in told.dispatch.parts if part.id == "compressor"] == ["order"]


@pytest.mark.parametrize(
    ("machine", "ohms", "labelled"),
    [(PISTON, (5e6, 5e6, 4.8), True), (PISTON, (5e6, 4.8, 5e6), None), (SCROLL, (5e6, 5e6, 5e6), None)],
)
@pytest.mark.parametrize("fluid", [None, Fluid(flammable=True, toxic=False)])
def test_open_as_a_protector_opens_is_let_cool_first(
    machine: Machine,
    ohms: tuple[float, float, float],
    labelled: bool | None,  # noqa: FBT001
    fluid: Fluid | None,
) -> None:
    a, b, c = map(Measured, ohms)
    readings = FieldReadings(winding_resistances=(a, b, c), windings_labelled=labelled)
    case = case_of(readings, machine=machine, fluid=fluid)
    answer, sent = diagnose(case), dispatch_call(case)
    assert answer.verdict.state == "contradictory-evidence"
    assert "let the shell cool" in answer.verdict.text
    for advised in (answer.dispatch, sent.advice):
        assert "let the shell cool" in advised.for_technician[0]
        assert any("no flame" in step for step in advised.for_technician) is (fluid is not None)
        assert all(part.when != "order" for part in advised.parts)
    assert [h for h in sent.likely if h.id in ("start-winding-failure", "general-burnout")] == []


def test_a_cold_winding_waits_for_no_protector() -> None:
    a, b, c = Measured(5e6), Measured(5e6), Measured(4.8)
    readings = FieldReadings(winding_resistances=(a, b, c), windings_labelled=True, winding_temperature=Measured(295.0))
    assert case_of(readings, machine=PISTON).doubts == ()


def test_every_pair_says_of_one_of_its_own_that_it_is_unproved() -> None:
    weighed = [pair for pair in knowledge().conflicts if pair.unproved]
    assert len(weighed) >= 8
    assert all(pair.unproved in (pair.a, pair.b) and pair.other != pair.unproved for pair in weighed)
