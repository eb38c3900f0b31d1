"""Danger to people in some three hundred tellings, English and Spanish, and two hundred look-alikes.

Constructed, most of them before the rules were read. Each telling must fire a rule for danger or ask for a call back,
whatever the learned reader makes of it; no look-alike may do either.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.notes_model.deaf import Deaf

from witnessmark.diagnosis.notes import matching
from witnessmark.diagnosis.notes.matching import alarms, read_note
from witnessmark.diagnosis.notes.telling import is_danger

LEARNED = True
HERE = Path(__file__).parent / "told"
CALLED_BACK = 12
"""Tellings that no rule for danger fires on and that ask for a call back at most."""


def rows(name: str) -> list[str]:
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")]


DANGER, HARMLESS = rows("danger.txt"), rows("no_danger.txt")


def fires(text: str) -> bool:
    note = read_note(text)
    return any(is_danger(key) for notice in alarms((*note.matches, *note.candidates)) for key in notice.because)


@pytest.mark.parametrize("text", DANGER)
def test_danger_is_heard_with_a_learned_reader_and_without(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    assert fires(text) or read_note(text).call_back
    monkeypatch.setattr(matching, "shipped", Deaf)
    assert fires(text) or read_note(text).call_back


@pytest.mark.parametrize("text", HARMLESS)
def test_what_sounds_alike_is_none(text: str) -> None:
    assert not fires(text)
    assert read_note(text).call_back is None


def test_a_rule_fires_on_nearly_all() -> None:
    """Only an explosion, an evacuation or a pressure that runs away, told bare, is left to a call back."""
    assert sum(not fires(text) for text in DANGER) <= CALLED_BACK


def test_there_are_many() -> None:
    assert len(set(DANGER)) >= 300
    assert len(set(HARMLESS)) >= 190


@pytest.mark.parametrize("text", ["{}, {}", "{}. {}", "{} - {}", "{} {}"])
def test_danger_is_heard_behind_a_fault(text: str) -> None:
    """What else a caller tells first takes nothing away from it."""
    before = ("no cooling", "breaker trips every time", "unit down")
    missed = [
        (b, d) for b in before for d in DANGER[::7] if not fires(t := text.format(b, d)) and not read_note(t).call_back
    ]
    assert missed == []


MORE, MORE_HARMLESS = rows("danger_more.txt"), rows("no_danger_more.txt")
WORKSHOP, NO_WORKSHOP = rows("danger_workshop.txt"), rows("no_danger_workshop.txt")
FALSELY = 8
"""Of the further look-alikes those that are taken for danger: `the oven smokes`, `ladder fell over, nobody near`."""


@pytest.mark.parametrize("text", [*MORE, *WORKSHOP])
def test_further_danger_is_heard(text: str) -> None:
    assert fires(text) or read_note(text).call_back


def test_few_of_further_look_alikes_are_taken_for_danger() -> None:
    false = [text for text in MORE_HARMLESS if fires(text) or read_note(text).call_back]
    assert len(MORE_HARMLESS) >= 78
    assert len(false) <= FALSELY, false


@pytest.mark.parametrize("text", NO_WORKSHOP)
def test_names_bills_and_controllers_are_no_danger(text: str) -> None:
    assert not fires(text)
    assert read_note(text).call_back is None


@pytest.mark.parametrize("text", ["my hand stuck to the valve and the skin came off", "cut my hand, the fan came off"])
def test_a_valve_far_from_the_hand_explains_no_wound(text: str) -> None:
    """`hand valve` is a valve; a hand and a valve in one sentence are none, and nothing may hide the wound."""
    assert fires(text)


IN_TROUBLE = rows("in_trouble.txt")


@pytest.mark.parametrize("text", IN_TROUBLE)
def test_somebody_in_trouble_is_called_back(text: str) -> None:
    """In words that name no hazard; where the learned reader hears one, so much the better."""
    assert fires(text) or read_note(text).call_back


@pytest.mark.parametrize(
    "text",
    ["he is not lying on the floor, only resting the ladder there", "nobody collapsed, the box was only empty"],
)
def test_trouble_that_is_denied_calls_nobody_back(text: str) -> None:
    assert read_note(text).call_back is None


@pytest.mark.parametrize(
    "text", ["the tech is in the cold room doing the maintenance", "my helper took the ladder inside"]
)
def test_somebody_at_work_is_no_trouble(text: str) -> None:
    assert not fires(text)
    assert read_note(text).call_back is None


FEW, NO_FEW = rows("danger_few_words.txt"), rows("no_danger_few_words.txt")


@pytest.mark.parametrize("text", FEW)
def test_danger_in_few_words_is_heard_with_a_learned_reader_and_without(
    text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert fires(text) or read_note(text).call_back is not None
    monkeypatch.setattr(matching, "shipped", Deaf)
    assert fires(text) or read_note(text).call_back is not None


@pytest.mark.parametrize("text", NO_FEW)
def test_what_a_machine_or_a_bill_does_in_words_of_danger_is_none(text: str) -> None:
    assert not fires(text)


@pytest.mark.parametrize("text", ["ammonia", "my wife says gas", "unit fell through the ceiling"])
def test_few_words_are_no_mere_call_back(text: str) -> None:
    assert fires(text)


def test_a_word_alone_is_danger_only_alone() -> None:
    """Beside anything else the word of a plant is no alarm: it is that plant's everyday name."""
    assert fires("ammonia")
    assert not fires("ammonia compressor 4 oil changed")
