"""The sentences that the learned reader is trained on; see corpus/README.md for what they are and are not."""

from __future__ import annotations

import lzma
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from witnessmark.diagnosis.notes.model.reader import DANGER

FOLDER = Path(__file__).with_name("corpus")
STATES = ("present", "absent", "low", "normal", "high", "history", "doubt", "other machine", "advice")
"""How a finding can be told. The last four say nothing of this machine now."""
CERTAIN = STATES[:5]
_SOME = {"danger": DANGER}
"""Danger to people for which no finding stands."""
_SHORT = dict(zip("palnhHdot", STATES[:2] + STATES[2:5] + STATES[5:], strict=True))


@dataclass(frozen=True, slots=True)
class Line:
    """One sentence or short note by one writer; labels: finding to state."""

    writer: str
    language: str
    style: str
    text: str
    labels: dict[str, str]


def read(folder: Path = FOLDER) -> list[Line]:
    """Every line of every `*.tsv` and `*.tsv.xz` of the folder: writer, language, style, text, labels."""
    files = sorted([*folder.glob("*.tsv"), *folder.glob("*.tsv.xz")])
    return [line for file in files for line in _lines(_text(file))]


def _text(file: Path) -> str:
    return lzma.decompress(file.read_bytes()).decode() if file.suffix == ".xz" else file.read_text("utf-8")


def _lines(text: str) -> Iterator[Line]:
    for row in text.splitlines():
        writer, language, style, words, labels = row.split("\t")
        told = [label.split("=") for label in labels.split()]
        yield Line(writer, language, style, words, {_SOME.get(name, name): _SHORT[state] for name, state in told})
