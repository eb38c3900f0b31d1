"""The rows of knowledge/facts.toml, and the concepts they add to the vocabulary."""

from __future__ import annotations

from functools import cache
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.diagnosis.notes.assertions.cue_rows import spelt_out
from witnessmark.reference import SourceId

FactKind = TypeAliasType(
    "FactKind",
    Literal[
        "refrigerant",
        "compressor",
        "construction",
        "phases",
        "drive",
        "age",
        "running hours",
        "replaced",
        "urgency",
        "speaker",
        "alarm",
    ],
)
"""What a fact of a note is about."""
MARK = "$"
KEEPS_GOODS, RUNS_ON = f"{MARK}keeps-goods", f"{MARK}runs-on"
"""Begins every concept of facts: no pattern uses such a name and no decoy hides it."""


class Facts(Row):
    """The whole file: wordings by kind and value, of machines that keep goods, and of one that runs.

    aside_behind, aside_ahead: words beside one of an urgency that make a name of it, or tell that it is not at stake.
    """

    source: SourceId
    reviewed: str
    keeps_goods: tuple[str, ...]
    runs_on: tuple[str, ...]
    aside_behind: tuple[str, ...]
    aside_ahead: tuple[str, ...]
    facts: dict[FactKind, dict[str, tuple[str, ...]]]


FACTS = data.table(PACKAGE, f"{FOLDER}/facts.toml", Facts)


def name_of(kind: str, value: str) -> str:
    """The concept of a value."""
    return f"{MARK}{kind}={value}"


@cache
def fact_concepts() -> dict[str, tuple[str, ...]]:
    """The wordings of every value, of machines that keep goods, and of one that runs."""
    told = {
        name_of(kind, value): tuple(text for row in words for text in spelt_out(row))
        for kind, values in FACTS().facts.items()
        for value, words in values.items()
    }
    beside = {KEEPS_GOODS: FACTS().keeps_goods, RUNS_ON: FACTS().runs_on}
    return told | {name: tuple(text for row in rows for text in spelt_out(row)) for name, rows in beside.items()}
