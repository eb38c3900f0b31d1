"""Denial, doubt and "nobody looked", on the shipped wording."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import match


def states(text: str) -> dict[str, str]:
    return {m.finding: m.state for m in match(text)}


@pytest.mark.parametrize(
    "text",
    [
        "no burnt smell",
        "burnt smell - no",
        "burnt smell: none",
        "burnt smell not noticed",
        "never any burnt smell",
        "oil without burnt smell",
        "oil did not smell burnt",
        "oil didn't smell burnt",
        "oil is not black",
        "neither burnt smell nor anything else",
        "the oil has a smell but not burnt",
        "no acid, no burnt smell",
        "no knock, whine or burnt smell",
        "no knock or burnt smell",
    ],
)
def test_a_denied_finding_is_absent(text: str) -> None:
    assert states(text)["oil-burnt"] == "absent"


@pytest.mark.parametrize(
    "text",
    [
        "no knock, burnt smell",
        "no knock but burnt smell",
        "no knock however there was a burnt smell",
        "no knock and burnt smell of the oil",
        "oil smells burnt, no knock",
        "burnt smell, no frost on the coil",
        "not without a burnt smell",
        "never without a burnt smell",
    ],
)
def test_a_denial_ends_or_cancels(text: str) -> None:
    assert states(text)["oil-burnt"] == "present"


def test_a_denial_does_not_reach_across_many_words() -> None:
    text = "no time today so the tall foreman from upstairs kindly told two young apprentices that of burnt smell"
    assert states(text)["oil-burnt"] == "present"


def test_neither_nor_denies_both() -> None:
    assert states("neither frost nor sweat on the bottom of the compressor")["sump-cold-running"] == "absent"
    assert states("no knock nor whine") == {"knock-while-running": "absent", "bearing-whine": "absent"}


def test_a_denied_side_of_a_three_way_reading_is_normal_and_counts_less() -> None:
    (result,) = match("head pressure not high")
    assert (result.finding, result.state) == ("condensing-pressure", "normal")
    assert result.score < 0.9


def test_denying_that_one_thing_is_in_order_makes_it_present_with_less_weight() -> None:
    (result,) = match("voltage is not at all balanced")
    assert (result.finding, result.state) == ("voltage-unbalance", "present")
    assert result.score < 0.8
    assert [w.text for w in result.negation] == ["not"]


def test_denying_that_several_things_are_in_order_says_nothing_of_each() -> None:
    assert all(state == "unknown" for state in states("bearings not exactly perfect").values())


@pytest.mark.parametrize(
    "text",
    [
        "maybe the contactor is burnt",
        "contactor possibly burnt",
        "contactor might be burnt",
        "contactor burnt?",
        "not sure if the contactor is burnt",
        "could be a burnt contactor",
        "if the contactor is burnt",
    ],
)
def test_doubt_makes_a_finding_unknown(text: str) -> None:
    (result,) = match(text)
    assert (result.finding, result.state) == ("contactor-bad", "unknown")
    assert result.doubt


def test_a_condition_covers_only_what_follows() -> None:
    assert states("contactor burnt if you ask me") == {"contactor-bad": "present"}


def test_doubt_stays_in_its_clause() -> None:
    assert states("maybe low on gas, contactor burnt")["contactor-bad"] == "present"
    assert states("maybe low on gas but contactor burnt")["contactor-bad"] == "present"


def test_weak_doubt_only_lowers_the_score() -> None:
    (sure,), (seems,) = match("contactor burnt"), match("contactor seems burnt")
    assert seems.state == "present"
    assert seems.score < sure.score
    assert [w.text for w in seems.doubt] == ["seems"]


@pytest.mark.parametrize(
    "text",
    [
        "acid test not done",
        "did not do an acid test",
        "acid not checked",
        "no acid test done",
        "unable to test acid",
        "forgot to check acid",
        "acid: n/a",
        "oil black, acid unknown",
    ],
)
def test_what_nobody_looked_at_is_unknown(text: str) -> None:
    assert states(text)["acid-test-positive"] == "unknown"


def test_not_checked_covers_a_list() -> None:
    assert states("unable to measure superheat, subcooling or amps") == {
        "suction-superheat": "unknown",
        "subcooling": "unknown",
        "running-current": "unknown",
    }


def test_not_checked_ends_at_the_next_clause() -> None:
    assert states("acid not checked, contactor burnt") == {"acid-test-positive": "unknown", "contactor-bad": "present"}


def test_what_is_said_of_a_finding_outweighs_that_it_was_not_looked_at() -> None:
    assert states("superheat not checked. Superheat 2 K.") == {"suction-superheat": "low"}


@pytest.mark.parametrize(
    "text",
    [
        "burning smell of the oil at the roof unit",
        "roof unit breaker trips",
        "breaker keeps tripping on the roof unit",
        "fridge compressor knocking",
        "knocking in the kitchen walk-in",
        "office AC knocking",
        "truck fridge compressor knocking",
        "knocking from the ceiling unit in the lobby",
    ],
)
def test_where_a_machine_stands_is_no_reason_for_doubt(text: str) -> None:
    assert all(m.score >= 0.8 for m in match(text))
    assert {"breaker-trips-at-once", "knock-while-running", "oil-burnt"} & states(text).keys()


def test_an_absence_that_closes_a_clause_counts_only_there() -> None:
    assert states("knocking - none")["knock-while-running"] == "absent"
    assert states("knocking, negative pressure in the suction line")["knock-while-running"] == "present"
