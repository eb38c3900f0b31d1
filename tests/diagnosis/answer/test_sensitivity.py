"""Perturbed knowledge: ranges, stability, seeds."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.sensitivity import sensitivity
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.inference.perturbation import perturbed

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def test_log_odds_are_shifted_by_a_normal_and_zeros_stay(small: Knowledge) -> None:
    net = network(small, SCROLL)
    figures, many = net.figures, perturbed(net, 0.7, 4000, 1)
    odds = np.log(many.leak / (1 - many.leak))
    centre = np.log(figures.leak / (1 - figures.leak))
    assert odds.mean(axis=0) == pytest.approx(centre[0], abs=0.05)
    assert odds.std(axis=0) == pytest.approx(0.7, abs=0.04)
    assert ((many.trigger == 0) == (figures.trigger == 0)).all()
    assert (many.no_leak_high[:, figures.no_leak_high[0] == 1] == 1).all()
    for field in fields(many):
        values = getattr(many, field.name)
        assert ((values >= 0) & (values <= 1)).all()


def test_the_seed_decides(small: Knowledge) -> None:
    net = network(small, SCROLL)
    assert perturbed(net, 0.7, 3, 5).leak.tobytes() == perturbed(net, 0.7, 3, 5).leak.tobytes()
    assert perturbed(net, 0.7, 3, 5).leak.tobytes() != perturbed(net, 0.7, 3, 6).leak.tobytes()


def test_a_new_finding_shifts_the_figures_of_no_other(small: Knowledge) -> None:
    rows = list(small.findings.items())
    new = small.findings["oil-black"].model_copy(update={"id": "oil-smells"})
    net = network(small, SCROLL)
    grown = network(replace(small, findings=dict([*rows[:3], (new.id, new), *rows[3:]])), SCROLL)
    assert grown.findings[3] == "oil-smells"
    others = [grown.index(key) for key in net.findings]
    before, after = perturbed(net, 0.7, 3, 5), perturbed(grown, 0.7, 3, 5)
    same = after.taken(np.arange(len(net.nodes)), np.array(others))
    for field in fields(before):
        assert (getattr(before, field.name) == getattr(same, field.name)).all()


def test_ranges_hold_the_nominal_value_and_clear_cases_are_stable(small: Knowledge) -> None:
    wet = (Report("superheat", "low"), Report("sump-cold", "present"), Report("bearing-washed", "present"))
    inquiry = inquire(small, Case(SCROLL, wet))
    result = sensitivity(inquiry, 3)
    assert result.stability > 0.95
    assert len(result.spreads) == 6
    for spread in result.spreads:
        assert 0 <= spread.low <= inquiry.probability(spread.hypothesis) + 0.1
        assert spread.low <= spread.high <= 1
    assert result.text.startswith("With every figure of the knowledge shaken, floodback stays first in ")
    open_case = sensitivity(inquire(small, Case(SCROLL)), 3)
    assert open_case.stability < result.stability
    assert sum(s.first_share for s in open_case.spreads) <= 1 + 1e-9
