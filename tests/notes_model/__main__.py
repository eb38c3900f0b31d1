"""Trains the learned reader of notes from corpus/ and writes it and docs/NOTES-MODEL.md: `python -m tests.notes_model`."""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.notes_model import baselines, page
from tests.notes_model.corpus import CERTAIN, FOLDER, Line, read
from tests.notes_model.readers import Opinion, both, learned, ruled
from tests.notes_model.scores import Said
from tests.notes_model.training import train
from witnessmark import diagnosis
from witnessmark.diagnosis.notes.model import store
from witnessmark.diagnosis.notes.model.reader import Model
from witnessmark.diagnosis.notes.scoring import THRESHOLD

PACKAGE = Path(diagnosis.__file__).parent
SHARES = (4, 2)
"""Parts of the writers that the learning curve is drawn with, beside the whole."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Train, judge on writers held out, write."""
    parser = argparse.ArgumentParser("tests.notes_model", description=__doc__)
    parser.add_argument("--corpus", type=Path, default=FOLDER, help="folder of the sentences")
    parser.add_argument("--package", type=Path, default=PACKAGE, help="folder `diagnosis` that gets the model")
    parser.add_argument("--page", action="store_true", help="judge too, and write docs/NOTES-MODEL.md")
    options = parser.parse_args(arguments)
    lines = read(options.corpus)
    model, judged = train(lines)
    write(model, lines, options.package)
    if options.page:
        opinions = learned(model, lines, judged)
        page.write(lines, opinions)
    return 0


def write(model: Model, lines: Sequence[Line], package: Path) -> None:
    """Weights and description into the folder `knowledge` of the package."""
    weights = store.packed(model)
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
    }
    (package / store.WEIGHTS).write_bytes(weights)
    (package / store.DESCRIBED.name).write_text(json.dumps(row, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    sys.exit(main())
