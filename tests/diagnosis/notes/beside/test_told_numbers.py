"""Of which machine the numbers of a note are told. Worst: what another machine reads is taken for this one's."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import read_note

LEARNED = True
F188, F231 = 359.817, 383.706


@pytest.mark.parametrize(
    ("text", "kelvin"),
    [
        ("disch temp 188. Comp 3 disch 231, keep watching", F188),
        ("disch temp 188F. Comp 3 disch 231F", F188),
        ("disch temp 188, other unit disch 231", F188),
        ("temp de descarga 95C. Comp 2 descarga 110", 368.15),
        ("Comp 3 disch temp 231", F231),
    ],
)
def test_a_named_machine_keeps_its_own_temperature(text: str, kelvin: float) -> None:
    reading = read_note(text)
    assert reading.readings == {"discharge_temperature": pytest.approx((kelvin,), abs=0.01)}


@pytest.mark.parametrize(
    "text",
    ["disch temp 188. Comp 3 disch 231", "disch temp 188F. Comp 3 disch 231F", "disch temp 188, comp 3 disch 231"],
)
def test_another_machine_runs_hot_and_not_this_one(text: str) -> None:
    assert ("discharge-temperature-high", "present") not in {(m.finding, m.state) for m in read_note(text).matches}


def test_where_nobody_says_which_is_meant_nothing_is_read() -> None:
    reading = read_note("comp 2 oil 1/2, no foam. disch temp 188. Comp 3 disch 231, keep watching")
    assert not reading.readings


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("disch temp 188, disch 231 psi", "discharge_pressure"),
        ("comp 2 disch temp 188, suct 40 disch 231", "discharge_pressure"),
        ("discharge temp 225. Comp 1 discharge 310 suction 70", "discharge_pressure"),
        ("disch temp 188. Comp 3 disch 340", "discharge_pressure"),
        ("Comp 3 disch 231", "discharge_pressure"),
    ],
)
def test_a_discharge_is_a_pressure_where_nothing_makes_it_a_temperature(text: str, field: str) -> None:
    assert field in read_note(text).readings


def test_pressures_of_a_second_machine_do_not_replace_those_before() -> None:
    reading = read_note("suction 62 head 250. Comp 2 suction 30 head 180")
    assert reading.readings["suction_pressure"] == pytest.approx((62 * 6894.757 + 101_325,), rel=1e-5)


def test_a_motor_of_the_same_age_is_another_one() -> None:
    found = {
        (m.finding, m.state)
        for m in read_note("cond fan motor shorted. unit 4's motor is same age and still good").matches
    }
    assert ("windings-clean", "present") not in found
