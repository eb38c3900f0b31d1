"""A corpus of notes that was labelled earlier speaks of findings that there are, by the ids of today."""

import json
import os
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from witnessmark.diagnosis.catalogue.rows import Knowledge

RENAMED: dict[str, str | list[str]] = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "renamed_findings.toml").read_text("utf-8")
)
FOLDER = Path(os.environ.get("WITNESSMARK_DATA") or Path(__file__).parents[4] / "shared" / "data")


def labels() -> Iterator[str]:
    file = FOLDER / "note-corpus.jsonl"
    if not file.is_file():
        pytest.skip("note-corpus.jsonl is not here; name its folder in WITNESSMARK_DATA")
    for line in file.read_text("utf-8").splitlines():
        yield from json.loads(line)["labels"]


def today(label: str) -> set[str]:
    """The ids of today that an old label may mean: more than one where it was split."""
    new = RENAMED.get(label, label)
    return {new} if isinstance(new, str) else set(new)


def test_renamed_findings_exist_under_their_new_ids_only(shipped: Knowledge) -> None:
    known = shipped.findings.keys() | shipped.normals.keys()
    assert set().union(*map(today, RENAMED)) <= known
    assert not RENAMED.keys() & known


def test_every_label_of_the_corpus_is_a_finding_of_today(shipped: Knowledge) -> None:
    used = set(labels())
    assert len(used) > 100
    assert set().union(*map(today, used)) <= shipped.findings.keys() | shipped.normals.keys()
    assert "metal-paste-in-oil" in used, "the corpus still needs the map"
