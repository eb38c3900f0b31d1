"""From the TOML files of a knowledge folder to typed rows; every fault is named by file, row and key."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from operator import attrgetter
from typing import Any, Generic, Literal, TypeVar

from witnessmark import data
from witnessmark.diagnosis.catalogue.rows import (
    Advice,
    Cause,
    CauseFinding,
    CauseMode,
    ConflictPair,
    Context,
    Finding,
    Knowledge,
    Mode,
    ModeFinding,
    ModeMode,
    Normal,
    SafetyRule,
)

PACKAGE = "witnessmark.diagnosis"
FOLDER = "knowledge"
R = TypeVar("R", bound=data.Row)
Row_co = TypeVar("Row_co", bound=data.Row, covariant=True)


@dataclass(frozen=True, slots=True)
class RowFile(Generic[Row_co]):
    """A file of the shipped knowledge, registered, and how to read its namesake in another folder."""

    shipped: data.DataFile[dict[str, tuple[Row_co, ...]]]
    key: str

    @property
    def name(self) -> str:
        """The name of the file, without its folder."""
        return self.shipped.name.removeprefix(f"{FOLDER}/")

    def rows(self, folder: Traversable | None = None) -> tuple[Row_co, ...]:
        """The rows as they stand; of the shipped file where no folder is given. Raises DataError."""
        if folder is None:
            return self.shipped().get(self.key, ())
        return data.parsed(folder.joinpath(self.name), self.name, self.shipped.model).get(self.key, ())


def row_file(stem: str, key: str, kind: type[R]) -> RowFile[R]:
    """Register `<stem>.toml` of the knowledge, a list of rows under one key."""
    model: Any = dict[Literal[key], tuple[kind, ...]]  # type: ignore[valid-type]
    return RowFile(data.table(PACKAGE, f"{FOLDER}/{stem}.toml", model), key)


FINDINGS = row_file("findings", "finding", Finding)
NORMALS = row_file("normals", "normal", Normal)
MODES = row_file("modes", "mode", Mode)
CAUSES = row_file("causes", "cause", Cause)
MODE_FINDING = row_file("links-mode-finding", "link", ModeFinding)
CAUSE_FINDING = row_file("links-cause-finding", "link", CauseFinding)
CAUSE_MODE = row_file("links-cause-mode", "link", CauseMode)
MODE_MODE = row_file("links-mode-mode", "link", ModeMode)
CONTEXTS = row_file("contexts", "context", Context)
SAFETY = row_file("safety", "rule", SafetyRule)
CONFLICTS = row_file("conflicts", "pair", ConflictPair)
ADVICE = row_file("dispatch", "advice", Advice)


class Reading:
    """Reads files and gathers what is wrong with them, so that one run names every fault."""

    def __init__(self, folder: Traversable | None) -> None:
        self.folder = folder
        self.faults: list[str] = []

    def rows(self, file: RowFile[R]) -> tuple[R, ...]:
        """The rows of a file; none where it cannot be read."""
        try:
            return file.rows(self.folder)
        except data.DataError as error:
            self.faults += error.faults
            return ()

    def by_id(self, file: RowFile[R], key: Callable[[R], str] = attrgetter("id")) -> dict[str, R]:
        """Rows by id; one that stands twice is a fault."""
        rows = self.rows(file)
        self.faults += (f"{file.name}: {twice} stands twice" for twice in _repeated(map(key, rows)))
        return {key(row): row for row in rows}


def _repeated(keys: Iterable[str]) -> list[str]:
    counted = list(keys)
    return sorted({key for key in counted if counted.count(key) > 1})


def read(folder: Traversable | None = None) -> Knowledge:
    """The typed rows of a folder, of the shipped one by default. Raises DataError naming every row that is at fault."""
    reading = Reading(folder)
    knowledge = Knowledge(
        findings=reading.by_id(FINDINGS),
        normals=reading.by_id(NORMALS),
        modes=reading.by_id(MODES),
        causes=reading.by_id(CAUSES),
        mode_finding=reading.rows(MODE_FINDING),
        cause_finding=reading.rows(CAUSE_FINDING),
        cause_mode=reading.rows(CAUSE_MODE),
        mode_mode=reading.rows(MODE_MODE),
        contexts=reading.rows(CONTEXTS),
        safety=reading.rows(SAFETY),
        conflicts=reading.rows(CONFLICTS),
        advice=reading.by_id(ADVICE, attrgetter("target")),
    )
    if reading.faults:
        raise data.DataError(reading.faults)
    return knowledge
