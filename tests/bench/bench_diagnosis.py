"""How fast the diagnosis is. Writes its table into README.md here.

Run: `OPENBLAS_NUM_THREADS=1 python -m tests.bench.bench_diagnosis` (the service sets the same); `aims` behind it
measures only what is aimed at and writes nothing. Cases are drawn from the shipped knowledge over five machines;
machines are prepared beforehand, as in a running service, and every case is new to the plans that are kept. Ranking:
reports to probabilities of all modes and causes. Explained: with verdict, safety, dispatch and the explanations of the
short list. Whole answer: with next checks too; the next column adds the perturbed copies. Exact: cases whose ranking
leaves nothing out. Variants: the explanations ask about one variant of the evidence a finding, of a smaller network
where that would take long; the largest difference from the ranking over all nodes, in the middle and at most over the
cases. Over HTTP: processor time of the server for a whole answer, every case asked once.
"""

from __future__ import annotations

import json
import platform
import re
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.bench.bench_service import processor_time, serving, told
from tests.bench.loopback import measure, request
from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.case import Case, Want
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.evaluation.simulation import MACHINES, Scenario, simulate
from witnessmark.diagnosis.inference.junction_tree import JunctionTree

README = Path(__file__).with_name("README.md")
BEGIN, END = "<!-- diagnosis: begin -->", "<!-- diagnosis: end -->"
CASES = 60
ROUNDS = 6
SIZES = (4, 8, 15, 25, 40)
AIMS = {8: (12.0, 30.0), 25: (30.0, 60.0)}
"""By number of findings: ms of the explained and of the whole answer, medians."""
OVER_HTTP, ASKED = 50.0, 200
"""Whole answers a second of one core with 8 findings that are aimed at, and cases asked."""


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
            JunctionTree.of.cache_clear()
            start = time.process_time()
            call(case)
            best[k] = min(best[k], 1000 * (time.process_time() - start))
    return statistics.median(best), sorted(best)[int(0.95 * len(best))]


def ranking(case: Case) -> object:
    """Probabilities of all modes and causes."""
    return inquire(knowledge(), case).answer


def exactness(some: Sequence[Case]) -> tuple[int, float, float]:
    """How many cases are exact, and of those the median and the largest error of what is compared with variants."""
    inquiries = [inquire(knowledge(), case) for case in some]
    exact = [inquiry for inquiry in inquiries if inquiry.posterior.exact]
    gaps = [float(np.abs(inquiry.answer.probability - inquiry.compared.probability).max()) for inquiry in exact]
    return len(gaps), statistics.median(gaps), max(gaps)


def explained(case: Case) -> object:
    """Everything but next checks and perturbed copies."""
    return diagnose(replace(case, want=Want(next_checks=False)))


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
    reasons, answer, most = (
        median_time(call, chosen)[0]
        for call, chosen in ((explained, some[::3]), (whole, some[::3]), (shaken, some[::12]))
    )
    number, middle, worst = exactness(some)
    times = f"{rank[0]:.1f} | {rank[1]:.1f} | {reasons:.0f} | {answer:.0f} | {most:.0f}"
    return f"| {size} | {times} | {number} of {len(some)} | {middle:.4f} | {worst:.4f} |"


def prepare() -> None:
    """What a running service has prepared: the machines."""
    for machine in MACHINES:
        explained(Case(machine))


def report() -> str:
    """The section of the README."""
    prepare()
    columns = [
        "findings",
        "ranking median",
        "ranking 95 %",
        "explained median",
        "whole answer median",
        "with perturbed knowledge median",
        "exact",
        "variants median",
        "variants largest",
    ]
    head = [
        f"Python {platform.python_version()}, numpy {np.__version__}, one core; milliseconds of processor time.",
        "`OPENBLAS_NUM_THREADS=1 python -m tests.bench.bench_diagnosis`",
        "",
        f"| {' | '.join(columns)} |",
        "| --: | --: | --: | --: | --: | --: | --: | --: | --: |",
    ]
    return "\n".join([*head, *(row(size) for size in SIZES), "", over_http()])


def over_http(size: int = 8) -> str:
    """Processor time of the server a whole answer, every case asked once, after others of the same machines."""
    drawn = [one.case for one in simulate(knowledge(), Scenario(findings=(size, size)), ASKED + CASES, size)]
    bodies = [request("/v1/diagnosis", json.dumps(told(case)).encode()) for case in drawn]
    with serving("witnessmark.cli", "serve", "--port") as (port, process):
        measure(port, bodies[ASKED:], 1, CASES)
        before = processor_time(process)
        asked = len(measure(port, bodies[:ASKED], 1, ASKED).each)
        spent = (processor_time(process) - before) / asked
    return (
        f"Over HTTP, whole answers with {size} findings, {asked} cases once each: {1000 * spent:.1f} ms of processor "
        f"time of the server, {1 / spent:.0f} answers a second of one core (aim: {OVER_HTTP:.0f})."
    )


def aims() -> str:
    """What is aimed at, beside what is measured."""
    lines = []
    for size, (reasons, answer) in AIMS.items():
        some = cases(size)[::2]
        lines.append(
            f"{size} findings: explained {median_time(explained, some)[0]:.1f} ms (aim {reasons:.0f}), whole answer "
            f"{median_time(whole, some)[0]:.1f} ms (aim {answer:.0f})"
        )
    return "\n".join([*lines, over_http(), ""])


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
    if sys.argv[1:] == ["aims"]:
        prepare()
        sys.stdout.write(aims())
    else:
        write(report())
