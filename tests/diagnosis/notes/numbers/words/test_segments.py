"""Whole numbers that are names, and not amounts."""

from __future__ import annotations

import pytest

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
