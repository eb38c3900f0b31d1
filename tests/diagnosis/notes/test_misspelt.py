"""One slip in a word of alarm, and none in real words that are near one. Constructed."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.danger_rows import DANGER
from witnessmark.diagnosis.notes.matching import match
from witnessmark.diagnosis.notes.misspelt import slips, sound
from witnessmark.diagnosis.notes.model.store import shipped
from witnessmark.diagnosis.notes.tokens import OF_ALARM, tokens
from witnessmark.diagnosis.notes.vocabulary import trade, vocabulary

LEARNED = True
SHIPPED = slips(DANGER().alarm.spelt, DANGER().alarm.real)
SLIPS = {
    "smkoe": "smoke",
    "smooke": "smoke",
    "smokke": "smoke",
    "fyre": "fire",
    "fier": "fire",
    "elektrik": "electric",
    "amonnia": "ammonia",
    "nocking": "knocking",
    "siezed": "seized",
    "blak": "black",
    "feugo": "fuego",
    "chsipas": "chispas",
}


@pytest.mark.parametrize(("written", "meant"), SLIPS.items())
def test_one_slip_is_heard(written: str, meant: str) -> None:
    assert SHIPPED.meant(written) == meant


@pytest.mark.parametrize(
    "word",
    ["fine", "file", "five", "wire", "free", "flake", "spare", "block", "smoke", "spoke", "cerrado", "hielo", "sm"],
)
def test_real_and_right_words_mean_themselves(word: str) -> None:
    assert SHIPPED.meant(word) is None


def test_no_listed_real_word_is_needed_twice_or_for_nothing() -> None:
    real = DANGER().alarm.real
    assert len(set(real)) == len(real)
    assert set(real).isdisjoint(DANGER().alarm.spelt)


def test_two_slips_are_none() -> None:
    assert SHIPPED.meant("smkeo") is None
    assert SHIPPED.meant("explsoiin") is None


def test_a_short_word_is_heard_by_a_swap_or_its_sound_alone() -> None:
    short = slips(["fire"], [])
    assert [short.meant(word) for word in ("fier", "fyre", "fires", "fir", "fira")] == [
        "fire",
        "fire",
        None,
        None,
        None,
    ]


def test_none_of_several_that_are_as_near_is_taken() -> None:
    assert slips(["sparking", "starking"], []).meant("sarking") is None


def test_words_as_they_sound() -> None:
    assert sound("phizz") == "fis"
    assert sound("kitchen") == sound("kytkhen")


def test_nothing_listed_hears_nothing() -> None:
    assert slips([], []).meant("smkoe") is None


def test_a_note_is_read_with_the_right_word_a_little_less_surely() -> None:
    first = tokens("smkoe here", vocabulary().lexicon)[0]
    assert (first.stem, first.quality) == ("smok", OF_ALARM)


@pytest.mark.parametrize(
    ("written", "meant"),
    [("knoking", "knocking"), ("grouned", "grounded"), ("bearngs", "bearings"), ("ovrcharged", "overcharged")],
)
def test_a_long_trade_word_with_one_slip_is_heard(written: str, meant: str) -> None:
    assert trade().meant(written) == meant
    assert not shipped().grams.knows(written)


def test_a_word_that_was_met_is_never_taken_for_another() -> None:
    """The worst of it: `contracter` or a name read as the part that failed."""
    knows = shipped().grams.knows
    assert all(knows(word) for word in ("compressor", "mechanic", "pharmacy", "restaurant"))
    assert trade().meant("interlock") is None
    assert trade().meant("pits") is None, "a short word has many neighbours"


@pytest.mark.parametrize("text", ["compressor is knoking loud", "knoking compressor"])
def test_a_misspelt_fault_is_found(text: str) -> None:
    assert ("knock-while-running", "present") in {(m.finding, m.state) for m in match(text)}
