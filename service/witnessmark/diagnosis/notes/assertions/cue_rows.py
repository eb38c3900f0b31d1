"""The rows of knowledge/scope.toml: words that say what a sentence does to a finding, by class."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import product
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.reference import SourceId

CueClass = TypeAliasType(
    "CueClass",
    Literal[
        "negation",
        "backward-negation",
        "closing-negation",
        "pseudo-negation",
        "double-negation",
        "termination",
        "uncertainty",
        "weak-uncertainty",
        "advice",
        "hypothetical",
        "only-way",
        "history",
        "recent",
        "present-time",
        "resolved",
        "replaced",
        "well-now",
        "well-found",
        "returned",
        "hearsay",
        "lecture",
        "other-subject",
        "this-subject",
        "pointer",
        "norm",
        "comparison",
        "reference-time",
        "unchecked",
        "done",
        "link",
        "own-target",
        "modifier",
        "perception",
        "machine",
        "until",
        "superlative",
        "unlike-ever",
        "belittling",
        "affirming",
        "affirming-end",
        "reported-condition",
        "asking",
        "beside",
    ],
)
"""What a cue does; assertion.py says how."""
MARK = "~"
"""Begins the concept of a class of cues: no pattern of the wording uses such a name."""
_MACHINE = "{machine}"


class Scope(Row):
    """The whole file. lasting: findings of the past by nature; comparing: findings that compare machines."""

    source: SourceId
    reviewed: str
    lasting: frozenset[str]
    comparing: frozenset[str]
    cues: dict[CueClass, tuple[str, ...]]


SCOPE = data.table(PACKAGE, f"{FOLDER}/scope.toml", Scope)


def spelt_out(words: str) -> Iterator[str]:
    """Every wording that a row stands for: `last|this year` is `last year` and `this year`."""
    for choice in product(*(part.split("|") for part in words.split())):
        yield " ".join(choice)


@cache
def cue_concepts() -> dict[str, tuple[str, ...]]:
    """The wordings of each class, under the name of its concept."""
    cues = SCOPE().cues
    machines = "|".join(name.replace(" ", "_") for name in cues["machine"])
    return {
        MARK + name: tuple(
            text.replace("_", " ") for row in rows for text in spelt_out(row.replace(_MACHINE, machines))
        )
        for name, rows in cues.items()
    }
