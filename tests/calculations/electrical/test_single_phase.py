"""Start and run winding of a single-phase motor."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.electrical.single_phase import SinglePhaseReadings, StartRun, judged
from witnessmark.calculations.electrical.winding_rules import Three, WindingVerdict
from witnessmark.calculations.metrology.uncertainty import Measured

GOOD = (2.5, 1.7, 4.2)


def three(a: float, b: float, c: float, uncertainty: float = 0.0) -> Three:
    return Measured(a, uncertainty), Measured(b, uncertainty), Measured(c, uncertainty)


def verdict_of(*ohms: float, spread: float = 0.01, labelled: bool = True, left_in: bool = False) -> WindingVerdict:
    a, b, c = ohms
    return judged(SinglePhaseReadings(three(a, b, c, spread), labelled=labelled, lead_left_in=left_in))[0]


def numbers(readings: SinglePhaseReadings) -> StartRun:
    found = judged(readings)[2]
    assert found is not None
    return found


@pytest.mark.parametrize("order", list(permutations(GOOD)))
def test_a_good_motor_is_good_in_whatever_order(order: tuple[float, float, float]) -> None:
    assert verdict_of(*order, labelled=False) == "adds up"
    assert verdict_of(*order, labelled=False, spread=0.029) == "adds up"
    assert verdict_of(*order) == ("adds up" if order == GOOD else "terminals not as labelled")


@pytest.mark.parametrize(
    ("ohms", "common", "start", "run"),
    [
        ((2.5, 1.7, 4.2), "common", "start", "run"),
        ((1.7, 2.5, 4.2), "common", "run", "start"),  # start and run swapped
        ((4.2, 1.7, 2.5), "run", "start", "common"),  # common and run swapped
        ((2.5, 4.2, 1.7), "start", "common", "run"),  # common and start swapped
        ((4.2, 2.5, 1.7), "run", "common", "start"),
        ((1.7, 4.2, 2.5), "start", "run", "common"),
    ],
)
def test_terminals_that_are_not_where_they_are_labelled(
    ohms: tuple[float, float, float], common: str, start: str, run: str
) -> None:
    """Worst wrong answer: power on the start winding because the plug was read the wrong way round."""
    found = numbers(SinglePhaseReadings(three(*ohms, 0.01)))
    assert (found.common, found.start, found.run) == (common, start, run)
    verdict, explanation, _ = judged(SinglePhaseReadings(three(*ohms, 0.01)))
    swapped = (common, start, run) != ("common", "start", "run")
    assert verdict == ("terminals not as labelled" if swapped else "adds up")
    assert (f"labelled {common} to be common" in explanation) is swapped


def test_a_swap_within_the_meter_s_digit_is_no_swap() -> None:
    assert verdict_of(1.70, 1.72, 3.42, spread=0.03) == "adds up"


@pytest.mark.parametrize(
    ("ohms", "verdict"),
    [
        ((2.0, 0.5, 2.5), "adds up"),
        ((3.0, 0.5, 3.5), "adds up"),
        ((1.25, 0.5, 1.75), "adds up"),
        ((4.0, 0.33, 4.33), "unbalanced"),
        ((2.0, 0.5, 2.9), "does not add up"),
        ((2.0, 0.5, 2.1), "does not add up"),
        ((2.5, 1.7, 2.5), "does not add up"),
    ],
)
def test_the_sum_decides(ohms: tuple[float, float, float], verdict: WindingVerdict) -> None:
    assert verdict_of(*ohms) == verdict


@given(st.floats(0.5, 10.0), st.floats(1.1, 5.9))
def test_any_two_windings_in_series_add_up(run: float, ratio: float) -> None:
    assert verdict_of(run * ratio, run, run * (1 + ratio), spread=1e-3 * run) == "adds up"


@pytest.mark.parametrize(
    ("start", "verdict", "standing"),
    [
        (1.0, "adds up", "sources disagree"),
        (2.999, "adds up", "sources disagree"),
        (3.0, "adds up", "within"),
        (5.0, "adds up", "within"),
        (5.001, "adds up", "sources disagree"),
        (6.001, "cannot tell", "outside"),
        (10.0, "cannot tell", "outside"),
        (10.001, "unbalanced", "outside"),
    ],
)
def test_the_edges_of_start_over_run(start: float, verdict: WindingVerdict, standing: str) -> None:
    readings = SinglePhaseReadings(three(start, 1.0, start + 1.0))
    assert judged(readings)[0] == verdict
    assert numbers(readings).start_over_run_standing == standing


def test_the_leads_count_once_in_the_sum() -> None:
    found = numbers(SinglePhaseReadings(three(2.3, 0.8, 2.8, 0.001), lead=Measured(0.3, 0.001)))
    assert found.surplus.value == pytest.approx(0.0, abs=1e-12)
    assert found.surplus.uncertainty == pytest.approx(0.002)
    assert found.sum_agrees


@pytest.mark.parametrize(
    ("both", "left_in", "verdict"),
    [
        (4.2, True, "adds up"),  # 2.5 + 1.7
        (3.9, True, "adds up"),  # leads of 0.3 ohm left in all three
        (3.9, False, "does not add up"),
        (3.6, True, "does not add up"),  # leads of 0.6 ohm there are none
        (4.4, True, "does not add up"),
    ],
)
def test_leads_left_in_are_allowed_for(both: float, left_in: bool, verdict: WindingVerdict) -> None:  # noqa: FBT001
    assert verdict_of(2.5, 1.7, both, left_in=left_in) == verdict


@pytest.mark.parametrize(("run", "verdict"), [(0.21, "adds up"), (0.20, "cannot tell")])
def test_a_sum_known_too_badly_says_nothing(run: float, verdict: WindingVerdict) -> None:
    """Spread of the sum 0.029 * sqrt(3) = 0.05 ohm, twice that is half of 0.2 ohm."""
    assert verdict_of(1.0, run, 1.0 + run, spread=0.05 / 3**0.5) == verdict


@pytest.mark.parametrize(
    ("closed", "verdict"),
    [
        ((None, None, 4.2), "protector may be open"),
        ((None, 1.7, None), "open start winding"),
        ((2.5, None, None), "open run winding"),
        ((None, None, None), "open circuit"),
        ((2.5, 1.7, None), "readings contradict"),
        ((None, 1.7, 4.2), "readings contradict"),
        ((2.5, None, 4.2), "readings contradict"),
    ],
)
def test_which_winding_is_open(closed: tuple[float | None, float | None, float | None], verdict: str) -> None:
    a, b, c = (None if r is None else Measured(r) for r in closed)
    found, explanation, start_run = judged(SinglePhaseReadings((a, b, c)))
    assert (found, start_run) == (verdict, None)
    assert explanation
    unknown = judged(SinglePhaseReadings((a, b, c), labelled=False))[0]
    assert unknown == ("readings contradict" if verdict == "readings contradict" else "open circuit")
