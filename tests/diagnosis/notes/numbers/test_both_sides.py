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
