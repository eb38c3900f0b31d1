"""What a person reads for each id of a closed choice, so that a form needs no second request to show words."""

from __future__ import annotations

import re
from collections.abc import Sequence

from witnessmark import data, vocabulary
from witnessmark.api.units import dimensions

LABELS = data.table("witnessmark", "vocabulary.toml", dict[str, dict[str, str]])
_ID = re.compile(r"(?=.*[a-z])[a-z0-9]+([-_][a-z0-9]+)+")


@data.checked
def each_word_has_a_label() -> None:
    """DataError where a list of the vocabulary and its labels do not hold the same words."""
    for name, labels in LABELS().items():
        if list(labels) != [str(word) for word in vocabulary.words(getattr(vocabulary, name))]:
            raise data.DataError([f"vocabulary.toml: {name}: not the words of the list in vocabulary.py, in its order"])


def extensions(name: str, choices: Sequence[str | int]) -> dict[str, dict[str, str]]:
    """What stands beside the closed list of this name: `x-labels` by id, and `x-ucum` where the ids are units.

    Ids of lists that have no labels of their own are read as words: `over-current` is "over current".
    """
    units = {key: row for dimension in dimensions().values() for key, row in dimension.units.items()}
    ids = [str(choice) for choice in choices]
    if units.keys() >= set(ids):
        return {"x-labels": {key: units[key].label for key in ids}, "x-ucum": {key: units[key].ucum for key in ids}}
    own = LABELS().get(name, {})
    return {"x-labels": {key: own.get(key) or _plain(key) for key in ids}}


def _plain(word: str) -> str:
    return re.sub("[-_]", " ", word) if _ID.fullmatch(word) else word
