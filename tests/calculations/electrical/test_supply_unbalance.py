"""Supply of a three-phase motor."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.electrical.single_phasing import MeasuredBetween
from witnessmark.calculations.electrical.supply_unbalance import (
    TABLE,
    SupplyReadings,
    UnbalanceOrigin,
    WhenRolled,
    derating,
    extra_temperature_rise,
    supply,
    unbalance,
    voltage_zone,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError

Three = tuple[Measured, Measured, Measured]


def three(a: float, b: float, c: float, uncertainty: float = 0.0) -> Three:
    return Measured(a, uncertainty), Measured(b, uncertainty), Measured(c, uncertainty)


def test_the_spread_over_the_mean_is_another_figure() -> None:
    found = unbalance(three(480, 476, 472))
    assert found.fraction.value == pytest.approx(4 / 476)
    assert found.spread_over_mean == pytest.approx(8 / 476)


@given(st.floats(50, 600), st.floats(50, 600), st.floats(50, 600))
def test_the_spread_lies_between_once_and_twice_the_unbalance(a: float, b: float, c: float) -> None:
    found = unbalance(three(a, b, c))
    assert found.fraction.value <= found.spread_over_mean * (1 + 1e-12) + 1e-15
    assert found.spread_over_mean <= 2 * found.fraction.value * (1 + 1e-9) + 1e-12


@given(st.floats(50, 600), st.floats(50, 600), st.floats(50, 600), st.floats(0.1, 10))
def test_unbalance_does_not_depend_on_the_scale_of_the_meter(a: float, b: float, c: float, k: float) -> None:
    one, other = unbalance(three(a, b, c)), unbalance(three(k * a, k * b, k * c))
    assert other.fraction.value == pytest.approx(one.fraction.value, abs=1e-12)


def test_the_furthest_phase_is_named() -> None:
    assert unbalance(three(400, 390, 401)).furthest == 2


def test_equal_readings_are_not_an_exact_zero() -> None:
    found = unbalance(three(400, 400, 400, 1.0))
    assert found.fraction.value == 0.0
    assert found.fraction.uncertainty == pytest.approx((2 / 3) ** 0.5 / 400)


def test_no_voltage_at_all_is_refused() -> None:
    with pytest.raises(InputError, match="all three are zero"):
        unbalance(three(0, 0, 0))


@pytest.mark.parametrize("bad", [-1.0, 2e4, float("nan")])
def test_impossible_voltages_name_their_field(bad: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        supply(SupplyReadings(three(400, bad, 400)))
    assert (caught.value.field, caught.value.dimension) == ("voltages.1", "voltage")


def test_impossible_currents_and_rating_name_their_field() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        supply(SupplyReadings(three(400, 400, 400), three(1, 1, 2e4)))
    assert (caught.value.field, caught.value.dimension) == ("currents.2", "current")
    with pytest.raises(OutOfRangeError) as caught:
        supply(SupplyReadings(three(400, 400, 400), rated_voltage=0.0))
    assert caught.value.field == "rated_voltage"


def test_a_good_supply_is_fit() -> None:
    found = supply(SupplyReadings(three(400, 401, 399, 0.2), three(10, 10.1, 9.9, 0.02), rated_voltage=400))
    assert found.standing == "within"
    assert found.band is not None
    assert found.band.standing == "within"
    assert found.current is not None
    assert found.current.standing == "within"
    assert (found.verdict, found.explanation, found.lost_leg) == ("within", "", None)


LOST: list[tuple[tuple[float, float, float], tuple[float, float, float] | None, int | None]] = [
    ((480, 0, 240), None, 3),
    ((230, 115, 115), None, 3),
    ((115, 230, 115), None, 1),
    ((115, 115, 230), None, 2),
    ((480, 0, 0), None, 3),
    ((480, 480, 0), None, None),
    ((480, 270, 270), None, 3),  # a motor that turns slowly feeds some of it back
    ((400, 400, 399), (0, 40, 40), 1),
    ((400, 400, 399), (40, 0.2, 40), 2),
    ((480, 466, 462), (38, 41, 0.5), 3),  # a running motor holds the voltage up
    ((400, 390, 395), (20, 10, 10), None),  # one phase lost before a star-delta transformer
]


@pytest.mark.parametrize(("volts", "amps", "leg"), LOST)
@pytest.mark.parametrize("maker", [None, 0.05])
def test_a_lost_phase_is_the_verdict(
    volts: tuple[float, float, float], amps: tuple[float, float, float] | None, leg: int | None, maker: float | None
) -> None:
    """Worst wrong answer: a supply that is fit, or merely unbalanced, where the motor runs on two phases."""
    currents = None if amps is None else three(*amps, 0.3)
    limits = {"maker_voltage_unbalance": maker, "maker_current_unbalance": 1.5}
    found = supply(SupplyReadings(three(*volts, 1.0), currents, 400, **limits))  # type: ignore[arg-type]
    assert (found.verdict, found.lost_leg) == ("lost phase", leg)
    assert found.explanation.startswith("single phasing")


@pytest.mark.parametrize(
    ("currents", "verdict"),
    [
        ((40, 0, 0), "readings contradict"),  # to ground, or the clamp was misread
        ((40, 15, 15), "readings contradict"),
        ((36.5, 20, 13), "lost phase"),
        ((16, 10, 10), "outside"),
        ((10, 10, 10), "within"),
    ],
)
def test_currents_close_to_a_triangle(currents: tuple[float, float, float], verdict: str) -> None:
    assert supply(SupplyReadings(three(400, 400, 400, 0.1), three(*currents, 0.1))).verdict == verdict


@given(st.floats(0.96, 1.04), st.floats(0.96, 1.04), st.floats(0.8, 1.2), st.floats(0.8, 1.2))
def test_no_ordinary_supply_loses_a_phase(a: float, b: float, x: float, y: float) -> None:
    found = supply(SupplyReadings(three(400, 400 * a, 400 * b, 0.3), three(20, 20 * x, 20 * y, 0.3)))
    assert found.verdict in ("within", "derate", "outside", "cannot tell")
    assert found.lost_leg is None


@pytest.mark.parametrize(
    ("third", "verdict"),
    [
        (100.0, "within"),
        (101.65, "within"),  # 1.09 %: 0.98 of the load
        (102.0, "within"),  # 1.325 %
        (102.02, "derate"),  # 1.338 %: 0.9748 by the handbook's table
        (105.0, "derate"),
        (107.692, "derate"),
        (107.693, "outside"),
    ],
)
def test_derating_lies_between_within_and_outside(third: float, verdict: str) -> None:
    """100, 100 and x: 2 (x - 100) / (200 + x). The lowest curve falls to 0.975 at 1.333 %."""
    found = supply(SupplyReadings(three(100, 100, third)))
    assert found.verdict == verdict
    assert (found.derating is None) == (verdict == "outside")


@pytest.mark.parametrize(
    ("third", "spread", "verdict"), [(102.0, 0.2, "cannot tell"), (107.5, 0.3, "cannot tell"), (104.0, 0.2, "derate")]
)
def test_between_two_verdicts_the_meter_cannot_tell(third: float, spread: float, verdict: str) -> None:
    assert supply(SupplyReadings(three(100, 100, third, spread))).verdict == verdict


@pytest.mark.parametrize(
    ("volts", "between", "verdict", "leg"),
    [
        ((277, 277, 0), "line-to-neutral", "lost phase", 3),
        ((277, 139, 277), "line-to-neutral", "lost phase", 2),  # a dead leg stands halfway
        ((277, 277, 276), "line-to-neutral", "measure line to line", None),
        ((480, 480, 0), "line-to-ground", "measure line to line", None),  # grounded at a corner: nothing is wrong
        ((120, 208, 120), "line-to-ground", "measure line to line", None),  # high leg
        ((277, 277, 277), "line-to-ground", "measure line to line", None),
    ],
)
def test_readings_to_neutral_or_ground(
    volts: tuple[float, float, float], between: MeasuredBetween, verdict: str, leg: int | None
) -> None:
    """They are never taken for a balanced supply, nor a grounded corner for a lost phase."""
    found = supply(SupplyReadings(three(*volts), three(10, 10, 10), rated_voltage=480, between=between))
    assert (found.verdict, found.lost_leg) == (verdict, leg)
    assert (found.standing, found.derating, found.band) == ("cannot tell", None, None)
    assert found.current is not None
    assert found.current.origin == "cannot tell"
    assert found.explanation


@pytest.mark.parametrize(("least", "verdict"), [(0.59, "lost phase"), (0.60, "measure line to line")])
def test_the_edge_of_a_lost_phase_to_neutral(least: float, verdict: str) -> None:
    found = supply(SupplyReadings(three(100, 100, 100 * least), between="line-to-neutral"))
    assert found.verdict == verdict


@pytest.mark.parametrize(
    ("other", "verdict"), [(75.0, "outside"), (74.9, "lost phase")]
)  # two of 75 V over one of 100 V are 1.5
def test_the_edge_of_the_triangle(other: float, verdict: str) -> None:
    assert supply(SupplyReadings(three(100, other, other))).verdict == verdict


def test_a_reading_to_neutral_taken_for_one_between_lines_is_suspected() -> None:
    found = supply(SupplyReadings(three(231, 231, 230, 0.2), rated_voltage=400))
    assert found.verdict == "outside"
    assert "square root of three" in found.explanation
    assert supply(SupplyReadings(three(300, 300, 300, 0.2), rated_voltage=400)).explanation == ""


@pytest.mark.parametrize(
    ("rolled", "origin"), [("follows-supply", "supply explains it"), ("follows-motor", "look at motor and connections")]
)
def test_rolled_leads_decide(rolled: WhenRolled, origin: UnbalanceOrigin) -> None:
    """15 % of current at 2 % of voltage could be either (6 to 10 times is 12 to 20 %)."""
    volts, amps = three(400, 412.3, 400, 0.1), three(11.5, 9.25, 9.25, 0.2)
    unknown = supply(SupplyReadings(volts, amps))
    assert unknown.current is not None
    assert unknown.current.origin != "look at motor and connections"
    found = supply(SupplyReadings(volts, amps, when_rolled=rolled))
    assert found.current is not None
    assert found.current.origin == origin
    # what the supply explains is met by the derating; what the motor makes is not
    assert found.verdict == ("derate" if rolled == "follows-supply" else "outside")


@pytest.mark.parametrize(
    ("voltages", "standing"),
    [((400, 401, 399), "within"), ((400, 410, 400), "sources disagree"), ((400, 450, 400), "outside")],
)
def test_conflicting_ceilings(voltages: tuple[float, float, float], standing: str) -> None:
    found = supply(SupplyReadings(three(*voltages, 0.2)))
    assert found.standing == standing
    assert found.limit.value == 0.01


def test_the_makers_ceiling_decides() -> None:
    found = supply(SupplyReadings(three(400, 410, 400, 0.2), maker_voltage_unbalance=0.02))
    assert (found.standing, found.limit.basis) == ("within", "maker")


def test_a_coarse_meter_cannot_tell() -> None:
    assert supply(SupplyReadings(three(400, 405, 400, 3.0))).standing == "cannot tell"


def test_derating_takes_the_lowest_curve() -> None:
    found = derating(0.03)
    assert found is not None
    assert found.factor == 0.88
    assert found.by_source["derating-handbook-table"] == 0.89


def test_no_derating_is_offered_beyond_what_is_stated() -> None:
    assert derating(0.0501) is None
    assert supply(SupplyReadings(three(400, 450, 400))).derating is None


@given(st.floats(0, 0.05), st.floats(0, 0.05))
def test_derating_falls_with_unbalance(a: float, b: float) -> None:
    low, high = derating(min(a, b)), derating(max(a, b))
    assert low is not None
    assert high is not None
    assert 0.7 < high.factor <= low.factor <= 1.0


def test_temperature_rise_carries_uncertainty() -> None:
    found = extra_temperature_rise(Measured(0.03, 0.001))
    assert found.value == pytest.approx(0.18)
    assert found.uncertainty == pytest.approx(0.012)


def test_voltage_band_is_two_sided() -> None:
    low = supply(SupplyReadings(three(203, 203, 203, 0.3), rated_voltage=230)).band
    assert low is not None
    assert low.standing == "outside"
    assert low.deviation.value == pytest.approx(-27 / 230)
    high = supply(SupplyReadings(three(260, 260, 260, 0.3), rated_voltage=230)).band
    assert high is not None
    assert high.standing == "outside"


@pytest.mark.parametrize(
    ("currents", "origin"),
    [
        ((10.8, 9.6, 9.6), "supply explains it"),
        ((13.0, 8.5, 8.5), "look at motor and connections"),
        ((10.1, 9.95, 9.95), "less than the supply would give"),
        ((10.6, 9.7, 9.7), "cannot tell"),
    ],
)
def test_where_a_current_unbalance_comes_from(currents: tuple[float, float, float], origin: UnbalanceOrigin) -> None:
    found = supply(SupplyReadings(three(400, 406, 400, 0.1), three(*currents, 0.01))).current
    assert found is not None
    assert found.origin == origin
    assert (found.explained_low, found.explained_high) == pytest.approx((0.0597, 0.0995), abs=1e-3)


def test_an_absurd_uncertainty_is_refused_a_wide_one_gives_cannot_tell() -> None:
    with pytest.raises(InputError, match="uncertainty"):
        supply(SupplyReadings(three(400, 400, 400, 1e15)))
    found = supply(SupplyReadings(three(400, 400, 400, 1e4), three(1, 1, 1, 1e3), rated_voltage=400))
    assert (found.standing, found.verdict) == ("cannot tell", "cannot tell")


def test_the_example_of_a_published_note() -> None:
    """460, 467 and 450 V: mean 459 V, greatest deviation 9 V."""
    found = supply(SupplyReadings(three(460, 467, 450)))
    assert (found.voltage.mean, found.voltage.furthest) == (459, 3)
    assert found.voltage.fraction.value == pytest.approx(9 / 459)
    third = unbalance(three(400, 400, 430))
    assert (third.mean, third.furthest) == (410, 3)
    assert third.fraction.value == pytest.approx(20 / 410)


def test_the_example_of_the_temperature_rise() -> None:
    assert extra_temperature_rise(Measured(0.035)).value == pytest.approx(0.245)


@pytest.mark.parametrize(
    ("third", "standing"),
    [(101.507, "within"), (101.508, "sources disagree"), (107.692, "sources disagree"), (107.693, "outside")],
)
def test_the_edges_of_the_voltage_unbalance(third: float, standing: str) -> None:
    """100, 100 and x: (x - mean) / mean is 1 % at 101.5075 and 5 % at 107.6923."""
    assert supply(SupplyReadings(three(100, 100, third))).standing == standing


@pytest.mark.parametrize(
    ("volts", "standing"), [(220.0, "within"), (220.01, "outside"), (180.0, "within"), (179.99, "outside")]
)
def test_the_edges_of_the_voltage_band(volts: float, standing: str) -> None:
    """Ten percent either side of 200 V."""
    band = supply(SupplyReadings(three(volts, volts, volts), rated_voltage=200.0)).band
    assert band is not None
    assert band.standing == standing


@pytest.mark.parametrize(("least", "leg"), [(1.99, 3), (2.01, None)])
def test_the_edge_of_a_lost_phase(least: float, leg: int | None) -> None:
    """20 A, 20 A and x: a tenth of 20 A is what two lines that carry the same may differ by."""
    assert supply(SupplyReadings(three(400, 400, 400), three(20, 20, least))).lost_leg == leg


@pytest.mark.parametrize(("least", "leg"), [(4.99, 3), (5.01, None)])
def test_the_edge_of_a_line_that_carries_the_sum(least: float, leg: int | None) -> None:
    """20 A, 16 A and x: from a quarter of the greatest on it is no dead leg, and L1 carries what the others bring."""
    found = supply(SupplyReadings(three(400, 400, 400), three(20, 16, least)))
    assert (found.verdict, found.lost_leg) == ("lost phase", leg)


@pytest.mark.parametrize(("fraction", "sources"), [(0.0, 2), (0.02, 3), (0.03, 3), (0.0301, 2), (0.05, 2)])
def test_each_curve_counts_over_its_points_only(fraction: float, sources: int) -> None:
    found = derating(fraction)
    assert found is not None
    assert len(found.by_source) == sources


def test_the_file_holds_what_was_reviewed() -> None:
    table = TABLE()
    assert [len(curve.points) for curve in table.derating] == [2, 6, 10]
    assert (table.current_ratio.low, table.current_ratio.high, table.full_load.factor) == (6.0, 10.0, 0.975)
    phases = table.lost_phase
    assert (phases.current, phases.triangle, phases.neutral, phases.closing) == (0.05, 1.5, 0.6, 0.1)


@pytest.mark.parametrize(
    ("readings", "field", "ends"),
    [
        (SupplyReadings(three(400, -1, 400)), "voltages.1", (0.0, 15e3, "voltage")),
        (SupplyReadings(three(400, 400, 400), three(1, 1, -1)), "currents.2", (0.0, 1e4, "current")),
        (SupplyReadings(three(400, 400, 400), rated_voltage=2e4), "rated_voltage", (1.0, 15e3, "voltage")),
    ],
)
def test_a_reading_out_of_range_is_told_the_range(
    readings: SupplyReadings, field: str, ends: tuple[float, float, str]
) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        supply(readings)
    error = caught.value
    assert (error.field, (error.low, error.high, error.dimension)) == (field, ends)


@pytest.mark.parametrize(
    ("volts", "uncertainty", "zone", "standing"),
    [
        (400.0, 0.5, "A", "within"),
        (412.0, 0.5, "A", "within"),
        (420.0, 0.5, "cannot tell", "within"),
        (428.0, 0.5, "B", "within"),  # within ten percent, and yet not for good
        (372.0, 0.5, "B", "within"),
        (450.0, 0.5, "outside", "outside"),
        (440.0, 0.5, "cannot tell", "cannot tell"),
    ],
)
def test_both_zones_of_the_voltage_are_told(volts: float, uncertainty: float, zone: str, standing: str) -> None:
    found = supply(SupplyReadings(three(volts, volts, volts, uncertainty), rated_voltage=400)).band
    assert found is not None
    assert (found.zone, found.standing) == (zone, standing)


@pytest.mark.parametrize(("deviation", "zone"), [(0.05, "A"), (0.0501, "B"), (0.1, "B"), (0.1001, "outside")])
def test_the_edges_of_the_zones(deviation: float, zone: str) -> None:
    assert voltage_zone(Measured(deviation)) == zone


@pytest.mark.parametrize(
    ("volts", "between", "verdict", "word"),
    [
        ((120, 120, 208), "line-to-neutral", "measure line to line", "L3 is the high leg"),
        ((208, 119, 122), "line-to-neutral", "measure line to line", "L1 is the high leg"),
        ((120, 208, 120), "line-to-ground", "measure line to line", "L2 is the high leg"),
        ((277, 139, 139), "line-to-neutral", "lost phase", "single phasing"),  # two dead legs stand halfway
        ((277, 139, 277), "line-to-neutral", "lost phase", "single phasing"),
    ],
)
def test_a_high_leg_is_no_lost_phase(
    volts: tuple[float, float, float], between: MeasuredBetween, verdict: str, word: str
) -> None:
    """A delta with one winding tapped in the middle: 240 V between lines, 120, 120 and 208 V to neutral."""
    found = supply(SupplyReadings(three(*volts), between=between))
    assert found.verdict == verdict
    assert word in found.explanation


@pytest.mark.parametrize(
    ("volts", "rated", "verdict"),
    [
        ((460, 460, 950), None, "readings contradict"),
        ((460, 460, 950), 460, "readings contradict"),
        ((460, 460, 920), 460, "readings contradict"),  # closes, and yet twice the rated voltage
        ((230, 230, 460), 460, "lost phase"),
        ((231, 230, 465), 460, "lost phase"),  # what a supply wanders between two readings
        ((480, 0, 240), 480, "lost phase"),
        ((460, 100, 200), None, "lost phase"),
        ((460, 120, 200), None, "lost phase"),  # a dead leg floats, and the meter pulls it down: they need not close
        ((460, 120, 200), 460, "lost phase"),
        ((345, 100, 150), 460, "lost phase"),
        ((344, 100, 150), 460, "readings contradict"),  # three quarters of the rated voltage are no full one
        ((690, 180, 200), 690, "lost phase"),
        ((761, 200, 200), None, "readings contradict"),  # 690 V and a tenth
        ((760, 200, 200), None, "lost phase"),
        ((4160, 1100, 1500), 4160, "lost phase"),
        ((480, 480, 480), 230, "outside"),
    ],
)
def test_voltages_that_no_supply_has(volts: tuple[float, float, float], rated: float | None, verdict: str) -> None:
    found = supply(SupplyReadings(three(*volts), rated_voltage=rated))
    assert found.verdict == verdict
    assert (found.extra_temperature_rise is None) is (verdict != "outside")


@pytest.mark.parametrize("order", list(itertools.permutations(range(3))))
def test_a_dead_leg_is_named_in_whatever_order(order: tuple[int, ...]) -> None:
    """Full voltage between two lines only: the third is dead, however little or much stands on it."""
    between = {0: 3, 1: 1, 2: 2}  # L1-L2 leaves L3
    for volts in ((460, 100, 200), (460, 120, 200), (460, 150, 230), (460, 5, 12), (460, 230, 230)):
        read = tuple(volts[k] for k in order)
        found = supply(SupplyReadings(three(*read), rated_voltage=460))
        assert (found.verdict, found.lost_leg) == ("lost phase", between[read.index(460)])


@pytest.mark.parametrize("order", list(itertools.permutations(range(3))))
@pytest.mark.parametrize("amps", [(40, 36, 2), (40, 38, 3), (17, 17, 1.5), (40, 40, 0), (40, 34, 9.9)])
def test_a_line_with_next_to_no_current_is_the_lost_one(
    amps: tuple[float, float, float], order: tuple[int, ...]
) -> None:
    """Two lines that carry the same and a clamp that shows a little on the third: no loss beyond a transformer."""
    read = tuple(amps[k] for k in order)
    found = supply(SupplyReadings(three(460, 458, 455), currents=three(*read)))
    assert (found.verdict, found.lost_leg) == ("lost phase", read.index(amps[2]) + 1)


def test_voltages_that_a_lost_phase_may_make_ask_for_the_currents() -> None:
    """11 % apart: a dead leg that the running motor feeds shows no more."""
    assert "three line currents" in supply(SupplyReadings(three(460, 400, 380))).explanation
    read = SupplyReadings(three(460, 400, 380), currents=three(40, 38, 39))
    assert supply(read).explanation == ""
    assert supply(SupplyReadings(three(460, 452, 450))).explanation == ""
