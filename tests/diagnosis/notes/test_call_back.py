"""Somebody rings back where the learned reader hears danger to people and no rule for danger fires."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from witnessmark.diagnosis.notes import matching
from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.notes.model.reader import DANGER, Heard, Ruled


class Fearful:
    """Hears danger in the first word of everything, with a score of 0.3."""

    level = 0.3

    def hear(self, text: str, _ruled: Sequence[Ruled] = (), _meant: object = None) -> list[Heard]:
        return [Heard(DANGER, "present", 0.3, 0.3, ((0, len(text.split(maxsplit=1)[0])),), ())]


class Calm(Fearful):
    """The same, and nearly never right."""

    level = 0.31


def reason(text: str) -> str | None:
    call_back = read_note(text).call_back
    return None if call_back is None else call_back.reason


def test_danger_in_no_words_of_the_rules_asks_for_a_call_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """The worst wrong answer: people stay beside it since their words were not on a list."""
    monkeypatch.setattr(matching, "shipped", Fearful)
    reading = read_note("swimmy in the head since she went in")
    assert reading.call_back is not None
    assert reading.call_back.reason == "sounds like danger"
    assert [words.text for words in reading.call_back.words] == ["swimmy"]
    assert reading.matches == ()


def test_below_the_level_nobody_is_rung(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(matching, "shipped", Calm)
    assert reason("swimmy in the head since she went in") is None


def test_a_rule_that_fires_says_more_than_a_call_back(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(matching, "shipped", Fearful)
    assert reason("smoke from the panel") is None
    assert reason("no smoke from the panel") is None, "a denial that is clear"
    assert reason("swimmy in the head but no smoke") == "sounds like danger", "words that no denial reaches"


def test_a_language_that_is_not_read_is_not_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(matching, "shipped", Fearful)
    assert (
        reason("der Kompressor ist nicht kalt und die Anlage steht still") == "written in a language that is not read"
    )


@pytest.mark.parametrize("text", ["机器冒烟了", "машина дымит и пахнет", "la clim ne refroidit plus depuis hier"])
def test_a_note_in_a_language_that_is_not_read_asks_to_be_called_back(text: str) -> None:
    """Nobody knows what it tells; that nothing was understood is no reason to wait."""
    call = read_note(text).call_back
    assert call is not None
    assert call.reason == "written in a language that is not read"
    assert call.words
