"""A report as one HTML page of its own: no script, no remote address; prints on A4 and Letter."""

from __future__ import annotations

import html
from base64 import b64encode
from collections.abc import Iterator
from functools import cache
from importlib.resources import files

from witnessmark.casework.report import blocks

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
"""What the page may load: nothing but its own style and pictures."""


def page(report: blocks.Report) -> str:
    """The report as HTML."""
    return "".join(_page(report))


def _page(report: blocks.Report) -> Iterator[str]:
    title = " – ".join(filter(None, (report.title, report.subject)))
    yield f'<!doctype html>\n<html lang="{_plain(report.language)}">\n<head>\n<meta charset="utf-8">\n'
    yield f'<meta http-equiv="Content-Security-Policy" content="{_plain(POLICY)}">\n'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
    yield f"<title>{_plain(title)}</title>\n<style>\n{_style()}</style>\n</head>\n<body>\n<header>\n"
    yield f"<h1>{_plain(report.title)}</h1>\n<dl>\n"
    yield from (f"<div><dt>{_plain(label)}</dt><dd>{_plain(text)}</dd></div>\n" for label, text in report.facts)
    yield "</dl>\n</header>\n<main>\n"
    for section in report.sections:
        yield from _section(section)
    yield "</main>\n<footer>\n"
    yield from (f"<p>{_plain(line)}</p>\n" for line in report.footer)
    yield "</footer>\n</body>\n</html>\n"


@cache
def _style() -> str:
    return files(__package__).joinpath("page.css").read_text("utf-8")


def _plain(text: str) -> str:
    return html.escape(text, quote=True)


def _section(section: blocks.Section) -> Iterator[str]:
    name = ' class="part"' if section.new_page else ""
    yield f"<section{name}>\n"
    if section.title:
        yield f"<h{section.level}>{_plain(section.title)}</h{section.level}>\n"
    for block in section.blocks:
        yield from _block(block)
    yield "</section>\n"


def _block(block: blocks.Block) -> Iterator[str]:
    match block:
        case blocks.Paragraph(text, strong):
            yield f"<p{' class=strong' if strong else ''}>{_plain(text)}</p>\n"
        case blocks.Bullets(items, numbered, small):
            yield from _list("ol" if numbered else "ul", items, " class=small" if small else "")
        case blocks.Cautions(first, rest):
            yield '<div class="cautions">\n'
            yield from _list("ul", first)
            yield from _list("ul", rest)
            yield "</div>\n"
        case blocks.Table():
            yield from _table(block)
        case blocks.Picture():
            yield from _picture(block)
        case blocks.Signatures(roles):
            yield '<ul class="signatures">\n'
            yield from (f"<li><span></span>{_plain(role)}</li>\n" for role in roles)
            yield "</ul>\n"


def _list(kind: str, items: tuple[str, ...], name: str = "") -> Iterator[str]:
    if items:
        yield f"<{kind}{name}>\n"
        yield from (f"<li>{_plain(item)}</li>\n" for item in items)
        yield f"</{kind}>\n"


def _table(table: blocks.Table) -> Iterator[str]:
    yield f"<table>\n<caption>{_plain(table.caption)}</caption>\n<thead><tr>"
    yield from (f'<th scope="col">{_plain(cell)}</th>' for cell in table.head)
    yield "</tr></thead>\n<tbody>\n"
    for first, *rest in table.rows:
        yield f'<tr><th scope="row">{_plain(first)}</th>'
        yield from (f"<td>{_plain(cell)}</td>" for cell in rest)
        yield "</tr>\n"
    yield "</tbody>\n</table>\n"


def _picture(picture: blocks.Picture) -> Iterator[str]:
    kind, content = ("svg+xml", picture.vector) if picture.vector else ("png", picture.pixels)
    source = f"data:image/{kind};base64,{b64encode(content).decode('ascii')}"
    yield f'<figure><img src="{source}" alt="{_plain(picture.alt)}">'
    yield f"<figcaption>{_plain(picture.caption)}</figcaption></figure>\n"
