"""The two registers that every answer quotes: sources and cautions.

Each `sources/*.toml` holds tables `[source-id]` with `citation` and `trust`; each `cautions/*.toml` holds tables
`[caution-id]` with `text` and `source`. One file a subject; an id stands in one file only.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import Annotated, Literal, Self, TypeVar

from pydantic import AfterValidator, Field, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data

Trust = TypeAliasType(
    "Trust",
    Literal[
        "published",
        "published, second hand",
        "unnamed document",
        "common practice",
        "memory",
        "derived",
        "expert estimate",
    ],
)
"""How a figure is known. An unnamed document was read, but nobody can find it again: no title, no number."""
NAMED = re.compile(r"\b(19|20)\d\d\b|\b[A-Z]{2,}(-| |/| Standard )*[A-Z]?\d|\d+ CFR|'[^']{8,}'|\b(page|Handbook)\b")
"""What lets a stranger find a document: a year, a number, a title in quotes, a page."""
PLACED = re.compile(
    r"\b(pages?|[Tt]ables?|figures?|sections?|[Cc]lauses?|chapter|equation|annex(es)?|appendix|articles?|item|lesson"
    r"|definitions?|scope|contents|abstract|paragraph|part|data set|predefined)\b"
    r"|\(\d{4}\) (\d{6}|\d+-\d+)|, \d+(\.\d+)+[A-Z]?(?=[:,)]| \(| and \d|$)|CFR \d+\.\d+"
    r"|\b(com|org|info|de)\b[/,)]"
)
"""Where in it: page, table, clause, the pages of a paper, or the address of what has no pages."""
Text = Annotated[str, Field(min_length=1)]


class _Entry(data.Row):
    id: str = ""
    """The key of its table, put in when the files are joined."""


E = TypeVar("E", bound=_Entry)


class Source(_Entry):
    """Where a figure or a formula comes from, and how far that can be trusted."""

    citation: Text
    trust: Trust
    note: str = ""

    @model_validator(mode="after")
    def _can_be_found(self) -> Self:
        if self.trust.startswith("published") and not NAMED.search(self.citation):
            raise ValueError("a published source names title or number, and edition, year or page")
        if self.trust.startswith("published") and not PLACED.search(self.citation):
            raise ValueError("a published source says where in the document: page, table, clause or address")
        return self


def _known(key: str) -> str:
    try:
        source(key)
    except KeyError:
        raise ValueError(f"no such source: {key}") from None
    return key


SourceId = Annotated[str, AfterValidator(_known)]
"""The id of a source: data files that name one that does not exist are refused when they are loaded."""


class Caution(_Entry):
    """A warning that belongs to a piece of work."""

    text: Text
    source: SourceId


SOURCES = data.tables(__package__, "sources", dict[str, Source])
CAUTIONS = data.tables(__package__, "cautions", dict[str, Caution])


def joined(files: Mapping[str, Callable[[], dict[str, E]]]) -> dict[str, E]:
    """The entries of all files; DataError where an id stands twice, since one of the two would be lost."""
    entries: dict[str, E] = {}
    for name, content in files.items():
        if twice := sorted(entries.keys() & content().keys()):
            raise data.DataError([f"{name}.toml: already defined elsewhere: {', '.join(twice)}"])
        entries |= {key: row.model_copy(update={"id": key}) for key, row in content().items()}
    return entries


@data.checked
@cache
def sources() -> dict[str, Source]:
    """All sources by id."""
    return joined(SOURCES)


@data.checked
@cache
def cautions() -> dict[str, Caution]:
    """All cautions by id."""
    return joined(CAUTIONS)


def source(key: str) -> Source:
    """The source with this id; KeyError if there is none (a fault of the code, not of an input)."""
    return sources()[key]


def caution(key: str) -> Caution:
    """The caution with this id; KeyError if there is none (a fault of the code, not of an input)."""
    return cautions()[key]
