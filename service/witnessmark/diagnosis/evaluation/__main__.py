"""Simulates machines and prints the tables: `python -m witnessmark.diagnosis.evaluation [cases] [trials] [checked]`."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.experiments import runs
from witnessmark.diagnosis.evaluation.outcomes import together
from witnessmark.diagnosis.evaluation.process_pool import process_pool
from witnessmark.diagnosis.evaluation.scenarios import Sizes
from witnessmark.diagnosis.evaluation.tables import tables

DESCRIPTION = """Measures the diagnosis on simulated machines, over all cores, and prints the tables: calibration,
skill over the priors, restraint, and the gain of the proposed next checks. `python -m tests.evaluation` judges the same
against the gates."""


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the tables of so many runs."""
    sizes = Sizes.of(Sizes.parser("witnessmark.diagnosis.evaluation", DESCRIPTION).parse_args(arguments))
    with process_pool(knowledge()) as pool:
        sys.stdout.write(tables(together(runs(pool, sizes))))


if __name__ == "__main__":
    main()
