"""What a report is made of. Texts are plain: each writer escapes them for what it writes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

Paper = TypeAliasType("Paper", Literal["A4", "Letter"])
"""Sheet of a report."""
Form = Literal["svg", "png"]
"""How a chart is drawn."""
Point = tuple[float, float, float, float]
"""Time, value, and both ends of its interval."""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph; `strong` for what must not be overlooked."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list; `numbered` where the order counts or somebody points at one; `small` for what few read."""

    items: tuple[str, ...]
    numbered: bool = False
    small: bool = False


@dataclass(frozen=True, slots=True)
class Cautions:
    """What can hurt: the first ones open, the rest below."""

    first: tuple[str, ...]
    rest: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a caption; the first cell of each row names it."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture: `alt` says what it shows to whoever cannot see it. vector: SVG, empty if none; pixels: PNG."""

    alt: str
    caption: str
    pixels: bytes = b""
    vector: bytes = b""


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines to sign on."""

    roles: tuple[str, ...]


Block = Paragraph | Bullets | Cautions | Table | Picture | Signatures


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands below it. level: 2 for a part of the report, 3 below that."""

    title: str
    blocks: tuple[Block, ...] = ()
    level: int = 3
    new_page: bool = False


@dataclass(frozen=True, slots=True)
class Report:
    """A whole report. facts: label and text of the head; footer: what decided the numbers; subject: of what it is.

    not_shown: what to say where signs of it cannot be shown.
    """

    title: str
    language: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    footer: tuple[str, ...]
    subject: str = ""
    not_shown: str = ""


def section(title: str, *blocks: Block | None, level: int = 3, new_page: bool = False) -> Section | None:
    """A section of the blocks that are there; None if there is none (a part of the report may stand empty)."""
    there = tuple(block for block in blocks if block is not None)
    return Section(title, there, level, new_page) if there or level == 2 else None  # noqa: PLR2004 - of a part


def bullets(items: Sequence[str], *, numbered: bool = False, small: bool = False) -> Bullets | None:
    """A list, None where nothing stands in it."""
    return Bullets(tuple(items), numbered, small) if items else None


def table(caption: str, head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> Table | None:
    """A table, None without rows."""
    return Table(caption, head, tuple(rows)) if rows else None


def paragraph(text: str | None, *, strong: bool = False) -> Paragraph | None:
    """A paragraph, None without text."""
    return Paragraph(text, strong) if text else None
