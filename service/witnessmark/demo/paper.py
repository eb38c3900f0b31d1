"""Plain text for a terminal: headings, wrapped paragraphs, bars, quantities. No colour, so that it pipes well."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Any

from witnessmark.calculations.metrology.uncertainty import figures

WIDTH = 100
BAR = 20
SPOKEN = {"degC": "°C", "degF": "°F"}


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


def quantity(sent: dict[str, Any] | None, digits: int = 4) -> str:
    """A quantity rounded for reading: to two digits of its uncertainty, or to a few of its own."""
    if sent is None:
        return "not known"
    unit = SPOKEN.get(sent.get("unit", ""), sent.get("unit", ""))
    return f"{figures(sent['value'], sent.get('uncertainty'), digits)} {unit}".rstrip()


def row(label: str, text: str) -> str:
    """A label and what stands beside it."""
    return f"  {label:<38} {text}"
