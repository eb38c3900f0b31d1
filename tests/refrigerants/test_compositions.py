"""Texts of mixtures by hand, in the form of ASHRAE 34 (composition by mass in parentheses)."""

from __future__ import annotations

import pytest

from witnessmark.refrigerants import compositions


@pytest.mark.parametrize(
    ("components", "text"),
    [
        ({"R-32": 0.5, "R-125": 0.5}, "R-32/125 (50/50)"),
        ({"R-32": 0.23, "R-125": 0.25, "R-134a": 0.52}, "R-32/125/134a (23/25/52)"),
        ({"R-600a": 0.12, "R-E170": 0.88}, "R-600a/E170 (12/88)"),
        ({"R-1234ze(E)": 0.911, "R-227ea": 0.089}, "R-1234ze(E)/227ea (91.1/8.9)"),
        ({"R-32": 1 / 3, "R-125": 1 / 3, "R-134a": 1 / 3}, "R-32/125/134a (33.334/33.333/33.333)"),
    ],
)
def test_a_text_says_all_there_is_to_know(components: dict[str, float], text: str) -> None:
    assert compositions.text(components) == text
    assert dict(compositions.parse(text) or ()) == pytest.approx(components, abs=1e-5)


@pytest.mark.parametrize(
    "text",
    [
        "R-410A",
        "R-32/125",
        "R-32/125 (50)",
        "R-32/125 (50/50/0)",
        "R-32/125 (50.0/50.0)",
        "R-32/125 (50/49)",
        "R-32/32 (50/50)",
        "R-32/125 (0/100)",
        "R-32/125 (5.0.0/95)",
        "R-32/125/134a (23/25)",
        "r-32/125 (50/50)",
    ],
)
def test_nothing_else_is_one(text: str) -> None:
    """Another spelling, too: what is kept by text is then kept once."""
    assert compositions.parse(text) is None
