"""Rules and learned reader together: no alarm turned round, danger heard, other notes than those that were learned."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from tests.diagnosis.notes.assertions.test_denial import PHRASES
from tests.notes_model.corpus import CERTAIN
from tests.notes_model.scores import Score, of_line, shown, wilson

from witnessmark.diagnosis.notes.matching import alarms, read_note

LEARNED = True
LABELLED = Path(__file__).parents[1] / "data" / "labelled_notes.toml"
DANGERS = {
    "smoke coming from the panel": "smoke-seen",
    "strong gas smell in the kitchen and my head hurts": "refrigerant-smell",
    "he got a shock off the casing": "electric-shock",
    "the terminal blew out and oil sprayed everywhere": "terminal-vented",
}


def test_no_denial_without_a_comma_turns_the_fault_behind_it_round() -> None:
    """0 of 720 is at most 0.5 % by Wilson's bound."""
    turned = [t for t, fault in PHRASES for m in read_note(t).matches if m.finding == fault and m.state == "absent"]
    assert turned == []
    assert wilson(0, len(PHRASES))[1] < 0.0054


@pytest.mark.parametrize("text", DANGERS)
def test_danger_fires_its_rule(text: str) -> None:
    reading = read_note(text)
    signs = {key for notice in alarms((*reading.matches, *reading.candidates)) for key in notice.because}
    assert DANGERS[text] in signs


def test_other_notes_than_those_that_were_learned() -> None:
    """Labelled notes of one more author; the rules were written with them, so they show no skill of theirs."""
    notes = [n for n in tomllib.loads(LABELLED.read_text("utf-8"))["note"] if n["part"] == "development"]
    scores = [of_line(n.get("findings", {}), said(n["text"])) for n in notes]
    total = sum(scores, Score())
    assert wilson(*total.precision)[0] > 0.8, shown(total.precision)
    assert wilson(*total.recall)[0] > 0.8, shown(total.recall)


def said(text: str) -> dict[str, str]:
    return {m.finding: m.state for m in read_note(text).matches if m.state in CERTAIN}


def test_spanish_is_read() -> None:
    assert said("el aceite salió negro y huele a quemado")["oil-burnt"] == "present"


def test_the_words_that_decided_are_shown() -> None:
    (match,) = [m for m in read_note("Drained black stinking oil").matches if m.finding == "oil-burnt"]
    assert any("black" in words.text for words in match.words)


def test_a_sentence_that_tells_nothing_is_unmatched_and_the_same_note_gives_the_same() -> None:
    text = "compressor seized solid. the parcel is at the desk."
    reading = read_note(text)
    assert [e.text for e in reading.unmatched] == ["the parcel is at the desk"]
    assert reading == read_note(text)
