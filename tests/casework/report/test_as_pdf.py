import io
import re
from datetime import UTC, datetime

import pytest
from PIL import Image

from witnessmark.casework.report import blocks
from witnessmark.casework.report.as_pdf import BOX, FONT, Paper, _fonts, _printable, _Sheet, pdf


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
def test_the_sheet_is_the_one_asked_for(paper: Paper, size: tuple[int, int]) -> None:
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
