"""The score: how many mutants survive, and how many of those could have been noticed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scipy.stats import binomtest

from tests.mutation.bench import Outcome
from tests.mutation.mutants import Change, Mutant


@dataclass(frozen=True)
class Scored:
    """One mutant of the sample with what it changes, what became of it, and the proof if it is called equivalent."""

    mutant: Mutant
    change: Change
    outcome: Outcome
    proof: str | None

    @property
    def hole(self) -> bool:
        """Whether it survives though a test could notice it."""
        return not self.outcome.killed and self.proof is None


def rate(count: int, size: int) -> str:
    """Return a share with its 95 % interval (Wilson 1927), in percent."""
    if size == 0:
        return "0 of 0"
    interval = binomtest(count, size).proportion_ci(method="wilson")
    return f"{count} of {size} = {100 * count / size:.1f} % ({100 * interval.low:.1f} to {100 * interval.high:.1f} %)"


def adjusted(scored: Iterable[Scored]) -> tuple[int, int]:
    """Return the survivors that a test could notice, and the mutants less the survivors called equivalent."""
    every = list(scored)
    holes = sum(s.hole for s in every)
    return holes, sum(s.outcome.killed for s in every) + holes


def summary(scored: list[Scored], left: int) -> str:
    """Return the score as text: in all, by kind, by package, and each survivor that a test could notice."""
    holes, size = adjusted(scored)
    survivors, seconds = sum(not s.outcome.killed for s in scored), sum(s.outcome.seconds for s in scored)
    kinds, packages = ({s.mutant.kind: 0 for s in scored}, {_package(s): 0 for s in scored})
    by = {word: sum(s.outcome.killed and s.outcome.by == word for s in scored) for word in ("mirror", "wider", "time")}
    each = seconds / max(1, len(scored))
    return "\n".join(
        [
            *(_named(s) for s in scored if s.hole),
            *("", *(_row(kind, [s for s in scored if s.mutant.kind == kind]) for kind in kinds)),
            *("", *(_row(name, [s for s in scored if _package(s) == name]) for name in sorted(packages))),
            "",
            f"mutants        {len(scored)} tried, {left} left; processor time {seconds:.0f} s, {each:.1f} s each",
            f"killed by      own tests {by['mirror']}, wider tests {by['wider']}, time limit {by['time']}",
            f"raw survivors  {rate(survivors, len(scored))}",
            f"equivalent     {survivors - holes}, each with its proof in tests/mutation/equivalent.toml",
            f"adjusted       {rate(holes, size)}",
        ]
    )


def _package(scored: Scored) -> str:
    return scored.mutant.module.partition("/")[0]


def _row(name: str, scored: list[Scored]) -> str:
    survivors, holes = sum(not s.outcome.killed for s in scored), sum(s.hole for s in scored)
    return f"{name:<14} {len(scored):>4} mutants {survivors:>4} survive {survivors - holes:>4} of them equivalent"


def _named(scored: Scored) -> str:
    mutant, change = scored.mutant, scored.change
    place = f"{mutant.module}:{mutant.row} {mutant.within}".rstrip()
    kind = mutant.kind + (", wider tests cut" if scored.outcome.by == "cut" else "")
    return f"{place} ({kind})\n    - {change.before}\n    + {change.after}"
