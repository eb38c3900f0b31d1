"""Next checks: safety and needs first, then information per minute and cost; stop where nothing would change."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from tests.evaluation.next_checks import WORTH, agreements

from witnessmark.diagnosis.answer.inquiry import Inquiry, hangs_on_one, inquire
from witnessmark.diagnosis.answer.misfits import contradictions
from witnessmark.diagnosis.answer.next_checks import next_checks, ranked
from witnessmark.diagnosis.answer.permitted import HAS_TO_STOP, permitted
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.case import Case, Condition, Fluid, Machine, Report, ReportState
from witnessmark.diagnosis.catalogue.check_book import check_book
from witnessmark.diagnosis.catalogue.rows import Finding, Knowledge
from witnessmark.diagnosis.evidence.evidence import reported
from witnessmark.diagnosis.inference.noisy_or import Evidence, Network
from witnessmark.diagnosis.result import NextChecks, forbidden

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def ask(known: Knowledge, *reports: tuple[str, str], conditions: tuple[Condition, ...] | None = None) -> Inquiry:
    built = tuple(Report(key, state) for key, state in reports)  # type: ignore[arg-type]
    return inquire(known, Case(SCROLL, built, conditions=conditions))


def proposed(inquiry: Inquiry) -> NextChecks:
    return next_checks(inquiry, notices(inquiry))


def test_a_fired_rule_withholds_powered_checks(small: Knowledge) -> None:
    outcome = proposed(ask(small, ("insulation-low", "present")))
    assert dict(outcome.withheld).keys() == {"superheat", "sump-cold", "head-pressure"}
    assert not any(c.energised or "compressor-runs" in c.needs for c in outcome.checks)
    open_now = proposed(ask(small, ("insulation-low", "absent")))
    assert open_now.withheld == ()
    assert {"superheat", "sump-cold"} & {c.finding for c in open_now.checks}


def test_a_fired_rule_withholds_opening(small: Knowledge) -> None:
    acid = ask(
        small, ("oil-black", "present"), ("oil-acid", "present"), conditions=("compressor-removed", "circuit-open")
    )
    assert dict(proposed(acid).withheld)["bearing-washed"] == "it opens the circuit, and a safety rule forbids that"


def test_powered_and_opening_steps_carry_their_cautions(small: Knowledge) -> None:
    checks = {c.finding: c for c in proposed(ask(small)).checks}
    for check in checks.values():
        if check.energised or "compressor-runs" in check.needs:
            assert "live-measurement" in check.cautions
    opened = proposed(ask(small, conditions=("compressor-removed", "circuit-open")))
    washed = next(c for c in opened.checks if c.finding == "bearing-washed")
    assert {"cut-open-shell", "refrigerant-release", "trapped-pressure"} <= set(washed.cautions)


def test_known_findings_are_not_asked_again(small: Knowledge) -> None:
    assert "superheat" not in {c.finding for c in proposed(ask(small, ("superheat", "normal"))).checks}


def test_bits_equal_the_exact_expected_drop_of_entropy(small: Knowledge) -> None:
    inquiry = ask(small, ("oil-black", "present"))
    finding = small.findings["insulation-low"]
    assert finding.check
    (outlook,) = ranked(inquiry, [(finding, finding.check)])
    reliability = finding.reliability
    seen = np.array([reported(finding, state, reliability) for state in ("absent", "present")])

    def entropy(p: np.ndarray) -> float:
        return float(-(p * np.log2(p) + (1 - p) * np.log2(1 - p)).sum())

    exact = entropy(inquiry.answer.probability[0])
    for row, chance in zip(seen, outlook.chance, strict=True):
        state: ReportState = "present" if row[1] > row[0] else "absent"
        after = inquire(
            small, replace(inquiry.case, findings=(*inquiry.case.findings, Report(finding.id, state, reliability)))
        )
        exact -= chance * entropy(after.answer.probability[0])
    assert outlook.bits == pytest.approx(exact, abs=1e-9)
    assert outlook.chance.sum() == pytest.approx(1)


Enumerate = Callable[[Network, Evidence], tuple[np.ndarray, float, float]]


def entropy_of(chances: np.ndarray) -> np.ndarray:
    return np.asarray(-(chances * np.log2(chances) + (1 - chances) * np.log2(1 - chances)))


def enumerated_value(inquiry: Inquiry, finding: Finding, enumerated: Enumerate) -> float:
    """Worth of a check per minute, as it is defined, by summing over every state of the nodes."""
    net, evidence, figures = inquiry.net, inquiry.posterior.evidence, inquiry.decisions.next_checks
    states = ("absent", "present") if finding.kind == "yes-no" else ("normal", "low", "high")
    before, _, log_before = enumerated(net, evidence)
    gained, lead = entropy_of(before), -float(before[net.causes :].max())
    for state in states:
        seen = np.vstack([evidence.likelihood, reported(finding, state, finding.reliability)])
        rows = np.append(evidence.findings, net.index(finding.id))
        after, _, log_after = enumerated(net, Evidence.of(rows, seen))
        chance = float(np.exp(log_after - log_before))
        gained = gained - chance * entropy_of(after)
        lead += chance * float(after[net.causes :].max())
    worth = gained[net.causes :].sum() + figures.cause_share * gained[: net.causes].sum() + figures.lead_worth * lead
    assert finding.check
    minutes = finding.check.minutes + figures.extra_minutes + finding.check.cost * figures.cost_minutes
    return float(worth) / minutes


KNOWN = (
    (),
    (("oil-black", "present"),),
    (("superheat", "low"), ("sump-cold", "present")),
    (("oil-black", "present"), ("oil-acid", "present"), ("superheat", "normal")),
)


@pytest.mark.parametrize("reports", KNOWN)
def test_worth_equals_enumeration(
    reports: tuple[tuple[str, str], ...], small: Knowledge, enumerated: Enumerate
) -> None:
    """To the last digits."""
    inquiry = ask(small, *reports)
    assert inquiry.refining.exact
    best = ranked(inquiry, permitted(inquiry, notices(inquiry)))
    assert best
    for outlook in best:
        assert outlook.value == pytest.approx(enumerated_value(inquiry, outlook.finding, enumerated), rel=1e-6)


@pytest.mark.parametrize("size", [4, 12, 25])
def test_the_first_five_are_those_of_the_whole_network(shipped: Knowledge, size: int) -> None:
    """A sample; `python -m tests.evaluation.next_checks` compares some sixty cases."""
    (case,) = agreements(shipped, (size,), (1,), 1)
    assert case.loss <= WORTH


def test_only_the_most_promising_are_worked_out(small: Knowledge) -> None:
    inquiry = ask(small)
    allowed = permitted(inquiry, notices(inquiry))
    few = replace(
        inquiry,
        decisions=inquiry.decisions.model_copy(
            update={"next_checks": inquiry.decisions.next_checks.model_copy(update={"refined": 2})}
        ),
    )
    assert [o.name for o in ranked(few, allowed)] == [o.name for o in ranked(inquiry, allowed)][:2]
    assert ranked(inquiry, []) == []


def test_the_order_is_by_information_per_effort(small: Knowledge) -> None:
    checks = proposed(ask(small, ("oil-black", "present"))).checks
    values = [c.value for c in checks]
    assert values == sorted(values, reverse=True)
    assert len(checks) <= ask(small).decisions.next_checks.most


def test_outcomes_name_what_would_lead(small: Knowledge) -> None:
    checks = proposed(ask(small, ("oil-black", "present"), ("oil-acid", "present"))).checks
    burnt = next(c for c in checks if c.finding == "insulation-low")
    assert [o.seen for o in burnt.outcomes] == ["insulation good", "winding to ground low"]
    assert burnt.outcomes[1].leads_to == "burnout"
    assert burnt.outcomes[1].probability > burnt.outcomes[0].probability
    assert burnt.outcomes[1].words.startswith("if winding to ground low: ")
    assert burnt.text == "Winding to ground low? Test the insulation, locked out."
    assert (burnt.action, burnt.kind, burnt.step) == ("", "finding", "meter")


SETTLED = (
    ("superheat", "low"),
    ("sump-cold", "present"),
    ("bearing-washed", "present"),
    ("oil-good", "present"),
    ("insulation-low", "absent"),
    ("wrap-broken", "absent"),
    ("head-pressure", "normal"),
)


def test_it_stops_where_nothing_would_change(small: Knowledge) -> None:
    done = proposed(ask(small, *SETTLED, ("coil-dirty", "absent"), ("worked-on", "absent")))
    assert done.stop
    assert done.checks == ()
    assert done.reason == "No check is left that may be done now."
    nearly = proposed(ask(small, *SETTLED, ("coil-dirty", "absent")))
    assert nearly.stop
    assert nearly.reason == "No check on the list would change the decision."


def test_it_goes_on_while_the_cause_is_open(small: Knowledge) -> None:
    outcome = proposed(
        ask(small, ("sump-cold", "present"), ("bearing-washed", "present"), ("insulation-low", "absent"))
    )
    assert not outcome.stop
    assert "could change the decision" in outcome.reason


def test_a_likely_clean_bill_is_a_decision_too(small: Knowledge) -> None:
    clean = proposed(ask(small, ("oil-good", "present"), ("parts-good", "present"), ("insulation-low", "absent")))
    assert all(c.bits > 0 for c in clean.checks)


GROUNDED = (("insulation-low", "present"), ("will-not-start", "present"))


def test_a_contradiction_is_measured_again_first(shipped: Knowledge) -> None:
    inquiry = ask(shipped, ("suction-superheat", "high"), ("sump-cold-running", "present"))
    outcome = next_checks(inquiry, notices(inquiry), contradictions(inquiry))
    assert {c.finding for c in outcome.checks[:2]} == {"suction-superheat", "sump-cold-running"}
    assert outcome.reason == "Two reports cannot both be right: measure again first."
    first = outcome.checks[0]
    assert (first.kind, first.text.split(":")[0]) == ("again", "Measure again")
    assert [o.seen for o in first.outcomes] == ["the same again", "now the other way"]
    assert first.outcomes[0].probability != first.outcomes[1].probability


def test_what_cannot_be_measured_again_is_not_asked_for(shipped: Knowledge) -> None:
    """The shaft is seen when it is opened; on the phone nothing is measured."""
    reports = (("shaft-seized", "present"), ("running-current", "low"))
    inquiry = ask(shipped, *reports, conditions=("power-off",))
    outcome = next_checks(inquiry, notices(inquiry), contradictions(inquiry))
    assert all(c.kind != "again" for c in outcome.checks)


def test_what_safety_forbids_is_not_measured_again(shipped: Knowledge) -> None:
    """A grounded winding beside a normal running current: the clamp meter waits, the insulation is measured again."""
    inquiry = ask(
        shipped, ("insulation-low", "present"), ("locked-rotor-current", "present"), ("running-current", "low")
    )
    fired = notices(inquiry)
    assert "energise" in forbidden(fired)
    assert contradictions(inquiry)
    assert all(not c.energised for c in next_checks(inquiry, fired, contradictions(inquiry)).checks)


def test_a_pair_that_clashes_twice_is_measured_once(shipped: Knowledge) -> None:
    inquiry = ask(shipped, ("suction-superheat", "high"), ("sump-cold-running", "present"))
    twice = (*contradictions(inquiry), *contradictions(inquiry))
    again = [c.finding for c in next_checks(inquiry, notices(inquiry), twice).checks if c.kind == "again"]
    assert len(again) == len(set(again)) == 2


def test_what_is_found_bad_is_put_right(shipped: Knowledge) -> None:
    outcome = proposed(ask(shipped, ("condenser-fouled", "present"), ("high-pressure-trips", "present")))
    clean = outcome.checks[0]
    assert (clean.action, clean.kind, clean.step) == ("clean-condenser", "repair", "repair")
    assert clean.finding == "condenser-fouled"
    assert [o.seen for o in clean.outcomes] == ["the head comes down", "the head stays up"]
    assert {o.leads_to for o in clean.outcomes} == {"condenser-heat-rejection"}
    assert clean.text == "Clean the condenser and see whether the head comes down."
    assert clean.how.startswith("Lock out, ")  # a repair says how in `how` only


def test_what_is_usually_looked_at_next_comes_first_and_a_reading_is_not_taken_again(shipped: Knowledge) -> None:
    """Eyes before gauges before what is opened; line currents that were read are not asked for as a running current."""
    fan = proposed(ask(shipped, ("suction-superheat", "low")))
    assert fan.checks[0].finding == "airflow-low"
    currents = ask(shipped, ("current-unbalance", "present"), conditions=("compressor-runs",))
    read = replace(currents.case, read=("line_currents",))
    first, again = ({c.finding for c in proposed(inquire(shipped, case)).checks} for case in (currents.case, read))
    assert "running-current" in first
    assert "running-current" not in again


def test_a_settled_opened_compressor_is_still_looked_into(shipped: Knowledge) -> None:
    settled = ask(shipped, ("reed-broken", "present"), ("trouble-at-defrost", "present"))
    assert {c.finding for c in proposed(settled).checks} & settled.situation.follows.keys()


def test_a_settled_mode_leaves_what_the_repair_needs(shipped: Knowledge) -> None:
    single = Machine("rotary", drive="fixed-speed", phases="single-phase", construction="hermetic")
    reports = tuple(Report(key, "present") for key in ("terminal-voltage-low-at-start", "relay-clicks"))
    inquiry = inquire(shipped, Case(single, reports))
    needed = {key for need in check_book().need for key in need.checks}
    telling = {link.target for link in shipped.cause_finding}
    outcome = proposed(inquiry)
    assert outcome.checks
    assert {c.finding for c in outcome.checks if not c.action} <= needed | telling
    assert "insulation-low" not in {c.finding for c in outcome.checks}


def test_outcomes_differ_visibly(shipped: Knowledge) -> None:
    least = ask(shipped).decisions.next_checks.least_apart
    for reports in (GROUNDED, (("suction-superheat", "low"),), (("capacity-low", "present"),)):
        for check in proposed(ask(shipped, *reports)).checks:
            chances = [o.probability for o in check.outcomes]
            assert max(chances) - min(chances) >= least - 1e-4


def test_the_same_case_gives_the_same_checks(small: Knowledge) -> None:
    single, other = ask(small, ("oil-black", "present")), ask(small, ("oil-black", "present"))
    assert proposed(single) == proposed(other)


def test_never_an_energised_step_beside_a_grounded_winding(shipped: Knowledge) -> None:
    for key in ("insulation-low", "breaker-trips-at-once", "terminal-burnt"):
        outcome = proposed(ask(shipped, (key, "present")))
        assert outcome.checks
        assert not any(c.energised or "compressor-runs" in c.needs for c in outcome.checks)


def test_a_cold_sump_holds_back_what_needs_it_running_and_no_live_measurement(shipped: Knowledge) -> None:
    good = ("compressor-runs", "windings-balanced-insulation-good", "windings-clean")
    reports = (Report("sump-cold-at-rest", "present"), *(Report(key, "present") for key in good))
    inquiry = inquire(shipped, Case(SCROLL, reports))
    withheld = dict(proposed(inquiry).withheld)
    assert (
        withheld["discharge-superheat-low"] == "the compressor must run for it, and a safety rule forbids to start it"
    )
    assert withheld["supply-voltage"] == withheld["discharge-superheat-low"]
    assert "heater-dead" not in withheld


def test_a_lead_that_hangs_on_one_finding_is_still_worth_checking(shipped: Knowledge) -> None:
    told_so = (Report("wrap-cracked-from-root", "present"), Report("knock-while-running", "present"))
    inquiry = inquire(shipped, Case(SCROLL, told_so, circumstances=(("age", "under-1-year"),)))
    assert hangs_on_one(inquiry)
    assert not proposed(inquiry).stop


def test_people_come_before_the_machine(shipped: Knowledge) -> None:
    """Worst: gas is out, and the answer asks for an oil stain."""
    checks = proposed(ask(shipped, ("gas-alarm", "present"))).checks
    assert [check.finding for check in checks[:2]] == ["people-unwell", "person-hurt"]
    assert all(check.outcomes == () and check.text for check in checks[:2])
    fire = proposed(ask(shipped, ("smoke-seen", "present"), ("people-unwell", "absent"))).checks
    assert [check.finding for check in fire[:2]] == ["fire-seen", "electric-shock"]
    assert proposed(ask(shipped, ("smoke-seen", "absent"))).checks[:1] != fire[:1]


def test_whoever_stands_at_a_toxic_or_burning_circuit_is_told_so_with_each_check(shipped: Knowledge) -> None:
    told = (Report("net-oil-pressure", "low"),)
    machine = Machine("screw", construction="open-drive", phases="three-phase")
    asked = {}
    for gas in ("R-717", "R-290", "R-134a"):
        inquiry = inquire(shipped, Case(machine, told, fluid=Fluid.of(gas)))
        asked[gas] = [c for c in next_checks(inquiry, ()).checks if c.step != "ask"]
    assert asked["R-717"]
    assert all({"toxic-refrigerant", "flammable-refrigerant"} <= set(c.cautions) for c in asked["R-717"])
    assert all("flammable-refrigerant" in c.cautions for c in asked["R-290"])
    assert not [c for c in (*asked["R-290"], *asked["R-134a"]) if "toxic-refrigerant" in c.cautions]


def test_a_machine_that_has_to_stop_is_asked_for_nothing_that_needs_power(shipped: Knowledge) -> None:
    inquiry = inquire(shipped, Case(SCROLL, (Report("knock-while-running", "present"),)))
    outcome = next_checks(inquiry, (), also=HAS_TO_STOP)
    assert outcome.checks
    assert not [c.how for c in outcome.checks if c.energised or "compressor-runs" in c.needs]
    free = next_checks(inquiry, ())
    assert [c.how for c in free.checks if c.energised or "compressor-runs" in c.needs]


def test_where_neither_of_two_can_be_measured_again_what_settles_them_comes_first(shipped: Knowledge) -> None:
    """A rotor that stands and a knock while it runs: no further start, the windings first."""
    inquiry = ask(shipped, ("locked-rotor-current", "present"), ("knock-while-running", "present"))
    outcome = next_checks(inquiry, notices(inquiry), contradictions(inquiry))
    assert outcome.checks[0].finding in {"winding-resistances-unequal", "insulation-low"}
    assert not any(check.energised for check in outcome.checks)
