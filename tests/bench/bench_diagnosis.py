"""How fast the diagnosis is. Writes its table into README.md here.

Run: `OPENBLAS_NUM_THREADS=1 python tests/bench/bench_diagnosis.py` (the service sets the same). Cases are drawn from
the shipped knowledge over five machines; machines are prepared beforehand, as in a running service. Ranking: reports to
probabilities of all modes and causes. Whole answer: with verdict, explanations of the short list, next checks, safety
and dispatch; the next column adds the perturbed copies. Exact: cases whose ranking leaves nothing out. Variants: the
explanations ask about one variant of the evidence a finding, of a smaller network where that would take long; the
largest difference from the ranking over all nodes, in the middle and at most over the cases.
"""

from __future__ import annotations

import platform
import re
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.case import Case, Want
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.evaluation.simulation import MACHINES, Scenario, simulate

README = Path(__file__).with_name("README.md")
BEGIN, END = "<!-- diagnosis: begin -->", "<!-- diagnosis: end -->"
CASES = 60
ROUNDS = 6
SIZES = (4, 8, 15, 25, 40)


def cases(size: int) -> list[Case]:
    """So many cases with this number of findings."""
    return [one.case for one in simulate(knowledge(), Scenario(findings=(size, size)), CASES, size)]


def median_time(call: Callable[[Case], object], some: Sequence[Case]) -> tuple[float, float]:
    """Median and 95th percentile over the cases, ms of processor time, each case at its best of ROUNDS.

    Round after round over all cases, so that a slow spell of the machine does not fall on all trials of one case.
    """
    best = [float("inf")] * len(some)
    for _ in range(ROUNDS):
        for k, case in enumerate(some):
            start = time.process_time()
            call(case)
            best[k] = min(best[k], 1000 * (time.process_time() - start))
    return statistics.median(best), sorted(best)[int(0.95 * len(best))]


def ranking(case: Case) -> object:
    """Probabilities of all modes and causes."""
    return inquire(knowledge(), case)


def exactness(some: Sequence[Case]) -> tuple[int, float, float]:
    """How many cases are exact, and of those the median and the largest error of what is compared with variants."""
    found = [inquire(knowledge(), case) for case in some]
    held = [one for one in found if one.posterior.exact]
    gaps = [float(np.abs(one.answer.probability - one.compared.probability).max()) for one in held]
    return len(gaps), statistics.median(gaps), max(gaps)


def whole(case: Case) -> object:
    """Everything but the perturbed copies."""
    return diagnose(replace(case, want=Want()))


def shaken(case: Case) -> object:
    """Everything."""
    return diagnose(replace(case, want=Want(sensitivity=True)))


def row(size: int) -> str:
    """One line of the table."""
    some = cases(size)
    rank = median_time(ranking, some)
    answer, most = median_time(whole, some[::6]), median_time(shaken, some[::12])
    number, middle, worst = exactness(some)
    times = f"{rank[0]:.1f} | {rank[1]:.1f} | {answer[0]:.0f} | {most[0]:.0f}"
    return f"| {size} | {times} | {number} of {len(some)} | {middle:.4f} | {worst:.4f} |"


def report() -> str:
    """The section of the README."""
    for machine in MACHINES:
        ranking(Case(machine))
    columns = [
        "findings",
        "ranking median",
        "ranking 95 %",
        "whole answer median",
        "with perturbed knowledge median",
        "exact",
        "variants median",
        "variants largest",
    ]
    head = [
        f"Python {platform.python_version()}, numpy {np.__version__}, one core; milliseconds of processor time.",
        "`OPENBLAS_NUM_THREADS=1 python tests/bench/bench_diagnosis.py`",
        "",
        f"| {' | '.join(columns)} |",
        "| --: | --: | --: | --: | --: | --: | --: | --: |",
    ]
    return "\n".join([*head, *(row(size) for size in SIZES)])


def write(text: str, file: Path = README) -> None:
    """Put the section between its marks; append it where there are none."""
    section = f"{BEGIN}\n\n{text}\n\n{END}"
    old = file.read_text("utf-8") if file.exists() else "# Measurements\n"
    if BEGIN in old:
        new = re.sub(f"{re.escape(BEGIN)}.*?{re.escape(END)}", lambda _: section, old, flags=re.DOTALL)
    else:
        new = f"{old.rstrip()}\n\n## Diagnosis\n\n{section}\n"
    file.write_text(new, "utf-8")


if __name__ == "__main__":
    write(report())
