import re
from html.parser import HTMLParser

from witnessmark.casework.report import blocks
from witnessmark.casework.report.as_page import POLICY, page

HOSTILE = '<script>alert(1)</script>" onload="x" &amp;'
EVERYTHING = blocks.Report(
    HOSTILE,
    "es",
    ((HOSTILE, HOSTILE),),
    (
        blocks.Section(
            HOSTILE,
            (
                blocks.Paragraph(HOSTILE, strong=True),
                blocks.Paragraph("plain"),
                blocks.Bullets((HOSTILE,)),
                blocks.Bullets(("first",), numbered=True, small=True),
                blocks.Cautions((HOSTILE,), (HOSTILE,)),
                blocks.Cautions(("only first",)),
                blocks.Table(HOSTILE, (HOSTILE, "b"), ((HOSTILE, HOSTILE),)),
                blocks.Picture(HOSTILE, HOSTILE, pixels=b"png"),
                blocks.Picture("a", "b", vector=b"svg"),
                blocks.Signatures((HOSTILE,)),
            ),
            level=2,
            new_page=True,
        ),
        blocks.Section("", (blocks.Paragraph("end"),)),
    ),
    (HOSTILE,),
    HOSTILE,
)


class Seen(HTMLParser):
    """Elements and attributes of a page; each that is opened is closed again."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.names: list[str] = []
        self.attributes: dict[str, set[str | None]] = {}
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        for name, value in attrs:
            self.attributes.setdefault(name, set()).add(value)
        if tag not in {"meta", "img"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_what_a_caller_wrote_is_text_everywhere() -> None:
    seen = Seen(page(EVERYTHING))
    assert seen.open == []
    assert "script" not in seen.names
    assert "onload" not in seen.attributes
    assert page(EVERYTHING).count("&lt;script&gt;") == 18


def test_the_page_says_its_language_and_what_it_may_load() -> None:
    seen = Seen(page(EVERYTHING))
    assert seen.attributes["lang"] == {"es"}
    assert POLICY in seen.attributes["content"]
    assert all(str(source).startswith("data:image/") for source in seen.attributes["src"])


def test_each_block_has_its_element() -> None:
    text = page(EVERYTHING)
    for element in ("<h1>", "<h2>", "<ol class=small>", "<ul>", "<caption>", 'scope="row"', 'scope="col"',
                    "<figcaption>", 'class="part"', "class=strong", 'class="signatures"',
                    'class="cautions"'):  # fmt: skip
        assert element in text, element
    assert len(re.findall("<h[1-6]>", text)) == 2  # a section without a title has no empty heading
    assert "image/svg+xml;base64,c3Zn" in text
    assert "image/png;base64,cG5n" in text


def test_an_empty_report_is_a_page_too() -> None:
    text = page(blocks.Report("Title", "en", (), (), ()))
    assert re.search(r"<title>Title</title>", text)
    assert Seen(text).open == []
