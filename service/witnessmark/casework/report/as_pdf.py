"""A report as PDF, by fpdf2 with the fonts that come with matplotlib: no system library is needed, no clock is read."""

from __future__ import annotations

import io
import logging
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import UTC, datetime
from functools import cache
from itertools import takewhile
from pathlib import Path
from typing import Any, Literal

import matplotlib as mpl
from fpdf import FPDF
from fpdf.enums import MethodReturnValue
from fpdf.fonts import FontFace
from PIL import Image

from witnessmark.casework.report import blocks
from witnessmark.casework.report.blocks import Paper

FONT, SIZE, SMALL, SMALLEST, LINE = "report", 9.5, 8.0, 6.5, 4.8
"""Family, sizes in points, and the height of a line in mm."""
INK, QUIET, ACCENT, WARN = (34, 49, 63), (85, 97, 108), (11, 92, 116), (138, 61, 6)
TALLEST, CAPTION, SHRUNK = 165.0, 10.0, 0.7
"""Height of the tallest picture and of what stands below it, mm; the least part of its size that saves it a page."""
HEADING, FEW, BEFORE, GAP = 10.0, 14.0, 2.5, 1.2
"""Height of a heading, of the first lines below it, of the space before it and of that behind a block, mm."""
SHARES = (1.0, 0.95, 0.9, 0.85)
"""Of the usual size of letters: what is tried to keep the owner's part on one page."""
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
        self.share = 1.0
        """Of the usual size of its letters."""

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
    _heading(sheet, report.title, 1, FEW)
    _text(sheet, _Line("   ".join(f"{label}: {text}" for label, text in report.facts)))
    first = len(list(takewhile(lambda section: not section.new_page, report.sections)))
    sheet.share = _fitting(sheet, report.sections[:first])
    for section in report.sections[:first]:
        _section(sheet, section)
    sheet.share = 1.0
    for section in report.sections[first:]:
        _section(sheet, section)
    for line in report.footer:
        _text(sheet, _Line(line, SMALL, colour=QUIET))
    return bytes(sheet.output())


def _printable(report: blocks.Report, sheet: _Sheet) -> blocks.Report:
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


def _section(sheet: _Sheet, section: blocks.Section) -> None:
    if section.new_page:
        sheet.add_page()
    if section.title:
        _heading(sheet, section.title, section.level, _least(sheet, section.blocks[0]) if section.blocks else FEW)
    for block in section.blocks:
        _block(sheet, block)
        sheet.ln(GAP)


def _fitting(sheet: _Sheet, sections: Sequence[blocks.Section]) -> float:
    """The share of the usual size at which the owner's part stays on its page; the usual size where none is enough."""
    for share in SHARES:
        sheet.share = share
        if sheet.y + sum(_height(sheet, section) for section in sections) <= sheet.page_break_trigger:
            return share
    return 1.0


def _height(sheet: _Sheet, section: blocks.Section) -> float:
    """Of a section of texts, mm."""
    title = [_Line(section.title, SIZES[section.level], bold=True)] if section.title else []
    lines = [*title, *(line for block in section.blocks for line in _lines(block))]
    return sum(_tall(sheet, line) for line in lines) + GAP * len(section.blocks) + BEFORE * len(title)


def _heading(sheet: _Sheet, text: str, level: int, below: float) -> None:
    """A heading, on the page where what stands below it begins. below: the least height of that, mm."""
    if sheet.will_page_break(HEADING + below):
        sheet.add_page()
    sheet.ln(BEFORE)
    sheet.start_section(text, level=max(0, level - 2))
    colour = ACCENT if level < 3 else INK  # noqa: PLR2004 - a subsection
    _text(sheet, _Line(text, SIZES[level], bold=True, colour=colour))


def _least(sheet: _Sheet, block: blocks.Block) -> float:
    """The height that a block takes at least on the page where it begins, mm."""
    match block:
        case blocks.Table():
            return _TABLE
        case blocks.Picture():
            width, shape = _size(sheet, block)
            return SHRUNK * width * shape + CAPTION
        case blocks.Signatures(roles):
            return _SIGNATURE * len(roles)
    return FEW


_TABLE, _SIGNATURE = 26.0, 14.0
"""Height of a caption, a head and two rows, and of a line to sign on, mm."""


@dataclass(frozen=True, slots=True)
class _Line:
    """A paragraph and its looks. mark: what stands before it, in a column of its own."""

    text: str
    size: float = SIZE
    bold: bool = False
    colour: tuple[int, int, int] = INK
    mark: str = ""


def _text(sheet: _Sheet, line: _Line) -> None:
    height, left = _set(sheet, line)
    if sheet.will_page_break(_WHOLE * height):
        tall = _tall(sheet, line)
        if tall <= _WHOLE * height and sheet.will_page_break(tall):
            sheet.add_page()
    if line.mark:
        sheet.set_x(left - _MARK)
        sheet.cell(_MARK, height, line.mark)
    sheet.set_x(left)
    sheet.multi_cell(0, height, line.text, align="L", new_x="LMARGIN", new_y="NEXT")


def _set(sheet: _Sheet, line: _Line) -> tuple[float, float]:
    """Height of a line and where it begins, mm; letters and colour are chosen."""
    size = line.size * sheet.share
    sheet.set_font(FONT, "B" if line.bold else "", size)
    sheet.set_text_color(*line.colour)
    left = sheet.l_margin + (2 + _MARK if line.mark else 0)
    sheet.set_x(left)
    return LINE * size / SIZE, left


def _tall(sheet: _Sheet, line: _Line) -> float:
    """The height that a paragraph takes, mm."""
    height, _ = _set(sheet, line)
    tall = sheet.multi_cell(0, height, line.text, align="L", dry_run=True, output=MethodReturnValue.HEIGHT)
    assert isinstance(tall, float)  # noqa: S101 - as was asked for
    return tall


_MARK, _WHOLE = 5.5, 4
"""Width of the column of marks and numbers of a list, mm; lines of a paragraph that no page cuts."""


def _lines(block: blocks.Block) -> Iterator[_Line]:
    """The paragraphs of a block of texts."""
    match block:
        case blocks.Paragraph(text, strong):
            yield _Line(text, bold=strong)
        case blocks.Bullets(items, numbered, small):
            size = SMALLEST if small else SIZE
            yield from (_Line(item, size, mark=f"{k}." if numbered else "•") for k, item in enumerate(items, 1))
        case blocks.Cautions(first, rest):
            yield from (_Line(text, bold=True, colour=WARN, mark="!") for text in first)
            yield from (_Line(text, colour=WARN, mark="!") for text in rest)


def _block(sheet: _Sheet, block: blocks.Block) -> None:
    match block:
        case blocks.Table():
            _table(sheet, block)
        case blocks.Picture():
            _picture(sheet, block)
        case blocks.Signatures(roles):
            _signatures(sheet, roles)
        case _:
            for line in _lines(block):
                _text(sheet, line)


def _table(sheet: _Sheet, table: blocks.Table) -> None:
    if sheet.will_page_break(_TABLE):
        sheet.add_page()
    _text(sheet, _Line(table.caption, SMALL, colour=QUIET))
    widths = tuple(_widths(sheet, table))
    sheet.set_text_color(*INK)
    with sheet.table(
        col_widths=widths,
        headings_style=FontFace(emphasis="BOLD", color=INK),
        borders_layout="HORIZONTAL_LINES",
        line_height=3.9,
        text_align="LEFT",
        v_align="TOP",
        padding=(0.5, 1.5, 0.5, 0),
    ) as drawn:
        for cells in (table.head, *table.rows):
            row = drawn.row()
            for cell in cells:
                row.cell(cell)


def _widths(sheet: _Sheet, table: blocks.Table) -> list[float]:
    """Widths in mm: each column holds its longest word whole, and the rest goes where texts are long."""
    rows, columns = (table.head, *table.rows), range(len(table.head))
    sheet.set_font(FONT, "B", SMALL)
    heads = [_widest(sheet, table.head[column].split()) for column in columns]
    sheet.set_font(FONT, "", SMALL)
    words = [max(heads[k], *(_widest(sheet, _words(row[k])) for row in rows)) + _AROUND for k in columns]
    least = [min(width, _MOST * sheet.epw) for width in words]
    whole = [max(least[k], min(_widest(sheet, [row[k] for row in rows]) + _AROUND, sheet.epw)) for k in columns]
    wanted, room = sum(whole) - sum(least), sheet.epw - sum(least)
    if room <= 0 or wanted <= 0:
        return [sheet.epw * width / sum(least) for width in least]
    return [low + room * (high - low) / wanted for low, high in zip(least, whole, strict=True)]


def _words(text: str) -> list[str]:
    """What no line may part: words, and a date with its time.

    >>> _words("2026-03-22 10:11"), _words("drop of the core")
    (['2026-03-22 10:11'], ['drop', 'of', 'the', 'core'])
    """
    return [text] if _MOMENT.fullmatch(text) else text.split()


_MOMENT = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d")


def _widest(sheet: _Sheet, texts: Sequence[str]) -> float:
    """The widest of some texts in the letters that are chosen, mm; of a very long one its beginning counts."""
    return max((sheet.get_string_width(text[:_LONG]) for text in texts), default=0.0)


_AROUND, _MOST, _LONG = 2.6, 0.4, 300
"""Space within a cell, mm; the most of the page that one word claims; signs of a text that are measured."""


def _picture(sheet: _Sheet, picture: blocks.Picture) -> None:
    """A picture, a little smaller where that saves it a page."""
    width, shape = _size(sheet, picture)
    room = sheet.page_break_trigger - sheet.y - CAPTION
    if room < SHRUNK * width * shape:
        sheet.add_page()
    else:
        width = min(width, room / shape)
    sheet.image(io.BytesIO(picture.pixels), w=width, h=width * shape, alt_text=picture.alt)
    _text(sheet, _Line(picture.caption, SMALL, colour=QUIET))


def _size(sheet: _Sheet, picture: blocks.Picture) -> tuple[float, float]:
    """Width of a picture, mm, and its height as part of that."""
    with Image.open(io.BytesIO(picture.pixels)) as opened:
        shape = opened.height / opened.width
    return min(sheet.epw, TALLEST / shape), shape


def _signatures(sheet: _Sheet, roles: tuple[str, ...]) -> None:
    if sheet.will_page_break(_SIGNATURE * len(roles)):
        sheet.add_page()
    for role in roles:
        sheet.ln(9)
        sheet.set_draw_color(*INK)
        sheet.line(sheet.l_margin, sheet.y, sheet.l_margin + 80, sheet.y)
        _text(sheet, _Line(role, SMALL, colour=QUIET))
