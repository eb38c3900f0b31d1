import io
import re
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from PIL import Image

from witnessmark.casework.report import blocks
from witnessmark.casework.report.as_pdf import (
    BOX,
    FONT,
    _block,
    _fonts,
    _heading,
    _least,
    _Line,
    _printable,
    _Sheet,
    _text,
    pdf,
)


def picture(height: int = 40) -> bytes:
    stream = io.BytesIO()
    Image.new("RGB", (100, height), "white").save(stream, "PNG")
    return stream.getvalue()


def report(*shown: blocks.Block, new_page: bool = False) -> blocks.Report:
    return blocks.Report("A title", "es", (("Job", "1"),), (blocks.Section("Part", shown, 2, new_page),), ("d",))


def pages(content: bytes) -> int:
    found = re.search(rb"/Count (\d+)", content)
    assert found is not None
    return int(found[1])


def test_the_same_report_gives_the_same_bytes() -> None:
    whole = report(blocks.Paragraph("text", strong=True), blocks.Bullets(("a", "b"), numbered=True))
    assert pdf(whole) == pdf(whole)


def test_the_date_is_that_of_the_case_and_never_the_clock() -> None:
    assert b"D:20260520" in pdf(report(), made=datetime(2026, 5, 20, 9, tzinfo=UTC))
    assert b"D:20000101" in pdf(report())


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_the_sheet_is_the_one_asked_for(paper: blocks.Paper, size: tuple[int, int]) -> None:
    found = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf(report(), paper))
    assert found is not None
    assert (round(float(found[1])), round(float(found[2]))) == size


def test_title_and_language_stand_in_the_document() -> None:
    content = pdf(report())
    assert b"/Lang (es)" in content
    assert b"/Outlines" in content


def test_every_block_can_be_written() -> None:
    shown = (
        blocks.Paragraph("a"),
        blocks.Bullets(("a",)),
        blocks.Bullets(("a",), numbered=True, small=True),
        blocks.Cautions(("first",), ("rest",)),
        blocks.Table("caption", ("a", "b"), (("c", "d" * 200),)),
        blocks.Picture("alt", "caption", picture()),
        blocks.Signatures(("Technician",)),
    )
    assert pages(pdf(report(*shown))) >= 1


def test_a_part_of_its_own_begins_on_a_new_sheet() -> None:
    assert pages(pdf(report(blocks.Paragraph("a"), new_page=True))) == pages(pdf(report(blocks.Paragraph("a")))) + 1


@pytest.mark.parametrize(
    "tall",
    [
        (blocks.Picture("alt", "caption", picture(300)),) * 2,
        (blocks.Table("t", ("a",), tuple((str(k),) for k in range(120))),) * 2,
        (blocks.Signatures(("x",) * 3),) * 9,
    ],
)
def test_what_does_not_fit_goes_on_overleaf(tall: tuple[blocks.Block, ...]) -> None:
    assert pages(pdf(report(*tall))) > 1


def test_a_section_that_begins_with_a_picture_keeps_them_together() -> None:
    lines = blocks.Section("Text", tuple(blocks.Paragraph(str(k)) for k in range(20)))
    shown = blocks.Section("Shown", (blocks.Picture("alt", "caption", picture(90)),))
    whole = blocks.Report("A title", "en", (), (lines, shown), ())
    assert pages(pdf(whole)) == 2


def test_signs_that_the_font_lacks_are_boxes_and_the_report_says_so() -> None:
    """The worst wrong answer: a warning in another script that is not there at all."""
    told = blocks.Report("A", "en", (("Site", "\u51b7\u5e93 A"),), (), ("d",), not_shown="some signs are boxes")
    sheet = _Sheet("A4", "")
    for style, path in _fonts().items():
        sheet.add_font(FONT, style, path)
    shown = _printable(told, sheet)
    assert shown.facts == (("Site", f"{BOX}{BOX} A"), (BOX, "some signs are boxes"))
    plain = blocks.Report("Ángulo · čšž Ω ±", "en", (), (), ("d",), not_shown="x")
    assert _printable(plain, sheet) == plain
    sheet.add_page()
    sheet.output()
    assert pdf(told) != pdf(blocks.Report("A", "en", (("Site", " A"),), (), ("d",), not_shown="some signs are boxes"))


def lines(count: int) -> blocks.Section:
    return blocks.Section("Lines", tuple(blocks.Paragraph(str(k)) for k in range(count)))


@pytest.fixture
def sheet() -> Iterator[_Sheet]:
    made = _Sheet("A4", "")
    for style, path in _fonts().items():
        made.add_font(FONT, style, path)
    yield made
    made.output()


LATER = blocks.Section("Later", (blocks.Paragraph("x"),), 2, new_page=True)


@pytest.mark.parametrize(("count", "expected"), [(30, 2), (44, 2), (46, 2), (80, 3)])
def test_the_part_before_a_new_page_keeps_to_one_sheet_where_smaller_letters_are_enough(
    count: int, expected: int
) -> None:
    whole = blocks.Report("A title", "en", (), (lines(count), LATER), ())
    assert pages(pdf(whole)) == expected


@pytest.mark.parametrize(
    "below",
    [
        blocks.Picture("alt", "caption", picture(60)),
        blocks.Table("t", ("a",), tuple((str(k),) for k in range(4))),
        blocks.Signatures(("x",) * 3),
    ],
)
def test_no_heading_is_left_at_the_foot_of_a_sheet(sheet: _Sheet, below: blocks.Block) -> None:
    """Wherever a section begins on a sheet, its heading stands on the sheet of what is below it."""
    for count in range(30, 42):
        sheet.add_page()
        for k in range(count):
            _text(sheet, _Line(str(k)))
        _heading(sheet, "Title", 3, _least(sheet, below))
        begun = sheet.page_no()
        _block(sheet, below)
        assert sheet.page_no() == begun


def test_a_picture_is_made_a_little_smaller_where_that_saves_a_sheet() -> None:
    shown = blocks.Section("Shown", (blocks.Picture("alt", "caption", picture(60)),))
    sheets = [pages(pdf(blocks.Report("A", "en", (), (LATER, lines(k), shown), ()))) - 1 for k in (18, 22, 33)]
    assert sheets == [1, 1, 2]


def test_a_short_paragraph_is_not_cut_by_the_end_of_a_sheet(sheet: _Sheet) -> None:
    sheet.add_page()
    for _ in range(120):
        before, top = sheet.page_no(), sheet.y
        _text(sheet, _Line("word " * 50, mark="1."))
        assert sheet.y > top or sheet.page_no() > before
        if sheet.page_no() > before:
            assert sheet.y - sheet.t_margin > 10  # the whole of it went over, no last line alone
