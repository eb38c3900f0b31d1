"""From the TOML files of a knowledge folder to typed rows; every fault is named by file, row and key."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from operator import attrgetter
from typing import Any, Generic, Literal, TypeVar

from witnessmark import data

PACKAGE = "witnessmark.diagnosis"
FOLDER = "knowledge"
R = TypeVar("R", bound=data.Row)
M = TypeVar("M")
Row_co = TypeVar("Row_co", bound=data.Row, covariant=True)


def namesake(folder: Traversable, registered: data.DataFile[M]) -> M | None:
    """The content of the file of this name in another folder; None where it has none. Raises DataError."""
    name = registered.name.removeprefix(f"{FOLDER}/")
    return data.parsed(folder.joinpath(name), name, registered.model) if folder.joinpath(name).is_file() else None


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


class RowReader:
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


def unknown(where: str, keys: Iterable[str], known: Iterable[str]) -> Iterator[str]:
    """One sentence for every key that is not known."""
    yield from (f"{where}: unknown id {key}" for key in sorted(set(keys) - set(known)))


def _repeated(keys: Iterable[str]) -> list[str]:
    counted = list(keys)
    return sorted({key for key in counted if counted.count(key) > 1})
