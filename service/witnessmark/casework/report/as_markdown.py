"""A report as Markdown (CommonMark with tables): everything a caller wrote is escaped, pictures are told in words."""

from __future__ import annotations

import re
from collections.abc import Iterator

from witnessmark.casework.report import blocks

_SPECIAL = re.compile(
    r"([\\`*_\[\]<>#|~$^]|&(?=#?\w+;)|:(?=//|[+-]\d:|[a-z_][\w+-]*:)|(?<=\bmailto):|(?<=\bxmpp):|(?<=\bwww)\.)",
    re.IGNORECASE,
)
"""What begins a mark, a cell, an entity, a link or a name between colons; elsewhere a sign stands for itself."""
_STARTS = re.compile(r"^((?=[-=+])|\d+(?=[.)](?: |$)))")
"""After this a sign makes a list or a heading of a line; a backslash before a digit would be shown itself."""


def escaped(text: str) -> str:
    r"""Plain text that no reader of Markdown takes for a mark, a link, HTML or a cell.

    >>> escaped("<b>*x*|"), escaped("- a"), escaped("1. a"), escaped("11.6 barg")
    ('\\<b\\>\\*x\\*\\|', '\\- a', '1\\. a', '11.6 barg')
    """
    return _STARTS.sub(r"\1\\", _SPECIAL.sub(r"\\\1", " ".join(text.split())))


def markdown(report: blocks.Report) -> str:
    """The report as Markdown."""
    return "\n".join(_lines(report)).rstrip() + "\n"


def _lines(report: blocks.Report) -> Iterator[str]:
    yield f"# {escaped(report.title)}\n"
    yield from (f"- **{escaped(label)}**: {escaped(text)}" for label, text in report.facts)
    for section in report.sections:
        if section.title:
            yield f"\n{'#' * section.level} {escaped(section.title)}\n"
        for block in section.blocks:
            yield from _block(block)
            yield ""
    yield "---\n"
    yield from (f"{escaped(line)}  " for line in report.footer)


def _block(block: blocks.Block) -> Iterator[str]:
    match block:
        case blocks.Paragraph(text, strong):
            yield f"**{escaped(text)}**" if strong else escaped(text)
        case blocks.Bullets(items, numbered, _):
            yield from (f"{f'{k}.' if numbered else '-'} {escaped(item)}" for k, item in enumerate(items, 1))
        case blocks.Cautions(first, rest):
            yield from (f"- **{escaped(text)}**" for text in first)
            yield from (f"- {escaped(text)}" for text in rest)
        case blocks.Table(caption, head, rows):
            yield f"*{escaped(caption)}*\n"
            yield from (f"| {' | '.join(map(escaped, cells))} |" for cells in (head,))
            yield "|" + " --- |" * len(head)
            yield from (f"| {' | '.join(map(escaped, row))} |" for row in rows)
        case blocks.Picture(alt, caption, _, _):
            yield f"*{escaped(caption)}* {escaped(alt)}"
        case blocks.Signatures(roles):
            yield from (f"- {escaped(role)}: \\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_" for role in roles)
