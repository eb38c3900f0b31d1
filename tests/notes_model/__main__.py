"""Trains the learned reader of notes from corpus/ and writes it and docs/NOTES-MODEL.md: `make notes-model`."""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.notes_model.corpus import FOLDER, Line, read
from tests.notes_model.network import trained
from tests.notes_model.page import PAGE, PICTURE, measured
from tests.notes_model.readers import heard
from tests.notes_model.training import train
from witnessmark import diagnosis
from witnessmark.diagnosis.notes.model import store
from witnessmark.diagnosis.notes.model.reader import Model

PACKAGE = Path(diagnosis.__file__).parent
REVIEWED = "2026-11-29"
"""When the sentences were last looked through."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Train, write, and judge on writers held out."""
    parser = argparse.ArgumentParser("tests.notes_model", description=__doc__)
    parser.add_argument("--corpus", type=Path, default=FOLDER, help="folder of the sentences")
    parser.add_argument("--package", type=Path, default=PACKAGE, help="folder `diagnosis` that gets the model")
    parser.add_argument("--no-page", action="store_true", help="train only; leave docs/NOTES-MODEL.md as it is")
    parser.add_argument("--no-network", action="store_true", help="n-grams alone: what can be had without torch")
    options = parser.parse_args(arguments)
    lines = read(options.corpus)
    model, every = train(lines, None if options.no_network else trained)
    judged = [pair for pair in every if pair[0].line < len(lines)]
    write(model, lines, options.package)
    if not options.no_page:
        text, picture = measured(lines, heard(model, lines, judged))
        PAGE.write_text(text, "utf-8")
        PICTURE.write_text(picture, "utf-8")
    return 0


def write(model: Model, lines: Sequence[Line], package: Path) -> None:
    """Weights and description into the folder `knowledge` of the package."""
    weights = store.packed(thinned(model))
    row = {
        "source": "notes-model",
        "reviewed": REVIEWED,
        "lines": len(lines),
        "writers": len({line.writer for line in lines}),
        "sha256": hashlib.sha256(weights).hexdigest(),
        "findings": model.findings,
        "valued": sorted(model.valued),
        "outcomes": model.outcomes,
        "right": model.right,
        "spoken": model.spoken,
        "danger": model.danger,
        "level": model.level,
        "layers": model.network.layers if model.network else "",
    }
    (package / store.WEIGHTS).write_bytes(weights)
    (package / store.DESCRIBED.name).write_text(json.dumps(row, indent=1) + "\n", "utf-8")


def thinned(model: Model) -> Model:
    """Without weights of a single step of eight bits, hardly more than rounding loses: a tenth less to ship."""
    linear = model.mentions
    weights = np.where(np.abs(linear.weights) > 1, linear.weights, 0).astype(np.int8)
    return replace(model, mentions=replace(linear, weights=weights))


if __name__ == "__main__":
    sys.exit(main())
