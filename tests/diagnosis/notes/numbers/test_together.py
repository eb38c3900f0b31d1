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


OPEN = {("winding-open", "present"), ("start-winding-open", "present")}


@pytest.mark.parametrize(
    "text",
    [
        "infinite to ground, OL on all three",
        "OL on all three to ground",
        "ohms to ground OL, winding 1.2 1.2 1.2",
        "megger infinite all three to ground",
    ],
)
def test_an_open_reading_to_ground_is_no_open_winding(text: str) -> None:
    heard = read_note(text)
    assert not OPEN & {(m.finding, m.state) for m in (*heard.matches, *heard.candidates)}
    assert ("insulation-low", "absent") in said(text)


@pytest.mark.parametrize("text", ["C-R OL, to ground OL", "windings OL, ground infinite", "OL all windings"])
def test_an_open_winding_beside_a_good_ground_is_still_heard(text: str) -> None:
    """The worst wrong answer of that rule: a winding that is open, passed over."""
    heard = read_note(text)
    assert any(finding.endswith("winding-open") for finding in [m.finding for m in (*heard.matches, *heard.candidates)])


@pytest.mark.parametrize("text", ["no leak to earth", "no leak to earth, windings fine", "no reading to ground, good"])
def test_no_leak_to_earth_is_good_insulation_and_nothing_of_people_or_gas(text: str) -> None:
    heard = read_note(text)
    assert ("insulation-low", "absent") in said(text)
    assert not {"people-unwell", "charge-short"} & {m.finding for m in (*heard.matches, *heard.candidates)}


@pytest.mark.parametrize("text", ["leak to earth on leg 2", "no leak to earth on L1 but leg 2 is down to earth"])
def test_a_leak_to_earth_is_heard(text: str) -> None:
    assert ("insulation-low", "present") in said(text)


@pytest.mark.parametrize("text", ["3 lb put in", "recovered, 3 lb put in", "put in 3 lb", "3 lb went back in"])
def test_what_was_put_in_was_not_recovered(text: str) -> None:
    assert "recovered_charge" not in read_note(text).readings


@pytest.mark.parametrize("text", ["recovered 3 lb put in 5 lb", "took out 3 lb, put in 5 lb", "3 lb recovered"])
def test_what_was_recovered_is_read_beside_what_was_put_in(text: str) -> None:
    assert read_note(text).readings["recovered_charge"] == pytest.approx((1.3607771,), rel=1e-6)  # 0.45359237 kg a lb


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("windings 1.1/1.1/1.2 ohm even", "absent"),
        ("bobinas 1.1 1.1 1.2 ohm iguales", "absent"),
        ("windings 1.4 1.5 1.4 equal", "absent"),
        ("windings 0.41/0.42/0.41 ohm", "absent"),
        ("windings 1.1/1.1/1.2 ohm", ""),
        ("windings 0.8 0.8 0.9", ""),
        ("windings 4/4/5 ohm", ""),
        ("windings 1.10/1.10/1.20 ohm", "present"),
        ("windings 2.4/2.4/3.1 ohm", "present"),
        ("windings 0.61/0.62/0.90 balanced", "present"),
        ("windings 1.1/1.2/1.4 ohm", "present"),
    ],
)
def test_one_step_of_the_meter_makes_no_winding_unequal(text: str, state: str) -> None:
    found = {m.state for m in match(text) if m.finding == "winding-resistances-unequal"}
    assert found == ({state} if state else set())


@pytest.mark.parametrize("text", ["gauges 8.4/ 26.1 bar", "pressure 122/ 365, air filter cleaned", "suct 62 head 250"])
def test_a_difference_that_was_read_decides_over_words_beside_it(text: str) -> None:
    assert "no-pressure-difference" in misheard(numbers_in(text))
    assert "no-pressure-difference" not in {finding for finding, _ in said(text)}


@pytest.mark.parametrize("text", ["suct 62 head 118", "standing: suct 62 head 250", "suct 62. head 250", "head 250"])
def test_sides_near_each_other_or_at_rest_disprove_nothing(text: str) -> None:
    assert "no-pressure-difference" not in misheard(numbers_in(text))
