"""The figures of the reasoning load, and the scale of words covers everything."""

from __future__ import annotations

import tomllib

import pytest

from witnessmark.diagnosis.catalogue.decisions import decided, decisions
from witnessmark.diagnosis.catalogue.knowledge import KnowledgeError, shipped


@pytest.mark.parametrize(
    ("probability", "word"),
    [
        (1.0, "very likely"),
        (0.9, "very likely"),
        (0.7, "likely"),
        (0.3, "possible"),
        (0.1, "unlikely"),
        (0.0, "very unlikely"),
    ],
)
def test_words(probability: float, word: str) -> None:
    assert decisions().word(probability) == word


def test_missing_and_unknown_figures_are_named() -> None:
    tables = tomllib.loads(shipped().joinpath("decisions.toml").read_text("utf-8"))
    tables["verdict"].pop("diagnosed")
    with pytest.raises(KnowledgeError, match="verdict: no diagnosed"):
        decided(tables)


def test_the_scale_of_words_needs_a_floor() -> None:
    tables = tomllib.loads(shipped().joinpath("decisions.toml").read_text("utf-8"))
    tables["words"] = {"sure": 0.9, "perhaps": 0.1}
    with pytest.raises(ValueError, match="down to 0"):
        decided(tables)
