"""One request in progress: what is left without a finding, turned round, or alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.answer import inquiry as module
from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire, log_odds, prepared
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge

SCROLL = Machine("scroll", "low-side", "fixed-speed")
WET = Case(SCROLL, (Report("superheat", "low"), Report("sump-cold", "present"), Report("oil-black", "absent")))


def without(case: Case, number: int) -> Case:
    return replace(case, findings=tuple(r for k, r in enumerate(case.findings) if k != number))


@pytest.fixture
def wet(small: Knowledge) -> Inquiry:
    return inquire(small, WET)


def test_findings_move_what_they_should(wet: Inquiry) -> None:
    assert wet.probability("floodback") > 0.5
    assert wet.probability("floodback") > 5 * wet.before.probability[0, wet.net.nodes.index("floodback")]
    assert wet.probability("module-fault") == 0.0
    assert wet.net.nodes[wet.modes[0]] == "floodback"
    assert wet.net.nodes[wet.causes[0]] == "overfeeding"


def test_an_empty_case_is_the_prior(small: Knowledge) -> None:
    inquiry = inquire(small, Case(SCROLL))
    assert inquiry.answer.probability == pytest.approx(inquiry.before.probability)
    assert inquiry.answer.none == pytest.approx(inquiry.before.none)
    assert inquiry.single_weights.shape == (0, len(inquiry.net.nodes))


def test_leaving_a_finding_out(small: Knowledge, wet: Inquiry) -> None:
    row = [p.finding for p in wet.evidence.items].index("oil-black")
    shorter = inquire(small, without(WET, 2))
    assert wet.without.probability[row] == pytest.approx(shorter.answer.probability[0], abs=1e-9)


def test_turning_a_finding_round(small: Knowledge, wet: Inquiry) -> None:
    row = [p.finding for p in wet.evidence.items].index("oil-black")
    other = inquire(small, replace(WET, findings=(*WET.findings[:2], Report("oil-black", "present"))))
    assert wet.flipped[row] == pytest.approx(other.answer.probability[0], abs=1e-9)


def test_turning_a_three_way_finding_round(small: Knowledge, wet: Inquiry) -> None:
    row = [p.finding for p in wet.evidence.items].index("superheat")
    other = inquire(small, replace(WET, findings=(Report("superheat", "normal"), *WET.findings[1:])))
    turned = wet.posterior.evidence.likelihood.copy()  # the others weigh as they did beside it: of one disturbance
    turned[row] = wet.posterior.evidence.likelihood[row][[1, 0, 2]]
    assert wet.flipped[row] == pytest.approx(wet.posterior.ask(turned[None]).probability[0], abs=1e-9)
    assert wet.flipped[row] == pytest.approx(other.answer.probability[0], abs=0.02)


@pytest.mark.parametrize("contexts", [(), (("queue", "warranty"),)])
def test_many_findings_are_compared_on_a_narrower_network(
    small: Knowledge, contexts: tuple[tuple[str, str], ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = inquire(small, replace(WET, circumstances=contexts))
    monkeypatch.setattr(module, "AT_ONCE", 3 * whole.posterior.entries - 1)
    narrow = inquire(small, replace(WET, circumstances=contexts))
    assert not narrow.variants.exact
    assert narrow.compared.probability == pytest.approx(whole.answer.probability, abs=0.02)
    assert narrow.without.probability == pytest.approx(whole.without.probability, abs=0.02)
    assert narrow.flipped == pytest.approx(whole.flipped, abs=0.02)
    assert narrow.given_rest == pytest.approx(whole.given_rest, abs=0.02)


def test_what_contexts_say_of_no_fault_is_not_what_a_finding_says(small: Knowledge, wet: Inquiry) -> None:
    warranty = inquire(small, replace(WET, circumstances=(("queue", "warranty"),)))
    assert warranty.answer.none[0] > wet.answer.none[0]
    assert warranty.single_weights == pytest.approx(wet.single_weights, abs=1e-9)


def test_one_finding_alone(small: Knowledge, wet: Inquiry) -> None:
    single = inquire(small, Case(SCROLL, (Report("oil-black", "absent"),)))
    row = [p.finding for p in wet.evidence.items].index("oil-black")
    moved = 10 * np.log10(np.e) * (log_odds(single.answer.probability[0]) - log_odds(single.before.probability[0]))
    assert wet.single_weights[row] == pytest.approx(moved, abs=1e-9)


def test_probability_of_a_report_given_the_rest(small: Knowledge) -> None:
    expected = inquire(small, Case(SCROLL, (Report("sump-cold", "present"), Report("superheat", "low"))))
    odd = inquire(small, Case(SCROLL, (Report("insulation-low", "absent"), Report("insulation-low", "absent"))))
    assert 0.2 < expected.given_rest[1] < 0.9
    before = odd.before.probability[0, odd.net.nodes.index("burnout")]
    chance = 1 - (0.04 * (1 - before) + 0.75 * before)
    assert odd.given_rest[0] == pytest.approx(chance, abs=0.01)


def test_hypotheses_carry_background_shift_and_words(wet: Inquiry) -> None:
    first = wet.hypotheses(wet.modes[:1].tolist())[0]
    assert (first.id, first.layer, first.name, first.role) == ("floodback", "mode", "Floodback", "initiating")
    assert first.shift == pytest.approx(
        10 * np.log10(first.probability / (1 - first.probability) / first.background * (1 - first.background)), abs=0.01
    )
    cause = wet.hypotheses(wet.causes[:1].tolist())[0]
    assert (cause.layer, cause.role) == ("cause", "none")


def test_machines_and_contexts_are_prepared_once(small: Knowledge) -> None:
    assert prepared(small, SCROLL, ()) is prepared(small, SCROLL, ())
