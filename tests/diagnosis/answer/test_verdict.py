"""The verdict and its restraint."""

from __future__ import annotations

from typing import Any

import pytest

from witnessmark.diagnosis.answer.inquiry import Inquiry, hangs_on_one, inquire, support
from witnessmark.diagnosis.answer.misfits import contradictions, fits, misfits
from witnessmark.diagnosis.answer.verdict import ASK_SPEED, began_and_ended, verdict
from witnessmark.diagnosis.case import Case, Machine, Reading, Report
from witnessmark.diagnosis.catalogue.decisions import decisions
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.result import DiagnosisVerdict

SCROLL = Machine("scroll", "low-side", "fixed-speed")
BURNT = (("oil-black", "present"), ("oil-acid", "present"), ("insulation-low", "present"))
WET = (("superheat", "low"), ("sump-cold", "present"), ("bearing-washed", "present"))


def inquiry_of(known: Knowledge, *reports: tuple[str, str], machine: Machine = SCROLL) -> Inquiry:
    return inquire(known, Case(machine, tuple(Report(key, state) for key, state in reports)))  # type: ignore[arg-type]


def ruled(inquiry: Inquiry) -> DiagnosisVerdict:
    return verdict(inquiry, misfits(inquiry), contradictions(inquiry), fits=fits(inquiry))


def test_diagnosed_on_several_pieces(small: Knowledge) -> None:
    outcome = ruled(inquiry_of(small, *WET))
    assert outcome.state == "diagnosed"
    assert outcome.leading == ("floodback",)
    assert outcome.text == "The findings point to floodback."
    assert outcome.reasons[0].startswith("Floodback stands at 9")
    assert "dB" not in " ".join(outcome.reasons)
    assert "do not add up to 100 %" in outcome.reasons[1]
    assert 0.9 < outcome.probability < 1
    assert outcome.ask_first == ()


def test_nothing_known_is_not_enough(small: Knowledge) -> None:
    outcome = ruled(inquiry_of(small))
    assert outcome.state == "not-enough-evidence"
    assert outcome.leading == ()
    assert "No independent pieces" in outcome.reasons[2]


@pytest.mark.parametrize("reliability", [0.7, 0.99])
def test_a_single_finding_is_never_confident(small: Knowledge, reliability: float) -> None:
    inquiry = inquire(small, Case(SCROLL, (Report("wrap-broken", "present", reliability),)))
    outcome = ruled(inquiry)
    assert outcome.state in ("not-enough-evidence", "leading-candidates")
    assert reliability < 0.9 or any(reason.startswith("One finding, or several") for reason in outcome.reasons)


def test_no_single_finding_of_the_shipped_knowledge_is_confident(shipped: Knowledge) -> None:
    for key, finding in shipped.findings.items():
        machine = Machine(
            min(finding.applies.compressor or {"scroll"}),  # type: ignore[arg-type]
            min(finding.applies.shell or {"low-side"}),  # type: ignore[arg-type]
            min(finding.applies.drive or {"fixed-speed"}),  # type: ignore[arg-type]
        )
        for state in ("present",) if finding.kind == "yes-no" else ("low", "high"):
            outcome = ruled(inquiry_of(shipped, (key, state), machine=machine))
            assert outcome.state not in ("diagnosed", "does-not-fit"), (key, outcome.state)


def test_candidates_that_are_not_settled(small: Knowledge) -> None:
    outcome = ruled(inquiry_of(small, ("oil-black", "present"), ("superheat", "high")))
    assert outcome.state == "leading-candidates"
    assert outcome.leading[0] == "overheating"
    assert outcome.text.startswith("Not settled yet. In the lead: overheating")


def test_findings_of_one_disturbance_count_as_one_piece(small: Knowledge) -> None:
    burnt = inquiry_of(small, *BURNT)
    assert support(burnt, burnt.net.nodes.index("burnout")).pieces == 2
    assert support(burnt, burnt.net.nodes.index("broken-wrap")).pieces == 0


def test_what_hangs_on_its_best_finding_is_not_diagnosed(small: Knowledge) -> None:
    shaky = inquiry_of(small, ("wrap-broken", "present"), ("superheat", "low"), ("oil-acid", "absent"))
    outcome = ruled(shaky)
    assert outcome.state != "diagnosed" or outcome.leading[0] != "broken-wrap"


def test_a_clean_bill_of_health(small: Knowledge) -> None:
    clean = [("oil-good", "present"), ("parts-good", "present"), ("insulation-low", "absent"), ("sump-cold", "absent")]
    outcome = ruled(inquiry_of(small, *clean))
    assert outcome.state == "no-compressor-fault-likely"
    assert outcome.leading == ()
    assert outcome.reasons[0].startswith("Chance that no failure mode is active: ")
    assert outcome.probability > 0.6


def test_a_clean_bill_needs_that_somebody_looked(small: Knowledge) -> None:
    warranty = inquire(small, Case(SCROLL, (Report("oil-black", "absent"),), circumstances=(("queue", "warranty"),)))
    assert warranty.answer.none[0] > 0.6
    assert ruled(warranty).state == "not-enough-evidence"


def test_a_telling_finding_spoils_a_clean_bill(small: Knowledge) -> None:
    clean = [("oil-good", "present"), ("superheat", "normal"), ("insulation-low", "absent"), ("wrap-broken", "present")]
    assert ruled(inquiry_of(small, *clean)).state != "no-compressor-fault-likely"


def test_contradictions_come_first(small: Knowledge) -> None:
    outcome = ruled(inquiry_of(small, *WET[1:], ("superheat", "high")))
    assert outcome.state == "contradictory-evidence"
    assert "measure again" in outcome.text
    assert "superheat and sump together" in outcome.text
    assert outcome.reasons[0].startswith("These two cannot both be right")


def test_a_contradiction_that_the_verdict_does_not_hang_on_is_told_beside_it(small: Knowledge) -> None:
    sure = (("oil-acid", "present"), ("insulation-low", "present"), ("worked-on", "present"), ("oil-black", "present"))
    outcome = ruled(inquiry_of(small, *sure, ("superheat", "high"), ("sump-cold", "present")))
    assert outcome.state == "diagnosed"
    assert outcome.leading == ("burnout",)
    assert outcome.reasons[0].startswith("These two cannot both be right")


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
    outcome = ruled(inquiry_of(shipped, *odd))
    assert outcome.state == "does-not-fit"
    assert "do not force them" in outcome.text


def test_everything_at_once_is_not_one_machine(shipped: Knowledge) -> None:
    fitting = [f for f in shipped.findings.values() if f.applies.to(SCROLL)]
    everything = [(f.id, "present" if f.kind == "yes-no" else "low") for f in fitting]
    outcome = ruled(inquiry_of(shipped, *everything))
    assert outcome.state == "does-not-fit"
    assert "More failure modes at once than one machine shows." in outcome.reasons


def test_the_shell_is_asked_first(small: Knowledge) -> None:
    outcome = ruled(inquiry_of(small, ("sump-cold", "present"), machine=Machine(None, "low-side", "fixed-speed")))
    assert outcome.ask_first == ("Which type of compressor is it: scroll, reciprocating, rotary or screw?",)
    open_shell = ruled(inquiry_of(small, ("sump-cold", "absent"), machine=Machine("scroll", None, "fixed-speed")))
    assert open_shell.ask_first[0].startswith("Is the shell at suction pressure")
    assert "Not counted until then: sump cold" in open_shell.ask_first[0]
    nothing = ruled(inquiry_of(small, machine=Machine("scroll", None, "fixed-speed")))
    assert "Not counted" not in nothing.ask_first[0]


@pytest.mark.parametrize(
    ("construction", "asked"), [("hermetic", True), ("semi-hermetic", False), ("open-drive", False)]
)
def test_only_what_is_welded_is_asked_for_its_shell(shipped: Knowledge, construction: Any, asked: bool) -> None:  # noqa: FBT001
    machine = Machine("reciprocating", None, "fixed-speed", construction, "three-phase")
    told = ruled(inquiry_of(shipped, ("capacity-low", "present"), machine=machine)).ask_first
    assert any("Is the shell" in text for text in told) is asked


def test_what_began_it_and_what_ended_it(small: Knowledge) -> None:
    assert began_and_ended(inquiry_of(small, *WET, *BURNT)) == (("floodback",), ("burnout",))
    assert began_and_ended(inquiry_of(small)) == ((), ())
    hot = (("superheat", "high"), ("head-pressure", "high"), ("coil-dirty", "present"), ("oil-black", "present"))
    sound = (("oil-acid", "absent"), ("insulation-low", "absent"))
    assert began_and_ended(inquiry_of(small, *hot, *sound)) == (("overheating",), ("overheating",))
    both = inquiry_of(small, *BURNT, ("superheat", "high"), ("head-pressure", "high"), ("coil-dirty", "present"))
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
    first, three = (inquire(shipped, Case(SCROLL, readings=taken)) for taken in (suction, (*suction, *others)))
    node = first.net.nodes.index("liquid-floodback")
    assert support(first, node).pieces <= 1
    assert ruled(first).state != "diagnosed"
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
    assert not hangs_on_one(inquiry_of(small))


@pytest.mark.parametrize(
    ("finding", "words"),
    [
        ("charge-over", "The cause found lies outside the compressor: too much refrigerant. The compressor is sound"),
        ("contactor-bad", "The cause found lies outside the compressor: contactor that has failed"),
        ("capacitor-bad", "Found outside the compressor: failed start or run capacitor. Not enough evidence"),
        ("high-hours", "Found outside the compressor: end of service life. Not enough evidence"),
        ("capacity-low", "Not enough evidence for a verdict."),
    ],
)
def test_a_cause_that_is_found_is_told_and_what_is_known_of_the_compressor(
    shipped: Knowledge, finding: str, words: str
) -> None:
    """Wrong answer that hurts: a compressor ordered for a bad contactor."""
    outcome = ruled(inquiry_of(shipped, (finding, "present"), machine=Machine()))
    assert outcome.text.startswith(words)


def test_a_sound_compressor_is_told_with_the_cause(shipped: Knowledge) -> None:
    good = [(key, "absent") for key in ("insulation-low", "winding-open", "knock-while-running", "pump-down-fails")]
    with_cause = ruled(inquiry_of(shipped, ("contactor-bad", "present"), *good))
    assert with_cause.state == "no-compressor-fault-likely"
    assert with_cause.text.endswith(
        "sound as far as is known; the cause is contactor that has failed (coil, faces or lug)."
    )
    looked_at = ("locked-rotor-current", "breaker-trips-at-once", "no-pressure-difference", "bleeds-down-fast")
    opened = ("metal-fines-in-oil", "oil-burnt", "acid-test-positive", "oil-thin-and-foaming")
    more = ("discharge-temperature-high", "compression-ratio-high")
    bare = ruled(inquiry_of(shipped, *good, *((key, "absent") for key in (*looked_at, *opened, *more))))
    assert bare.text.endswith("sound as far as is known. Look for the complaint outside it.")


TEARDOWN = ("teardown",)


def opened(known: Knowledge, compressor: str, *findings: str) -> Inquiry:
    reports = tuple(Report(key, "present") for key in findings)
    return inquire(known, Case(Machine(compressor), reports, reported_by=TEARDOWN))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("compressor", "findings"),
    [
        ("scroll", ("wraps-shattered", "bang-then-dead")),
        ("scroll", ("wraps-shattered", "capacity-lost-suddenly")),
        ("scroll", ("wraps-shattered", "knock-while-running", "no-pressure-difference")),
        ("scroll", ("wraps-shattered", "shaft-seized", "breaker-trips-at-once")),
        ("reciprocating", ("rod-or-crank-broken", "knock-while-running", "bang-then-dead")),
        ("reciprocating", ("gasket-or-backer-bolt-failed", "reed-broken", "bang-then-dead")),
        ("rotary", ("vane-broken", "capacity-lost-suddenly", "pump-down-fails")),
    ],
)
def test_a_break_and_what_comes_of_it_prove_nothing_of_liquid(
    shipped: Knowledge, compressor: str, findings: tuple[str, ...]
) -> None:
    """Worst wrong answer: "diagnosed: liquid slug", where debris, a loose mount or wear broke it just as well."""
    inquiry = opened(shipped, compressor, *findings)
    slug = inquiry.net.node("slugging")
    assert slug is not None
    assert support(inquiry, slug).pieces <= 1
    outcome = ruled(inquiry)
    assert not (
        outcome.state == "diagnosed" and "slugging" in outcome.leading and outcome.leading[0] != "valve-failure"
    )


@pytest.mark.parametrize("more", ["superheat-dips", "oil-thin-and-foaming", "suction-superheat"])
def test_a_sign_of_liquid_beside_a_break_is_a_proof_of_its_own(shipped: Knowledge, more: str) -> None:
    state = "low" if more == "suction-superheat" else "present"
    reports = (("wraps-shattered", "present"), ("bang-then-dead", "present"), (more, state))
    inquiry = inquiry_of(shipped, *reports, machine=Machine("scroll"))
    slug = inquiry.net.node("slugging")
    assert slug is not None
    assert support(inquiry, slug).pieces == 2


def test_a_broken_reed_is_the_broken_valve_itself(shipped: Knowledge) -> None:
    inquiry = opened(shipped, "reciprocating", "reed-broken", "capacity-lost-suddenly")
    valve = inquiry.net.node("valve-failure")
    assert valve is not None
    assert support(inquiry, valve).pieces == 1 + (inquiry.single_weights[1, valve] >= 2.0)


def test_the_findings_of_one_event_are_known(shipped: Knowledge) -> None:
    rule = decisions().one_event
    assert set(rule.follows) <= shipped.findings.keys()
    assert rule.broken in {finding.trace for finding in shipped.findings.values()}


def test_what_began_a_failure_is_named_before_what_it_did(shipped: Knowledge) -> None:
    """Slugging broke rod, reed and gasket: it stands first, though the broken reed is the surer of the two."""
    found = ruled(
        opened(shipped, "reciprocating", "rod-or-crank-broken", "reed-broken", "gasket-or-backer-bolt-failed")
    )
    assert found.leading[:2] == ("slugging", "valve-failure")
    alone = ruled(opened(shipped, "reciprocating", "reed-broken"))
    assert alone.leading[0] == "valve-failure"


@pytest.mark.parametrize("more", [(), ("capacity-low",)])
def test_a_stuck_slide_valve_is_a_failed_capacity_control(shipped: Knowledge, more: tuple[str, ...]) -> None:
    reports = tuple((key, "present") for key in ("slide-valve-stuck", *more))
    inquiry = inquiry_of(shipped, *reports, machine=Machine("screw"))
    assert inquiry.net.nodes[int(inquiry.modes[0])] == "capacity-control-failure"


SOUND_INSIDE = ("mechanical-parts-as-new", "windings-clean", "oil-clear", "windings-balanced-insulation-good")


@pytest.mark.parametrize("word", ["will-not-start", "knock-while-running"])
def test_the_word_of_a_caller_does_not_outweigh_a_teardown_that_found_all_sound(shipped: Knowledge, word: str) -> None:
    reports = tuple(Report(key, "present") for key in (*SOUND_INSIDE, word))
    opened = Case(SCROLL, reports, reported_by=("teardown",))
    assert ruled(inquire(shipped, opened)).state == "no-compressor-fault-likely"
    assert ruled(inquire(shipped, Case(SCROLL, reports))).state != "no-compressor-fault-likely"
    broken = Case(SCROLL, (*reports, Report("wraps-shattered", "present")), reported_by=("teardown",))
    assert ruled(inquire(shipped, broken)).state != "no-compressor-fault-likely"


def test_an_inverter_is_asked_for_its_speed_before_it_is_called_leaking(shipped: Knowledge) -> None:
    """Worst: a sound one at minimum speed is condemned for a bypass within."""
    slow = (("suction-pressure", "high"), ("condensing-pressure", "low"), ("running-current", "low"))
    for drive, asked in (("inverter", True), ("fixed-speed", False)):
        machine = Machine("rotary", "high-side", drive, "hermetic", "three-phase")  # type: ignore[arg-type]
        inquiry = inquiry_of(shipped, *slow, machine=machine)
        assert (ASK_SPEED in ruled(inquiry).ask_first) is asked
        if asked:
            assert inquiry.net.nodes[inquiry.causes[0]] == "low-load"
            assert inquiry.probability("internal-bypass") < inquiry.decisions.verdict.leading
    fast = inquiry_of(shipped, ("suction-pressure", "low"), machine=Machine("rotary", drive="inverter"))
    assert ASK_SPEED not in ruled(fast).ask_first


def test_a_pump_down_that_a_leaking_liquid_valve_spoils_condemns_no_valve_of_the_compressor(shipped: Knowledge) -> None:
    machine = Machine("reciprocating", drive="fixed-speed")
    alone = inquiry_of(shipped, ("pump-down-fails", "present"), machine=machine)
    found = inquiry_of(shipped, ("pump-down-fails", "present"), ("off-cycle-valve-leak", "present"), machine=machine)
    assert found.probability("valve-failure") < alone.probability("valve-failure")
    assert found.net.nodes[found.causes[0]] == "off-cycle-leak"


def test_causes_that_are_not_told_apart_are_named_beside_the_first(shipped: Knowledge) -> None:
    """Worst: an iced coil is called a dirty filter, and nobody looks for the leak."""
    signs = (("coil-iced", "present"), ("capacity-low", "present"), ("suction-pressure", "low"))
    text = ruled(inquiry_of(shipped, *signs)).text
    assert "In the lead outside the compressor: low airflow" in text
    assert "Not told apart from it yet: too little refrigerant" in text
    sure = ruled(inquiry_of(shipped, *signs, ("airflow-low", "present"))).text
    assert "Not told apart" not in sure
