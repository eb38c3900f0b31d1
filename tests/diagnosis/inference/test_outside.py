"""What the knowledge does not hold. Worst: a known mode claimed for certain where the true one is unknown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.answer import inquiry as module
from witnessmark.diagnosis.answer.inquiry import inquire, told_by_modes
from witnessmark.diagnosis.answer.misfits import fits
from witnessmark.diagnosis.answer.verdict import verdict
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.inference.noisy_or import observation_likelihood
from witnessmark.diagnosis.inference.outside import mixed, raised
from witnessmark.diagnosis.inference.posterior import Answer

SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")
RECIP = Machine("reciprocating", "low-side", "fixed-speed", "semi-hermetic", "three-phase")
STRANGE = (
    "fixed-scroll-mount-broken",
    "bearings-blued",
    "superheat-hunting",
    "rust-inside",
    "copper-plating",
    "subcooling:high",
    "oil-thin-and-foaming",
    "failed-on-ramp-up",
)


def case(*words: str, machine: Machine = SCROLL) -> Case:
    reports = (word.partition(":") for word in words)
    return Case(machine, tuple(Report(key, state or "present") for key, _, state in reports))  # type: ignore[arg-type]


@pytest.mark.parametrize("chance", [0.0, 0.1, 0.6])
@pytest.mark.parametrize("off", [0.0, 0.3, 1.0])
def test_another_likelihood_is_the_same_as_one_more_parent(chance: float, off: float) -> None:
    """Noisy-OR: a parent that raises the finding with this chance leaves it off with the product of both."""
    seen = np.array([[0.2, 0.7, 0.0]])
    high = np.array([1.0])
    told = observation_likelihood(np.array([off * (1 - chance)]), high, seen)
    other = raised(seen, np.array([False]), np.array([chance]))
    assert observation_likelihood(np.array([off]), high, other) == pytest.approx(told)


def test_a_three_way_finding_is_raised_either_way_alike() -> None:
    seen = np.array([[0.1, 0.9, 0.3]])
    assert raised(seen, np.array([True]), np.array([1.0]))[0, 0] == pytest.approx(0.6)
    assert raised(seen, np.array([True]), np.array([0.0])).tolist() == seen.tolist()


def test_bayes_by_hand() -> None:
    """Prior odds 1 to 9, the evidence three times likelier by something unknown: a quarter of all."""
    known = Answer(np.array([[0.8]]), np.array([0.1]), np.array([0.0]), 1e-12)
    unknown = Answer(np.array([[0.2]]), np.array([np.nan]), np.array([np.log(3.0)]), 0.0)
    both, chance = mixed(known, unknown, 0.1)
    assert chance == pytest.approx(0.25)
    assert both.probability[0, 0] == pytest.approx(0.75 * 0.8 + 0.25 * 0.2)
    assert both.none[0] == pytest.approx(0.075)


@pytest.mark.parametrize("apart", [-1e6, 1e6])
def test_evidence_beyond_all_measure_overflows_nothing(apart: float) -> None:
    known = Answer(np.array([[0.8]]), np.array([0.1]), np.array([0.0]), 0.0)
    _, chance = mixed(known, Answer(np.array([[0.2]]), np.array([0.0]), np.array([apart]), 0.0), 0.02)
    assert chance == pytest.approx(float(apart > 0))


def test_findings_that_nothing_known_explains_together_are_put_down_to_something_else() -> None:
    inquiry = inquire(knowledge(), case(*STRANGE[:6]))
    assert inquiry.outside > 0.5
    assert inquiry.answer.probability[0].max() < inquiry.known.probability[0].max()
    ruling = verdict(inquiry, (), (), fits=fits(inquiry))
    assert ruling.state != "diagnosed"
    assert any("which the knowledge does not hold" in reason for reason in ruling.reasons)


def test_what_the_knowledge_foretells_leaves_it_little() -> None:
    """Liquid floodback as the trade knows it: superheat gone, cold sump, foam, washed bearings (common practice)."""
    told = (
        "suction-superheat:low",
        "sump-cold-running",
        "foam-while-running",
        "discharge-superheat-low",
        "airflow-low",
    )
    inquiry = inquire(knowledge(), case(*told))
    assert inquiry.outside < 0.05
    assert inquiry.probability("liquid-floodback") > 0.9


def test_each_strange_finding_more_makes_it_likelier() -> None:
    told = [inquire(knowledge(), case(*STRANGE[:number])).outside for number in (5, 6)]
    assert told[0] < told[1]


def test_too_little_says_nothing_of_it() -> None:
    inquiry = inquire(knowledge(), case(*STRANGE[:4]))
    assert inquiry.outside == 0
    assert inquiry.answer is inquiry.known


def test_what_warns_is_not_thinned() -> None:
    """Worst: strange findings beside a burnt winding lift the stop order."""
    inquiry = inquire(knowledge(), case(*STRANGE, "acid-test-positive"))
    assert inquiry.suspected("general-burnout") >= inquiry.probability("general-burnout")
    assert inquiry.suspected("valve-failure") == 0  # no such part


def test_brief_and_whole_agree() -> None:
    whole, brief = (inquire(knowledge(), case(*STRANGE), brief=short) for short in (False, True))
    assert brief.outside == pytest.approx(whole.outside)
    assert brief.none == pytest.approx(whole.none)


@pytest.mark.parametrize("contexts", [(), (("queue", "monitoring"),)])
def test_the_same_of_whichever_pass_it_comes(
    monkeypatch: pytest.MonkeyPatch, contexts: tuple[tuple[str, str], ...]
) -> None:
    """Worst: the ranking is that of another variant of the evidence, which stood beside it in the pass."""
    strange = replace(case(*STRANGE), circumstances=contexts)
    alone = inquire(knowledge(), strange)
    assert (alone.net.no_fault_odds == 1) == bool(contexts)  # with P(no mode) in the pass, and without
    plain = alone.posterior.ask(alone.posterior.evidence.likelihood[None])
    brief, later = (inquire(knowledge(), strange, brief=short) for short in (True, False))
    assert later.without.probability.shape == (len(later.evidence.items), len(later.net.nodes))  # first the variants
    found = [alone, brief, later]
    rankings = [one.answer for one in found]
    monkeypatch.setattr(module, "TOGETHER", 0)
    found += [inquire(knowledge(), strange, brief=short) for short in (False, True)]
    rankings += [one.answer for one in found[len(rankings) :]]
    for one, ranking in zip(found, rankings, strict=True):
        assert one.known.probability == pytest.approx(plain.probability, abs=1e-9)
        assert ranking.probability == pytest.approx(rankings[-1].probability, abs=1e-9)
        assert one.outside == pytest.approx(found[-1].outside, abs=1e-9)
        assert one.none == pytest.approx(found[0].none, abs=1e-9)
    assert np.abs(rankings[0].probability - plain.probability).max() > 0.01


def test_dangers_and_definitions_tell_nothing_of_it() -> None:
    net = inquire(knowledge(), Case(SCROLL)).net
    telling = told_by_modes(knowledge(), net)
    assert not telling[net.index("fire-seen")]
    assert not telling[net.index("charge-over")]
    assert telling[net.index("wraps-shattered")]
