"""Does knowledge that learns from closed jobs come closer to the truth? Simulated shops whose truth is known.

A shop's truth is the shipped knowledge with every log-odds moved by a normal of `SD`; its jobs are drawn from it, its
next jobs are diagnosed with the shipped knowledge, with what was learned, and with the truth itself.
`python -m tests.evaluation.learning [SEEDS]` prints the table; minutes.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from datetime import date, timedelta

import numpy as np

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.simulation import Scenario, Simulated, simulate
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.learning.figures import FigureSet, defined, put, taken
from witnessmark.diagnosis.learning.jobs import ClosedJob, JobMachine
from witnessmark.diagnosis.learning.learn import learn
from witnessmark.diagnosis.learning.scoring import losses

SD = 0.7
SIZES, NEXT, SEEDS = (50, 200, 1000, 5000), 300, 3
WRONG = 0.1
SCENARIO = Scenario(findings=(8, 16))
FIRST_DAY = date(2025, 1, 1)


def truth(seed: int, sd: float = SD) -> Knowledge:
    """A shop's own truth; what defines a mode or cause stays as it is."""
    known = knowledge()
    rng, elicited, fixed = np.random.default_rng(seed), taken(known), defined(known)
    links = {("mode_finding", str(k)) for k, link in enumerate(known.mode_finding) if link.target in fixed}
    links |= {("cause_finding", str(k)) for k, link in enumerate(known.cause_finding) if link.target in fixed}
    moved = {}
    for key, p in elicited.values.items():
        odds = p / (1 - p) * np.exp(sd * rng.standard_normal())
        if key not in links and not (key[0] == "background" and key[1] in fixed):
            moved[key] = float(np.clip(odds / (1 + odds), 1e-4, 0.97))
    return put(known, FigureSet({**elicited.values, **moved}), frozenset(moved))


def closed(known: Knowledge, simulated: Sequence[Simulated], wrong: float = 0.0, seed: int = 0) -> list[ClosedJob]:
    """The jobs as a shop would hand them in; wrong: share whose modes and causes are those of another job."""
    rng = np.random.default_rng(seed)
    found = [_found(known, one) for one in simulated]
    told = [found[rng.integers(len(found))] if rng.random() < wrong else pair for pair in found]
    order = rng.permutation(len(found))
    return [
        ClosedJob(
            day=FIRST_DAY + timedelta(days=int(order[k]) // 10),
            machine=_machine(one),
            confirmed_modes=told[k][0],
            confirmed_causes=told[k][1],
            findings={report.finding: report.state for report in one.case.findings},
        )
        for k, one in enumerate(simulated)
    ]


def _machine(one: Simulated) -> JobMachine:
    m = one.case.machine
    return JobMachine(
        compressor=m.compressor, shell=m.shell, drive=m.drive, construction=m.construction, phases=m.phases
    )


def _found(known: Knowledge, one: Simulated) -> tuple[tuple[str, ...], tuple[str, ...]]:
    nodes = network(known, one.case.machine).nodes
    there = [nodes[k] for k in np.flatnonzero(one.truth)]
    return tuple(k for k in there if k in known.modes), tuple(k for k in there if k in known.causes)


def shop(seed: int, sizes: Sequence[int], upcoming: int, wrong: float = 0.0, sd: float = SD) -> dict[str, np.ndarray]:
    """Loss of each of the next jobs by who diagnoses: elicited, truth, and what was learned from so many jobs."""
    own = truth(seed, sd)
    ahead = closed(own, simulate(own, SCENARIO, upcoming, 1000 + seed))
    past = closed(own, simulate(own, SCENARIO, max(sizes), seed), wrong, seed)
    past = [past[k] for k in np.random.default_rng(seed).permutation(len(past))]
    by = {"elicited": losses(knowledge(), ahead), "truth": losses(own, ahead)}
    return by | {str(size): losses(learn(knowledge(), past[:size]).knowledge, ahead) for size in sizes}


def table(seeds: int, sizes: Sequence[int] = SIZES, upcoming: int = NEXT) -> Iterator[str]:
    """The lines of the table: mean loss less that of the truth, and the change against elicited with its interval."""
    for name, wrong, sd in (
        ("right labels", 0.0, SD),
        ("10 % wrong labels", WRONG, SD),
        ("elicited is the truth", 0.0, 0.0),
    ):
        shops = [shop(seed, sizes, upcoming, wrong, sd) for seed in range(1, seeds + 1)]
        all_of = {key: np.concatenate([one[key] for one in shops]) for key in shops[0]}
        yield f"{name}: {seeds} shops, {len(all_of['truth'])} next jobs, loss in nats a job"
        yield f"  truth {all_of['truth'].mean():.3f}"
        yield f"  elicited {all_of['elicited'].mean():.3f}"
        for size in map(str, sizes):
            change = all_of[size] - all_of["elicited"]
            half = 1.96 * change.std(ddof=1) / np.sqrt(len(change))
            yield f"  {size:>5} jobs {all_of[size].mean():.3f}, against elicited {change.mean():+.3f} +- {half:.3f}"


if __name__ == "__main__":
    for line in table(int(sys.argv[1]) if len(sys.argv) > 1 else SEEDS):
        print(line, flush=True)  # noqa: T201
