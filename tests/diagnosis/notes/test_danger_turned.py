"""Danger in the classes of wording that turn a denial, that no row named, or that one slip hides; and look-alikes.

Constructed, the lists (told/) before the rules. All of a list is read in one test.
"""

from __future__ import annotations

import pytest
from tests.diagnosis.notes.test_danger_told import fires, rows

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.dispatching import dispatch_call

LEARNED = True


@pytest.mark.parametrize(("name", "least"), [("turned", 74), ("unheard", 68), ("mistyped", 34)])
def test_danger_is_heard(name: str, least: int) -> None:
    told = rows(f"danger_{name}.txt")
    assert len(set(told)) >= least
    assert [text for text in told if dispatch_call(Case(), text).advice.priority.kind != "danger"] == []


@pytest.mark.parametrize(("name", "least"), [("turned", 25), ("names", 50)])
def test_what_sounds_alike_is_none(name: str, least: int) -> None:
    told = rows(f"no_danger_{name}.txt")
    assert len(set(told)) >= least
    assert [text for text in told if fires(text)] == []


def test_a_machine_is_kept_off_where_danger_is_left_open() -> None:
    advice = dispatch_call(Case(), "I saw no smoke but the chef did").advice
    assert advice.operation.advice == "stop"
    assert advice.priority.level == 1


@pytest.mark.parametrize("text", ["the sling on the compressor is fraying", "her finger is gone in the fan"])
def test_somebody_who_seems_in_trouble_goes_before_damage_and_goods(text: str) -> None:
    """Words that name no hazard: danger until somebody has called back."""
    told = dispatch_call(Case(), text)
    assert told.advice.priority.kind == "danger"
    assert told.advice.operation.advice == "stop"
