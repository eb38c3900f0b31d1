"""Start and run winding against the maker's figures. Expectations by hand: deviations from the figures in per cent."""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.calculations.electrical.makers_windings import MakersWindings, against_makers, with_makers
from witnessmark.calculations.electrical.single_phase import SinglePhaseReadings
from witnessmark.calculations.electrical.winding_rules import Three
from witnessmark.calculations.electrical.windings import Reference, WindingsResult, single_phase
from witnessmark.calculations.metrology.uncertainty import Measured

ROOM = Measured(298.15)


def three(start: float, run: float, both: float | None = None) -> Three:
    return Measured(start), Measured(run), Measured(start + run if both is None else both)


def makers(start: float, run: float, spread: float = 0.0) -> MakersWindings:
    known = [Reference(Measured(ohm, spread), ROOM) for ohm in (start, run)]
    return MakersWindings(known[0], known[1], ROOM)


def beside(net: Three, known: MakersWindings) -> WindingsResult:
    return with_makers(single_phase(SinglePhaseReadings(net)), against_makers(net, known))


@pytest.mark.parametrize(
    ("start", "run", "stated", "verdict"),
    [
        (1.3, 1.1, (1.3, 1.1), "adds up"),  # a ratio of 1.2 with a run capacitor
        (7.4, 1.1, (7.4, 1.1), "adds up"),  # 6.7: an ice machine with a start capacitor
        (14.0, 1.1, (14.5, 1.05), "adds up"),  # 12.7, which no procedure calls good
        (7.4, 1.1, (4.4, 1.1), "readings contradict"),  # another motor
        (1.3, 1.1, (2.6, 1.1), "readings contradict"),  # half of the start winding gone
        (4.4, 0.7, (4.4, 1.1), "readings contradict"),  # turns of the run winding gone: the start winding is right
    ],
)
def test_the_makers_figures_settle_the_ratio(
    start: float, run: float, stated: tuple[float, float], verdict: str
) -> None:
    found = beside(three(start, run), makers(*stated))
    assert found.verdict == verdict
    assert found.reference is not None
    assert found.reference.standing == ("within" if verdict == "adds up" else "outside")


def test_the_worse_of_the_two_windings_is_told() -> None:
    known = makers(4.4, 1.1)
    check = against_makers(three(4.6, 0.8), known)
    assert check.deviation.value == pytest.approx(0.8 / 1.1 - 1)
    assert against_makers(three(5.5, 1.1), known).deviation.value == pytest.approx(0.25)


def test_what_does_not_add_up_is_not_mended_by_figures() -> None:
    net = three(4.4, 1.1, 4.4)
    found = beside(net, makers(4.4, 1.1))
    assert found.verdict == "does not add up"
    swapped = (Measured(1.1), Measured(4.4), Measured(5.5))
    assert beside(swapped, makers(4.4, 1.1)).verdict == "terminals not as labelled"


def test_leads_that_nobody_measured_leave_it_open() -> None:
    """0.2 ohm of leads are 18 % of 1.1 ohm: neither within 10 % nor another motor."""
    net = three(4.6, 1.3, 5.7)
    known = replace(makers(4.4, 1.1), lead_left_in=True)
    check = against_makers(net, known)
    assert check.standing == "cannot tell"
    readings = SinglePhaseReadings(net, lead_left_in=True)
    assert with_makers(single_phase(readings), check).verdict == "adds up"


def test_a_warm_winding_is_brought_to_the_makers_temperature() -> None:
    """Copper at 65 degC has (234.5 + 65) / (234.5 + 25) = 1.154 of its resistance at 25 degC."""
    known = replace(makers(4.4, 1.1), now=Measured(338.15))
    assert against_makers(three(5.08, 1.27), known).standing == "within"
    assert against_makers(three(5.08, 1.27), makers(4.4, 1.1)).standing == "outside"
