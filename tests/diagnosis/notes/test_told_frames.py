"""Danger by its effect, and danger of a lesson, a joke, a form or another house that is none.

Constructed, the lists (told/) before the rows that hear them. Worst: somebody stays beside it for a word of a lesson.
"""

from __future__ import annotations

import pytest
from tests.diagnosis.notes.test_danger_told import fires, rows

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.unheard import LOUD

LEARNED = True


@pytest.mark.parametrize("text", [*rows("danger_by_effect.txt"), *rows("danger_in_frames.txt")])
def test_danger_is_heard_by_its_effect_and_beside_a_frame(text: str) -> None:
    advice = dispatch_call(Case(), text).advice
    assert advice.priority.level <= 2
    assert advice.operation.advice == "stop"


@pytest.mark.parametrize("text", rows("held_by_hand.txt"))
def test_what_is_held_in_by_hand_stops_the_machine(text: str) -> None:
    dispatched = dispatch_call(Case(), text)
    assert dispatched.advice.operation.advice == "stop"
    assert "protection-bridged" in {match.finding for match in dispatched.matched}


@pytest.mark.parametrize("text", rows("no_danger_by_frame.txt"))
def test_a_frame_is_no_danger(text: str) -> None:
    note = read_note(text)
    assert not fires(text)
    assert note.call_back is None
    assert note.unease < LOUD
