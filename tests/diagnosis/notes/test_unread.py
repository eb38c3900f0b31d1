"""Words that nothing read. Worst: a fault in words that nobody foresaw beside one good value, called well."""

from __future__ import annotations

from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.notes.unread import unread


def left(text: str) -> list[str]:
    note = read_note(text)
    return [one.text for one in unread(text, note.matches, note.facts)]


def test_words_that_may_be_a_fault_are_left() -> None:
    for text, word in (
        ("amps normal, sprocket wobbles", "wobbles"),
        ("superheat 7 K, shroud frayed", "frayed"),
        ("pulling 9 A of 11 RLA, housing 290 F", "290"),
        ("amps good but foreman torching the elbow", "torching"),
        ("superheat normal, maybe knocking", "knocking"),
    ):
        assert word in left(text), text


def test_of_what_is_understood_nothing_is_left() -> None:
    for text in (
        "pulling 9 A of 11 RLA, running good",
        "checked suction 62 psi head 240 psi on R22, all ok today",
        "replaced contactor, amps 9 of 11 RLA, customer happy",
        "el equipo funciona bien, amperaje normal",
        "",
    ):
        assert left(text) == [], text


def test_its_place_is_in_the_note() -> None:
    text = "amps normal, shroud frayed"
    note = read_note(text)
    assert all(text[one.start : one.end] == one.text for one in unread(text, note.matches))
