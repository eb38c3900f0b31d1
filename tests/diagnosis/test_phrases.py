"""Names joined into sentences."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.phrases import listed, lower, quoted


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
