"""Rules and learned reader together: numbers and danger stand, the surest way of telling counts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.diagnosis.notes.calling import alarming
from witnessmark.diagnosis.notes.joining import joined
from witnessmark.diagnosis.notes.matches import Excerpt, Match
from witnessmark.diagnosis.notes.model.reader import DANGER, Heard
from witnessmark.diagnosis.notes.telling import as_ruled

TEXT = "no ice on the coil, smoke, 0.2 megohm"
ICE = Match("coil-iced", "absent", 0.9, (Excerpt("ice", 3, 6),), negation=(Excerpt("no", 0, 2),))
SMOKE = Match("smoke-seen", "present", 0.9, (Excerpt("smoke", 20, 25),))
MEGOHM = Match("insulation-low", "present", 0.9, (Excerpt("0.2 megohm", 27, 37),), quantity="insulation", value=2e5)


def hears(finding: str, outcome: str, score: float = 0.8, named: tuple[tuple[int, int], ...] = ((3, 6),)) -> Heard:
    return Heard(finding, outcome, score, 0.9, named, ((0, 2),))


def states(*ruled: Match, heard: tuple[Heard, ...], kept: frozenset[str] = frozenset()) -> dict[str, str]:
    return {m.finding: m.state for m in joined(ruled, heard, TEXT, kept)}


def test_a_turned_answer_is_unclear() -> None:
    """The worst wrong answer: a fault heard as its denial by one of two that disagree."""
    (match,) = joined([ICE], [hears("coil-iced", "present", 0.8)], TEXT, frozenset())
    assert (match.state, match.unknown_because, match.score) == ("unknown", "unclear", 0.9)


def test_the_learned_reader_decides_where_it_is_sure_or_the_rules_are_not() -> None:
    assert states(ICE, heard=(hears("coil-iced", "present", 0.95),)) == {"coil-iced": "present"}
    assert states(replace(ICE, score=0.5), heard=(hears("coil-iced", "present"),)) == {"coil-iced": "present"}
    assert states(ICE, heard=(hears("coil-iced", "history"),)) == {"coil-iced": "unknown"}


def test_where_both_say_the_same_the_words_of_the_rules_stay_and_the_score_is_how_often_it_is_right() -> None:
    (match,) = joined([ICE], [hears("coil-iced", "absent", 0.97)], TEXT, frozenset())
    assert match == replace(ICE, score=0.97)


def test_what_the_rules_believe_is_at_least_a_candidate() -> None:
    (match,) = joined([ICE], [hears("coil-iced", "absent", 0.05)], TEXT, frozenset())
    assert (match.state, match.score) == ("absent", 0.35)
    (match,) = joined([replace(ICE, score=0.5)], [hears("coil-iced", "absent", 0.05)], TEXT, frozenset())
    assert match.score == 0.05


def test_a_denial_that_both_hear_faintly_is_left_open() -> None:
    (match,) = joined([ICE], [hears("coil-iced", "absent", 0.7)], TEXT, frozenset())
    assert (match.state, match.unknown_because, match.negation) == ("unknown", "unclear", ICE.negation)


def test_danger_that_the_rules_hear_denied_and_the_reader_there_is_unclear() -> None:
    """The worst wrong answer: sparks behind a denial of smoke that are denied with it."""
    denied = replace(SMOKE, state="absent")
    (match,) = joined([denied], [hears("smoke-seen", "present", 0.4)], TEXT, frozenset({"smoke-seen"}))
    assert match.state == "unknown"
    assert alarming(match)
    (match,) = joined([denied], [hears("smoke-seen", "present", 0.3)], TEXT, frozenset({"smoke-seen"}))
    assert match.state == "absent"


def test_a_number_decides_over_words() -> None:
    assert states(MEGOHM, heard=(hears("insulation-low", "absent", 0.99),)) == {"insulation-low": "present"}


def test_danger_stands_as_the_rules_hear_it() -> None:
    """The worst wrong answer: smoke that a learned weight takes for its denial."""
    for score, state in ((0.89, "present"), (0.99, "unknown")):
        (match,) = joined([SMOKE], [hears("smoke-seen", "absent", score)], TEXT, frozenset({"smoke-seen"}))
        assert match.state == state
        assert alarming(match), "unclear danger fires its rules"


@pytest.mark.parametrize("score", [0.6, 0.95, 1.0])
def test_a_fault_that_the_rules_hear_is_never_denied_by_the_reader(score: float) -> None:
    there = replace(ICE, state="present")
    assert states(there, heard=(hears("coil-iced", "absent", score),)) == {"coil-iced": "unknown"}


def test_danger_in_general_is_no_finding() -> None:
    assert joined([], [hears(DANGER, "present", 0.99)], TEXT, frozenset()) == []


def test_danger_that_the_rules_believe_little_may_be_heard_by_the_reader() -> None:
    faint = replace(SMOKE, score=0.4)
    found = joined([faint], [hears("smoke-seen", "present", 0.9)], TEXT, frozenset({"smoke-seen"}))
    assert sorted(m.score for m in found) == [0.4, 0.9]


def test_what_the_reader_has_not_learned_stays() -> None:
    assert states(ICE, heard=()) == {"coil-iced": "absent"}


def test_the_surest_way_of_telling_counts() -> None:
    heard = (hears("coil-iced", "present", 0.95), hears("coil-iced", "absent", 0.6), hears("coil-iced", "low", 0.3))
    assert states(heard=heard) == {"coil-iced": "present"}


def test_what_one_sentence_denies_and_another_tells_as_there_is_unclear() -> None:
    """The worst wrong answer: `rear half no cold` lost behind `front half cools ok`."""
    heard = (hears("coil-iced", "present", 0.4), hears("coil-iced", "absent", 0.99))
    assert states(heard=heard) == {"coil-iced": "unknown"}
    assert states(ICE, heard=heard) == {"coil-iced": "unknown"}
    assert states(replace(ICE, quantity="temperature"), heard=heard) == {"coil-iced": "absent"}, "a number decides"


def test_another_machine_that_only_the_reader_hears_is_another() -> None:
    """The worst wrong answer: `start winding burnt on the pool pump, not the condenser` told of the compressor."""
    there = replace(ICE, state="present")
    (match,) = joined([there], [hears("coil-iced", "other machine", 0.7)], TEXT, frozenset())
    assert (match.state, match.unknown_because) == ("unknown", "other machine")


def test_what_is_told_of_another_time_or_machine_is_unknown_and_says_why() -> None:
    (match,) = joined([], [hears("coil-iced", "other machine")], TEXT, frozenset())
    assert (match.state, match.unknown_because) == ("unknown", "other machine")
    assert match.doubt == (Excerpt("no", 0, 2),)
    assert as_ruled(match).outcome == "other machine"


def test_the_words_that_decided_stay_visible() -> None:
    (match,) = joined([], [hears("coil-iced", "absent", 0.95, named=((14, 18), (3, 6), (10, 13)))], TEXT, frozenset())
    assert match.words == (Excerpt("ice", 3, 6), Excerpt("the coil", 10, 18))
    assert match.negation == (Excerpt("no", 0, 2),)
    (match,) = joined([], [hears("coil-iced", "present")], TEXT, frozenset())
    assert match.negation == ()


def test_an_unclear_match_of_the_rules_is_unknown_to_the_reader_too() -> None:
    ruled = as_ruled(replace(ICE, state="unknown", unknown_because="unclear", score=0.5))
    assert (ruled.outcome, ruled.believed, ruled.start) == ("unknown", False, 3)


def test_what_is_told_in_two_ways_is_shown_in_both() -> None:
    found = joined([ICE, replace(ICE, state="present")], [hears("coil-iced", "present", 0.99)], TEXT, frozenset())
    assert sorted(m.state for m in found) == ["present", "unknown"], "the denial is unclear, and shown"


def test_a_denial_needs_a_word_that_denies() -> None:
    """The worst wrong answer: a part that is only named is taken for one that was looked at and found good."""
    (match,) = joined([], [replace(hears("coil-iced", "absent", 0.99), told=())], TEXT, frozenset())
    assert (match.state, match.unknown_because) == ("unknown", "unclear")


def test_a_denial_that_the_rules_do_not_hear_needs_a_high_score_where_some_word_denies() -> None:
    """The worst wrong answer: a fault that is told in words like those of its denial."""
    (match,) = joined([], [hears("coil-iced", "absent", 0.94)], TEXT, frozenset())
    assert (match.state, match.unknown_because, match.score) == ("unknown", "unclear", 0.9)
    plain = frozenset({"coil-iced"})
    (match,) = joined([], [hears("coil-iced", "absent", 0.7)], TEXT, frozenset(), plain)
    assert match.state == "unknown", "surely spoken of and not surely denied"
    (match,) = joined([], [replace(hears("coil-iced", "absent", 0.65), spoken=0.7)], TEXT, frozenset(), plain)
    assert match.state == "absent", "what is open is whether it is spoken of, not how"


def test_danger_is_denied_for_sure_or_not_at_all() -> None:
    (match,) = joined(
        [], [replace(hears("smoke-seen", "absent", 0.94), spoken=0.94)], TEXT, frozenset(), frozenset({"smoke-seen"})
    )
    assert (match.state, match.unknown_because) == ("unknown", "unclear")


def test_a_good_condition_is_open_beside_a_fault_that_it_denies() -> None:
    """The worst wrong answer: windings called clean in a note that tells of one burnt spot."""
    clean = Match("windings-clean", "present", 0.9, (Excerpt("coil", 14, 18),))
    spot = hears("spot-burn-in-winding", "present", 0.9)
    assert states(clean, heard=(spot,)) == {"windings-clean": "unknown", "spot-burn-in-winding": "present"}
    assert states(clean, heard=(replace(spot, score=0.4),))["windings-clean"] == "present"


def test_rules_that_leave_it_open_yield_to_a_reader_that_is_sure() -> None:
    unclear = replace(ICE, state="unknown", unknown_because="unclear", negation=())
    assert states(unclear, heard=(hears("coil-iced", "present", 0.9),)) == {"coil-iced": "present"}
    assert states(unclear, heard=(hears("coil-iced", "present", 0.8),)) == {"coil-iced": "unknown"}


def test_danger_that_the_reader_hardly_hears_is_in_doubt_and_fires_all_the_same() -> None:
    kept = frozenset({"smoke-seen"})
    (match,) = joined([SMOKE], [hears("smoke-seen", "present", 0.3)], TEXT, kept)
    assert (match.state, match.unknown_because) == ("unknown", "unclear")
    assert alarming(match)
    (match,) = joined([SMOKE], [hears("smoke-seen", "present", 0.6)], TEXT, kept)
    assert match.state == "present"


def test_what_the_rules_faintly_hear_as_there_is_not_denied() -> None:
    """The worst wrong answer: `anything but good` learned as good."""
    there = replace(ICE, state="present", score=0.5, negation=())
    (match,) = joined([there], [hears("coil-iced", "absent", 0.97)], TEXT, frozenset())
    assert (match.state, match.unknown_because) == ("unknown", "unclear")
    (match,) = joined([replace(there, score=0.3)], [hears("coil-iced", "absent", 0.97)], TEXT, frozenset())
    assert match.state == "absent"


def test_both_halfway_sure_that_it_is_there_are_sure_enough() -> None:
    there = replace(ICE, state="present", negation=())
    assert [joined([there], [hears("coil-iced", "present", s)], TEXT, frozenset())[0].score for s in (0.45, 0.4)] == [
        0.6,
        0.4,
    ]
