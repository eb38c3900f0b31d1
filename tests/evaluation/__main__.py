"""Measures everything against the gates and writes docs/EVALUATION.md: `python -m tests.evaluation --help`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace

from tests.evaluation import kept
from tests.evaluation.measures import measured, speed
from tests.evaluation.page import PAGE, PICTURES, aged, of_runs, pictures, render, with_blind, with_runs, with_times
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.outcomes import Sample
from witnessmark.diagnosis.evaluation.process_pool import Pool, process_pool
from witnessmark.diagnosis.evaluation.scenarios import Sizes

DESCRIPTION = """Measures the diagnosis and holds it against the gates: the engine against enumeration and a general
library, simulated machines over several seeds, described cases, simulated and laboratory readings, labelled notes,
times. Writes docs/EVALUATION.md and its pictures over all cores and ends with 1 if a gate does not hold. Twenty seeds
take an hour or more of two free cores; each run is kept in build/evaluation, so what was stopped goes on where it
was."""
MINUTES = 180.0
WITHIN = "after so many no further run of simulated machines is begun, and the page says how many seeds it rests on"
SHORTER = {
    "times": "measure only the times anew and leave the rest of the page as it is",
    "quick": "measure all but the simulated machines anew (minutes), which stay as they were measured",
    "kept": "take only the runs of simulated machines that are kept, and measure the rest",
    "runs": "take only the runs that are kept (a minute), and leave the rest of the page as it is",
    "sealed": "measure nothing: only put what is kept of the sealed cases written blind on the page",
    "age": "measure nothing: only say on the page what was measured on earlier knowledge than the present",
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure and write; the exit code says whether all gates hold, where any was measured."""
    parser = Sizes.parser("tests.evaluation", DESCRIPTION)
    for name, words in SHORTER.items():
        parser.add_argument(f"--{name}", action="store_true", help=words)
    parser.add_argument("--minutes", type=float, default=MINUTES, help=f"{WITHIN} (default {MINUTES:g})")
    options = parser.parse_args(arguments)
    old = PAGE.read_text("utf-8")
    if options.age:
        text = aged(old)
    elif options.sealed:
        text = with_blind(old)
    elif options.times:
        text = aged(with_times(old, speed()))
    else:
        text = of_kept(options, old) if options.runs else anew(options, old)
    PAGE.write_text(text, "utf-8")
    return int("**not held**" in text and not (options.age or options.sealed))


def anew(options: argparse.Namespace, old: str) -> str:
    """The page, measured; its pictures are written."""
    sizes = Sizes.of(options)
    with process_pool(knowledge()) as pool:

        def samples() -> tuple[Sample, ...]:
            return () if options.quick else kept.runs(pool, sizes, only_kept=options.kept, minutes=options.minutes)

        found = measured(pool, samples)
    draw(pictures(found))
    return render(found, command(sizes, found.samples), old)


def of_kept(options: argparse.Namespace, old: str) -> str:
    """The page with the runs that are kept; their pictures are written."""
    sizes = Sizes.of(options)
    samples = kept.runs(Pool(knowledge()), sizes, only_kept=True)
    draw(of_runs(samples))
    return with_runs(old, samples, command(sizes, samples))


def command(sizes: Sizes, samples: Sequence[Sample]) -> str:
    """What gives these runs again."""
    return f"python -m tests.evaluation {replace(sizes, seeds=len(samples)).text}"


def draw(found: Mapping[str, str]) -> None:
    """Write the pictures."""
    for name, picture in found.items():
        (PICTURES / name).write_text(picture, "utf-8")


if __name__ == "__main__":
    sys.exit(main())
