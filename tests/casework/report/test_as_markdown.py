"""Markdown takes every text as text."""

import html
import re

import pytest
from markdown_it import MarkdownIt

from witnessmark.casework.report.as_markdown import escaped, markdown
from witnessmark.casework.report.blocks import Bullets, Cautions, Paragraph, Picture, Report, Section, Signatures, Table

READER = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
"""A reader that is not ours: CommonMark with the tables and strokes of GitHub."""


def read(text: str) -> str:
    """What a reader shows of one paragraph, all tags that it made of marks included."""
    shown = READER.render(text)
    return html.unescape(shown.removeprefix("<p>").removesuffix("</p>\n"))


@pytest.mark.parametrize("mark", list("\\`*_{}[]()<>#+!|~&$^:.-='@"))
@pytest.mark.parametrize(
    "form", ["a{0}b", "{0}b", "{0} b", "a {0}{0}b{0}{0} c", "{0}{0}{0}", "1{0} b", "a{0}", "![{0}](x)"]
)
def test_a_reader_shows_every_sign_as_it_was_written(mark: str, form: str) -> None:
    text = form.format(mark)
    assert read(escaped(text)) == text


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>", "[x](javascript:alert(1))", "![x](http://a.example/b.png)", "<http://a.example>",
        "&lt;b&gt; &amp; &#60;", "**not strong** __nor__ *this*", "~~gone~~", "| a | b |", "# no heading #",
        "***", "- [ ] none", "`code` ``code``", "\\*", "a\\", "[a]: http://b.example 'c'", "1986\\. a",
    ],
)  # fmt: skip
def test_hostile_texts_are_shown_as_text(text: str) -> None:
    assert read(escaped(text)) == text


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("http://a.example", "http\\://a.example"), ("WWW.a.example", "WWW\\.a.example"),
        ("mailto:a", "mailto\\:a"), ("xmpp:a", "xmpp\\:a"), (":smile:", "\\:smile:"), ("$x^2$", "\\$x\\^2\\$"),
    ],
)  # fmt: skip
def test_what_only_some_readers_make_a_link_or_a_picture_is_none(text: str, written: str) -> None:
    assert escaped(text) == written


@pytest.mark.parametrize(
    "text",
    [
        "Call: freezer down (no.1); 99 % +15.3, R-448A & oil!", "2026-03-19 17:00 (UTC+00:00)", "10:30: read it",
        "IEC 60034-1, 7.3: within 10 %", "A: B; C/D = 3",
    ],
)  # fmt: skip
def test_ordinary_texts_hold_no_backslash(text: str) -> None:
    assert escaped(text) == text


def test_starts_of_lines() -> None:
    assert escaped("- a\n# b") == "\\- a \\# b"
    assert escaped("1. a") == "1\\. a"
    assert escaped("12) a") == "12\\) a"


@pytest.mark.parametrize("text", ["11.6 barg", "2026-05-20 14:00", "1.", "3 of 4", "0.5", "-5 degC", "1.5. a"])
def test_no_backslash_stands_where_a_reader_would_show_it(text: str) -> None:
    # CommonMark 0.31.2, 2.4: only punctuation of ASCII can be escaped; before anything else a backslash is shown
    assert not re.search(r"\\[0-9A-Za-z ]", escaped(text))
    assert re.sub(r"\\(?=[!-/:-@\[-`{-~])", "", escaped(text)) == text


def test_every_block_is_written() -> None:
    blocks = (
        Paragraph("p", strong=True),
        Bullets(("x",), numbered=True),
        Cautions(("c",), ("d",)),
        Table("t", ("h", "i"), (("a|b", "2"),)),
        Picture("alt", "caption"),
        Signatures(("Technician",)),
    )
    text = markdown(Report("T", "en", (("Job", "7"),), (Section("S", blocks),), ("foot",)))
    for part in (
        "# T",
        "**Job**: 7",
        "### S",
        "**p**",
        "1. x",
        "- **c**",
        "- d",
        "| a\\|b | 2 |",
        "alt",
        "Technician",
        "foot",
    ):
        assert part in text
