"""What is said on the phone to people in a plight. Sources: common practice (first aid, rescue)."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.answer.plights import SAVE, explained, first_words, urgency_in
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.triage import triage
from witnessmark.diagnosis.dispatching import dispatch_call

HELD, SHUT_IN, COLD = (triage().plight[key] for key in ("held-by-current", "shut-in", "cold-people"))


def said(note: str) -> tuple[str, ...]:
    return dispatch_call(Case(), note).advice.for_caller


@pytest.mark.parametrize(
    "note",
    [
        "my helper is stuck to the panel and trembling",
        "she cannot let go of the handle of the freezer",
        "mi compañero está pegado al tablero y tiembla",
    ],
)
def test_whoever_is_held_by_current_is_not_touched(note: str) -> None:
    assert said(note)[0] == HELD.for_caller
    assert not any("refrigerant may be in the air" in line for line in said(note))


@pytest.mark.parametrize(
    "note",
    [
        "a boy climbed into the old freezer",
        "somebody is locked in the walk-in, the handle broke off",
        "banging from inside the cold store, door jammed",
        "the freezer door will not open and our man is inside",
    ],
)
def test_whoever_is_shut_in_is_got_out(note: str) -> None:
    assert said(note)[0] == SHUT_IN.for_caller
    assert not any("refrigerant may be in the air" in line for line in said(note))


def test_where_gas_was_told_its_words_stay() -> None:
    note = "somebody is locked in the walk-in, and it smells of refrigerant, he is dizzy"
    assert said(note)[0] == SHUT_IN.for_caller
    assert any("refrigerant may be in the air" in line for line in said(note))


@pytest.mark.parametrize(
    "note", ["no heat at the nursing home, residents freezing", "grandma has no heating, snow outside"]
)
def test_cold_people_are_warmed(note: str) -> None:
    told = dispatch_call(Case(), note)
    assert COLD.for_caller in told.advice.for_caller
    assert not set(SAVE.values()) & set(told.advice.for_caller)
    assert told.advice.priority.level == 4
    assert said("nursing home ac down, residents hot").count(COLD.for_caller) == 0


def test_no_switch_is_touched_where_gas_may_be() -> None:
    lines = said("smell of propane in the kitchen and the freezer sparks")
    assert not any("at the isolator" in line for line in lines)
    assert any("from outside the room only" in line for line in lines)
    assert any("at the isolator" in line for line in said("the freezer sparks"))


def test_a_denied_plight_is_none() -> None:
    assert said("nobody is locked in the freezer, it only beeps") != (SHUT_IN.for_caller,)
    assert SHUT_IN.for_caller not in said("nobody is locked in the freezer, it only beeps")


def test_urgency_is_the_greater_one() -> None:
    assert urgency_in(("cold-people",), None) == "medical"
    assert urgency_in(("cold-people",), "comfort") == "medical"
    assert urgency_in(("shut-in",), "comfort") == "comfort"
    assert urgency_in((), None) is None


def test_what_is_explained_and_what_is_said_first() -> None:
    assert explained(("shut-in",)) == {"people-unwell"}
    assert explained(()) == frozenset()
    assert first_words(("cold-people", "shut-in")) == (SHUT_IN.for_caller,)
