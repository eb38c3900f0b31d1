"""How warm it is where goods or people are. Worst: a place that is well called warm, a warm one called kept."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.notes.rooms import FINDING, warm_places
from witnessmark.diagnosis.notes.scoring import clauses_of

WARM = (
    "walk in by the back door is up to 58",
    "bulk tank been sitting at 9 since evening",
    "freezer at -9, should be -20",
    "freezer is at minus 6, set minus 20",
    "freezer 22F",
    "freezer at 20",
    "fridge at 45 set 38",
    "produce box 44 should be 36",
    "prep table 51F",
    "deli case 3 at 49 F",
    "cooler won't go below 50",
    "bedroom is 88",
    "office is at 29 all day",
    "office 17, set at 23",
    "leche en 9",
    "38 degrees in the box in Celsius",
    "52 degrees in the cooler",
    "12 C in the walk in",
    "the box is 38 in celsius",
)
KEPT = (
    "cooler at 38, fine",
    "fridge at 4 ok",
    "freezer -22 holding",
    "freezer at -18, no problem",
    "fridge is at 3 °C, steady",
)
NOTHING = (
    "freezer at -8",
    "freezer at -8, still fine",
    "freezer is at 12 below",
    "cooler at 40 psi",
    "walk in cooler 3 of 5 fine",
    "cooler since 10 am",
    "walk in at 55 during defrost",
    "wine fridge at 13",
    "bedroom is 72",
    "office is at 22, fine",
    "milk at 5",
    "walk in cooler compressor is at 58 amps",
    "freezer was at 20 last week",
    "fridge at 40 set 38",
    "38 degrees in the box",
    "38 F in the box",
    "4 degrees in the box in celsius",
    "2 people in the cooler",
    "terminal box is 38 in celsius",
)


def stated(text: str) -> list[str]:
    return [m.stated for clause, _ in clauses_of(text) for m in warm_places(clause)]


@pytest.mark.parametrize("text", WARM)
def test_a_place_that_is_plainly_too_warm(text: str) -> None:
    assert stated(text) == ["present"]
    assert (FINDING, "present") in {(m.finding, m.state) for m in read_note(text).matches}


@pytest.mark.parametrize("text", KEPT)
def test_a_place_that_is_told_to_be_kept(text: str) -> None:
    assert stated(text) == ["absent"]


@pytest.mark.parametrize("text", NOTHING)
def test_what_a_scale_a_door_or_another_thing_explains_says_nothing(text: str) -> None:
    assert stated(text) == []


@pytest.mark.parametrize("text", ["freezer at -8", "cooler at 20", "freezer at 12"])
def test_a_number_that_is_well_in_one_scale_never_says_kept(text: str) -> None:
    """-8 is well in degrees F and a loss of goods in degrees C."""
    assert "absent" not in stated(text)
    assert "absent" not in stated(f"{text}, fine")
