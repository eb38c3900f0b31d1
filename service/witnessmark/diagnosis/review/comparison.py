"""What a change of the knowledge does to the verdicts on a set of cases; with the lint, for the command line."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from importlib.resources.abc import Traversable

from witnessmark.diagnosis.catalogue.knowledge import load
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.review.case_set import Described, Outcome, read_cases, run
from witnessmark.diagnosis.review.lint import review

MOVED = 0.1
"""A change of the leading probability that is worth a line."""


@dataclass(frozen=True, slots=True)
class Change:
    """What became of one case: verdict state, leading mode and its probability before and after."""

    case: str
    before: tuple[str, str, float]
    after: tuple[str, str, float]

    @property
    def text(self) -> str:
        """The change in one line."""
        return f"{self.case}: {_worded(self.before)} -> {_worded(self.after)}"


def _worded(standing: tuple[str, str, float]) -> str:
    state, mode, probability = standing
    return f"{state}, {mode} {probability:.2f}"


def compare(before: Traversable, after: Traversable, cases: tuple[Described, ...]) -> tuple[Change, ...]:
    """Cases whose verdict or leading mode differs, or whose leading mode moved by more than `MOVED`."""
    old, new = (run(cases, partial(diagnose, knowledge=load(folder))) for folder in (before, after))
    changes = (Change(a.described.id, _standing(a), _standing(b)) for a, b in zip(old, new, strict=True))
    return tuple(change for change in changes if _differs(change))


def _standing(outcome: Outcome) -> tuple[str, str, float]:
    return outcome.answer.verdict.state, outcome.top, outcome.answer.modes[0].probability


def _differs(change: Change) -> bool:
    return change.before[:2] != change.after[:2] or abs(change.before[2] - change.after[2]) > MOVED


def check(
    folder: Traversable, against: Traversable | None = None, cases: Traversable | None = None
) -> tuple[str, bool]:
    """Text of the lint, and of the comparison with `against` on the cases if both are given; whether it is sound.

    Raises DataError when a folder to compare cannot be loaded.
    """
    linted = review(folder)
    lines = [linted.text]
    if against is not None and cases is not None and not linted.errors:
        changes = compare(against, folder, read_cases(cases))
        lines += [f"changed on the case set: {len(changes)}", *(change.text for change in changes)]
    return "\n".join(lines), not linted.errors
