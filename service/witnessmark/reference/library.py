"""The two registers that every answer quotes: sources and cautions.

Each `sources/*.toml` holds tables `[source-id]` with `citation` and `trust`; each `cautions/*.toml` holds tables
`[caution-id]` with `text` and `source`. One file a subject; an id stands in one file only.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Annotated, Any, Literal, get_args

from pydantic import AfterValidator

Trust = Literal["published", "published, second hand", "common practice", "memory", "derived", "expert estimate"]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure or a formula comes from, and how far that can be trusted."""

    id: str
    citation: str
    trust: Trust
    note: str = ""

    def __post_init__(self) -> None:
        if self.trust not in get_args(Trust) or not self.citation:
            raise ValueError(f"source {self.id}: needs a citation and a trust of {get_args(Trust)}")


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning that belongs to a piece of work."""

    id: str
    text: str
    source: str

    def __post_init__(self) -> None:
        if not self.text:
            raise ValueError(f"caution {self.id}: needs a text")


def _tables(folder: str) -> dict[str, dict[str, Any]]:
    merged: dict[str, dict[str, Any]] = {}
    for file in sorted(files(__package__).joinpath(folder).iterdir(), key=lambda f: f.name):
        if file.name.endswith(".toml"):
            merge_unique(merged, tomllib.loads(file.read_text("utf-8")), file.name)
    return merged


def merge_unique(into: dict[str, dict[str, Any]], more: dict[str, dict[str, Any]], name: str) -> None:
    """Add `more` to `into`; an id that stands twice is an error, since one of the two would be lost."""
    if twice := into.keys() & more.keys():
        raise ValueError(f"{name}: already defined elsewhere: {sorted(twice)}")
    into.update(more)


@cache
def sources() -> dict[str, Source]:
    """All sources by id."""
    return {key: Source(id=key, **table) for key, table in _tables("sources").items()}


@cache
def cautions() -> dict[str, Caution]:
    """All cautions by id; the source of each must exist."""
    found = {key: Caution(id=key, **table) for key, table in _tables("cautions").items()}
    for item in found.values():
        source(item.source)
    return found


def source(key: str) -> Source:
    """The source with this id; KeyError if there is none (a fault of the code, not of an input)."""
    return sources()[key]


def caution(key: str) -> Caution:
    """The caution with this id; KeyError if there is none (a fault of the code, not of an input)."""
    return cautions()[key]


def _known(key: str) -> str:
    try:
        source(key)
    except KeyError:
        raise ValueError(f"no such source: {key}") from None
    return key


SourceId = Annotated[str, AfterValidator(_known)]
"""The id of a source that stands in the register."""
