"""Real readings of a rooftop unit with its condenser air blocked: what the diagnosis acts on, at every level.

Outside: open laboratory data (`rooftop`). What leads at a chance of one in a hundred is no claim; a cause counts as
named where the answer acts on it. Gates ask the unfavourable end of the interval of the hours. With so few hours even a
perfect answer shows no more than 0.81 at 58 % and 0.11 of false alarms, so the bounds are wide; who always names the
condenser, or never, has no skill. 28 % without a baseline lies within what sound units differ by: the honest answer
there is none.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby
from statistics import median

import pytest

from tests.published import rooftop
from witnessmark.diagnosis.evaluation.tables import table

pytestmark = pytest.mark.skipif(not rooftop.here(), reason="the laboratory data may not be shipped; not found here")


def test_all_levels_are_shown(capsys: pytest.CaptureFixture[str]) -> None:
    """All three levels with chance and the five rates, in the output of the test."""
    found = rooftop.table()
    head = ("blocked", "held against", "hours", "rows", "hours", *rooftop.RATES, "causes acted on", "chance")
    with capsys.disabled():
        print("\n" + table(head, found))  # noqa: T201 - the figures are what this test is for
    counted = {row[:3]: sum(int(cell) for cell in row[5:10]) for row in found}
    assert counted == {row[:3]: int(row[3]) for row in found}, "every row has one of the five rates"
    usual = {level: sum(n for key, n in counted.items() if key[:2] == (level, "usual ranges")) for level, *_ in found}
    assert usual == {"0 %": 122, "28 %": 62, "58 %": 77}


def test_the_blocked_condenser_is_acted_on() -> None:
    assert rooftop.rate(rooftop.of_level(rooftop.usual(), "58"), "correct").low >= 0.50


def test_a_clean_condenser_is_not() -> None:
    assert rooftop.rate(rooftop.of_level(rooftop.usual(), "0"), "false alarm").high <= 0.25


def test_naming_always_or_never_has_no_skill() -> None:
    assert rooftop.skill(rooftop.usual()) >= 0.25


@pytest.mark.parametrize("all_of", [rooftop.usual, rooftop.held])
def test_a_lightly_blocked_condenser_is_not_called_low_airflow(
    all_of: Callable[[], Sequence[rooftop.Judged]],
) -> None:
    """Wrong answer that hurts: the evaporator's filters are changed while the condenser stays blocked."""
    light = rooftop.of_level(all_of(), "28")
    assert all(one.named != "low-airflow" for one in light)
    assert rooftop.rate(light, "misdiagnosis").high <= 0.25


def test_a_baseline_sees_what_the_usual_ranges_cannot() -> None:
    light = [rooftop.rate(rooftop.of_level(some, "28"), "correct") for some in (rooftop.usual(), rooftop.held())]
    assert light[1].low >= 0.10
    assert light[1].value > light[0].value
    assert rooftop.rate(rooftop.of_level(rooftop.held(), "58"), "correct").low >= 0.70


def test_the_vanished_superheat_points_to_floodback() -> None:
    """At 58 % the measured superheat is gone: a blocked condenser is a road to floodback on this unit."""
    by_level = {level: list(some) for level, some in groupby(rooftop.usual(), key=lambda one: one.level)}
    blocked, clean = ([one.wet for one in by_level[level]] for level in ("58", "0"))
    assert sum(first for first, _ in blocked) / len(blocked) >= 0.8
    assert median(chance for _, chance in blocked) > 5 * median(chance for _, chance in clean)
