"""The page names each figure by what it says, with what the experts said, what holds now, and about how many jobs."""

from __future__ import annotations

from datetime import date

import pytest

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.learning.jobs import ClosedJob
from witnessmark.diagnosis.learning.learn import Learned, learn
from witnessmark.diagnosis.learning.page import page
from witnessmark.diagnosis.learning.scoring import Compared


def job(*modes: str, washed: bool) -> ClosedJob:
    return ClosedJob(
        day=date(2026, 1, 1),
        queue="monitoring",
        confirmed_modes=modes,
        confirmed_causes=(),
        findings={"bearings-washed-bright": "present" if washed else "absent"},
    )


@pytest.fixture(scope="module")
def learned() -> Learned:
    """400 jobs: bearings washed bright at half of the sound machines, and at all with floodback."""
    jobs = [job(washed=bool(k % 2)) for k in range(300)]
    return learn(knowledge(), [*jobs, *[job("liquid-floodback", washed=True)] * 100])


def rows(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.startswith("| ")][2:]


def test_a_figure_of_each_kind_is_named_by_what_it_says(learned: Learned) -> None:
    known = knowledge()
    mode, finding = known.name("liquid-floodback"), known.name("bearings-washed-bright")
    shown = rows(page(learned, known, "0" * 10, 400, {}))
    key = ("background", "bearings-washed-bright", "low")
    before, now = learned.elicited[key], learned.figures[key]
    assert now > 2 * before
    (background,) = [row for row in shown if row.startswith(f"| without reason: {finding} (low)")]
    assert f"| {before:.3g} | {now:.3g} | about " in background
    assert any(row.startswith(f"| rate of: {mode} |") for row in shown)
    assert any(row.startswith(f"| {mode} brings: {finding} (present) |") for row in shown)


def test_scores_are_told_with_their_interval_or_not_at_all(learned: Learned) -> None:
    """Worst wrong answer: a verdict on a handful of jobs."""
    enough, few = Compared(50, 5.0, 4.0, -1.2, -0.8), Compared(3, 5.0, 4.0, -1.2, -0.8)
    text = page(learned, knowledge(), "0" * 10, 400, {"Left out": enough, "By time": few, "None": None})
    assert "loss 5.00 nats a job elicited, 4.00 learned; change -1.20 to -0.80 (95 %): **better**." in text
    assert "- By time: too few jobs to say." in text
    assert "- None: too few jobs to say." in text
