"""What the service hears of notes labelled before it saw them: each gate asks the unfavourable end of the interval."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from tests.evaluation.notes.notes import Part, Reader, Score
from tests.evaluation.notes.page import PARTS, agreement, groups
from tests.evaluation.notes.readers import always_alarmed, both, commonest
from tests.evaluation.vacuum.score import Share

LEARNED = True


@dataclass(frozen=True, slots=True)
class Gate:
    """A share of the score of a group, and the bound that the unfavourable end of its interval must keep."""

    part: Part
    group: str
    share: str
    bound: float
    most: bool = False

    def held_by(self, reader: Reader) -> bool:
        """Whether the reader keeps it."""
        (chosen,) = [notes for name, notes in groups(self.part) if name == self.group]
        share: Share = getattr(Score.of(chosen, reader), self.share)
        if not share.whole:
            return False
        low, high = share.bounds
        return high <= self.bound if self.most else low >= self.bound


GATES: tuple[Gate, ...] = ()
"""What was truly reached when this was written, a little under it."""


@pytest.mark.parametrize("gate", GATES, ids=str)
def test_the_gates_hold(gate: Gate) -> None:
    assert gate.held_by(both)


@pytest.mark.parametrize("gate", GATES, ids=str)
def test_who_knows_nothing_fails_every_gate(gate: Gate) -> None:
    """One never denies and is never alarmed, the other always does and is: no gate may pass both."""
    assert not (gate.held_by(commonest) and gate.held_by(always_alarmed))


def test_the_two_labellers_agree_nearly_always() -> None:
    """They are of the same making, so this says that the labels are sound, not how well a reader can do."""
    assert agreement().precision.bounds[0] > 0.95


@pytest.mark.parametrize("part", PARTS)
def test_the_parts_are_what_they_say(part: Part) -> None:
    sizes = {name: len(chosen) for name, chosen in groups(part)}
    assert sizes["all"] == {"open": 382, "sealed": 653}[part]
