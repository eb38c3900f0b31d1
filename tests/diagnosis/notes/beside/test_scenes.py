"""Danger that several sentences tell, by class, and the nearest to it that is none. Worst: people stay beside it."""

from __future__ import annotations

import pytest
from tests.diagnosis.notes.test_danger_told import fires, rows

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.notes.beside.scenes import scenes
from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.notes.scoring import clauses_of

LEARNED = True
STILL_FALSE = (
    "Outdoor unit rocks on its springs a bit when it stops, we are below on the ground floor; the coil needs a wash",
    "chama o porteiro por fora, o aquecedor está bom, é só a revisão anual",
)
"""Of the second lot of look-alikes those that are taken for danger by rows or by the learned reader."""


@pytest.mark.parametrize("text", rows("danger_by_class.txt"))
def test_danger_of_each_class_comes_at_once(text: str) -> None:
    advice = dispatch_call(Case(), text).advice
    assert advice.priority.level == 1
    assert advice.operation.advice == "stop"


@pytest.mark.parametrize("text", rows("danger_beside_reasons.txt"))
def test_a_name_a_joke_a_test_or_a_paper_explains_no_danger_beside_it(text: str) -> None:
    assert dispatch_call(Case(), text).advice.priority.level == 1


@pytest.mark.parametrize("text", rows("no_danger_by_class.txt"))
def test_what_sounds_alike_by_class_is_none(text: str) -> None:
    assert not fires(text)


def test_what_is_still_taken_for_danger_is_told() -> None:
    assert [text for text in STILL_FALSE if not fires(text)] == []


def heard(text: str) -> set[str]:
    return {match.finding for match in scenes(clauses_of(text))}


FALLS = "The unit hangs by one bolt. Kids play underneath."


def test_every_slot_is_needed_and_stops_part_nothing() -> None:
    assert heard(FALLS) == {"about-to-burst-or-fall"}
    assert heard("The unit hangs by one bolt.") == set()
    assert heard("Kids play underneath.") == set()
    assert heard("") == set()


def test_what_is_denied_or_far_away_fills_no_slot() -> None:
    assert heard("The relief valve did not go off inside.") == set()
    assert (
        heard("The unit hangs by one bolt. " + "It is an old one of the first series. " * 12 + "Kids are below.")
        == set()
    )


def test_one_word_fills_one_slot() -> None:
    """`Ice` may not be the thing that comes off and what comes off it."""
    assert heard("wires hanging") == set()
    assert heard("monoxide alarm, heating, alarm in the bedroom") == set()


def test_a_word_that_undoes_the_row() -> None:
    assert heard("CO detector chirps when the heating runs") == {"gas-alarm"}
    assert heard("CO detector chirps when the heating runs, low battery") == set()


def test_its_words_are_shown_and_no_reader_judges_them_again() -> None:
    text = "The condenser has rotted away up on the balcony. The playground is underneath."
    (match,) = (m for m in read_note(text).matches if m.finding == "about-to-burst-or-fall")
    assert match.firm
    assert [words.text for words in match.words] == ["condenser", "rotted away", "playground"]
