"""Scores on jobs not learned from: by hand, and what is said of too few."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.learning import scoring
from witnessmark.diagnosis.learning.jobs import ClosedJob
from witnessmark.diagnosis.learning.scoring import compared, in_order_of_time, left_out, losses


def jobs(number: int, days: int = 10) -> list[ClosedJob]:
    return [
        ClosedJob(
            day=date(2026, 1, 1) + timedelta(days=k * days // number),
            confirmed_modes=("liquid-floodback",) if k % 2 else (),
            confirmed_causes=(),
            findings={"bearings-washed-bright": "present" if k % 2 else "absent"},
        )
        for k in range(number)
    ]


def test_words_follow_the_interval() -> None:
    base, noise = np.full(50, 5.0), np.tile([0.1, -0.1], 25)
    words = [found.text for d in (-1.0, 0.0, 1.0) if (found := compared(base, base + d + noise))]
    assert words == ["better", "no difference that could be told", "worse"]
    assert compared(base[:1], base[:1]) is None


def test_a_job_that_fits_loses_less() -> None:
    sound, failed = losses(knowledge(), jobs(2))
    odd = losses(knowledge(), [jobs(2)[1].model_copy(update={"confirmed_modes": ("wrong-oil",)})])[0]
    assert 0 < failed < odd
    assert sound > 0


def test_scored_by_what_others_taught() -> None:
    found = left_out(knowledge(), jobs(24))
    assert found is not None
    assert found.jobs == 24
    assert found.low <= found.learned - found.elicited <= found.high


def test_in_order_of_time() -> None:
    found = in_order_of_time(knowledge(), jobs(24))
    assert found is not None
    assert found.jobs == pytest.approx(12, abs=3)
    assert in_order_of_time(knowledge(), jobs(10, days=1)) is None


def test_of_many_jobs_a_sample_is_scored(monkeypatch: pytest.MonkeyPatch) -> None:
    """Folds with none of the sample are passed over: 20 folds, five jobs scored."""
    monkeypatch.setattr(scoring, "MOST_SCORED", 5)
    found = left_out(knowledge(), jobs(24))
    assert found is not None
    assert found.jobs == 5
