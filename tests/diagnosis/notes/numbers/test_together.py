"""What several numbers say together, and what they contradict whatever word stands beside them."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import match, read_note
from witnessmark.diagnosis.notes.numbers import disproved, misheard, numbers_in

LEARNED = True


def said(text: str) -> set[tuple[str, str]]:
    return {(m.finding, m.state) for m in match(text)}


@pytest.mark.parametrize("text", ["LRA 80 RLA 14 pulling 12", "RLA 14 LRA 80 pulling 12", "LRA 80, pulling 12"])
def test_the_current_of_a_motor_that_turns_is_no_locked_rotor(text: str) -> None:
    assert disproved(numbers_in(text)) == {"locked-rotor-current"}
    assert "locked-rotor-current" not in {finding for finding, _ in said(text)}


@pytest.mark.parametrize("text", ["LRA 80 RLA 14, pulls 78 and trips", "LRA 80, pulling 80", "hums, pulling LRA"])
def test_a_locked_rotor_is_still_heard(text: str) -> None:
    """The worst wrong answer of that rule: a motor that does not turn, called running."""
    assert disproved(numbers_in(text)) == frozenset()
    assert ("locked-rotor-current", "present") in said(text)


def test_the_rated_current_is_taken_and_not_the_locked_one() -> None:
    assert ("running-current", "normal") in said("LRA 80 RLA 14 pulling 12")
    assert read_note("LRA 80 RLA 14 pulling 12").readings["rated_current"] == (14.0,)


@pytest.mark.parametrize("text", ["vacuum 29 inches, held", "pulled 29 inches vacuum and it held", "vac 29.9 inches"])
def test_a_gauge_in_inches_proves_no_vacuum(text: str) -> None:
    """29 inches of mercury leave 0.92 inch, 23,000 micron (29.92 inches are 1 atmosphere)."""
    assert ("vacuum-not-proven", "present") in said(text)


@pytest.mark.parametrize("text", ["suction 5 in vac", "compressor pulls 28 in vac, valves tight", "29 in hg"])
def test_inches_of_another_thing_say_nothing_of_the_evacuation(text: str) -> None:
    assert "vacuum-not-proven" not in {finding for finding, _ in said(text)}


def test_microns_decide_over_inches() -> None:
    assert ("vacuum-not-proven", "absent") in said("vacuum 29.9 inches, then 350 microns, held an hour")


@pytest.mark.parametrize("text", ["head temp 225", "head temp 225 F", "cylinder head 260 F", "head temp 121 C"])
def test_a_head_as_hot_as_a_discharge_line_may_be_is_too_hot(text: str) -> None:
    assert ("discharge-temperature-high", "present") in said(text)


@pytest.mark.parametrize("text", ["head temp 180 F", "head temp 105", "head temperature 70 C"])
def test_a_cooler_head_says_nothing(text: str) -> None:
    assert not {"discharge-temperature-high", "condensing-pressure"} & {finding for finding, _ in said(text)}


def test_three_voltages_say_nothing_of_the_level_that_was_not_told() -> None:
    assert misheard(numbers_in("208-230-231 V")) == {"supply-voltage"}
    assert said("208-230-231 V") == {("voltage-unbalance", "present")}


def test_not_a_megohm_is_less_than_one() -> None:
    assert ("insulation-low", "present") in said("not a megohm left to ground")
    assert ("insulation-low", "absent") in said("over a gig to ground")
