"""The wording file: compiled as documented, and consistent with the knowledge it points to."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.danger_rows import DANGER
from witnessmark.diagnosis.notes.phrase_rows import PHRASES, SPANISH, Phrases
from witnessmark.diagnosis.notes.vocabulary import (
    Pattern,
    Slot,
    Vocabulary,
    check_phrases,
    compiled,
    vocabulary,
)
from witnessmark.reference import source


def small(**changes: object) -> Phrases:
    """A wording of two words, as its file would hold it, with other tables."""
    table: dict[str, Any] = {
        "source": "common-practice",
        "reviewed": "2026-11",
        "words": {
            "abbreviations": {"comp": "compressor"},
            "lists": {"function": "the", "articles": "the", "plain": "house"},
        },
        "concepts": {"OIL": ["oil", "sump oil"], "OK": ["ok"], "LOW": ["low"], "HIGH": ["high"], "BAD": ["bad"]},
        "heads": {"names": ["OIL"]},
        "decoys": {"words": ["oil tank"]},
        "phrase": [{"findings": ["oil-burnt"], "words": ["OIL black|brown"]}],
        "topic": [],
    }
    return Phrases.model_validate_json(json.dumps({**table, **changes}), strict=True)


def patterns(words: Vocabulary) -> Iterator[Pattern]:
    """Every pattern once, topics included."""
    return iter({pattern: None for group in words.patterns.values() for pattern in group})


def texts(phrases: Phrases) -> dict[str, Pattern]:
    return {pattern.text: pattern for pattern in patterns(compiled(phrases))}


def test_a_phrase_is_compiled_into_slots() -> None:
    (pattern,) = patterns(compiled(small()))
    assert pattern.slots == (Slot(("OIL",)), Slot(("black", "brown")))
    assert pattern.targets == (("oil-burnt", "present"),)
    assert (pattern.weight, pattern.tight, pattern.anchor) == (1.0, False, 0)


def test_the_anchor_is_the_slot_with_the_fewest_wordings() -> None:
    (pattern,) = patterns(compiled(small(phrase=[{"findings": ["oil-burnt"], "words": ["OIL black"]}])))
    assert pattern.anchor == 1


def test_literal_words_come_out_of_the_tokeniser_in_the_same_way() -> None:
    (pattern,) = patterns(compiled(small(phrase=[{"findings": ["x"], "words": ["comp >knocking"]}])))
    assert pattern.slots == (Slot(("compressor",)), Slot(("knock",), after_previous=True))


def test_a_topic_gives_normal_and_bad_wording() -> None:
    table = small(
        topic=[{"findings": ["oil-burnt"], "words": ["OIL"], "bad": ["oil-wrong-type"], "weight": 0.9}], phrase=[]
    )
    result = texts(table)
    assert result["OIL"].topic
    assert result["OIL"].targets == (("oil-burnt", "unknown"),)
    assert result["OIL OK"].targets == (("oil-burnt", "absent"),)
    assert result["OIL BAD"].targets == (("oil-wrong-type", "present"),)
    assert (result["OIL OK"].tight, result["OIL OK"].weight) == (True, 0.9)
    assert set(result) == {"OIL", "OIL OK", "OIL BAD"}


def test_a_three_way_topic_gives_low_and_high_too() -> None:
    result = texts(small(topic=[{"findings": ["q"], "words": ["OIL"], "three_way": True}], phrase=[]))
    assert {text: p.targets for text, p in result.items()} == {
        "OIL": (("q", "unknown"),),
        "OIL OK": (("q", "normal"),),
        "OIL LOW": (("q", "low"),),
        "OIL HIGH": (("q", "high"),),
    }


def test_a_topic_without_ok_words_only_knows_that_nobody_looked() -> None:
    assert set(texts(small(topic=[{"findings": ["q"], "words": ["OIL"], "ok": []}], phrase=[]))) == {"OIL"}


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ({"findings": ["x"], "words": ["PETROL black"]}, "PETROL, which is not defined"),
        ({"findings": ["x"], "state": "gone", "words": ["OIL"]}, "Input should be 'present'"),
    ],
)
def test_a_row_that_cannot_be_right_is_named(row: dict[str, object], fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        compiled(small(phrase=[row]))


def test_wording_of_what_does_not_exist_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    check_phrases()
    wrong = small(
        phrase=[{"findings": ["apparent-charm"], "words": ["OIL black"]}],
        topic=[{"findings": ["oil-burnt"], "words": ["OIL"], "bad": ["oil-sour"]}],
    )
    foreign = SPANISH().model_copy(update={"concepts": {"OIL": ("aceite",), "GOSSIP": ("chisme",)}, "phrase": ()})
    monkeypatch.setattr("witnessmark.diagnosis.notes.vocabulary.PHRASES", lambda: wrong)
    monkeypatch.setattr("witnessmark.diagnosis.notes.vocabulary.SPANISH", lambda: foreign)
    with pytest.raises(DataError) as caught:
        check_phrases()
    assert caught.value.faults == (
        "phrases.toml, spanish.toml: unknown finding apparent-charm",
        "phrases.toml, spanish.toml: unknown finding oil-sour",
        "spanish.toml: unknown concept GOSSIP",
    )


def test_words_of_another_language_are_found_and_no_misspelt_word_is_taken_for_one() -> None:
    words = vocabulary()
    assert words.wordings.further["cojinet"].names == ["BEARING"]
    assert "cojinet" not in words.lexicon.stems
    assert words.lexicon.correct("cojinet") == ("cojinet", 1.0)


def test_concepts_form_a_tree_of_stems() -> None:
    words = compiled(small())
    oil = words.wordings.further["oil"]
    assert oil.names == ["OIL"]
    assert oil.further["tank"].names == ["DECOY"]
    assert words.wordings.further["sump"].further["oil"].names == ["OIL"]
    assert {"oil", "black", "brown"} <= words.lexicon.stems


def sentences_of() -> list[tuple[str, str]]:
    return [target for pattern in patterns(vocabulary()) for target in pattern.targets]


def test_every_phrase_is_about_something_that_exists() -> None:
    known = knowledge()
    assert {finding for finding, _ in sentences_of()} <= set(known.findings) | set(known.normals)


def test_every_finding_has_wording_of_its_own() -> None:
    worded = {finding for finding, state in sentences_of() if state in {"present", "low", "high"}}
    worded |= {row.finding for row in DANGER().danger}
    assert set(knowledge().findings) - worded == set()


def test_three_way_findings_have_wording_for_both_sides() -> None:
    three_way = {f.id for f in knowledge().findings.values() if f.kind == "three-way"}
    for state in ("low", "high"):
        assert three_way <= {finding for finding, s in sentences_of() if s == state}


def test_states_suit_the_kind_of_finding() -> None:
    known = knowledge()
    kinds = {f.id: f.kind for f in known.findings.values()} | dict.fromkeys(known.normals, "yes-no")
    allowed = {"yes-no": {"present", "absent", "unknown"}, "three-way": {"low", "normal", "high", "unknown"}}
    assert not {(finding, state) for finding, state in sentences_of() if state not in allowed[kinds[finding]]}


def test_every_concept_is_used_and_every_topic_name_exists() -> None:
    file = PHRASES()
    used = {name for pattern in patterns(vocabulary()) for slot in pattern.slots for name in slot.names}
    marks = {"BUT", "AND", "ELSEWHERE"}
    assert set(file.concepts) - used == marks
    assert set(file.heads.names) <= set(file.concepts)
    assert source(file.source).trust == "common practice"


def test_no_wording_of_a_concept_is_repeated() -> None:
    for name, words in PHRASES().concepts.items():
        assert len(words) == len(set(words)), name


def test_guarded_words_do_not_hide_trade_words() -> None:
    words = compiled(PHRASES())
    assert not words.lexicon.plain & words.lexicon.stems
