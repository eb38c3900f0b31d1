"""Windings held against what the motor takes. Expected bounds by hand from Ohm's law; motors from memory."""

from __future__ import annotations

import pytest

from witnessmark.calculations.electrical.winding_current import Feed, no_such_motor
from witnessmark.calculations.electrical.windings import WindingsResult, with_feed
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError
from witnessmark.vocabulary import Phases

Three = tuple[Measured, Measured, Measured]


def three(a: float, b: float, c: float, uncertainty: float = 0.0) -> Three:
    return Measured(a, uncertainty), Measured(b, uncertainty), Measured(c, uncertainty)


@pytest.mark.parametrize(
    ("ohm", "phases", "volts", "amps"),
    [
        ((0.58, 0.58, 0.58), "three-phase", 400.0, 25.0),  # a scroll of 15 kW
        ((1.2, 1.2, 1.2), "three-phase", 400.0, 16.0),
        ((4.5, 4.5, 4.5), "three-phase", 400.0, 5.0),
        ((0.05, 0.05, 0.05), "three-phase", 400.0, 200.0),  # a semi-hermetic of 110 kW
        ((0.5, 1.7, 2.2), "single-phase", 230.0, 25.0),
        ((2.0, 4.5, 6.5), "single-phase", 230.0, 8.0),
        ((35.0, 45.0, 80.0), "single-phase", 230.0, 0.8),  # a domestic refrigerator
        ((0.6, 0.6, 0.6), "three-phase", 230.0, 10.0),  # an inverter's rotary
    ],
)
def test_windings_of_usual_motors(ohm: tuple[float, float, float], phases: Phases, volts: float, amps: float) -> None:
    assert no_such_motor(three(*ohm), phases, Feed(volts, amps)) == ""


@pytest.mark.parametrize(
    ("ohm", "phases", "feed", "word"),
    [
        # 400 V and 16 A: 2/sqrt(3) * 25 = 28.87 ohm, of which 0.3 are 8.66 and 0.003 are 0.0866
        (8.65, "three-phase", Feed(400, 16), ""),
        (8.67, "three-phase", Feed(400, 16), "8.7 ohm at most"),
        (0.0867, "three-phase", Feed(400, 16), ""),
        (0.0865, "three-phase", Feed(400, 16), "0.087 ohm at least"),
        (0.0865, "three-phase", Feed(400, 16, rated=False), ""),  # it may have run at a part of its load
        (17.3, "three-phase", Feed(400, 16, inverter=True), ""),
        (17.4, "three-phase", Feed(400, 16, inverter=True), "17 ohm at most"),
        (0.01, "three-phase", Feed(400, 16, inverter=True), ""),
        # 230 V and 10 A: 23 ohm, 6.9 and 0.069
        (6.89, "single-phase", Feed(230, 10), ""),
        (6.91, "single-phase", Feed(230, 10), "6.9 ohm at most"),
        (0.0691, "single-phase", Feed(230, 10), ""),
        (0.0689, "single-phase", Feed(230, 10), "0.069 ohm at least"),
    ],
)
def test_the_edges_by_hand(ohm: float, phases: Phases, feed: Feed, word: str) -> None:
    others = (ohm, ohm) if phases == "three-phase" else (2 * ohm, 3 * ohm)
    found = no_such_motor(three(ohm, *others), phases, feed)
    assert (word in found) if word else found == ""


def test_what_the_meter_leaves_open_is_no_contradiction() -> None:
    """8.8 ohm within 0.1 may be 8.6; 0.08 within 0.01 may be 0.1."""
    assert no_such_motor(three(8.8, 8.8, 8.8, 0.1), "three-phase", Feed(400, 16)) == ""
    assert no_such_motor(three(0.08, 0.08, 0.08, 0.01), "three-phase", Feed(400, 16)) == ""


def test_one_reading_of_three_in_range_is_left_to_the_balance() -> None:
    assert no_such_motor(three(1.2, 40, 40), "three-phase", Feed(400, 16)) == ""
    assert no_such_motor(three(0.01, 0.01, 1.2), "three-phase", Feed(400, 16)) == ""


def test_a_feed_out_of_range() -> None:
    for feed in (Feed(0, 16), Feed(400, 0)):
        with pytest.raises(OutOfRangeError):
            no_such_motor(three(1, 1, 1), "three-phase", feed)


def test_what_was_told_before_it_stays_told() -> None:
    assert with_feed(WindingsResult("balanced"), "none").verdict == "readings contradict"
    assert with_feed(WindingsResult("terminals not as labelled"), "none").verdict == "readings contradict"
    assert with_feed(WindingsResult("shorted winding"), "none").verdict == "shorted winding"
    assert with_feed(WindingsResult("balanced"), "").verdict == "balanced"
