"""How well a reader does on lines that it has not learned from, by kind of note, with Wilson's intervals."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from tests.notes_model.corpus import CERTAIN, Line

Said = Mapping[str, str]
"""Finding to outcome, as one reader takes it from a text."""


@dataclass(frozen=True, slots=True)
class Score:
    """Counts over lines. Of states only those that speak of this machine now count as told or given."""

    told: int = 0
    given: int = 0
    right: int = 0
    spoken: int = 0
    named: int = 0
    both: int = 0
    alarms_denied: int = 0
    denials_alarmed: int = 0

    def __add__(self, other: Score) -> Score:
        return Score(*(getattr(self, name) + getattr(other, name) for name in self.__slots__))

    @property
    def precision(self) -> tuple[int, int]:
        """Right of given."""
        return self.right, self.given

    @property
    def recall(self) -> tuple[int, int]:
        """Right of told."""
        return self.right, self.told


def of_line(labels: Said, said: Said) -> Score:
    """What one line adds."""
    told = {f: state for f, state in labels.items() if state in CERTAIN}
    given = {f: state for f, state in said.items() if state in CERTAIN}
    return Score(
        told=len(told),
        given=len(given),
        right=len(told.items() & given.items()),
        spoken=len(labels),
        named=len(said),
        both=len(labels.keys() & said.keys()),
        alarms_denied=sum(given.get(f) == "absent" for f, state in told.items() if state == "present"),
        denials_alarmed=sum(given.get(f) == "present" for f, state in told.items() if state == "absent"),
    )


def of_lines(lines: Sequence[Line], reader: Callable[[str], Said]) -> dict[str, Score]:
    """By style, and `all`."""
    scores: dict[str, Score] = {}
    for line in lines:
        one = of_line(line.labels, reader(line.text))
        for name in (line.style, "all"):
            scores[name] = scores.get(name, Score()) + one
    return scores


def wilson(hits: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share (Wilson 1927)."""
    if not of:
        return 0.0, 1.0
    z, share = 1.96, hits / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z / (1 + z * z / of) * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return middle - half, middle + half


def shown(pair: tuple[int, int]) -> str:
    """`0.95 (0.94 to 0.96; 950 of 1000)`."""
    hits, of = pair
    low, high = wilson(hits, of)
    return f"{hits / max(of, 1):.3f} ({low:.3f} to {high:.3f}; {hits} of {of})"
