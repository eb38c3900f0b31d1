"""What the fuzzer starts from: bytes that reach far into each target, and whatever once broke a promise.

A file `seeds/<target>.txt` holds one seed a line, as Python writes bytes between its quotes.
"""

from __future__ import annotations

import ast
from pathlib import Path

FOLDER = Path(__file__).with_name("seeds")


def seeds(target: str) -> list[bytes]:
    """The seeds of a target."""
    lines = (FOLDER / f"{target}.txt").read_text("ascii").splitlines()
    return [ast.literal_eval(f'b"{line}"') for line in lines if line and not line.startswith("#")]


def lay_out(target: str, corpus: Path) -> None:
    """Put the seeds of a target into the corpus that the fuzzer grows."""
    corpus.mkdir(parents=True, exist_ok=True)
    for place, seed in enumerate(seeds(target)):
        (corpus / f"seed-{place:03}").write_bytes(seed)
