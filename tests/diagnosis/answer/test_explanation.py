"""Explanations: for, against, already explained; what would overturn; the chain; what separates the two in front."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.answer.explanation import explanations, separation
from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.result import Explanation

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def inquiry_of(known: Knowledge, *reports: tuple[str, str], machine: Machine = SCROLL) -> Inquiry:
    return inquire(known, Case(machine, tuple(Report(key, state) for key, state in reports)))  # type: ignore[arg-type]


def explained(inquiry: Inquiry, key: str) -> Explanation:
    return explanations(inquiry, inquiry.hypotheses([inquiry.net.nodes.index(key)]))[0]


def test_for_and_against(small: Knowledge) -> None:
    wet = inquiry_of(
        small, ("superheat", "low"), ("bearing-washed", "present"), ("oil-black", "present"), ("sump-cold", "absent")
    )
    outcome = explained(wet, "floodback")
    effects = {w.finding: w.effect for w in outcome.weights}
    assert effects["superheat"] == "for"
    assert effects["sump-cold"] == "against"
    assert effects["oil-black"] in ("neutral", "for")
    assert outcome.text.startswith("Floodback: ")
    assert "For it: " in outcome.text
    assert "Against it: " in outcome.text
    heaviest = [max(abs(w.alone), abs(w.unique)) for w in outcome.weights]
    assert heaviest == sorted(heaviest, reverse=True)


def test_a_finding_that_another_node_accounts_for_is_already_explained(small: Knowledge) -> None:
    """Black oil would speak for overheating, but acid and a grounded winding say burnout, which blackens it as well."""
    burnt = inquiry_of(small, ("oil-black", "present"), ("oil-acid", "present"), ("insulation-low", "present"))
    weights = {w.finding: w for w in explained(burnt, "overheating").weights}
    black = weights["oil-black"]
    assert black.alone > 3 * abs(black.unique)
    assert black.effect == "already explained"
    assert "already explained by burnout" in black.text


def test_weights_do_not_add_up(small: Knowledge) -> None:
    burnt = inquiry_of(small, ("oil-black", "present"), ("oil-acid", "present"), ("insulation-low", "present"))
    node = burnt.net.nodes.index("overheating")
    total = burnt.hypotheses([node])[0].shift
    alone = sum(w.alone for w in explained(burnt, "overheating").weights)
    assert alone != pytest.approx(total, abs=0.5)


def test_what_would_overturn_it(small: Knowledge) -> None:
    wet = inquiry_of(small, ("superheat", "low"), ("sump-cold", "present"))
    outcome = explained(wet, "floodback")
    assert set(outcome.overturned_by) <= {"superheat", "sump-cold"}
    assert outcome.overturned_by
    assert "It would fall if" in outcome.text
    assert explained(wet, "overheating").overturned_by == ()


def test_the_chain_runs_from_cause_to_end(small: Knowledge) -> None:
    wet = inquiry_of(
        small,
        ("superheat", "low"),
        ("sump-cold", "present"),
        ("bearing-washed", "present"),
        ("oil-acid", "present"),
        ("insulation-low", "present"),
        ("oil-black", "present"),
    )
    assert explained(wet, "floodback").path == (("overfeeding", "floodback"), ("floodback", "burnout"))
    assert explained(wet, "burnout").path[-1] == ("floodback", "burnout")
    assert explained(wet, "overfeeding").path[0] == ("overfeeding", "floodback")
    assert "Valve overfeeds → Floodback → Burnout" in explained(wet, "floodback").text


def test_no_chain_without_support(small: Knowledge) -> None:
    assert explained(inquiry_of(small, ("wrap-broken", "present")), "broken-wrap").path == ()


def test_what_separates_the_two_in_front(small: Knowledge) -> None:
    torn = inquiry_of(small, ("oil-black", "present"), ("oil-acid", "present"), ("superheat", "high"))
    between = separation(torn)
    assert between is not None
    assert {between.leader, between.runner_up} == {"burnout", "overheating"}
    sign = dict(between.apart)
    lead = 1 if between.leader == "burnout" else -1
    assert sign["oil-acid"] * lead > 0
    assert sign["superheat"] * lead < 0
    assert "insulation-low" in between.ask
    assert "rather than the other" in between.text
    assert "To tell them apart" in between.text


def test_nothing_reported_separates_nothing(small: Knowledge) -> None:
    between = separation(inquiry_of(small))
    assert between is not None
    assert between.apart == ()
    assert "Nothing reported tells" in between.text


def test_one_mode_has_no_runner_up(small: Knowledge) -> None:
    alone = inquiry_of(small)
    object.__setattr__(alone, "net", _with_one_mode(alone))
    assert separation(alone) is None


def _with_one_mode(inquiry: Inquiry) -> object:
    from dataclasses import replace  # noqa: PLC0415 - used here only

    return replace(inquiry.net, causes=len(inquiry.net.nodes) - 1)


def test_all_asked_for_leaves_nothing_to_ask(small: Knowledge) -> None:
    everything = [(key, "absent" if f.kind == "yes-no" else "normal") for key, f in small.findings.items()]
    fitting = [(key, state) for key, state in everything if small.findings[key].applies.to(SCROLL)]
    between = separation(inquiry_of(small, *fitting))
    assert between is not None
    assert between.ask == ()
    assert "To tell them apart" not in between.text
