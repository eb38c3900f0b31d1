"""Plain text for a terminal: headings, wrapped paragraphs, bars, quantities. No colour, so that it pipes well."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Any

WIDTH = 100
BAR = 20


def heading(text: str) -> str:
    """A heading with a rule under it."""
    return f"\n{text}\n{'─' * len(text)}"


def paragraph(text: str, indent: str = "", first: str | None = None) -> str:
    """Wrapped text."""
    return textwrap.fill(text, WIDTH, initial_indent=indent if first is None else first, subsequent_indent=indent)


def bullets(lines: Iterable[str], mark: str = "•") -> list[str]:
    """A list, one bullet a line of text."""
    return [paragraph(line, "    ", f"  {mark} ") for line in lines]


def bar(share: float) -> str:
    """A bar for a share of one."""
    filled = round(share * BAR)
    return "█" * filled + "░" * (BAR - filled)


def quantity(given: dict[str, Any] | None, digits: int = 4) -> str:
    """A quantity with its uncertainty, rounded for reading."""
    if given is None:
        return "not known"
    spread = given.get("uncertainty")
    tail = f" ± {spread:.2g}" if spread else ""
    return f"{number(given['value'], digits)}{tail} {given.get('unit', '')}".rstrip()


def number(value: float, digits: int = 4) -> str:
    """A number with a few significant digits, never in powers of ten where it can be helped."""
    places = max(0, digits - len(f"{abs(value):.0f}"))
    return f"{value:,.{places}f}"


def row(label: str, text: str) -> str:
    """A label and what stands beside it."""
    return f"  {label:<38} {text}"
