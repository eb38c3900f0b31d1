"""The one loader of data files: typed, frozen, checked and registered, so that a start checks every one of them.

A module that reads a file names it once, at import: `SIZING = data.table(__package__, "sizing.toml", Sizing)`; then
`SIZING()` is the validated object, read on first use. `check()` reads every registered file, runs every registered
check and refuses files that nobody registered; the service calls it before the first request.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ConfigDict, TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from witnessmark.settings import current

M = TypeVar("M")
Check = Callable[[], object]
C = TypeVar("C", bound=Check)
ROOT = "witnessmark"
SUFFIXES = (".toml", ".json")
APART = frozenset({"api/examples", "demo"})
"""Folders whose files are shown to people and decide nothing: the examples of the document, the demonstration."""


class DataError(ValueError):
    """Data files that cannot be used; `faults` has one sentence a fault: file, row, what is wrong."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(self.faults))


class Row(BaseModel):
    """Base of everything read from a data file: frozen, no unknown keys, nothing coerced."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


@dataclass(slots=True)
class DataFile(Generic[M]):
    """One registered file; calling it gives its content, read and checked on first use."""

    package: str
    name: str
    model: type[M]
    _content: list[M] = field(default_factory=list)

    @property
    def path(self) -> str:
        """Where the file lies below the package, with slashes."""
        return "/".join((*self.package.split(".")[1:], self.name))

    def __call__(self) -> M:
        """The content. Raises DataError naming file, row and fault."""
        if not self._content:
            self._content.append(load(self.package, self.name, self.model))
        return self._content[0]

    def forget(self) -> None:
        """Read the file anew on next use."""
        self._content.clear()


_FILES: dict[str, DataFile[Any]] = {}
_CHECKS: dict[str, Check] = {}


def table(package: str, name: str, model: type[M]) -> DataFile[M]:
    """Register a TOML or JSON file that stands beside the code of `package` (it may lie in a folder below)."""
    registered = DataFile(package, name, model)
    _FILES[registered.path] = registered
    return registered


def tables(package: str, folder: str, model: type[M]) -> dict[str, DataFile[M]]:
    """Register every TOML and JSON file of a folder; by name without its ending, in the order of the alphabet."""
    names = sorted(file.name for file in files(package).joinpath(folder).iterdir() if file.name.endswith(SUFFIXES))
    return {name.rpartition(".")[0]: table(package, f"{folder}/{name}", model) for name in names}


def checked(check: C) -> C:
    """Decorator: a start runs this too; it raises DataError (or KeyError, ValueError) where files do not agree."""
    _CHECKS[f"{check.__module__}.{getattr(check, '__qualname__', '')}"] = check
    return check


def load(package: str, name: str, model: type[M]) -> M:
    """The content of a file as `model`, strict and frozen. Raises DataError naming file, row and fault.

    model: a Row, or any type that pydantic can validate (`dict[str, Rule]`, `tuple[Limit, ...]`).
    """
    return parsed(files(package).joinpath(name), name, model)


def parsed(file: Traversable, name: str, model: type[M]) -> M:
    """As `load`, for a file anywhere; `name` stands in the faults."""
    try:
        content: M = _adapter(model).validate_json(_as_json(name, _bytes(file)), strict=True)  # type: ignore[arg-type]
    except ValidationError as error:
        raise DataError(f"{name}: {_fault(detail)}" for detail in error.errors(include_url=False)) from error
    except (OSError, ValueError) as error:
        raise DataError([f"{name}: {error}"]) from error
    return content


def sealed(package: str, name: str, sha256: str) -> bytes:
    """The content of a file that is neither TOML nor JSON, held to the hash that a registered file states for it.

    Raises DataError where it is missing or another one.
    """
    try:
        content = _bytes(files(package).joinpath(name))
    except OSError as error:
        raise DataError([f"{name}: {error}"]) from error
    if hashlib.sha256(content).hexdigest() != sha256:
        raise DataError([f"{name}: not the file that is described (SHA-256 differs)"])
    return content


def only(package: str, folder: str, names: Iterable[str]) -> None:
    """Raises DataError where the folder holds files of other names, which nobody reads."""
    there = {file.name for file in files(package).joinpath(folder).iterdir()}
    if strays := sorted(there - set(names)):
        raise DataError(f"{folder}/{name}: nobody reads this file" for name in strays)


def check() -> None:
    """Read every registered file and run every registered check. Raises DataError with all faults found."""
    faults = [f"{path}: nobody reads this file" for path in sorted(set(shipped()) - set(_FILES))]
    runs: tuple[Check, ...] = (*_FILES.values(), *_CHECKS.values())
    for run in runs:
        try:
            run()
        except DataError as error:
            faults += error.faults
        except (KeyError, ValueError) as error:
            faults.append(f"{getattr(run, '__module__', '')}: {error}")
    if faults:
        raise DataError(dict.fromkeys(faults))


def shipped() -> Iterator[str]:
    """Paths of all TOML and JSON files of the package, below it, with slashes."""
    return _below(files(ROOT), "")


@cache
def version(below: str | tuple[str, ...] = "") -> str:
    """First ten hexadecimal digits of the SHA-256 over names and bytes of every data file: the state of knowledge.

    With a folder of knowledge of one's own its files count too, and so do curves of mixtures.
    below: only files whose path begins so, or in one of these ways; that is a digest of a part and no version
    (`version("diagnosis/")`).
    """
    digest = hashlib.sha256()
    for path in sorted(path for path in shipped() if path.startswith(below)):
        digest.update(path.encode() + b"\0" + _bytes(files(ROOT).joinpath(path)))
    if not below and (own := own_folder()) is not None:
        for file in sorted(own.glob("*.toml")):
            digest.update(f"own/{file.name}".encode() + b"\0" + file.read_bytes())
    if not below and (mixtures := mixtures_folder()) is not None:
        for file in sorted(mixtures.glob("*.json")):
            digest.update(f"mixtures/{file.name}".encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()[:10]


def own_folder() -> Path | None:
    """The folder of knowledge that whoever runs the service set in place of the shipped; None: the shipped."""
    return Path(chosen) if (chosen := current().knowledge) else None


def mixtures_folder() -> Path | None:
    """The folder of curves of mixtures that whoever runs the service set; None: there is none."""
    return Path(chosen) if (chosen := current().mixtures) else None


def _below(folder: Traversable, path: str) -> Iterator[str]:
    for entry in folder.iterdir():
        name = f"{path}{entry.name}"
        if entry.is_dir() and name not in APART:
            yield from _below(entry, f"{name}/")
        elif entry.name.endswith(SUFFIXES):
            yield name


def _bytes(file: Traversable) -> bytes:
    return file.read_bytes()


def _as_json(name: str, content: bytes) -> bytes:
    """The content as JSON: strict validation then takes arrays for tuples and sets, and nothing else for a number."""
    if name.endswith(".json"):
        return content
    return json.dumps(tomllib.loads(content.decode()), default=str).encode()


@cache
def _adapter(model: Any) -> TypeAdapter[Any]:
    return TypeAdapter(model)


def _fault(detail: ErrorDetails) -> str:
    """Row and fault in words: `limit 3, value: Input should be a valid number`; rows count from 1."""
    steps = [f" {step + 1}" if isinstance(step, int) else f", {step}" for step in detail["loc"]]
    return f"{''.join(steps).removeprefix(', ').strip() or 'the file'}: {detail['msg']}"
