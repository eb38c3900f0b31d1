"""Markdown takes every text as text."""

import re

import pytest

from witnessmark.casework.report.as_markdown import escaped, markdown
from witnessmark.casework.report.blocks import Bullets, Cautions, Paragraph, Picture, Report, Section, Signatures, Table


@pytest.mark.parametrize("mark", list("\\`*_{}[]()<>#+!|~&$^:"))
def test_no_mark_is_one(mark: str) -> None:
    assert escaped(f"a{mark}b") == f"a\\{mark}b"


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
