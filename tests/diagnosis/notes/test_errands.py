"""Messages that tell nothing of a machine. Worst: a fault put off as planned work since it came with an appointment."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.case import Case, Machine
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.notes.errands import ERRANDS, LONGEST, besides, errand
from witnessmark.diagnosis.notes.matching import read_call

ERRAND = (
    "please send me a copy of invoice 4411",
    "can you come thursday instead of wednesday",
    "thanks the tech was very polite and it works great now",
    "spring tune up 6 rooftop units no hurry",
    "Annual inspection of walk-in cooler and freezer",
    "do you service ice machines",
    "PO number for last visit please",
    "want a quote to add a minisplit in the garage",
    "I never got the report from the inspection in April",
    "is the compressor still under warranty it is 4 years old",
    "who is this, you called me",
    "what time on friday?",
    "puede venir el viernes por la tarde",
    "toca cambiar filtros este mes",
    "gracias, quedó muy bien",
    "when is the technician coming?",
    "please update our billing address, we moved",
    "are you hiring, I would like to send my resume",
)
NONE = (
    "",
    "the ac is not working can you come thursday",
    "no ac, what time can you come",
    "no air in the office, please come thursday",
    "the house is cold, what time can you come",
    "walk in is down, quote for a new compressor please",
    "unit quit, do you work on these",
    "freezer is hot can you come friday",
    "thanks but it trips again",
    "copy of the invoice please, and it rattles",
    "tune up last month, smells of gas since",
    "annual inspection found smoke marks",
    "cambiar filtros, y huele a quemado",
    "wrong oil in the compressor, how much for a change",
    "left it off, what time are you here",
    "ac never cools, do you service these",
    "please come",
    "walk in freezer 20, thanks",
    "office is at 29, what time on friday",
    "it was working fine yesterday, are you coming",
    "it worked until monday, when can you come",
    "my son is ill, when are you coming",
    "a car drove into the condenser, who do I call",
    "fan keeps going over and over, can you come friday",
    "he still feels it, when is the tech coming",
    " ".join(["thanks"] * (LONGEST + 1)),
)
_LEVEL_OF_PLANNED = 8


@pytest.mark.parametrize("note", ERRAND)
def test_a_message_without_a_fault_is_planned_work_and_stops_no_machine(note: str) -> None:
    assert errand(note)
    done = dispatch_call(Case(), note)
    assert done.advice.priority.level == _LEVEL_OF_PLANNED
    assert done.call_back == ""
    assert not any("start" in said for said in done.advice.for_caller)


@pytest.mark.parametrize("note", NONE)
def test_one_word_more_may_be_the_fault(note: str) -> None:
    assert not errand(note)


@pytest.mark.parametrize(
    "word", ["no", "not", "never", "wrong", "left", "down", "out", "off", "stop", "hot", "cold", "gas", "fire"]
)
def test_no_word_of_a_fault_stands_in_the_list(word: str) -> None:
    assert word not in ERRANDS().words.split()
    assert not errand(f"the ac {word} thanks")


def test_what_was_not_understood_is_left_alone_if_it_is_a_fault() -> None:
    (said,) = dispatch_call(Case(), "the wombat committee sends its regards").advice.for_caller
    assert said.startswith("If anything seems wrong")
    assert "do not try to start it" in said


@pytest.mark.parametrize(
    "note",
    [
        "Yearly service please, the breaker keeps tripping.",
        "send the invoice please. The breaker trips as soon as it starts",
        "quote for a maintenance contract please, and the compressor knocks loudly",
    ],
)
def test_a_fault_beside_an_errand_is_heard(note: str) -> None:
    """Worst: a grounded motor put off as planned work since somebody also asked for the yearly visit."""
    assert dispatch_call(Case(), note).advice.priority.level < 8
    reading = read_call(note, Machine())
    assert [match.state for match in reading.matches] == ["present"]
    (match,) = reading.matches
    assert all(note[one.start : one.end] == one.text for one in match.words)


def test_what_is_asked_for_is_blanked_and_nothing_else() -> None:
    note = "Yearly service please, it rattles"
    assert besides(note) == " " * len("Yearly service please") + ", it rattles"
    assert besides("it rattles") == "it rattles"
    assert read_call("copy of invoice 4411 please", Machine()).matches == ()
