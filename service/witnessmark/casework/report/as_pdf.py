"""A report as PDF, by fpdf2 with the fonts that come with matplotlib: no system library is needed, no clock is read."""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, Literal

import matplotlib as mpl
from fpdf import FPDF
from fpdf.fonts import FontFace
from PIL import Image
from typing_extensions import TypeAliasType

from witnessmark.casework.report import blocks

Paper = TypeAliasType("Paper", Literal["A4", "Letter"])
"""Sheet of a report."""
FONT, SIZE, SMALL, LINE = "report", 9.5, 8.0, 4.8
"""Family, sizes in points, and the height of a line in mm."""
INK, QUIET, ACCENT, WARN, PALE = (34, 49, 63), (85, 97, 108), (11, 92, 116), (138, 61, 6), (253, 244, 234)
TALLEST = 165.0
"""Height of the tallest picture, mm."""
SIZES = {1: 16.0, 2: 13.0, 3: 10.5}
BOX = "\u25a1"
"""Stands for each sign that the fonts lack."""
EPOCH = datetime(2000, 1, 1, tzinfo=UTC)
"""Stands in for a date of making where the case names no moment."""
logging.getLogger("fpdf").setLevel(logging.ERROR)  # a sign that no font has is shown as such, and is no fault
logging.getLogger("fontTools").setLevel(logging.ERROR)


class _Sheet(FPDF):
    """A document with a quiet foot on every sheet."""

    def __init__(self, paper: Paper, foot: str) -> None:
        super().__init__(format=paper)
        self._foot = foot

    def footer(self) -> None:
        """Page number and digest."""
        self.set_y(-12)
        self.set_font(FONT, size=6.5)
        self.set_text_color(*QUIET)
        self.cell(0, 4, f"{self.page_no()}/{{nb}}   {self._foot}")


@cache
def _fonts() -> dict[Literal["", "B"], Path]:
    folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
    return {"": folder / "DejaVuSans.ttf", "B": folder / "DejaVuSans-Bold.ttf"}


def pdf(report: blocks.Report, paper: Paper = "A4", made: datetime | None = None) -> bytes:
    """The report as PDF. made: the date in its metadata, the same for the same case."""
    sheet = _Sheet(paper, report.footer[-1] if report.footer else "")
    for style, path in _fonts().items():
        sheet.add_font(FONT, style, path)
    report = _printable(report, sheet)
    sheet.set_creation_date(made or EPOCH)
    sheet.set_title(report.title)
    sheet.set_lang(report.language)
    sheet.set_margins(16, 15)
    sheet.set_auto_page_break(auto=True, margin=16)
    sheet.add_page()
    _heading(sheet, report.title, 1)
    _text(sheet, "   ".join(f"{label}: {text}" for label, text in report.facts))
    for section in report.sections:
        _section(sheet, section)
    for line in report.footer:
        _text(sheet, line, SMALL, colour=QUIET)
    return bytes(sheet.output())


def _printable(report: blocks.Report, sheet: FPDF) -> blocks.Report:
    """The report with a box for each sign that the font lacks, and a sentence that says so; nothing is left out."""
    known = set.intersection(*(set(getattr(sheet.fonts[f"{FONT}{style}"], "cmap", ())) for style in ("", "B")))
    missing: set[str] = set()

    def shown(part: Any) -> Any:
        if isinstance(part, str):
            lacked = {sign for sign in part if ord(sign) not in known and not sign.isspace()}
            missing.update(lacked)
            return part.translate(dict.fromkeys(map(ord, lacked), BOX)) if lacked else part
        if isinstance(part, tuple):
            return tuple(shown(inner) for inner in part)
        if is_dataclass(part) and not isinstance(part, type):
            return replace(part, **{field.name: shown(getattr(part, field.name)) for field in fields(part)})
        return part

    told: blocks.Report = shown(report)
    if not missing:
        return told
    return replace(told, facts=(*told.facts, (BOX, told.not_shown)))


def _section(sheet: FPDF, section: blocks.Section) -> None:
    begins_with_picture = bool(section.blocks) and isinstance(section.blocks[0], blocks.Picture)
    if section.new_page or (begins_with_picture and sheet.will_page_break(TALLEST)):
        sheet.add_page()
    if section.title:
        _heading(sheet, section.title, section.level)
    for block in section.blocks:
        _block(sheet, block)
        sheet.ln(1.2)


def _heading(sheet: FPDF, text: str, level: int) -> None:
    if sheet.will_page_break(22):
        sheet.add_page()
    sheet.ln(2.5)
    sheet.start_section(text, level=max(0, level - 2))
    _text(sheet, text, SIZES[level], bold=True, colour=ACCENT if level < 3 else INK)  # noqa: PLR2004 - a subsection


def _text(
    sheet: FPDF, text: str, size: float = SIZE, *, bold: bool = False, colour: tuple[int, int, int] = INK,
    indent: float = 0.0,
) -> None:  # fmt: skip
    sheet.set_font(FONT, "B" if bold else "", size)
    sheet.set_text_color(*colour)
    sheet.set_x(sheet.l_margin + indent)
    sheet.multi_cell(0, LINE * size / SIZE, text, align="L", new_x="LMARGIN", new_y="NEXT")


def _block(sheet: FPDF, block: blocks.Block) -> None:
    match block:
        case blocks.Paragraph(text, strong):
            _text(sheet, text, bold=strong)
        case blocks.Bullets(items, numbered):
            for k, item in enumerate(items, 1):
                _text(sheet, f"{f'{k}.' if numbered else '•'} {item}", indent=3)
        case blocks.Cautions(first, rest):
            for text, bold in (*((t, True) for t in first), *((t, False) for t in rest)):
                _text(sheet, f"! {text}", bold=bold, colour=WARN, indent=3)
        case blocks.Table():
            _table(sheet, block)
        case blocks.Picture():
            _picture(sheet, block)
        case blocks.Signatures(roles):
            _signatures(sheet, roles)


def _table(sheet: FPDF, table: blocks.Table) -> None:
    if sheet.will_page_break(20):
        sheet.add_page()
    _text(sheet, table.caption, SMALL, colour=QUIET)
    sheet.set_font(FONT, "", SMALL)
    sheet.set_text_color(*INK)
    with sheet.table(
        col_widths=tuple(_widths(table)),
        headings_style=FontFace(emphasis="BOLD", color=INK),
        borders_layout="HORIZONTAL_LINES",
        line_height=4.1,
        text_align="LEFT",
    ) as drawn:
        for cells in (table.head, *table.rows):
            row = drawn.row()
            for cell in cells:
                row.cell(cell)


def _widths(table: blocks.Table) -> Iterator[int]:
    """Shares of the width: as long as the longest texts, within bounds."""
    for column in range(len(table.head)):
        longest = max(len(row[column]) for row in (table.head, *table.rows))
        yield min(60, max(12, longest))


def _picture(sheet: FPDF, picture: blocks.Picture) -> None:
    with Image.open(io.BytesIO(picture.pixels)) as opened:
        shape = opened.height / opened.width
    width = min(sheet.epw, TALLEST / shape)
    if sheet.will_page_break(width * shape + 8):
        sheet.add_page()
    sheet.image(io.BytesIO(picture.pixels), w=width, h=width * shape, alt_text=picture.alt)
    _text(sheet, picture.caption, SMALL, colour=QUIET)


def _signatures(sheet: FPDF, roles: tuple[str, ...]) -> None:
    if sheet.will_page_break(35):
        sheet.add_page()
    for role in roles:
        sheet.ln(9)
        sheet.set_draw_color(*INK)
        sheet.line(sheet.l_margin, sheet.y, sheet.l_margin + 80, sheet.y)
        _text(sheet, role, SMALL, colour=QUIET)
