"""Measures everything and writes docs/EVALUATION.md: `python -m tests.evaluation [cases] [trials] [checked]`.

cases: a world (2000). trials: of the next checks (300). checked: cases whose next checks are held against the rules
(10000). The same sizes give the same page, but for the times. `python -m tests.evaluation times` measures only those.
"""

from __future__ import annotations

import sys

from tests.evaluation.measures import found, speed
from tests.evaluation.page import PAGE, render, with_times
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.process_pool import crew

USUAL = ("2000", "300", "10000")

if __name__ == "__main__":
    if sys.argv[1:] == ["times"]:
        PAGE.write_text(with_times(PAGE.read_text("utf-8"), speed()), "utf-8")
    else:
        sizes = (*sys.argv[1:], *USUAL[len(sys.argv) - 1 :])
        with crew(knowledge()) as by:
            text = render(found(by, *map(int, sizes)), f"python -m tests.evaluation {' '.join(sizes)}")
        PAGE.write_text(text, "utf-8")
