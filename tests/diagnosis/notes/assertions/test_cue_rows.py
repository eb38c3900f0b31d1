"""The cue words: every class has wording, alternatives are spelt out."""

from __future__ import annotations

from typing import get_args

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.assertions.cue_rows import MARK, SCOPE, CueClass, cue_concepts, spelt_out


def test_alternatives_are_spelt_out() -> None:
    assert [*spelt_out("last|this year ago|back")] == [
        "last year ago",
        "last year back",
        "this year ago",
        "this year back",
    ]


def test_every_class_has_words_and_machines_of_several_words_are_kept() -> None:
    assert set(SCOPE().cues) == set(get_args(CueClass.__value__))
    assert "other heat pump" in cue_concepts()[f"{MARK}other-subject"]
    assert all(words for words in cue_concepts().values())


def test_the_findings_it_names_exist() -> None:
    assert SCOPE().lasting | SCOPE().comparing <= set(knowledge().findings)
