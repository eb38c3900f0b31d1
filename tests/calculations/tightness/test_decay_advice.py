"""What to do where a vacuum cannot be told. Worst: a longer hold asked of one that leaks, or an hour of 500 litres."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.decay_advice import (
    COLDER,
    COMPOUND,
    FIND_OUT,
    HIDDEN,
    HIGH,
    HOLD_ON,
    LEVELS,
    OFTEN,
    STILL,
    STUCK,
    THEN,
    WHY_HIGH,
    what_decides,
    what_to_do,
)
from witnessmark.calculations.tightness.decay_fit import DecayReading
from witnessmark.calculations.tightness.decay_rules import DecayReason
from witnessmark.calculations.tightness.evacuation import DecayTest, DecayVerdict, decay, default_scatter

MICRON = 0.133322


def judged(microns: list[float], minutes: float, litres: float, step: float = 1.0) -> DecayVerdict:
    gaps = len(microns) - 1
    readings = tuple(
        DecayReading(60 * minutes * k / gaps, Measured(p * MICRON, default_scatter(p * MICRON, step * MICRON)))
        for k, p in enumerate(microns)
    )
    return decay(DecayTest(readings, Measured(293.15, 1.0), volume=litres / 1e3, gauge_step=step * MICRON))


def test_a_hold_that_hides_the_leak_is_to_be_longer_and_read_often() -> None:
    """100 litres: an allowed leak of 0.25 Pa an hour hides in an hour of a 1 % gauge."""
    found = judged([200, 210, 215, 218, 220, 221, 222], 60, 100)
    first, *rest = what_decides(found)
    assert found.verdict == "cannot tell"
    assert first == f"What would decide on the leak: a hold of {found.least_hold / 3600:.2g} h or longer."
    assert found.least_hold > 3600
    assert rest == [HIDDEN, OFTEN]


def test_a_coarse_display_needs_a_longer_one_still() -> None:
    fine, coarse = (judged([200, 250, 250, 250, 250, 250, 250], 60, 100, step) for step in (1.0, 50.0))
    assert coarse.least_hold > 3 * fine.least_hold
    assert HIDDEN in what_decides(coarse)


def test_where_a_leak_would_show_it_is_twice_the_hold_and_at_least_an_hour() -> None:
    found = replace(judged([200, 210, 215, 218, 220, 221, 222], 60, 100), least_hold=600.0, count=20)
    for held, hours in ((1200.0, "1"), (5400.0, "3")):
        short = replace(found, hold=replace(found.hold, value=Measured(held)))
        assert what_decides(short) == (f"What would decide on the leak: a hold of {hours} h or longer.", LEVELS)
    assert OFTEN in what_decides(replace(found, count=19))


def test_a_verdict_that_waits_for_nothing_asks_for_nothing() -> None:
    assert what_decides(judged([200.0] * 2 + [201.0] * 22, 120, 10)) == ()
    assert what_decides(judged([200 + 40.0 * k for k in range(12)], 60, 10)) == ()


@pytest.mark.parametrize(("level", "told"), [(23_000, COMPOUND), (10_000, COMPOUND), (9_990, STILL)])
def test_a_level_that_only_a_compound_gauge_reads_names_the_instrument(level: float, told: str) -> None:
    """29 inHg below the air is some 23,000 micron: one division of such a gauge is 25,000."""
    found = judged([level] * 5, 60, 10_000, step=1.0)
    found = replace(
        found, verdict="cannot tell", reasons=("climbs less than an allowed leak", "stands above the limit")
    )
    assert what_to_do(found)[0] == told


def test_a_level_that_is_flat_and_too_high_says_what_may_hold_it_and_what_to_do() -> None:
    """900 micron for an hour, the volume not told: no leak shows, and it is not dry."""
    found = replace(judged([900] * 5, 60, 1), verdict="cannot tell")
    found = replace(found, reasons=("climbs less than an allowed leak", "stands above the limit"))
    assert what_to_do(found)[:4] == (STILL, WHY_HIGH, FIND_OUT, THEN)
    open_leak = replace(found, reasons=("stands above the limit", "may climb by more than an allowed leak"))
    assert what_to_do(open_leak)[:4] == (HIGH, WHY_HIGH, FIND_OUT, THEN)


@pytest.mark.parametrize(
    ("reason", "told"),
    [
        ("the gauge does not move", STUCK),
        ("water at a colder spot could hold it", COLDER),
        ("may come to stand above the limit", HOLD_ON),
    ],
)
def test_each_open_reason_says_what_to_do(reason: DecayReason, told: str) -> None:
    found = replace(judged([300] * 5, 60, 10), verdict="cannot tell", reasons=(reason,))
    assert what_to_do(found)[0] == told


def test_what_is_told_asks_for_nothing_more() -> None:
    assert what_to_do(judged([200.0] * 2 + [201.0] * 22, 120, 10)) == ()
    bare = replace(
        judged([300] * 5, 60, 10), verdict="cannot tell", reasons=("may climb by more than an allowed leak",)
    )
    assert what_to_do(bare) == what_decides(bare)
