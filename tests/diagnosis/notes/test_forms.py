"""Forms inside a note: boxes and questions with their answers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.diagnosis.notes.forms import answered
from witnessmark.diagnosis.notes.matching import match


def states(text: str) -> dict[str, str]:
    return {m.finding: m.state for m in match(text)}


PARTS = ["yes", "no", "smoke", "fire", "[ ]", "[x]", "?", ":", "-", ".", ",", "\n", "N", "Y", "/", "é", "ß", " "]


@given(st.lists(st.sampled_from(PARTS), max_size=20).map("".join))
def test_every_character_keeps_its_place(text: str) -> None:
    read = answered(text)
    assert len(read) == len(text)
    assert all(ours in {theirs, " ", ":", ".", *"noyes"} for ours, theirs in zip(read, text, strict=True))


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("smoke: no  fire: no  noise: yes", {"smoke-seen": "absent", "fire-seen": "absent"}),
        ("Smoke? Yes. Fire? No. Anyone hurt? No.", {"smoke-seen": "present", "fire-seen": "absent"}),
        ("Burn smell Y/N: N", {"burning-smell": "absent"}),
        ("Burn smell Y/N: Y", {"burning-smell": "present"}),
        ("[ ] smoke [ ] fire [ ] ammonia smell", {}),
        ("[x] smoke [ ] fire", {"smoke-seen": "present"}),
        ("burning smell? negative", {"burning-smell": "absent"}),
        ("Anyone hurt? Yes", {"person-hurt": "present"}),
        ("smoke - none; sparks - none; shock - yes", {"electric-shock": "present", "smoke-seen": "absent"}),
    ],
)
def test_a_form_says_what_its_answers_say(text: str, wanted: dict[str, str]) -> None:
    """Worst: a box that somebody ticked is lost, or a yes behind a question counts as a question."""
    found = states(text)
    assert {key: found.get(key) for key in wanted} == wanted
    assert wanted or not found


@pytest.mark.parametrize("text", ["is it safe? it smells of burning", "suction: 118 head: 380", "no smoke here"])
def test_what_is_no_form_stays_as_it_is(text: str) -> None:
    assert answered(text) == text


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("smoke Y fire N", "smoke.      . "),
        ("smoke N fire N", "     .      . "),
        ("Breaker trips Y\nSmoke N", "Breaker trips.       . "),
    ],
)
def test_items_answered_with_one_letter_are_a_form(text: str, read: str) -> None:
    assert answered(text) == read
    assert len(read) == len(text)


@pytest.mark.parametrize(
    "text", ["shock from hot to N, sparks at N", "smoke from N side, fire N wing", "smoke N", "L1 to N 118 L2 to N 119"]
)
def test_neutral_and_north_are_no_answers(text: str) -> None:
    """Danger that is there is never taken for an answer."""
    assert answered(text) == text
