"""Posteriors of modes and causes stay what they were, to 1e-9, in all described cases that were exact."""

from __future__ import annotations

import pytest
from tests.diagnosis.recorded import CASES, posteriors, recorded

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.review.case_set import read_cases

BEFORE = recorded()
DESCRIBED = {described.id: described.case for described in read_cases(CASES)}


@pytest.mark.parametrize("key", BEFORE)
def test_posteriors_stay_the_same(key: str) -> None:
    inquiry = inquire(knowledge(), DESCRIBED[key])
    assert inquiry.posterior.exact
    assert inquiry.answer.error_bound < 1e-9
    assert posteriors(inquiry) == pytest.approx(BEFORE[key], abs=1e-9)


def test_every_described_case_is_recorded() -> None:
    assert BEFORE.keys() == DESCRIBED.keys()
