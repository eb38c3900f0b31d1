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
from witnessmark.diagnosis.notes.model.network import Network
from witnessmark.diagnosis.notes.model.reader import DANGER, Model
from witnessmark.diagnosis.notes.model.trees import Trees
from witnessmark.reference import SourceId

Arrays: TypeAlias = Mapping[str, NDArray[Any]]
WEIGHTS = f"{FOLDER}/notes-model.npz"
_NETWORK, _TREES = "network-", "trees-"


class Described(Row):
    """What the weights mean. sha256: of the file of weights. lines, writers: what it was trained on.

    right: by outcome, the curve from margins to how often it is right; spoken: the same for being spoken of at all;
    danger: for danger to people, and the level from which somebody should ring back. layers: those of the network.
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
    layers: str = ""


DESCRIBED = data.table(PACKAGE, f"{FOLDER}/notes-model.json", Described)


@cache
def shipped() -> Model:
    """The learned reader of the package. Raises data.DataError where the weights are not those that are described."""
    return unpacked(DESCRIBED(), files(PACKAGE).joinpath(WEIGHTS).read_bytes())


@data.checked
def check_weights() -> None:
    """The weights are whole and speak of known findings only. Raises data.DataError."""
    known = knowledge().findings.keys() | knowledge().normals.keys()
    if unknown := sorted({*shipped().findings} - known - {DANGER}):
        raise data.DataError([f"{DESCRIBED.name}: unknown findings {', '.join(unknown)}"])


def packed(model: Model) -> bytes:
    """The weights as one file; the same model gives the same bytes."""
    arrays = {
        "keys": model.grams.keys,
        "rarity": model.grams.rarity,
        "letters": model.grams.letters,
        "order-keys": model.order_keys,
        **{f"mentions-{part}": getattr(model.mentions, part) for part in Linear.__slots__},
        **{f"order-{part}": getattr(model.order, part) for part in Linear.__slots__},
    }
    if model.network is not None:
        letters = np.frombuffer("\n".join(model.network.pieces).encode(), np.uint8)
        arrays |= {"pieces": letters, **{f"{_NETWORK}{name}": w for name, w in model.network.weights.items()}}
    if model.trees is not None:
        arrays |= {f"{_TREES}{part}": getattr(model.trees, part) for part in Trees.__slots__}
    file = io.BytesIO()
    np.savez_compressed(file, **arrays)
    return file.getvalue()


def unpacked(row: Described, weights: bytes) -> Model:
    """Description and weights as a reader. Raises data.DataError."""
    if hashlib.sha256(weights).hexdigest() != row.sha256:
        raise data.DataError([f"{WEIGHTS}: not the weights that {DESCRIBED.name} describes (SHA-256 differs)"])
    with np.load(io.BytesIO(weights), allow_pickle=False) as arrays:
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
            network=_network(arrays, row.layers) if row.layers else None,
            trees=Trees(*(arrays[f"{_TREES}{part}"] for part in Trees.__slots__))
            if f"{_TREES}roots" in arrays
            else None,
        )


def _network(arrays: Arrays, layers: str) -> Network:
    weights = {name.removeprefix(_NETWORK): arrays[name] for name in arrays if name.startswith(_NETWORK)}
    return Network(tuple(bytes(arrays["pieces"]).decode().split("\n")), layers, weights)


def _linear(arrays: Arrays, name: str) -> Linear:
    return Linear(*(arrays[f"{name}-{part}"] for part in Linear.__slots__))
