"""The case as given: ids, states and machine checked, normals spelled out, conflicts refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from witnessmark.diagnosis.case import Case, Machine, Reading, Report, ReportState, Want
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evidence.reports import (
    EXPLAINED_CALL,
    ORDINARY_CALL,
    checked,
    contexts_of,
    near,
)
from witnessmark.diagnosis.inference.network import AGAINST_BASELINE, MEASURED
from witnessmark.diagnosis.result import SetAside
from witnessmark.errors import ConflictError, InputError, OutOfRangeError, UnknownNameError

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def test_reports_are_taken_as_they_are_and_unknown_counts_for_nothing(small: Knowledge) -> None:
    case = Case(
        SCROLL, (Report("oil-black", "present", 0.8), Report("oil-acid", "unknown"), Report("superheat", "low"))
    )
    texts = checked(small, case).reports
    assert [(s.finding, s.state, s.reliability, s.field) for s in texts] == [
        ("oil-black", "present", 0.8, "findings.0"),
        ("superheat", "low", None, "findings.2"),
    ]


def test_a_normal_makes_its_findings_absent(small: Knowledge) -> None:
    texts = checked(small, Case(SCROLL, (Report("parts-good", "present"),))).reports
    assert {s.finding: s.state for s in texts} == {
        "bearing-washed": "absent",
        "wrap-broken": "absent",
        "superheat": "normal",
    }
    assert {s.implied_by for s in texts} == {"parts-good"}


@pytest.mark.parametrize("state", ["absent", "unknown"])
def test_a_normal_that_is_not_so_says_nothing_certain(small: Knowledge, state: str) -> None:
    report = Report("oil-good", state)  # type: ignore[arg-type]
    assert checked(small, Case(SCROLL, (report,))).reports == ()


def test_a_finding_beside_the_normal_that_excludes_it_is_a_clash(small: Knowledge) -> None:
    stated = checked(small, Case(SCROLL, (Report("oil-good", "present"), Report("oil-acid", "present"))))
    assert stated.clashes == (("oil-good", "oil-acid"),)
    assert {s.finding: s.state for s in stated.reports} == {"oil-acid": "present", "oil-black": "absent"}


def test_a_running_compressor_is_a_report_too(small: Knowledge, shipped: Knowledge) -> None:
    case = Case(SCROLL, (Report("shaft-seized", "present"),), conditions=("compressor-runs", "power-off"))
    stated = checked(shipped, case)
    assert {s.finding: s.state for s in stated.reports if s.implied_by} == {
        "breaker-trips-at-once": "absent",
        "locked-rotor-current": "absent",
        "protector-open-cold": "absent",
        "will-not-start": "absent",
        "winding-open": "absent",
    }
    assert stated.clashes == (("compressor-runs", "shaft-seized"),)
    assert checked(small, Case(SCROLL, conditions=("compressor-runs",))).reports == ()


def test_readings_taken_while_it_ran_are_a_report_too(shipped: Knowledge) -> None:
    """Soft ones, with the reliability of the findings; a later report to the contrary counts instead of them."""
    texts = checked(shipped, Case(SCROLL, ran=True)).reports
    stalled = {"breaker-trips-at-once", "locked-rotor-current", "shaft-seized", "winding-open"}
    absent = stalled | {"will-not-start", "protector-open-cold"}
    assert {(s.finding, s.state, s.reliability, s.implied_by) for s in texts} == {
        (key, "absent", None, "compressor-runs") for key in absent
    }
    later = checked(shipped, Case(SCROLL, (Report("locked-rotor-current", "present"),), ran=True))
    assert {s.finding: s.state for s in later.reports}["locked-rotor-current"] == "present"
    assert later.clashes == ()


@pytest.mark.parametrize(
    "opened",
    [
        Case(SCROLL, (Report("wraps-shattered", "present"),), ran=True),
        Case(SCROLL, reported_by=("teardown",), ran=True),
    ],
)
def test_readings_older_than_the_opened_shell_say_nothing_of_it(shipped: Knowledge, opened: Case) -> None:
    assert not [s for s in checked(shipped, opened).reports if s.implied_by]


def test_a_dead_module_turns_no_motor(shipped: Knowledge) -> None:
    machine = Machine("scroll", "low-side", "inverter")
    texts = checked(shipped, Case(machine, (Report("compressor-runs", "present"),))).reports
    assert {"module-fails-diode-check", "trips-with-motor-disconnected"} < {s.finding for s in texts}


HISTORY = ("history", "charge-added-repeatedly")


def test_what_is_given_and_reported_counts_once(shipped: Knowledge) -> None:
    report = Report("charge-added-repeatedly", "present")
    stated = checked(shipped, Case(SCROLL, (report,), circumstances=(HISTORY,)))
    assert ("reported", "charge-added-repeatedly") in stated.contexts
    assert [r for r in stated.remarks if r.startswith("Counted once")]
    for apart in (Case(SCROLL, (report,)), Case(SCROLL, circumstances=(HISTORY,))):
        assert not [r for r in checked(shipped, apart).remarks if r.startswith("Counted once")]


def test_one_finding_in_two_states_is_a_conflict(small: Knowledge) -> None:
    with pytest.raises(ConflictError) as caught:
        checked(small, Case(SCROLL, (Report("oil-acid", "absent"), Report("oil-acid", "present"))))
    assert caught.value.fields == ("findings.0.state", "findings.1.state")


def test_the_same_report_twice_counts_once(small: Knowledge) -> None:
    twice = Case(SCROLL, (Report("oil-acid", "present"), Report("oil-acid", "present")))
    assert len(checked(small, twice).reports) == 1


@pytest.mark.parametrize(
    ("machine", "part", "word"),
    [
        (Machine(None, "low-side", "fixed-speed"), "compressor", "scroll"),
        (Machine(None, None, None), "compressor", "scroll"),
    ],
)
def test_what_only_some_machines_show_narrows_the_machine(
    small: Knowledge, machine: Machine, part: str, word: str
) -> None:
    stated = checked(small, Case(machine, (Report("wrap-broken", "present"),)))
    assert getattr(stated.machine, part) == word
    assert "wrap-broken" in stated.remarks[0]


def test_two_possible_machines_narrow_nothing(small: Knowledge) -> None:
    stated = checked(small, Case(Machine(), (Report("reed-broken", "present"), Report("wrap-broken", "absent"))))
    assert stated.machine == Machine()


@pytest.mark.parametrize(
    ("finding", "reason"),
    [
        (
            "reed-broken",
            "It is a finding of other machines (a reciprocating or a rotary); this one is a scroll.",
        ),
        ("module-dead", "It is a finding of other machines (on an inverter); this one is at fixed speed."),
    ],
)
@pytest.mark.parametrize("state", ["present", "absent"])
def test_a_finding_that_this_machine_cannot_have_is_set_aside(
    small: Knowledge, finding: str, reason: str, state: ReportState
) -> None:
    stated = checked(small, Case(SCROLL, (Report(finding, state), Report("wrap-broken", "present"))))
    assert stated.set_aside == (SetAside(finding, reason),)
    assert [report.finding for report in stated.reports] == ["wrap-broken"]


def test_two_findings_of_different_machines_narrow_nothing(small: Knowledge) -> None:
    reports = (Report("wrap-broken", "present"), Report("reed-broken", "present"))
    for order in (reports, reports[::-1]):
        stated = checked(small, Case(Machine(), order))
        assert stated.machine.compressor is None
        assert not stated.set_aside
        assert any("Nothing was concluded on the machine (compressor)" in remark for remark in stated.remarks)


def test_a_number_that_only_three_phases_have_tells_of_them(shipped: Knowledge) -> None:
    stated = checked(shipped, Case(readings=(Reading("voltage-unbalance", 0.01),)))
    assert stated.machine.phases == "three-phase"
    assert stated.machine.drive is None


def test_the_ordinary_call_is_taken_where_no_queue_is_named(shipped: Knowledge, small: Knowledge) -> None:
    assert ORDINARY_CALL in checked(shipped, Case()).contexts
    assert ORDINARY_CALL not in checked(shipped, Case(circumstances=(("queue", "teardown"),))).contexts
    assert not checked(small, Case()).contexts


def test_what_is_settled_of_the_compressor_is_a_context(shipped: Knowledge) -> None:
    assert ("compressor-fate", "known-failed") in checked(shipped, Case(compressor_fate="known-failed")).contexts
    with pytest.raises(UnknownNameError) as caught:
        checked(shipped, Case(compressor_fate="lost"))  # type: ignore[arg-type]
    assert caught.value.field == "compressor_fate"


def test_what_was_first_was_there(shipped: Knowledge) -> None:
    (report,) = checked(shipped, Case(first="drive-bearing-worn")).reports
    assert (report.finding, report.state, report.field) == ("drive-bearing-worn", "present", "first")
    told = Case(findings=(Report("running-current", "high"),), first="running-current")
    assert [report.state for report in checked(shipped, told).reports] == ["high"]


@pytest.mark.parametrize(
    ("case", "kind"),
    [
        (Case(first="bearing-wornn"), UnknownNameError),
        (Case(first="running-current"), InputError),
        (Case(findings=(Report("oil-burnt", "absent"),), first="oil-burnt"), ConflictError),
    ],
)
def test_what_cannot_have_been_first_is_refused(shipped: Knowledge, case: Case, kind: type[Exception]) -> None:
    with pytest.raises(kind):
        checked(shipped, case)


def test_contexts_and_the_machines_own(small: Knowledge) -> None:
    machine = Machine("scroll", None, "inverter")
    stated = checked(small, Case(machine, circumstances=(("equipment", "dusty"), ("drive", "inverter"))))
    assert stated.contexts == (("equipment", "dusty"), ("drive", "inverter"), ("compressor", "scroll"))
    assert contexts_of(small)["queue"] == ("warranty",)


@pytest.mark.parametrize(
    ("case", "field"),
    [
        (Case(SCROLL, (Report("oil-blak", "present"),)), "findings.0.finding"),
        (Case(Machine("steam")), "machine.compressor"),  # type: ignore[arg-type]
        (Case(SCROLL, reported_by=("note", "letter")), "reported_by.1"),  # type: ignore[arg-type]
        (Case(SCROLL, conditions=("daylight",)), "conditions.0"),  # type: ignore[arg-type]
        (Case(SCROLL, circumstances=(("weather", "wet"),)), "circumstances.weather"),
        (Case(SCROLL, circumstances=(("equipment", "dusti"),)), "circumstances.equipment"),
        (Case(SCROLL, readings=(Reading("superheat-at-suction", 5.0),)), "readings.0.quantity"),
    ],
)
def test_unknown_names_are_answered_with_near_ones(small: Knowledge, case: Case, field: str) -> None:
    with pytest.raises(UnknownNameError) as caught:
        checked(small, case)
    assert caught.value.field == field


def test_near_names() -> None:
    assert near("oil-blak", ["oil-black", "oil-acid", "reed"])[0] == "oil-black"
    assert near("zzz", ["oil-black"]) == ()


@pytest.mark.parametrize(
    ("case", "field"),
    [
        (Case(SCROLL, (Report("oil-black", "low"),)), "findings.0.state"),
        (Case(SCROLL, (Report("superheat", "present"),)), "findings.0.state"),
        (Case(SCROLL, (Report("oil-good", "low"),)), "findings.0.state"),
        (Case(SCROLL, (Report("oil-black", "present", 0.5),)), "findings.0.reliability"),
        (Case(SCROLL, (Report("oil-black", "present", math.nan),)), "findings.0.reliability"),
        (Case(SCROLL, readings=(Reading("suction-superheat", math.nan),)), "readings.0.value"),
        (Case(SCROLL, readings=(Reading("suction-superheat", 5.0, math.inf),)), "readings.0.uncertainty"),
        (Case(SCROLL, readings=(Reading("suction-superheat", 5.0, -1.0),)), "readings.0.uncertainty"),
    ],
)
def test_wrong_values_name_their_field(small: Knowledge, case: Case, field: str) -> None:
    with pytest.raises(InputError) as caught:
        checked(small, case)
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("case", "field", "dimension"),
    [
        (Case(SCROLL, readings=(Reading("suction-superheat", 500.0),)), "readings.0.value", "temperature_difference"),
        (Case(SCROLL, want=Want(shortlist=0)), "want.shortlist", "number"),
    ],
)
def test_out_of_range(small: Knowledge, case: Case, field: str, dimension: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        checked(small, case)
    assert (caught.value.field, caught.value.dimension) == (field, dimension)


def held(known: Knowledge, *quantities: str) -> set[tuple[str, str]]:
    values = {"superheat-against-baseline": 1.0, "suction-superheat": 8.0, "isentropic-efficiency": 0.6}
    readings = tuple(Reading(key, values.get(key, 5.0)) for key in quantities)
    return {pair for pair in checked(known, Case(SCROLL, readings=readings)).contexts if pair[0] in OF_NUMBERS}


OF_NUMBERS = (MEASURED, AGAINST_BASELINE)


def test_what_numbers_tell_has_their_background(shipped: Knowledge) -> None:
    """The usual range beside a deviation brings the background of the usual range."""
    assert held(shipped, "condensing-over-ambient") == {(MEASURED, "condensing-pressure")}
    assert held(shipped, "condensing-against-baseline") == {(AGAINST_BASELINE, "condensing-pressure")}
    assert held(shipped, "condensing-over-ambient", "condensing-against-baseline") == {
        (MEASURED, "condensing-pressure")
    }
    assert held(shipped, "superheat-against-baseline") == {(AGAINST_BASELINE, "suction-superheat")}
    assert held(shipped, "suction-superheat") == {(MEASURED, "suction-superheat")}
    assert held(shipped, "isentropic-efficiency", "head-over-liquid-against-baseline") == set()


@pytest.mark.parametrize(
    ("case", "explained"),
    [
        (Case(SCROLL, (Report("charge-over", "present"),)), True),
        (Case(SCROLL, (Report("charge-over", "absent"),)), False),
        (Case(SCROLL, (Report("heater-dead", "present"),)), False),
        (Case(SCROLL, (Report("capacity-low", "present"),)), False),
        (Case(SCROLL, readings=(Reading("charge-fraction", 1.4),)), True),
        (Case(SCROLL, readings=(Reading("charge-fraction", 1.06),)), False),
        (Case(SCROLL, readings=(Reading("discharge-temperature", 400.0),)), False),
        (Case(SCROLL, (Report("charge-over", "present"),), circumstances=(("queue", "teardown"),)), False),
        (Case(Machine(phases="three-phase"), (Report("capacitor-bad", "present"),)), False),
    ],
)
def test_a_cause_that_people_call_for_explains_the_call(shipped: Knowledge, case: Case, *, explained: bool) -> None:
    """A dead heater is noticed by nobody; a machine on the bench was not called for; three phases need no capacitor."""
    assert (EXPLAINED_CALL in checked(shipped, case).contexts) == explained


def test_a_call_is_explained_only_where_the_knowledge_says_so(small: Knowledge, shipped: Knowledge) -> None:
    silent = replace(shipped, contexts=tuple(c for c in shipped.contexts if c.field != EXPLAINED_CALL[0]))
    assert EXPLAINED_CALL not in checked(silent, Case(SCROLL, (Report("charge-over", "present"),))).contexts
    unknown = Case(SCROLL, (Report("oil-black", "present"),), (Reading("charge-fraction", 1.4),))
    assert EXPLAINED_CALL not in checked(small, unknown).contexts


def test_a_reading_on_a_finding_that_the_knowledge_lacks_explains_nothing(shipped: Knowledge) -> None:
    """Knowledge of one's own may have fewer findings than the readings bear on."""
    overfull = Case(SCROLL, readings=(Reading("charge-fraction", 1.4),))
    fewer = replace(shipped, findings={k: f for k, f in shipped.findings.items() if k != "charge-over"})
    assert EXPLAINED_CALL in checked(shipped, overfull).contexts
    contexts = checked(fewer, overfull).contexts
    assert EXPLAINED_CALL not in contexts
    assert ORDINARY_CALL in contexts
