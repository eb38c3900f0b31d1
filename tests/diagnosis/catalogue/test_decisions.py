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
        (0.8949, "likely"),
        (0.7, "likely"),
        (0.6949, "more likely than not"),
        (0.5, "more likely than not"),
        (0.4949, "possible"),
        (0.2, "possible"),
        (0.1949, "unlikely"),
        (0.05, "unlikely"),
        (0.0449, "very unlikely"),
        (0.0, "very unlikely"),
    ],
)
def test_words(probability: float, word: str) -> None:
    assert decisions().word(probability) == word


def test_one_percentage_has_one_word() -> None:
    """What is shown is whole per cent: two numbers that are shown alike are called alike, and none out of its rank."""
    words: dict[int, set[str]] = {}
    for share in range(10_001):
        words.setdefault(round(share / 100), set()).add(decisions().word(share / 10_000))
    assert all(len(said) == 1 for said in words.values())
    rank = [next(iter(words[shown])) for shown in sorted(words)]
    assert list(dict.fromkeys(rank)) == sorted(set(rank), key=rank.index)


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
