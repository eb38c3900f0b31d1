"""The next checks against the un-narrowed pass: `python -m tests.evaluation.next_checks [seed ...]`.

The service looks at all checks with the nodes as if independent and works the most promising of them out, on a narrowed
network where that is wide. Here every check is worked out on the whole network, exactly, which takes up to seconds a
case. Compared are the first five in the order that is served, as a set, and what those that differ are worth. Ends
with 1 where a bound is not met.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.next_checks import ranked
from witnessmark.diagnosis.answer.outlook import foreseen
from witnessmark.diagnosis.answer.permitted import permitted
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.simulation import Scenario, simulate

FIRST = 5
SIZES = (3, 5, 8, 12, 15, 20, 25)
"""Findings of the cases."""
SEEDS = (11, 12, 13)
EACH = 3
"""Cases of every size and seed: 63 in all."""
EQUAL, WORTH = 0.90, 0.05
"""Least share of cases whose first five are those of the un-narrowed pass; most that a differing one is worth less."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """Of one case.

    equal: the same first five; ordered: in the same order too; loss: share of worth that a differing one lacks, at
    most; whole: whether nothing was narrowed.
    """

    equal: bool
    ordered: bool
    loss: float
    whole: bool


def agreement(inquiry: Inquiry) -> Agreement:
    """The first five of a case, as the service ranks them and as the un-narrowed pass does."""
    allowed = permitted(inquiry, notices(inquiry))
    exact = foreseen(inquiry, inquiry.posterior, allowed)
    worth = {outlook.finding.id: outlook.order for outlook in exact}
    best = [outlook.finding.id for outlook in exact[:FIRST]]
    served = [outlook.finding.id for outlook in ranked(inquiry, allowed)[:FIRST]]
    missing = sorted((worth[key] for key in set(best) - set(served)), reverse=True)
    instead = sorted((worth[key] for key in set(served) - set(best)), reverse=True)
    loss = max((1 - b / a for a, b in zip(missing, instead, strict=True)), default=0.0)
    return Agreement(not missing, best == served, loss, inquiry.refining is inquiry.posterior)


def agreements(held: Knowledge, sizes: Iterable[int], seeds: Sequence[int], each: int) -> Iterator[Agreement]:
    """Of simulated cases whose ranking is exact."""
    for size in sizes:
        for seed in seeds:
            for simulated in simulate(held, Scenario(findings=(size, size)), each, seed):
                inquiry = inquire(held, simulated.case)
                if inquiry.posterior.exact:
                    yield agreement(inquiry)


def main(words: Sequence[str]) -> int:
    """Measure and say it; the exit code says whether the bounds are met."""
    cases = list(agreements(knowledge(), SIZES, [int(word) for word in words] or SEEDS, EACH))
    equal = sum(case.equal for case in cases) / len(cases)
    loss = max(case.loss for case in cases)
    sys.stdout.write(
        f"next checks, {len(cases)} cases of {SIZES[0]} to {SIZES[-1]} findings: the first {FIRST} are those of the "
        f"un-narrowed pass in {equal:.1%} (>= {EQUAL:.0%}), in the same order in "
        f"{sum(case.ordered for case in cases) / len(cases):.1%}; a differing one is worth at most {loss:.1%} less "
        f"(<= {WORTH:.0%}); nothing narrowed in {sum(case.whole for case in cases)}\n"
    )
    return int(equal < EQUAL or loss > WORTH)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
