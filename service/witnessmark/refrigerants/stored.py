"""Curves of mixtures that were traced off line, from the folder that an operator set (`serve --mixtures FOLDER`).

`witnessmark trace-mixture` writes them, one file a mixture, by the tracer of the shipped curves and as fine as these:
what takes too long, or fails, when it is first asked for is answered so. A start reads every file and refuses one
that is not what was written: another text of the mixture, curves that do not have the stated hash, another version of
the property library, or a dew line above the bubble line.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from witnessmark import data
from witnessmark.refrigerants import compositions, curves, library
from witnessmark.refrigerants.curves import Curves
from witnessmark.refrigerants.line_fit import in_order

Components = tuple[tuple[str, float], ...]


class Stored(data.Row):
    """A file: the text of the mixture, the SHA-256 of its curves in their shipped form, and the curves."""

    mixture: str
    sha256: str
    curves: Curves


def find(components: Components) -> Curves | None:
    """The curves of a mixture, in whatever order its components are named; None where none are kept."""
    return _kept().get(frozenset(components))


def text(mixture: str, found: Curves) -> str:
    """The file of a mixture."""
    shown = curves.to_json(found)
    return f'{{"mixture": {json.dumps(mixture)}, "sha256": "{_hash(found)}",\n"curves": {shown}}}\n'


def file_name(mixture: str) -> str:
    """The name of its file.

    >>> file_name("R-32/125 (60/40)")
    'R-32_125_60_40.json'
    """
    plain = mixture.replace("(", "").replace(")", "").replace(" ", "_").replace("/", "_")
    return f"{plain}.json"


@data.checked
def check_folder() -> None:
    """Every file of the folder is one that can be answered from. Raises data.DataError."""
    _kept()


def forget() -> None:
    """Read the folder anew on next use."""
    _kept.cache_clear()


@cache
def _kept() -> Mapping[frozenset[tuple[str, float]], Curves]:
    folder = data.mixtures_folder()
    if folder is None:
        return {}
    if not folder.is_dir():
        raise data.DataError([f"{folder}: there is no such folder of mixtures"])
    found: dict[frozenset[tuple[str, float]], Curves] = {}
    faults: list[str] = []
    for file in sorted(folder.glob("*.json")):
        try:
            components, line = _read(file)
        except data.DataError as error:
            faults += error.faults
            continue
        if found.setdefault(components, line) is not line:
            faults.append(f"{file.name}: the same mixture stands in another file too")
    if faults:
        raise data.DataError(faults)
    return found


def _read(file: Path) -> tuple[frozenset[tuple[str, float]], Curves]:
    stored = data.parsed(file, file.name, Stored)
    components = compositions.parse(stored.mixture)
    if components is None:
        raise data.DataError([f"{file.name}, mixture: not the text of a mixture"])
    if _hash(stored.curves) != stored.sha256:
        raise data.DataError([f"{file.name}: not the curves that were written (SHA-256 differs)"])
    if stored.curves.library != library.library_version():
        fault = f"traced with {stored.curves.library}, and the service runs {library.library_version()}: trace it anew"
        raise data.DataError([f"{file.name}: {fault}"])
    try:
        in_order(stored.curves.bubble, stored.curves.dew)
    except RuntimeError as error:
        raise data.DataError([f"{file.name}: {error}"]) from error
    return frozenset(components), stored.curves


def _hash(found: Curves) -> str:
    return hashlib.sha256(curves.to_json(found).encode()).hexdigest()
