"""What the learned reader is told of a note before it judges: what rules, numbers and danger say."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import DANGER as GROUP
from witnessmark.diagnosis.notes.matches import THRESHOLD, Match, UnknownBecause
from witnessmark.diagnosis.notes.model.reader import DANGER, Ruled
from witnessmark.diagnosis.notes.numbers import Number, spoken_of

OPEN = "number"
"""The outcome of a finding on which a number bears that settles nothing (`SH 8`)."""
BECAUSE: dict[str, UnknownBecause] = {
    "history": "history",
    "doubt": "doubtful",
    "other machine": "other machine",
    "advice": "advice or condition",
}
_OUTCOME: dict[UnknownBecause | None, str] = {because: outcome for outcome, because in BECAUSE.items()}


def as_ruled(match: Match) -> Ruled:
    """A match of the rules as the learned reader is told it."""
    outcome = _OUTCOME.get(match.unknown_because, match.state)
    return Ruled(match.finding, outcome, match.score >= THRESHOLD, match.words[0].start)


def is_danger(finding: str) -> bool:
    """Whether it is danger to people."""
    known = knowledge().findings
    return finding in known and known[finding].group == GROUP


def telling(matches: Sequence[Match], numbers: Iterable[Number]) -> list[Ruled]:
    """The matches, all danger as one besides, and findings of which a number speaks that settles nothing."""
    ruled = [as_ruled(match) for match in matches]
    hazards = (one for one in ruled if is_danger(one.finding))
    danger = [Ruled(DANGER, one.outcome, one.believed, one.start) for one in hazards]
    return [*ruled, *danger, *_open(numbers, {one.finding for one in ruled})]


def _open(numbers: Iterable[Number], settled: set[str]) -> Iterator[Ruled]:
    for number in numbers:
        for finding in sorted(spoken_of(number) - settled):
            yield Ruled(finding, OPEN, believed=True, start=number.start)
