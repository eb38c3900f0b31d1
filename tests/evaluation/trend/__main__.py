"""`python -m tests.evaluation.trend`: recall of each fault, false episodes a healthy machine-year, with intervals."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.evaluation.trend.score import PROOF_SEED, Outcome, as_row, cases, outcome, page

DESCRIPTION = """Simulates healthy machine-years and logs of 90 days with one fault, and says what is found in them.
With --kept every outcome is kept in a file as it comes, and a run that was stopped goes on where it was."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Simulate, search, print."""
    parser = argparse.ArgumentParser("tests.evaluation.trend", description=DESCRIPTION)
    parser.add_argument("--healthy", type=int, default=200, help="healthy machine-years")
    parser.add_argument("--each", type=int, default=60, help="logs of each fault")
    parser.add_argument("--first", type=int, default=PROOF_SEED, help="first seed; below 100 for tuning")
    parser.add_argument("--kept", type=Path, help="file of outcomes, one a line")
    options = parser.parse_args(arguments)
    sys.stdout.write(page(outcomes(options)) + "\n")
    return 0


def outcomes(options: argparse.Namespace) -> Iterator[Outcome]:
    """Those kept, then the others as they come."""
    kept: dict[tuple[str, str | None, int], Outcome] = {}
    if options.kept and options.kept.exists():
        rows = (Outcome(**json.loads(line)) for line in options.kept.read_text("utf-8").splitlines())
        kept = {(row.kind, row.fault, row.seed): row for row in rows}
    for case in cases(options.first, options.healthy, options.each):
        one = kept.get(case[:3]) or outcome(*case)
        if options.kept and case[:3] not in kept:
            with options.kept.open("a", encoding="utf-8") as file:
                file.write(json.dumps(as_row(one)) + "\n")
        yield one


if __name__ == "__main__":
    sys.exit(main())
