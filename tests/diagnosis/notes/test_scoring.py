"""Where patterns stand in a sentence, what lies between their words, and which of them are believed."""

from __future__ import annotations

import json
from typing import Any

import pytest

from witnessmark.diagnosis.notes.mentions import Sentence
from witnessmark.diagnosis.notes.phrase_rows import Phrases
from witnessmark.diagnosis.notes.scoring import LONGEST, Hit, believed, hits, sentences
from witnessmark.diagnosis.notes.tokens import tokens
from witnessmark.diagnosis.notes.vocabulary import Vocabulary, compiled


def wording(table: dict[str, Any]) -> Phrases:
    """The wording as its file would hold it."""
    return Phrases.model_validate_json(json.dumps({"source": "common-practice", "reviewed": "2026-11"} | table))


def words(*phrases: dict[str, Any]) -> Vocabulary:
    rows = phrases or (
        {"findings": ["oil-burnt"], "words": ["OIL DARK"]},
        {"findings": ["charring"], "words": ["WINDING DARK"]},
    )
    return compiled(
        wording(
            {
                "words": {
                    "abbreviations": {},
                    "lists": {"function": "the was is very", "articles": "the", "plain": ""},
                },
                "concepts": {
                    "OIL": ["oil", "sump oil"],
                    "WINDING": ["winding", "motor winding"],
                    "DARK": ["dark", "black", "black as coal", "brownish"],
                    "AND": ["and"],
                    "BUT": ["but"],
                    "ELSEWHERE": ["office"],
                },
                "heads": {"names": ["OIL", "WINDING"]},
                "decoys": {"words": ["oil tank"]},
                "phrase": list(rows),
                "topic": [],
            }
        )
    )


def sentence(text: str, vocabulary: Vocabulary) -> Sentence:
    (result,) = sentences(tokens(text, vocabulary.lexicon), vocabulary)
    return result


def scores(text: str, *phrases: dict[str, Any]) -> list[tuple[str, float]]:
    vocabulary = words(*phrases)
    return [(hit.pattern.text, round(hit.score, 3)) for hit in hits(sentence(text, vocabulary), vocabulary)]


def kept(text: str, *phrases: dict[str, Any]) -> list[str]:
    vocabulary = words(*phrases)
    result = sentence(text, vocabulary)
    return [hit.pattern.targets[0][0] for hit in believed(hits(result, vocabulary), result)]


@pytest.mark.parametrize(
    ("text", "score"),
    [
        ("oil black", 1.0),
        ("black oil", 1.0),
        ("oil was very black", 0.98),
        ("oil drained yesterday black", 0.9),
        ("oil 5 black", 0.98),
        ("oil, black", 0.88),
        ("oil and black", 0.98),
        ("oil but black", 0.8),
        ("oil office black", 0.5),
        ("oil winding black", 0.75),
        ("oil and winding black", 0.93),
        ("winding and oil and black", 0.98),
        ("oil brownihs", 0.92),
    ],
)
def test_what_lies_between_lowers_the_score(text: str, score: float) -> None:
    assert dict(scores(text))["OIL DARK"] == pytest.approx(score)


def test_too_far_apart_is_no_hit() -> None:
    assert scores("oil seen by the second man who came here from far away that morning and he said black") == []


def test_longer_wordings_take_all_their_words() -> None:
    vocabulary = words()
    result = sentence("sump oil black as the coal", vocabulary)
    (hit,) = believed(hits(result, vocabulary), result)
    assert hit.tokens == frozenset(range(6))


def test_an_article_may_stand_inside_a_wording_and_any_other_word_not() -> None:
    row = {"findings": ["x"], "words": ["DARK"]}
    vocabulary = words(row)
    longest = max(len(hit.tokens) for hit in hits(sentence("black as the coal", vocabulary), vocabulary))
    assert longest == 4
    assert max(len(hit.tokens) for hit in hits(sentence("black as white coal", vocabulary), vocabulary)) == 1


def test_order_counts_where_it_is_asked_for() -> None:
    row = {"findings": ["x"], "words": ["OIL >DARK"]}
    assert scores("oil black", row)
    assert not scores("black oil", row)


def test_a_slot_may_have_several_names() -> None:
    row = {"findings": ["x"], "words": ["OIL|WINDING DARK"]}
    assert scores("winding black", row) == [("OIL|WINDING DARK", 1.0)]


def test_two_slots_never_share_a_word() -> None:
    assert not scores("black", {"findings": ["x"], "words": ["DARK black"]})
    assert scores("black and dark", {"findings": ["x"], "words": ["DARK black"]})


def test_weight_and_tightness_lower_the_score() -> None:
    assert scores("oil black", {"findings": ["x"], "words": ["OIL DARK"], "weight": 0.7}) == [("OIL DARK", 0.7)]
    tight = {"findings": ["x"], "words": ["OIL DARK"], "tight": True}
    assert scores("oil, black", tight) == [("OIL DARK", 0.58)]
    assert scores("oil: black", tight) == [("OIL DARK", 0.88)]


def test_decoys_take_their_words_out_of_play() -> None:
    assert scores("oil tank black") == []
    assert scores("oil tank full, oil black") == [("OIL DARK", 1.0)]


def test_each_topic_takes_the_nearer_word() -> None:
    assert kept("oil dark, winding black") == ["oil-burnt", "charring"]
    assert kept("dark oil black winding") == ["oil-burnt", "charring"]
    assert kept("oil clear, winding black") == ["charring"]


def test_topics_joined_by_and_share_a_word() -> None:
    assert sorted(kept("oil and winding black")) == ["charring", "oil-burnt"]


def test_the_fuller_hit_displaces_its_parts() -> None:
    full = {"findings": ["spot"], "words": ["OIL DARK spot"]}
    part = {"findings": ["oil-burnt"], "words": ["OIL DARK"]}
    assert kept("oil black spot", part, full) == ["spot"]
    assert kept("oil black one two three four five six seven eight spot", part, full) == ["oil-burnt"]


def test_equal_words_may_mean_two_things() -> None:
    first, two = {"findings": ["a"], "words": ["OIL DARK"]}, {"findings": ["b"], "words": ["DARK OIL"]}
    assert sorted(kept("oil black", first, two)) == ["a", "b"]


def test_one_finding_is_said_once_of_the_same_words() -> None:
    row = {"findings": ["oil-burnt"], "words": ["OIL DARK", "OIL smoky"]}
    assert kept("smoky oil black", row) == ["oil-burnt"]


def test_several_findings_may_share_a_topic() -> None:
    two = {"findings": ["oil-thin"], "words": ["OIL thin"]}
    assert sorted(kept("oil black and thin", {"findings": ["oil-burnt"], "words": ["OIL DARK"]}, two)) == [
        "oil-burnt",
        "oil-thin",
    ]


def test_sentences_end_at_stops_and_empty_ones_are_left_out() -> None:
    vocabulary = words()
    result = list(sentences(tokens("oil black. ! winding\noil", vocabulary.lexicon), vocabulary))
    assert [[token.stem for token in s.tokens] for s in result] == [["oil", "black", "."], ["wind", "\n"], ["oil"]]


def test_a_text_without_stops_is_cut() -> None:
    vocabulary = words()
    result = list(sentences(tokens("oil " * 150, vocabulary.lexicon), vocabulary))
    assert [len(s.tokens) for s in result] == [LONGEST, LONGEST, 150 - 2 * LONGEST]
    paused = list(sentences(tokens("oil " * 45 + ", " + "oil " * 5, vocabulary.lexicon), vocabulary))
    assert [len(s.tokens) for s in paused] == [46, 5]


def test_a_hit_knows_its_ends() -> None:
    vocabulary = words()
    (hit,) = hits(sentence("the oil was black now", vocabulary), vocabulary)
    assert isinstance(hit, Hit)
    assert (hit.start, hit.end) == (1, 4)
