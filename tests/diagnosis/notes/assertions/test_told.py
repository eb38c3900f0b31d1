"""History, doubt, advice, norms, conditions and other machines, on the shipped wording."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import read_note


def told(text: str) -> dict[str, str]:
    """Why a finding is unknown, else its state."""
    note = read_note(text)
    return {m.finding: m.unknown_because or m.state for m in (*note.candidates, *note.matches)}


@pytest.mark.parametrize(
    "text",
    [
        "contactor burnt last year",
        "replaced burnt contactor last year, works now",
        "contactor was burnt last visit, fixed",
        "contactor burnt, replaced, all good now",
        "contactor burnt in 2019",
        "contactor burnt in '19",
        "last summer the contactor was burnt, since then fine",
        "contactor used to be burnt before we replaced it",
        "burnt contactor repaired",
        "contactor burnt, your colleague repaired that",
        "contactor burnt yesterday, it was changed, ok now",
    ],
)
def test_what_was_so_once_is_history(text: str) -> None:
    assert told(text)["contactor-bad"] == "history"


@pytest.mark.parametrize(
    "text",
    [
        "contactor burnt since last year",
        "contactor burnt since 2019",
        "last year the fan, now contactor burnt",
        "replaced the thermostat last year but contactor burnt",
        "contactor burnt again, last year too",
        "contactor burnt, not repaired",
        "contactor burnt, repair it",
        "contactor burnt, the fan in the back room was repaired",
        "contactor burnt again, it was changed in the shop, ok now",
        "2019 h on the meter, contactor burnt",
    ],
)
def test_what_is_so_still_is_no_history(text: str) -> None:
    assert told(text)["contactor-bad"] == "present"


def test_what_is_told_of_the_past_by_nature_stays_present() -> None:
    assert told("lines brazed without nitrogen last year")["brazed-without-nitrogen"] == "present"


@pytest.mark.parametrize(
    "text",
    [
        "recommend new contactor, contactor burnt should be replaced",
        "quote for burnt contactor",
        "if the contactor is burnt call us",
        "in case the contactor is burnt bring one",
        "make sure the contactor is not burnt",
    ],
)
def test_advice_and_conditions_tell_of_no_machine(text: str) -> None:
    assert told(text)["contactor-bad"] == "advice or condition"


def test_advice_covers_what_follows_and_a_norm_what_is_measured_against_it_does_not() -> None:
    assert told("contactor burnt recommend replacement")["contactor-bad"] == "present"
    assert told("superheat should be high")["suction-superheat"] == "advice or condition"
    assert "suction-superheat" not in told("superheat should be 8 K")
    assert told("superheat 2 K should be 8 K").get("suction-superheat") != "advice or condition"


def test_a_condition_ends_at_what_is_so_now() -> None:
    found = told("if it trips call us, contactor burnt now")
    assert found["contactor-bad"] == "present"


@pytest.mark.parametrize("text", ["suspect burnt contactor", "contactor burnt?", "probably contactor burnt"])
def test_doubt(text: str) -> None:
    assert told(text)["contactor-bad"] == "doubtful"


@pytest.mark.parametrize(
    "text",
    [
        "the other unit has a burnt contactor",
        "contactor burnt next door",
        "contactor burnt, not ours",
        "the neighbour's contactor burnt, ours is quiet",
        "that freezer has a burnt contactor, the one I am calling about is only warm",
        "comp 2 contactor burnt, comp 1 is ours and runs",
    ],
)
def test_another_machine_is_another(text: str) -> None:
    assert told(text)["contactor-bad"] == "other machine"


@pytest.mark.parametrize(
    "text",
    [
        "ours has a burnt contactor, not like next door",
        "comp 2 contactor burnt",
        "comp 1 and comp 2 both contactor burnt",
        "contactor burnt compared with the other unit",
        "the freezer is warm, the one I am calling about has its contactor burnt",
        "not ours but this one, contactor burnt",
    ],
)
def test_this_machine_is_meant(text: str) -> None:
    assert told(text)["contactor-bad"] == "present"


def test_of_several_machines_the_one_with_a_fault_counts() -> None:
    for text in (
        "Unit 1 contactor burnt. Unit 2 runs",
        "unit 1 low, unit 2 runs, contactor burnt",
        "unit 1 contactor good, unit 2 contactor burnt",
        "A: contactor not burnt B: contactor burnt",
    ):
        assert told(text)["contactor-bad"] == "present", text


def test_what_is_well_with_one_of_several_machines_says_nothing_of_the_others() -> None:
    assert told("unit 1 contactor not burnt, unit 2 amps high")["contactor-bad"] == "unclear"
    assert told("comp A amps normal, comp B knocks") == {"running-current": "unclear", "knock-while-running": "present"}
    assert told("el compresor 1 no golpea, el compresor 2 golpea")["knock-while-running"] == "present"
    assert told("other compressor on the rack seized, comp A that I am at runs fine")["shaft-seized"] == "other machine"


def test_what_a_denial_denies_stays_open_where_an_unknown_word_stands_between() -> None:
    assert told("never blorped contactor burnt")["contactor-bad"] == "unclear"


@pytest.mark.parametrize("text", ["acid and moisture not checked", "not checked acid or moisture"])
def test_nobody_looked_at_a_list(text: str) -> None:
    assert told(text)["acid-test-positive"] == "not checked"


def test_nobody_looked_ends_at_its_own_target() -> None:
    assert told("didn't check the charge contactor burnt")["contactor-bad"] == "present"
    assert told("no acid test done contactor burnt")["contactor-bad"] == "present"
    assert told("could not check anything up there today contactor burnt")["contactor-bad"] == "present"


@pytest.mark.parametrize(
    "text", ["I doubt it is seized", "doubt the compressor is seized", "i doubt that the compressor is seized"]
)
def test_what_somebody_doubts_is_in_doubt(text: str) -> None:
    assert told(text)["shaft-seized"] == "doubtful"


@pytest.mark.parametrize("text", ["no doubt it is seized", "beyond doubt it is seized", "without a doubt it is seized"])
def test_what_is_beyond_doubt_is_there(text: str) -> None:
    assert told(text)["shaft-seized"] == "present"


def test_a_compressor_that_does_not_pump_has_not_failed_to_pump_down() -> None:
    assert "pump-down-fails" not in told("compressor won't pump")
    assert told("won't pump down")["pump-down-fails"] == "present"
