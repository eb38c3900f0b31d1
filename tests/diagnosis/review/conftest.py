"""A copy of the shipped knowledge, and the means to spoil it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from witnessmark.diagnosis.catalogue.knowledge import shipped


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the shipped knowledge that a test may spoil."""
    return Path(shutil.copytree(str(shipped()), tmp_path / "knowledge"))


def spoil(folder: Path, name: str, old: str, new: str) -> None:
    file = folder / f"{name}.toml"
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), "utf-8")


def row(name: str, start: str) -> str:
    """The line of a shipped file that begins so."""
    lines = shipped().joinpath(f"{name}.toml").read_text("utf-8").splitlines()
    return next(line for line in lines if line.strip().startswith(start))
