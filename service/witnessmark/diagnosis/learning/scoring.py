"""How good knowledge is on closed jobs: the logarithmic score of their modes and causes, on jobs not learned from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.case import RANKING_ONLY, Case
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.inference.noisy_or import Floats
from witnessmark.diagnosis.learning.jobs import ClosedJob, one_day_apart
from witnessmark.diagnosis.learning.learn import learn

FOLDS, MOST_SCORED, SURE = 20, 400, 1e-3


@dataclass(frozen=True)
class Compared:
    """Mean loss (nats a job) by the elicited and by the learned knowledge; change: learned less elicited, 95 %."""

    jobs: int
    elicited: float
    learned: float
    low: float
    high: float

    @property
    def text(self) -> str:
        """In words."""
        if self.high < 0:
            return "better"
        return "worse" if self.low > 0 else "no difference that could be told"


def losses(knowledge: Knowledge, jobs: Sequence[ClosedJob]) -> Floats:
    """(J,) minus the sum of log P of what is and is not there, over all modes and causes of the machine."""
    return np.array([_loss(knowledge, job) for job in jobs])


def case_of(job: ClosedJob) -> Case:
    """What was known of the job before its outcome."""
    channels = (job.reported_by,) if job.reported_by else ()
    return Case(
        job.machine.judged(),
        job.reports,
        circumstances=(("queue", job.queue),),
        reported_by=channels,
        want=RANKING_ONLY,
    )


def _loss(knowledge: Knowledge, job: ClosedJob) -> float:
    inquiry = inquire(knowledge, case_of(job))
    there = {*job.confirmed_modes, *job.confirmed_causes}
    true = np.array([key in there for key in inquiry.net.nodes])
    claimed = np.clip(inquiry.answer.probability[0], SURE, 1 - SURE)
    return float(-np.log(np.where(true, claimed, 1 - claimed)).sum())


def compared(elicited: Floats, learned: Floats) -> Compared | None:
    """None for fewer than two jobs."""
    if len(elicited) < 2:  # noqa: PLR2004
        return None
    change = learned - elicited
    half = 1.96 * float(change.std(ddof=1)) / len(change) ** 0.5
    mean = float(change.mean())
    return Compared(len(change), float(elicited.mean()), float(learned.mean()), mean - half, mean + half)


def left_out(knowledge: Knowledge, jobs: Sequence[ClosedJob]) -> Compared | None:
    """Each job by what the others taught: one after the other up to twenty jobs, a twentieth at a time above."""
    folds = min(FOLDS, len(jobs))
    chosen = sorted(range(len(jobs)), key=lambda k: (k * 7919) % len(jobs))[:MOST_SCORED]
    elicited, learned = [], []
    for fold in range(folds):
        out = [jobs[k] for k in chosen if k % folds == fold]
        if out:
            taught = learn(knowledge, [job for k, job in enumerate(jobs) if k % folds != fold]).knowledge
            elicited.append(losses(knowledge, out))
            learned.append(losses(taught, out))
    return compared(np.concatenate(elicited), np.concatenate(learned))


def in_order_of_time(knowledge: Knowledge, jobs: Sequence[ClosedJob]) -> Compared | None:
    """The newer half by what the older taught; None where all are of one day."""
    older, newer = one_day_apart(jobs)
    newer = newer[-MOST_SCORED:]
    if not older:
        return None
    return compared(losses(knowledge, newer), losses(learn(knowledge, older).knowledge, newer))
