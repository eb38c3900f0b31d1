"""Calls by class: danger in Portuguese and in passing, office and planned work, everyday faults in odd words.

Constructed, the lists (told/) before the rules; the worst wrong answer of a class stands first.
"""

from __future__ import annotations

import pytest
from tests.diagnosis.notes.test_danger_told import fires, rows

from witnessmark.diagnosis.case import Case, Machine
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.notes.matching import plights_of, read_note

LEARNED = True
_PLANNED = 8


@pytest.mark.parametrize(("name", "least"), [("danger_portuguese", 45), ("danger_in_passing", 18)])
def test_danger_is_heard_and_the_machine_stopped(name: str, least: int) -> None:
    told = rows(f"{name}.txt")
    assert len(set(told)) >= least
    advice = {text: dispatch_call(Case(), text).advice for text in told}
    assert [t for t, a in advice.items() if a.priority.level > 1 or a.operation.advice != "stop"] == []


@pytest.mark.parametrize(("name", "least"), [("no_danger_portuguese", 16), ("no_danger_in_passing", 6)])
def test_what_sounds_alike_is_none(name: str, least: int) -> None:
    told = rows(f"{name}.txt")
    assert len(set(told)) >= least
    assert [text for text in told if fires(text)] == []


def test_what_else_a_portuguese_note_says_nobody_knows() -> None:
    """Danger that is denied lets nobody put the call off."""
    call = read_note("a geladeira não gela, não tem fumaça nem cheiro de queimado").call_back
    assert call is not None
    assert call.reason == "written in a language that is not read"


@pytest.mark.parametrize(
    ("text", "plight"),
    [
        ("o funcionário está trancado na câmara fria", "shut-in"),
        ("a moça ficou grudada na geladeira", "held-by-current"),
    ],
)
def test_people_in_a_plight_get_words_of_their_own(text: str, plight: str) -> None:
    assert plights_of(text) == (plight,)


@pytest.mark.parametrize(
    "text", ["tem fumaça no quadro", "faísca no disjuntor da câmara", "gás vazando no porão da loja"]
)
def test_no_is_no_denial_in_portuguese(text: str) -> None:
    """Worst: `no quadro`, in the panel, taken for a denial of the smoke."""
    assert dispatch_call(Case(), text).advice.priority.level == 1


@pytest.mark.parametrize("text", rows("errands_with_faults.txt"))
def test_a_fault_in_passing_is_not_put_off(text: str) -> None:
    assert dispatch_call(Case(), text).advice.priority.level < _PLANNED


@pytest.mark.parametrize("text", rows("errands.txt"))
def test_office_and_planned_calls_need_nobody_to_ring_back(text: str) -> None:
    done = dispatch_call(Case(), text)
    assert done.advice.priority.level == _PLANNED
    assert done.call_back == ""
    assert done.advice.operation.advice != "stop"


@pytest.mark.parametrize("text", rows("must_stand.txt"))
def test_a_breaker_that_does_not_hold_and_a_machine_that_pumps_nothing_stay_off(text: str) -> None:
    advice = dispatch_call(Case(), text).advice
    assert advice.operation.advice == "stop"
    assert advice.priority.level in {2, 3}


@pytest.mark.parametrize(
    "text",
    ["my helper had a shock from the panel", "my cook had a heart attack in the walk-in", "we had a fire in the panel"],
)
def test_what_somebody_had_is_no_history(text: str) -> None:
    assert dispatch_call(Case(), text).advice.priority.level == 1


def test_what_cannot_turn_backwards_is_not_supposed_to() -> None:
    """A single-phase machine has no order of phases; both findings are needed."""
    note = "new transformer yesterday, runs but suction and discharge are equal"
    assert dispatch_call(Case(), note).advice.operation.advice == "stop"
    assert dispatch_call(Case(Machine(phases="single-phase")), note).advice.operation.advice != "stop"
    assert dispatch_call(Case(), "runs but suction and discharge are equal").advice.operation.advice != "stop"


@pytest.mark.parametrize("text", rows("danger_calls.txt"))
def test_danger_at_the_end_of_a_calm_call_is_danger(text: str) -> None:
    """Worst: somebody shut in, held by current, beside gas that a flame may light, or not heard of is put off."""
    advice = dispatch_call(Case(), text).advice
    assert (advice.priority.level, advice.operation.advice) == (1, "stop")


@pytest.mark.parametrize("text", rows("no_danger_calls.txt"))
def test_denied_lists_figures_and_what_was_called_off_are_no_danger(text: str) -> None:
    done = dispatch_call(Case(), text)
    assert done.advice.priority.level > 2
    assert done.advice.operation.advice != "stop"


@pytest.mark.parametrize(
    "text",
    [
        "no fire, smoke or sparks but one man is dizzy and sick",
        "no burning smell, no smell of gas, but smoke comes from the panel",
        "no smell of burning, no sparks, it smells of gas in the shop",
        "sin humo, chispas ni fuego, pero huele fuerte a gas en la cocina",
        "sem fumaça, faísca nem fogo, mas o padeiro levou um choque",
        "please cancel, it was the toaster. Now there is smoke from the panel again",
        "we found the new floor cleaner, the room is aired, and it still smells of ammonia and hisses at the valve",
        "first heat of the year, burnt dust smell gone, but the plug of the heater is melting and smokes",
        "hissing when it starts, then quiet, temps steady, and it smells of gas in the shop",
        "unit is switched off and padlocked, no smell any more, but smoke comes from unit B",
        "compressor on fire, trying to put it out",
        "two of us are sick since the gas leaked in the room",
        "killed the power, a man is unconscious on the floor",
    ],
)
def test_one_true_danger_beside_what_is_none_stays_one(text: str) -> None:
    """Worst: what explains or denies one danger takes another with it."""
    assert dispatch_call(Case(), text).advice.priority.level == 1
