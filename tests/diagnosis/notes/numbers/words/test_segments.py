"""Whole numbers that are names, and not amounts."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.numbers import labelling
from witnessmark.diagnosis.notes.numbers.words.lexer import lexemes
from witnessmark.diagnosis.notes.numbers.words.segments import is_name, segments
from witnessmark.diagnosis.notes.numbers.words.terms import terms


@pytest.mark.parametrize(
    ("year", "name"), [("1979", False), ("1980", True), ("2019", True), ("2100", True), ("2101", False)]
)
def test_a_year_is_a_name_within_a_working_life(year: str, name: bool) -> None:  # noqa: FBT001 - a table's parameter
    note = f"built in {year} suction 60 psi"
    (segment,) = segments(lexemes(note), terms(), note)
    k = next(k for k, one in enumerate(segment.lexemes) if one.text == year)
    assert is_name(segment, k) is name


@pytest.mark.parametrize(
    "note", ["2019 suction 60 psi in", "compressor two suction 60 psi", "compressor 2 suction 60 psi"]
)
def test_the_first_word_and_a_spoken_number_are_no_names(note: str) -> None:
    (segment,) = segments(lexemes(note), terms(), note)
    names = [one.text for k, one in enumerate(segment.lexemes) if one.kind == "n" and is_name(segment, k)]
    assert names == (["2"] if "compressor 2" in note else [])


def test_another_number_on_the_way_costs_as_much_as_a_word_with_its_unit_too() -> None:
    """`suction 60 psi 8 K`: from the label to the second number one amount is passed, and not two words."""
    note = "suction 60 psi 8 K"
    (segment,) = segments(lexemes(note), terms(), note)
    first, second = segment.amounts
    assert labelling._gap(segment, first.start, second.start) == 1.0  # noqa: SLF001
