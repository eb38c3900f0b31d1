from __future__ import annotations

import pytest

from witnessmark.errors import UnknownNameError
from witnessmark.refrigerants import catalogue, curves, lines, on_demand


def test_shipped_lines_are_not_traced_anew() -> None:
    assert lines.load("R-454B") is curves.load("R-454B")


def test_a_text_is_traced_and_kept() -> None:
    assert lines.load("R-32/125 (60/40)") is on_demand.trace((("R-32", 0.6), ("R-125", 0.4)))


def test_what_is_neither_is_unknown() -> None:
    with pytest.raises(UnknownNameError):
        catalogue.known("R-32/99 (60/40)")
    with pytest.raises(KeyError):
        lines.load("R-9999")
