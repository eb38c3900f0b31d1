"""The wording file: compiled as documented, and consistent with the knowledge it points to."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.notes.danger_rows import DANGER
from witnessmark.diagnosis.notes.phrase_rows import PHRASES, Phrases
from witnessmark.diagnosis.notes.tokens import stem
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
        "quantity": [],
        "unit": [],
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
    quantity = {"dimension": "temperature", "words": ["OIL"], "readings": ["charm"]}
    wrong = small(
        phrase=[{"findings": ["apparent-charm"], "words": ["OIL black"]}],
        topic=[{"findings": ["oil-burnt"], "words": ["OIL"], "bad": ["oil-sour"]}],
        quantity=[quantity, {**quantity, "readings": [], "own": [{"finding": "age", "high": 1.0}]}],
    )
    monkeypatch.setattr("witnessmark.diagnosis.notes.vocabulary.PHRASES", lambda: wrong)
    with pytest.raises(DataError) as caught:
        check_phrases()
    assert caught.value.faults == (
        "phrases.toml: unknown finding age",
        "phrases.toml: unknown finding apparent-charm",
        "phrases.toml: unknown finding oil-sour",
        "phrases.toml: unknown reading charm",
    )


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


def test_readings_are_those_of_the_engine_and_units_exist() -> None:
    units = PHRASES().unit
    for row in PHRASES().quantity:
        assert set(row.readings) <= set(catalogue())
        names = {unit.name for unit in units if unit.dimension == row.dimension}
        assert names
        assert set(row.bare) <= names
        assert bool(row.readings) != bool(row.own)
        assert {limit.finding for limit in row.own} <= set(knowledge().findings)


def test_own_limits_are_those_of_the_findings_text() -> None:
    """`high-hours` has no reading in the catalogue: its text gives 60 000 run hours or 15 years."""
    limits = sorted(limit.high for row in PHRASES().quantity for limit in row.own)
    assert limits == [60_000 * 3600, 15 * 365.25 * 24 * 3600]
    assert "60 000 run hours or 15 years" in knowledge().findings["high-hours"].text


@pytest.mark.parametrize(
    ("dimension", "name", "factor", "offset"),
    # NIST SP 811, appendix B.8: degree Fahrenheit 5/9 K, t/°F = 1.8 (T/K) - 459.67; psi 6.894757 E+03 Pa
    [
        ("temperature_difference", "fahrenheit", 5 / 9, 0.0),
        ("temperature", "fahrenheit", 5 / 9, 459.67 * 5 / 9),
        ("temperature", "celsius", 1.0, 273.15),
        ("pressure", "psi", 6894.757, 0.0),
        ("pressure", "bar", 1e5, 0.0),
    ],
)
def test_unit_factors(dimension: str, name: str, factor: float, offset: float) -> None:
    (unit,) = (u for u in vocabulary().units if (u.dimension, u.name) == (dimension, name))
    assert unit.factor == pytest.approx(factor, rel=1e-6)
    assert unit.offset == pytest.approx(offset)


def test_unit_words_are_read_as_the_tokeniser_gives_them() -> None:
    assert {"k", "f", "psi", "%", "megohm", "hour", "year"} <= vocabulary().unit_words
    assert all(word == stem(word) for word in vocabulary().unit_words)
