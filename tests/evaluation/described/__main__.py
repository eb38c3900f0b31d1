"""`python -m tests.evaluation.described`: totals on the sealed published descriptions."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator

from tests.evaluation.described.described import LAYERS, answered, commonest, priors, rows, service, within

TEACHING = {f"pub-{k:03}" for k in (27, 28, 29, 30, 31, 35, 36)}
"""Made-up ones; the others are real, as far as their sources say."""


def lines() -> Iterator[str]:
    """The totals."""
    real = [row for row in rows() if row["id"] not in TEACHING]
    for ranking in (service, priors, commonest):
        for layer in LAYERS:
            first, three = within(ranking, layer, 1), within(ranking, layer, 3)
            yield f"{ranking.__name__}, {layer}: first {first}; among three {three}; real ones first "
            yield f"    {within(ranking, layer, 1, real)}"
    verdicts = Counter((row["no_fault"], answered(row)["verdict"]["state"]) for row in rows())
    yield from (f"no fault {sound}, verdict {state}: {n}" for (sound, state), n in sorted(verdicts.items()))


if __name__ == "__main__":
    sys.stdout.write("\n".join(lines()) + "\n")
