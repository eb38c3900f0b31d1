"""The facade: everything in one answer, plain values only, the same bytes every time, bad input named."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import fields, is_dataclass, replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from witnessmark import data
from witnessmark.diagnosis import diagnose as facade
from witnessmark.diagnosis.answer import inquiry
from witnessmark.diagnosis.case import Case, Channel, Machine, Reading, Report, Want
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.inference import posterior
from witnessmark.diagnosis.result import Diagnosis
from witnessmark.errors import ConflictError, InputError, UnknownNameError
from witnessmark.reference import caution, source

HEAT_PUMP = Case(
    Machine("scroll", "low-side", "inverter"),
    findings=(
        Report("no-pressure-difference", "present"),
        Report("wraps-shattered", "present"),
        Report("bang-then-dead", "present"),
        Report("sleeve-bearings-little-worn", "present"),
        Report("insulation-low", "absent"),
    ),
    readings=(Reading("suction-superheat", 1.0, 0.8, "suction line 3.2 °C less dew 2.2 °C at 8.4 bar"),),
    circumstances=(("equipment", "heat-pump"),),
    reported_by=("note", "teardown"),
    want=Want(sensitivity=True),
)


def plain(value: object) -> bool:
    """Whether a value holds nothing but dataclasses, tuples, dictionaries, words and Python numbers."""
    if is_dataclass(value):
        return all(plain(getattr(value, f.name)) for f in fields(value))
    if isinstance(value, tuple):
        return all(plain(item) for item in value)
    if isinstance(value, dict):
        return all(type(key) is str and plain(item) for key, item in value.items())
    return value is None or type(value) in (str, float, int, bool)


def test_everything_at_once() -> None:
    outcome = diagnose(HEAT_PUMP)
    assert plain(outcome)
    assert outcome.modes[0].id == "slugging"
    assert outcome.verdict.state in ("diagnosed", "leading-candidates")
    assert outcome.explanations
    assert outcome.separation
    assert outcome.next_checks
    assert outcome.sensitivity
    assert outcome.safety
    assert outcome.dispatch.for_technician
    assert outcome.dispatch.for_caller
    assert outcome.causes[0].brings_about == ("slugging",)
    assert any("2.2 °C at 8.4 bar → suction superheat" in used.text for used in outcome.used)
    assert outcome.knowledge == data.version()
    assert all(0 <= h.probability <= 1 for h in (*outcome.modes, *outcome.causes))
    assert [m.probability for m in outcome.modes] == sorted((m.probability for m in outcome.modes), reverse=True)


def test_cautions_and_sources_exist() -> None:
    outcome = diagnose(HEAT_PUMP)
    assert outcome.cautions[0] == "licensed"
    assert all(caution(key).text for key in outcome.cautions)
    assert all(source(key).citation for key in outcome.sources)
    assert set(outcome.cautions) >= {c for notice in outcome.safety for c in notice.cautions}


def test_what_is_not_wished_for_is_left_out() -> None:
    bare = diagnose(replace(HEAT_PUMP, want=Want(explanation=False, next_checks=False)))
    assert (bare.explanations, bare.next_checks, bare.sensitivity) == ((), None, None)
    full = diagnose(HEAT_PUMP)
    assert bare.modes == full.modes
    assert bare.verdict == full.verdict
    short = diagnose(replace(HEAT_PUMP, want=Want(shortlist=2, next_checks=False)))
    assert [e.hypothesis for e in short.explanations] == [
        *(m.id for m in short.modes[:2]),
        *(c.id for c in short.causes[:2]),
    ]


def test_an_empty_case_has_an_answer() -> None:
    outcome = diagnose(Case())
    assert outcome.verdict.state == "not-enough-evidence"
    assert [question.split("?")[0] for question in outcome.verdict.ask_first] == [
        "Is the shell at suction pressure (low-side) or at discharge pressure (high-side)",
        "Which type of compressor is it: scroll, reciprocating, rotary or screw",
        "Does the compressor run now",
    ]
    assert outcome.next_checks
    assert not outcome.next_checks.stop


def test_unknown_is_not_absent() -> None:
    machine = Machine("scroll", "low-side", "fixed-speed")
    silent = diagnose(Case(machine))
    unknown = diagnose(Case(machine, (Report("insulation-low", "unknown"),)))
    absent = diagnose(Case(machine, (Report("insulation-low", "absent"),)))
    assert unknown.modes == silent.modes
    assert absent.modes != silent.modes


def test_the_order_of_the_reports_does_not_matter_to_the_ranking() -> None:
    turned = replace(HEAT_PUMP, findings=HEAT_PUMP.findings[::-1])
    first, other = diagnose(HEAT_PUMP).modes, diagnose(turned).modes
    assert [m.id for m in first] == [m.id for m in other]
    assert [m.probability for m in first] == pytest.approx([m.probability for m in other], abs=1e-6)


_SAME = """
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.diagnose import diagnose
reports = Report("oil-burnt", "present"), Report("suction-superheat", "low")
print(repr(diagnose(Case(Machine("scroll", None, "inverter"), reports, reported_by=("form",)))))
"""


def test_same_input_same_bytes_across_processes() -> None:
    outputs = {
        subprocess.run(  # noqa: S603 - our own interpreter and text
            [sys.executable, "-c", _SAME], capture_output=True, check=True, env={"PYTHONHASHSEED": seed}
        ).stdout
        for seed in ("1", "2")
    }
    assert len(outputs) == 1
    assert len(outputs.pop()) > 10_000


def test_it_runs_on_other_knowledge(small: Knowledge) -> None:
    outcome = diagnose(Case(Machine("scroll", "low-side", "fixed-speed"), (Report("wrap-broken", "present"),)), small)
    assert outcome.knowledge is None
    assert (outcome.exact, outcome.left_out) == (True, 0.0)


def test_what_an_exact_pass_cannot_hold_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """That the least likely were weighed roughly, and how likely one of them is there; it stays close to the exact."""
    usual = diagnose(HEAT_PUMP)
    assert (usual.exact, usual.left_out) == (True, 0.0)
    assert not [text for text in usual.assumptions if text.startswith("With so many findings")]
    monkeypatch.setattr(posterior, "MOST", 1 << 12)
    short = diagnose(HEAT_PUMP)
    (text,) = (text for text in short.assumptions if text.startswith("With so many findings"))
    assert re.search(r"the chance that one of them is there is about \d+%\.$", text)
    assert not short.exact
    assert 0 < short.left_out < 1
    same = {h.id: h.probability for h in (*usual.modes, *usual.causes)}
    gaps = [abs(h.probability - same[h.id]) for h in (*short.modes, *short.causes)]
    assert 0 < max(gaps) < 0.03


def test_how_far_the_next_checks_are_exact_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def sentences() -> list[str]:
        return [text for text in diagnose(HEAT_PUMP).assumptions if text.startswith("The order of the next checks")]

    monkeypatch.setattr(inquiry, "AT_ONCE", 1 << 10)
    assert sentences() == [
        "The order of the next checks was worked out roughly where the less likely modes and causes matter."
    ]
    monkeypatch.setattr(inquiry, "AT_ONCE", 1 << 30)
    assert sentences() == []
    bare = diagnose(replace(HEAT_PUMP, want=Want(next_checks=False)))
    assert not [text for text in bare.assumptions if text.startswith("The order of the next checks")]


def test_lost_digits_are_said(monkeypatch: pytest.MonkeyPatch) -> None:
    assert not [text for text in diagnose(HEAT_PUMP).assumptions if text.startswith("Reports this certain")]
    monkeypatch.setattr(facade, "ERROR_BOUND", 1e-30)
    assert [text for text in diagnose(HEAT_PUMP).assumptions if text.startswith("Reports this certain")]


def test_silence_is_said_to_weigh_on_its_own() -> None:
    texts = diagnose(replace(HEAT_PUMP, reported_by=("note",))).assumptions
    assert "What was not mentioned weighs on each mode and cause on its own." in texts


@pytest.mark.parametrize(
    ("case", "error", "field"),
    [
        (Case(findings=(Report("gremlins", "present"),)), UnknownNameError, "findings.0.finding"),
        (Case(readings=(Reading("vibes", 1.0),)), UnknownNameError, "readings.0.quantity"),
        (
            Case(findings=(Report("oil-burnt", "present"), Report("oil-burnt", "absent"))),
            ConflictError,
            "findings.0.state",
        ),
    ],
)
def test_bad_input_is_named(case: Case, error: type[InputError], field: str) -> None:
    with pytest.raises(error) as caught:
        diagnose(case)
    assert caught.value.field == field


def _any_report(draw: st.DrawFn) -> Report:
    finding = draw(st.sampled_from(list(knowledge().findings.values())))
    states = ("present", "absent") if finding.kind == "yes-no" else ("low", "normal", "high")
    return Report(finding.id, draw(st.sampled_from((*states, "unknown"))), draw(st.none() | st.floats(0.51, 0.99)))


def _any_reading(draw: st.DrawFn) -> Reading:
    row = draw(st.sampled_from(list(catalogue().values())))
    return Reading(row.id, draw(st.floats(*row.limits)), draw(st.floats(0, 1e6)))


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Any well-formed case."""
    machine = Machine(
        draw(st.sampled_from([None, "scroll", "reciprocating", "rotary", "screw"])),
        draw(st.sampled_from([None, "low-side", "high-side"])),
        draw(st.sampled_from([None, "fixed-speed", "inverter"])),
    )
    reports = {r.finding: r for r in [_any_report(draw) for _ in range(draw(st.integers(0, 12)))]}
    readings = tuple(_any_reading(draw) for _ in range(draw(st.integers(0, 6))))
    known: list[Channel] = ["note", "form", "teardown"]
    channels = tuple(draw(st.lists(st.sampled_from(known), max_size=2)))
    return Case(machine, tuple(reports.values()), readings, reported_by=channels)


def answer(case: Case) -> Diagnosis | ConflictError:
    """The diagnosis, or the conflict that the case holds."""
    try:
        return diagnose(case)
    except ConflictError as error:
        return error


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(cases())
def test_any_well_formed_case_has_an_answer_or_a_named_conflict(case: Case) -> None:
    outcome = answer(case)
    if isinstance(outcome, ConflictError):
        assert outcome.field.startswith("findings.")
        return
    assert plain(outcome)
    assert 0 <= outcome.no_fault <= 1
    assert all(0 <= h.probability <= 1 for h in (*outcome.modes, *outcome.causes))
    assert not [
        c for c in (outcome.next_checks.checks if outcome.next_checks else ()) if c.energised and not c.cautions
    ]


def test_history_given_twice_counts_once() -> None:
    """As a circumstance and as a finding: the same ranking as with the finding alone, and the answer says so."""
    scroll, context = Machine("scroll", "low-side", "fixed-speed"), (("history", "charge-added-repeatedly"),)
    report = (Report("charge-added-repeatedly", "present"),)
    both, alone = diagnose(Case(scroll, report, circumstances=context)), diagnose(Case(scroll, report))
    assert both.causes == alone.causes
    assert both.modes == alone.modes
    assert any(line.startswith("Counted once") for line in both.assumptions)


def test_a_running_compressor_lowers_what_would_stop_it() -> None:
    """Softly: the chance falls, and does not vanish."""
    scroll = Machine("scroll", "low-side", "fixed-speed")
    inquiry_of = (Report("capacity-low", "present"),)
    still, runs = diagnose(Case(scroll, inquiry_of)), diagnose(Case(scroll, inquiry_of, ran=True))
    for mode in ("locked-rotor", "ground-fault", "general-burnout"):
        before = next(m.probability for m in still.modes if m.id == mode)
        after = next(m.probability for m in runs.modes if m.id == mode)
        assert 0.0005 < after < 0.8 * before
    assert diagnose(Case(scroll, inquiry_of, conditions=("compressor-runs",))).modes == runs.modes
