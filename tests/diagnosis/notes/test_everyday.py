"""What is said every day in a few words, by anybody: wording that is all a note says is not judged again by likeness.

Seen while the rules were made, so these lines guard and measure nothing.
"""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.notes.matching import read_note


def states(text: str) -> dict[str, str]:
    """Findings that a note tells, with their states."""
    return {match.finding: match.state for match in read_note(text).matches}


@pytest.mark.parametrize(
    "text",
    [
        "will not start",
        "compressor will not start",
        "unit will not start",
        "motor will not turn",
        "compressor not running",
        "compressor is not running",
        "fans turn, compressor silent",
        "fan runs but compressor not",
        "everything is off, no power",
        "it was running fine yesterday, now it is dead",
    ],
)
def test_what_does_not_start_is_heard_in_any_short_words(text: str) -> None:
    assert states(text)["will-not-start"] == "present"


@pytest.mark.parametrize("text", ["dead short to ground", "compressor runs dead quiet", "dead battery in the stat"])
def test_dead_is_not_always_a_machine(text: str) -> None:
    assert states(text).get("will-not-start") != "present"


@pytest.mark.parametrize(
    ("text", "suction", "discharge"),
    [
        ("suction pressure 0.5 MPa discharge pressure 2.6 MPa", 601_325, 2_701_325),
        ("HP 2.6 MPa LP 0.8 MPa", 901_325, 2_701_325),
        ("suction 4 kg, discharge 18 kg", 101_325 + 4 * 98_066.5, 101_325 + 18 * 98_066.5),
    ],
)
def test_pressures_in_megapascals_and_kilograms(text: str, suction: float, discharge: float) -> None:
    """1 MPa = 10^6 Pa, 1 kgf/cm2 = 98 066.5 Pa (BIPM, The International System of Units, 9th edition, table 8)."""
    read = read_note(text).readings
    assert read["suction_pressure"] == pytest.approx((suction,))
    assert read["discharge_pressure"] == pytest.approx((discharge,))


@pytest.mark.parametrize("text", ["HP 26 bar LP 8 bar", "HP 2.6 MPa LP 0.8 MPa", "suction 4 kg, discharge 18 kg"])
def test_a_pressure_with_its_label_is_neither_high_nor_low_nor_a_trip_nor_a_charge(text: str) -> None:
    assert states(text) == {}


@pytest.mark.parametrize(
    "text",
    ["short cycling, 10 starts per hour", "comp short cycles 12 times an hour", "unit short cycling every 5 minutes"],
)
def test_a_rate_denies_no_short_cycling_that_words_tell(text: str) -> None:
    assert states(text)["short-cycling"] == "present"


def test_a_rate_alone_still_denies_it() -> None:
    assert states("4 starts per hour")["short-cycling"] == "absent"
    assert states("not short cycling, 4 starts per hour")["short-cycling"] == "absent"


@pytest.mark.parametrize(
    "text",
    [
        "compressor trips on low oil pressure",
        "tripped on low oil pressure 3 times",
        "low lube oil pressure fault",
        "oil pressure switch out",
        "low oil pressure alarm, tripped 3 times, operator resets",
    ],
)
def test_a_trip_on_the_pressure_of_the_oil_stops_the_machine(text: str) -> None:
    told = dispatch_call(Case(), text)
    assert states(text)["oil-safety-trips"] == "present"
    assert told.advice.operation.advice == "stop"


def test_a_trip_on_low_pressure_beside_good_oil_is_of_the_refrigerant() -> None:
    told = states("oil pressure good, trips on low pressure")
    assert told["low-pressure-trips"] == "present"
    assert "oil-safety-trips" not in told


@pytest.mark.parametrize(
    "text",
    [
        "GFCI trips when the compressor starts",
        "RCD trips at start",
        "Salta el diferencial al arrancar",
        "el diferencial salta cada vez que arranca el compresor",
        "reset the breaker 4 times",
        "have to reset the breaker every morning",
        "manager keeps resetting the breaker",
        "I reset the breaker five times and it keeps tripping",
        "keep flipping the breaker back on and it pops right away",
    ],
)
def test_what_trips_to_earth_and_what_is_reset_again_is_left_off(text: str) -> None:
    told = dispatch_call(Case(), text)
    assert states(text)["breaker-trips-at-once"] == "present"
    assert told.advice.operation.advice == "stop"
    assert "do not reset the breaker" in told.advice.for_caller[0]


@pytest.mark.parametrize("text", ["the GFCI outlet by the sink was replaced", "breaker was reset and it runs fine now"])
def test_a_breaker_that_is_only_named_or_holds_again_does_not_trip(text: str) -> None:
    assert states(text).get("breaker-trips-at-once") != "present"


def test_a_hot_room_is_no_hot_breaker() -> None:
    assert "electrical-part-overheated" not in states("manager reset breaker, it is hot in the dining room")
    assert "electrical-part-overheated" not in states("the breaker panel is in the hot kitchen, the freezer is dead")
    assert states("breaker is hot")["electrical-part-overheated"] == "present"
    assert states("breaker is hot in the kitchen")["electrical-part-overheated"] == "present"


@pytest.mark.parametrize(
    "text",
    [
        "compressor runs but no cooling",
        "it is running but not cooling",
        "unit runs 24/7 and cannot keep up",
        "compresor caliente pero funciona",
    ],
)
def test_that_it_runs_is_heard(text: str) -> None:
    told = dispatch_call(Case(), text)
    assert "Nobody said whether it runs" not in told.advice.operation.reason
    assert not any(said.startswith("Leave it as it is, and do not try to start it") for said in told.advice.for_caller)


@pytest.mark.parametrize(
    "text", ["it is not running", "was it running when you came?", "not cooling, running current 12 A"]
)
def test_that_it_runs_is_not_heard_where_it_is_not_said(text: str) -> None:
    assert not read_note(text).runs


def test_three_pairs_of_terminals_are_windings_behind_a_word_of_legs() -> None:
    text = "megger 2 Mohm all legs, C-S 4.2 C-R 1.1 S-R 5.3"
    assert "phase-missing" not in states(text)
