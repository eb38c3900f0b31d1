"""The verdict and its restraint."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.misfits import contradictions, misfits
from witnessmark.diagnosis.answer.verdict import began_and_ended, hangs_on_one, support, verdict
from witnessmark.diagnosis.case import Case, Machine, Reading, Report
from witnessmark.diagnosis.catalogue.knowledge import Knowledge
from witnessmark.diagnosis.result import DiagnosisVerdict

SCROLL = Machine("scroll", "low-side", "fixed-speed")
BURNT = (("oil-black", "present"), ("oil-acid", "present"), ("insulation-low", "present"))
WET = (("superheat", "low"), ("sump-cold", "present"), ("bearing-washed", "present"))


def told(held: Knowledge, *reports: tuple[str, str], machine: Machine = SCROLL) -> Inquiry:
    return inquire(held, Case(machine, tuple(Report(key, state) for key, state in reports)))  # type: ignore[arg-type]


def ruled(inquiry: Inquiry) -> DiagnosisVerdict:
    return verdict(inquiry, misfits(inquiry), contradictions(inquiry))


def test_diagnosed_on_several_pieces(small: Knowledge) -> None:
    found = ruled(told(small, *WET))
    assert found.state == "diagnosed"
    assert found.leading == ("floodback",)
    assert found.text == "The findings point to floodback."
    assert found.reasons[0].startswith("Floodback stands at 9")
    assert found.ask_first == ()


def test_nothing_known_is_not_enough(small: Knowledge) -> None:
    found = ruled(told(small))
    assert found.state == "not-enough-evidence"
    assert found.leading == ()
    assert "0 independent pieces" in found.reasons[1]


@pytest.mark.parametrize("reliability", [0.7, 0.99])
def test_a_single_finding_is_never_confident(small: Knowledge, reliability: float) -> None:
    inquiry = inquire(small, Case(SCROLL, (Report("wrap-broken", "present", reliability),)))
    found = ruled(inquiry)
    assert found.state in ("not-enough-evidence", "leading-candidates")
    assert reliability < 0.9 or any(reason.startswith("One finding, or several") for reason in found.reasons)


def test_no_single_finding_of_the_shipped_knowledge_is_confident(shipped: Knowledge) -> None:
    for key, finding in shipped.findings.items():
        machine = Machine(
            min(finding.applies.compressor or {"scroll"}),  # type: ignore[arg-type]
            min(finding.applies.shell or {"low-side"}),  # type: ignore[arg-type]
            min(finding.applies.drive or {"fixed-speed"}),  # type: ignore[arg-type]
        )
        for state in ("present",) if finding.kind == "yes-no" else ("low", "high"):
            found = ruled(told(shipped, (key, state), machine=machine))
            assert found.state not in ("diagnosed", "does-not-fit"), (key, found.state)


def test_candidates_that_are_not_settled(small: Knowledge) -> None:
    found = ruled(told(small, ("oil-black", "present"), ("superheat", "high")))
    assert found.state == "leading-candidates"
    assert found.leading[0] == "overheating"
    assert found.text.startswith("Not settled yet. In the lead: overheating")


def test_findings_of_one_disturbance_count_as_one_piece(small: Knowledge) -> None:
    burnt = told(small, *BURNT)
    assert support(burnt, burnt.net.nodes.index("burnout")).pieces == 2
    assert support(burnt, burnt.net.nodes.index("broken-wrap")).pieces == 0


def test_what_hangs_on_its_best_finding_is_not_diagnosed(small: Knowledge) -> None:
    shaky = told(small, ("wrap-broken", "present"), ("superheat", "low"), ("oil-acid", "absent"))
    found = ruled(shaky)
    assert found.state != "diagnosed" or found.leading[0] != "broken-wrap"


def test_a_clean_bill_of_health(small: Knowledge) -> None:
    clean = [("oil-good", "present"), ("parts-good", "present"), ("insulation-low", "absent"), ("sump-cold", "absent")]
    found = ruled(told(small, *clean))
    assert found.state == "no-compressor-fault-likely"
    assert found.leading == ()
    assert found.reasons[0].startswith("Chance that no failure mode is active: ")


def test_a_clean_bill_needs_that_somebody_looked(small: Knowledge) -> None:
    warranty = inquire(small, Case(SCROLL, (Report("oil-black", "absent"),), circumstances=(("queue", "warranty"),)))
    assert warranty.answer.none[0] > 0.6
    assert ruled(warranty).state == "not-enough-evidence"


def test_a_telling_finding_spoils_a_clean_bill(small: Knowledge) -> None:
    clean = [("oil-good", "present"), ("superheat", "normal"), ("insulation-low", "absent"), ("wrap-broken", "present")]
    assert ruled(told(small, *clean)).state != "no-compressor-fault-likely"


def test_contradictions_come_first(small: Knowledge) -> None:
    found = ruled(told(small, *WET[1:], ("superheat", "high")))
    assert found.state == "contradictory-evidence"
    assert "measure again" in found.text
    assert "superheat and sump together" in found.text
    assert found.reasons[0].startswith("These two cannot both be right")


def test_a_contradiction_that_the_verdict_does_not_hang_on_is_told_beside_it(small: Knowledge) -> None:
    sure = (("oil-acid", "present"), ("insulation-low", "present"), ("worked-on", "present"), ("oil-black", "present"))
    found = ruled(told(small, *sure, ("superheat", "high"), ("sump-cold", "present")))
    assert found.state == "diagnosed"
    assert found.leading == ("burnout",)
    assert found.reasons[0].startswith("These two cannot both be right")


def test_what_does_not_fit_is_said(shipped: Knowledge) -> None:
    odd = (
        ("wraps-shattered", "present"),
        ("insulation-low", "present"),
        ("rust-inside", "present"),
        ("phase-missing", "present"),
        ("magnet-full", "present"),
        ("tip-seals-burnt", "present"),
        ("oil-wrong-type", "present"),
        ("heater-dead", "absent"),
        ("capacity-low", "absent"),
        ("oil-burnt", "absent"),
        ("metal-fines-in-oil", "absent"),
        ("acid-test-positive", "absent"),
    )
    found = ruled(told(shipped, *odd))
    assert found.state == "does-not-fit"
    assert "do not force them" in found.text


def test_everything_at_once_is_not_one_machine(shipped: Knowledge) -> None:
    fitting = [f for f in shipped.findings.values() if f.applies.to(SCROLL)]
    everything = [(f.id, "present" if f.kind == "yes-no" else "low") for f in fitting]
    found = ruled(told(shipped, *everything))
    assert found.state == "does-not-fit"
    assert "More failure modes at once than one machine shows." in found.reasons


def test_the_shell_is_asked_first(small: Knowledge) -> None:
    found = ruled(told(small, ("sump-cold", "present"), machine=Machine(None, "low-side", "fixed-speed")))
    assert found.ask_first == ("Which type of compressor is it: scroll, reciprocating, rotary or screw?",)
    open_shell = ruled(told(small, ("sump-cold", "absent"), machine=Machine("scroll", None, "fixed-speed")))
    assert open_shell.ask_first[0].startswith("Is the shell at suction pressure")
    assert "Not counted until then: sump cold" in open_shell.ask_first[0]
    nothing = ruled(told(small, machine=Machine("scroll", None, "fixed-speed")))
    assert "Not counted" not in nothing.ask_first[0]


def test_what_began_it_and_what_ended_it(small: Knowledge) -> None:
    assert began_and_ended(told(small, *WET, *BURNT)) == (("floodback",), ("burnout",))
    assert began_and_ended(told(small)) == ((), ())
    hot = (("superheat", "high"), ("head-pressure", "high"), ("coil-dirty", "present"), ("oil-black", "present"))
    sound = (("oil-acid", "absent"), ("insulation-low", "absent"))
    assert began_and_ended(told(small, *hot, *sound)) == (("overheating",), ("overheating",))
    both = told(small, *BURNT, ("superheat", "high"), ("head-pressure", "high"), ("coil-dirty", "present"))
    assert began_and_ended(both) == (("overheating",), ("burnout",))


@pytest.mark.parametrize(
    ("case", "asked"),
    [
        (Case(SCROLL), True),
        (Case(SCROLL, (Report("capacity-low", "present"),)), True),
        (Case(SCROLL, (Report("compressor-runs", "present"),)), False),
        (Case(SCROLL, (Report("breaker-trips-at-once", "absent"),)), False),
        (Case(SCROLL, (Report("wraps-shattered", "present"),)), False),
        (Case(SCROLL, reported_by=("teardown",)), False),
        (Case(SCROLL, conditions=("compressor-removed",)), False),
        (Case(SCROLL, conditions=("circuit-open",)), False),
        (Case(SCROLL, conditions=("power-off",)), True),
        (Case(SCROLL, conditions=("compressor-runs",)), False),
        (Case(SCROLL, ran=True), False),
    ],
)
def test_it_is_asked_whether_it_runs_where_nobody_said(shipped: Knowledge, case: Case, asked: bool) -> None:  # noqa: FBT001 - a table's parameter
    questions = ruled(inquire(shipped, case)).ask_first
    assert any(question.startswith("Does the compressor run now?") for question in questions) is asked


def test_probes_count_each_and_repeated_readings_of_one_do_not(shipped: Knowledge) -> None:
    """Suction, discharge and sump are three thermometers; two readings at the suction are one."""
    suction = (Reading("suction-superheat", 0.5, 0.5), Reading("evaporating-off-expected", -12.0, 0.5))
    others = (Reading("discharge-superheat", 3.0, 0.5), Reading("sump-superheat-running", 2.0, 0.5))
    one, three = (inquire(shipped, Case(SCROLL, readings=taken)) for taken in (suction, (*suction, *others)))
    node = one.net.nodes.index("liquid-floodback")
    assert support(one, node).pieces <= 1
    assert ruled(one).state != "diagnosed"
    assert support(three, node).pieces == 3
    assert ruled(three).state == "diagnosed"


def test_a_running_compressor_is_one_look_and_no_clean_bill(shipped: Knowledge) -> None:
    """It rules out much, yet nobody has looked at what else may be wrong with it."""
    told_so = (Report("capacity-low", "present"), Report("compressor-runs", "present"))
    assert ruled(inquire(shipped, Case(SCROLL, told_so, reported_by=("note",)))).state == "not-enough-evidence"
    good = ("compressor-runs", "windings-balanced-insulation-good", "pumps-and-holds", "dry-suction-proved")
    case = Case(SCROLL, tuple(Report(key, "present") for key in (*good, "quiet-running")), reported_by=("form",))
    assert ruled(inquire(shipped, case)).state == "no-compressor-fault-likely"


def test_readings_in_order_are_looks_too(shipped: Knowledge) -> None:
    """Each probe is one; two readings that hang on the same one are not two."""
    readings = (
        Reading("suction-superheat", 10.0, 0.5),
        Reading("discharge-superheat", 25.0, 0.5),
        Reading("sump-superheat-running", 25.0, 0.5),
        Reading("current-fraction", 0.95, 0.02),
        Reading("insulation-resistance", 5e8, 1e7),
        Reading("winding-spread", 0.01, 0.002),
        Reading("condensing-over-ambient", 12.0, 0.5),
    )
    case = Case(SCROLL, readings=readings, circumstances=(("queue", "warranty"),), ran=True)
    assert ruled(inquire(shipped, case)).state == "no-compressor-fault-likely"


def test_what_is_not_sure_enough_for_a_verdict_hangs_on_nothing(small: Knowledge) -> None:
    assert not hangs_on_one(told(small))
