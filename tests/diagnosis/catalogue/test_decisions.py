"""The figures of the reasoning load, and the scale of words covers everything."""

from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.data import DataError, parsed
from witnessmark.diagnosis.catalogue.decisions import Decisions, decisions
from witnessmark.diagnosis.catalogue.knowledge import shipped


def changed(folder: Path, old: str, new: str) -> Decisions:
    text = shipped().joinpath("decisions.toml").read_text("utf-8")
    assert old in text
    (folder / "decisions.toml").write_text(text.replace(old, new), "utf-8")
    return parsed(folder / "decisions.toml", "decisions.toml", Decisions)


@pytest.mark.parametrize(
    ("probability", "word"),
    [
        (1.0, "very likely"),
        (0.9, "very likely"),
        (0.8999, "likely"),
        (0.7, "likely"),
        (0.6999, "more likely than not"),
        (0.5, "more likely than not"),
        (0.4999, "possible"),
        (0.2, "possible"),
        (0.1999, "unlikely"),
        (0.05, "unlikely"),
        (0.0499, "very unlikely"),
        (0.0, "very unlikely"),
    ],
)
def test_words(probability: float, word: str) -> None:
    assert decisions().word(probability) == word


def test_missing_and_unknown_figures_are_named(tmp_path: Path) -> None:
    with pytest.raises(DataError) as caught:
        changed(tmp_path, "\ndiagnosed = ", "\nproved = ")
    assert caught.value.faults == (
        "decisions.toml: verdict, diagnosed: Field required",
        "decisions.toml: verdict, proved: Extra inputs are not permitted",
    )


def test_the_scale_of_words_needs_a_floor(tmp_path: Path) -> None:
    with pytest.raises(DataError, match="down to 0"):
        changed(tmp_path, '"very unlikely" = 0.0', '"very unlikely" = 0.05')
