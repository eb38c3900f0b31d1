"""Suction and head as they are told in one breath, and what no switch of a common refrigerant lets through."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.notes.numbers import fields_of, numbers_in

PSI = 6894.757
AIR = 101_325.0


def sides(text: str) -> dict[str, float]:
    """Gauge pressures of the note, psi."""
    return {name: round((values[0] - AIR) / PSI, 1) for name, values in fields_of(numbers_in(text)).items()}


@pytest.mark.parametrize("text", ["118 over 380", "pressures 118 over 380", "118 over 380 psi", "SP 118 DP 380"])
def test_both_sides_are_told_without_a_word(text: str) -> None:
    assert sides(text) == {"suction_pressure": 118.0, "discharge_pressure": 380.0}


@pytest.mark.parametrize(
    "text", ["120 over 80", "ran 10 over 15 minutes", "SP 38 in the box", "sp 0.4 dp 0.2", "DP 12"]
)
def test_what_only_looks_like_both_sides_is_none(text: str) -> None:
    """The worst wrong answer: a set point or a pressure of the air ducts taken for one of the refrigerant."""
    assert sides(text) == {}


@pytest.mark.parametrize(
    ("text", "states"),
    [("head went past 700 psi", {"high"}), ("discharge 95 bar on the CO2 rack", set()), ("head 380 psi", set())],
)
def test_a_head_that_no_switch_lets_through_is_high(text: str, states: set[str]) -> None:
    found = read_note(text).matches
    assert {match.state for match in found if match.finding == "condensing-pressure"} == states


@pytest.mark.parametrize(
    "text",
    [
        "pressure 122/ 365",
        "pressure 122 /365",
        "pressure 122 / 365",
        "press. 122/365",
        "pressure: 122-365",
        "pressures 122 - 365",
        "running pressure 122 over 365",
        "now pressure 122/365",
        "psi 122/ 365",
        "presion 122/ 365",
        "presiones de trabajo 122 / 365",
    ],
)
def test_a_word_of_pressure_before_two_numbers_names_both_sides(text: str) -> None:
    assert sides(text) == {"suction_pressure": 122.0, "discharge_pressure": 365.0}


@pytest.mark.parametrize(
    "text",
    [
        "pressure 60-75",
        "pressure swings 60-110",
        "tire pressure 122/365",
        "nitrogen pressure 150/300",
        "water pressure 60/180",
        "122/ 365",
        "R-22 machine, 122 365",
        "photo 122-365",
        "pressure 365/122",
    ],
)
def test_other_pairs_are_no_sides(text: str) -> None:
    assert not sides(text)


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("suct 62 head 118 so its not pumping, amps 6.1 on an 18 RLA, pumped down test it wont go below 50", True),
        ("suct 62 head 118, pumped down to 5", True),
        ("suct 62 head 118, pump down", False),
        ("pumped down, suct 62 head 118", False),
        ("suct 62 head 118 while pumped down, amps 6", False),
    ],
)
def test_what_moves_says_nothing_of_what_was_read_before(text: str, *, numbers: bool) -> None:
    assert (sides(text).get("discharge_pressure") == 118.0) is numbers


def test_an_article_is_no_acid_number() -> None:
    found = fields_of(numbers_in("amps 6.1 on an 18 RLA"))
    assert found == {"running_current": (6.1,), "rated_current": (18.0,)}
    assert fields_of(numbers_in("oil an 0.08")) == {"oil_acid_number": (0.08,)}
