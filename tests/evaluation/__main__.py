"""Measures everything against the gates and writes docs/EVALUATION.md: `python -m tests.evaluation --help`."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from tests.evaluation.measures import measured, speed
from tests.evaluation.page import PAGE, render, with_times
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.process_pool import process_pool
from witnessmark.diagnosis.evaluation.scenarios import Sizes

DESCRIPTION = """Measures the diagnosis and holds it against the gates: the engine against enumeration and a general
library, simulated machines over several seeds, described cases, labelled notes, laboratory data, times. Writes
docs/EVALUATION.md over all cores (half an hour or so on two) and ends with 1 if a gate does not hold."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure and write; the exit code says whether all gates hold."""
    parser = Sizes.parser("tests.evaluation", DESCRIPTION)
    parser.add_argument(
        "--times", action="store_true", help="measure only the times anew and leave the rest of the page as it is"
    )
    words = list(sys.argv[1:] if arguments is None else arguments)
    options = parser.parse_args(["--times"] if words == ["times"] else words)
    if options.times:
        text = with_times(PAGE.read_text("utf-8"), speed())
    else:
        sizes = Sizes.of(options)
        with process_pool(knowledge()) as pool:
            text = render(measured(pool, sizes), f"python -m tests.evaluation {sizes.text}")
    PAGE.write_text(text, "utf-8")
    return int("**not held**" in text)


if __name__ == "__main__":
    sys.exit(main())
