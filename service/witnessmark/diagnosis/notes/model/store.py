"""The learned reader as it is shipped: a description (JSON) and its weights beside it, held to the hash in it."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.notes.model.linear import Linear, NGrams
from witnessmark.diagnosis.notes.model.meaning import Meaning
from witnessmark.diagnosis.notes.model.reader import DANGER, Model
from witnessmark.diagnosis.notes.model.vectors import Vectors
from witnessmark.diagnosis.notes.model.windows import Windows
from witnessmark.reference import SourceId

Arrays: TypeAlias = Mapping[str, NDArray[Any]]
WEIGHTS = f"{FOLDER}/notes-model.npz"
VECTORS = f"{FOLDER}/notes-vectors.npz"


class Described(Row):
    """What the weights mean. sha256: of the file of weights. lines, writers: what it was trained on.

    right: by outcome, the curve from margins to how often it is right; spoken: the same for being spoken of at all;
    danger: for danger to people, and the level from which somebody should ring back.
    """

    source: SourceId
    reviewed: str
    lines: int
    writers: int
    sha256: str
    findings: tuple[str, ...]
    valued: frozenset[str]
    outcomes: tuple[str, ...]
    right: dict[str, tuple[float, ...]]
    spoken: tuple[float, ...]
    danger: tuple[float, ...]
    level: float


class Distilled(Row):
    """What the vectors of pieces of words were made from, under which licence, and the SHA-256 of their file."""

    source: SourceId
    reviewed: str
    made_from: str
    licence: str
    changes: str
    sha256: str


DESCRIBED = data.table(PACKAGE, f"{FOLDER}/notes-model.json", Described)
DISTILLED = data.table(PACKAGE, f"{FOLDER}/notes-vectors.json", Distilled)


@cache
def shipped() -> Model:
    """The learned reader of the package. Raises data.DataError where the weights are not those that are described."""
    return unpacked(DESCRIBED(), files(PACKAGE).joinpath(WEIGHTS).read_bytes())


@cache
def vectors() -> Vectors:
    """Vectors of pieces of words. Raises data.DataError where they are not those that are described."""
    held = _held(files(PACKAGE).joinpath(VECTORS).read_bytes(), DISTILLED().sha256, VECTORS)
    with np.load(held, allow_pickle=False) as arrays:
        pieces = arrays["pieces"].tobytes().decode().split("\n")
        return Vectors({piece: row for row, piece in enumerate(pieces)}, arrays["vectors"], arrays["scale"])


def packed_vectors(known: Vectors) -> bytes:
    """The vectors as one file; pieces in the order of their rows."""
    pieces = np.frombuffer("\n".join(sorted(known.pieces, key=known.pieces.__getitem__)).encode(), np.uint8)
    return _file({"pieces": pieces, "vectors": known.table, "scale": known.scale})


@data.checked
def check_weights() -> None:
    """The weights are whole and speak of known findings only. Raises data.DataError."""
    known = knowledge().findings.keys() | knowledge().normals.keys()
    if unknown := sorted({*shipped().findings} - known - {DANGER}):
        raise data.DataError([f"{DESCRIBED.name}: unknown findings {', '.join(unknown)}"])


def packed(model: Model) -> bytes:
    """The weights as one file; the same model gives the same bytes."""
    arrays: dict[str, NDArray[Any]] = {
        "keys": model.grams.keys,
        "rarity": model.grams.rarity,
        "letters": model.grams.letters,
        "order-keys": model.order_keys,
        **_parts("mentions", model.mentions),
        **_parts("order", model.order),
    }
    if model.meaning:
        windows = model.meaning.windows
        tables = {"inner": model.meaning.inner, "outer": model.meaning.outer, "units": windows.units}
        tables |= {"focus": windows.focus, "said": windows.outer}
        arrays |= {"middle": model.meaning.middle}
        arrays |= {key: part for name, table in tables.items() for key, part in _parts(name, table).items()}
    return _file(arrays)


def _parts(name: str, table: Linear) -> dict[str, NDArray[Any]]:
    return {f"{name}-{part}": getattr(table, part) for part in Linear.__slots__}


def _file(arrays: Arrays) -> bytes:
    file = io.BytesIO()
    np.savez_compressed(file, **arrays)  # type: ignore[arg-type]
    return file.getvalue()


def _held(content: bytes, sha256: str, name: str) -> io.BytesIO:
    """The content, if it is what is described."""
    if hashlib.sha256(content).hexdigest() != sha256:
        raise data.DataError([f"{name}: not what is described (SHA-256 differs)"])
    return io.BytesIO(content)


def unpacked(row: Described, weights: bytes) -> Model:
    """Description and weights as a reader. Raises data.DataError."""
    with np.load(_held(weights, row.sha256, WEIGHTS), allow_pickle=False) as arrays:
        return Model(
            findings=row.findings,
            valued=row.valued,
            outcomes=row.outcomes,
            grams=NGrams(arrays["keys"], arrays["rarity"], arrays["letters"]),
            mentions=_linear(arrays, "mentions"),
            order_keys=arrays["order-keys"],
            order=_linear(arrays, "order"),
            right=row.right,
            spoken=row.spoken,
            danger=row.danger,
            level=row.level,
            meaning=_meaning(arrays) if "middle" in arrays else None,
        )


def _meaning(arrays: Arrays) -> Meaning:
    inner, outer, units, focus, said = (_linear(arrays, name) for name in ("inner", "outer", "units", "focus", "said"))
    return Meaning(vectors(), arrays["middle"], inner, outer, Windows(units, focus, said))


def _linear(arrays: Arrays, name: str) -> Linear:
    return Linear(*(arrays[f"{name}-{part}"] for part in Linear.__slots__))
