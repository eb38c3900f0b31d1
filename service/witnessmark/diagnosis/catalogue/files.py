"""From the TOML files of a knowledge folder to typed rows; every fault is named by file, row and key."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, fields
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from witnessmark.diagnosis.catalogue.rows import (
    Advice,
    Applies,
    Cause,
    CheckRow,
    ConflictPair,
    Context,
    Finding,
    Knowledge,
    KnowledgeError,
    Link,
    Mention,
    Mode,
    ModeAtLeast,
    Normal,
    SafetyRule,
)

Row = TypeVar("Row")
Table = dict[str, Any]
_FILES = {
    "findings": "finding",
    "normals": "normal",
    "modes": "mode",
    "causes": "cause",
    "links-mode-finding": "link",
    "links-cause-finding": "link",
    "links-cause-mode": "link",
    "links-mode-mode": "link",
    "contexts": "context",
    "safety": "rule",
    "conflicts": "pair",
    "dispatch": "advice",
}
_ENDS = {
    "links-mode-finding": ("mode", "finding"),
    "links-cause-finding": ("cause", "finding"),
    "links-cause-mode": ("cause", "mode"),
    "links-mode-mode": ("from", "to"),
}


def _applies(table: Table) -> Applies:
    return Applies(**{key: frozenset(values) for key, values in table.items()})


def _mentions(table: Table) -> Mapping[str, Mention]:
    return {channel: built(Mention, both, f"mention.{channel}") for channel, both in table.items()}


def _check(table: Table) -> CheckRow:
    return built(CheckRow, table, "check")


def _when(table: Table) -> ModeAtLeast:
    return built(ModeAtLeast, table, "mode")


_CONVERT: Mapping[str, Callable[[Table], object]] = {"applies": _applies, "mention": _mentions, "check": _check}


def _value(key: str, value: object) -> object:
    if isinstance(value, list):
        return tuple(value)
    if isinstance(value, dict):
        return _CONVERT.get(key, _when)(value)
    return value


def built(kind: type[Row], table: Table, where: str) -> Row:
    """An object of the dataclass from a table; KnowledgeError if keys are missing, unknown or of the wrong shape."""
    known = {f.name: f for f in fields(kind)}  # type: ignore[arg-type]
    needed = {n for n, f in known.items() if f.default is MISSING and f.default_factory is MISSING}
    wrong = [f"{where}: unknown key {key}" for key in sorted(table.keys() - known.keys())]
    wrong += [f"{where}: no {key}" for key in sorted(needed - table.keys())]
    if wrong:
        raise KnowledgeError(wrong)
    try:
        return kind(**{key: _value(key, value) for key, value in table.items()})
    except (TypeError, AttributeError) as error:
        raise KnowledgeError([f"{where}: {error}"]) from error


class Reader:
    """Reads rows and gathers what is wrong with them, so that one run names every fault."""

    def __init__(self, folder: Traversable) -> None:
        self.folder = folder
        self.faults: list[str] = []

    def tables(self, stem: str) -> Iterator[tuple[str, Table]]:
        """Rows of one file with the words that locate them."""
        file = self.folder.joinpath(f"{stem}.toml")
        if not file.is_file():
            self.faults.append(f"{stem}.toml: no such file")
            return
        for number, table in enumerate(tomllib.loads(file.read_text("utf-8")).get(_FILES[stem], []), 1):
            yield f"{stem}.toml {number} {table.get('id', '')}".rstrip(), table

    def rows(self, stem: str, kind: type[Row], change: Callable[[Table], Table] = dict) -> tuple[Row, ...]:
        """All rows of a file that can be built; the faults of the others are kept."""
        found = []
        for where, table in self.tables(stem):
            try:
                found.append(built(kind, change(table), where))
            except KnowledgeError as error:
                self.faults += error.faults
        return tuple(found)

    def by_id(self, stem: str, kind: type[Row], change: Callable[[Table], Table] = dict) -> dict[str, Row]:
        """Rows by id (or by target, for advice); an id that stands twice is a fault."""
        found: dict[str, Row] = {}
        for row in self.rows(stem, kind, change):
            key = str(getattr(row, "id", None) or row.target)  # type: ignore[attr-defined]
            if key in found:
                self.faults.append(f"{stem}.toml: {key} stands twice")
            found[key] = row
        return found

    def links(self, stem: str) -> tuple[Link, ...]:
        """Rows of a file of links; its two ends have names of their own in every file."""
        names = dict(zip(_ENDS[stem], ("origin", "target"), strict=True))
        return self.rows(stem, Link, lambda table: {names.get(key, key): value for key, value in table.items()})


def _safety(table: Table) -> Table:
    """A rule as it stands in the file, with its condition spread out."""
    flat = {key: value for key, value in table.items() if key != "when"}
    return flat | dict(table.get("when", {}))


def _advice(table: Table) -> Table:
    """An advice as it stands in the file, addressed to a mode or a cause."""
    target = table.get("mode") or table.get("cause")
    flat = {key: value for key, value in table.items() if key not in ("mode", "cause")}
    return flat | ({"target": target} if target else {})


def read(folder: Traversable) -> Knowledge:
    """The typed rows of a folder. Raises KnowledgeError naming every row that cannot be read."""
    reader = Reader(folder)
    held = Knowledge(
        findings=reader.by_id("findings", Finding),
        normals=reader.by_id("normals", Normal),
        modes=reader.by_id("modes", Mode),
        causes=reader.by_id("causes", Cause),
        mode_finding=reader.links("links-mode-finding"),
        cause_finding=reader.links("links-cause-finding"),
        cause_mode=reader.links("links-cause-mode"),
        mode_mode=reader.links("links-mode-mode"),
        contexts=reader.rows("contexts", Context),
        safety=reader.rows("safety", SafetyRule, _safety),
        conflicts=reader.rows("conflicts", ConflictPair),
        advice=reader.by_id("dispatch", Advice, _advice),
        version=fingerprint(folder),
    )
    if reader.faults:
        raise KnowledgeError(reader.faults)
    return held


def fingerprint(folder: Traversable) -> str:
    """First ten hexadecimal digits of the SHA-256 over the TOML files of a folder, by name."""
    digest = hashlib.sha256()
    for file in sorted(folder.iterdir(), key=lambda f: f.name):
        if file.name.endswith(".toml"):
            digest.update(file.name.encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()[:10]
