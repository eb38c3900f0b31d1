"""`python -m tests.evaluation.described`: totals on the sealed published descriptions."""

from __future__ import annotations

from collections import Counter

from tests.evaluation.described.described import answered, commonest, priors, rows, service, within

TEACHING = {f"pub-{k:03}" for k in (27, 28, 29, 30, 31, 35, 36)}

if __name__ == "__main__":
    real = [row for row in rows() if row["id"] not in TEACHING]
    for name, ranking in (("service", service), ("priors", priors), ("commonest", commonest)):
        for layer in ("mode", "cause"):
            first, three = (within(ranking, layer, n) for n in (1, 3))  # type: ignore[arg-type]
            print(
                f"{name:10} {layer:5} first {first}; among three {three}; real ones {within(ranking, layer, 1, real)}"
            )  # type: ignore[arg-type]
    print(Counter((row["no_fault"], answered(row)["verdict"]["state"]) for row in rows()))
