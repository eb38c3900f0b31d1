"""Characters that numbers account for. Worst: a temperature that nobody read taken as read."""

from __future__ import annotations

from witnessmark.diagnosis.notes.numbers import spans_read


def read(text: str) -> tuple[set[str], list[str]]:
    known, odd = spans_read(text)
    return {text[start:end] for start, end in known}, [text[start:end] for start, end in odd]


def test_labels_units_and_ratings_are_read() -> None:
    known, odd = read("suction 62 psi, pulling 9 A of 11 RLA")
    assert {"suction", "62 psi", "9 A", "11"} <= known
    assert odd == []


def test_a_value_of_nothing_known_is_odd() -> None:
    assert read("pulling 9 A, housing 290 F at the seam")[1] == ["290 F"]
    assert read("comp 2 in room 12")[1] == []
    assert read("no numbers") == (set(), [])
    assert read("") == (set(), [])
