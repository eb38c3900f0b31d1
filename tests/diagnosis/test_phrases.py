"""Names joined into sentences."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.phrases import listed, lower, percent, quoted


@pytest.mark.parametrize(
    ("names", "text"),
    [
        ((), ""),
        (("A",), "A"),
        (("A", "B"), "A and B"),
        (("A", "B", "C"), "A, B and C"),
        (("A, a", "B", "C"), "A, a; B; and C"),
    ],
)
def test_listed(names: tuple[str, ...], text: str) -> None:
    assert listed(names) == text


def test_lower_keeps_abbreviations() -> None:
    assert lower("Oil black") == "oil black"
    assert lower("DC bus low") == "DC bus low"
    assert lower("A sudden bang") == "a sudden bang"
    assert lower("Oldham key broken") == "Oldham key broken"
    assert quoted(["Oil black", "DC bus low"]) == "oil black and DC bus low"


@pytest.mark.parametrize(
    ("probability", "text"),
    [
        (1.0, "over 99 %"),
        (0.995, "over 99 %"),
        (0.9949, "99 %"),
        (0.5, "50 %"),
        (0.0051, "1 %"),
        (0.0049, "under 1 %"),
        (0.0, "under 1 %"),
    ],
)
def test_nothing_is_called_certain(probability: float, text: str) -> None:
    assert percent(probability) == text
