"""Supply of a three-phase motor."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.electrical.supply_unbalance import (
    TABLE,
    SupplyReadings,
    UnbalanceOrigin,
    derating,
    extra_temperature_rise,
    supply,
    unbalance,
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
    assert found.fit


@pytest.mark.parametrize(
    ("voltages", "standing"),
    [((400, 401, 399), "within"), ((400, 410, 400), "sources disagree"), ((400, 450, 400), "outside")],
)
def test_conflicting_ceilings(voltages: tuple[float, float, float], standing: str) -> None:
    found = supply(SupplyReadings(three(*voltages, 0.2)))
    assert found.standing == standing
    assert found.limit.value == 0.01
    assert found.fit == (standing == "within")


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


def test_a_lost_phase_shows_in_the_currents_and_is_never_fit() -> None:
    found = supply(SupplyReadings(three(400, 400, 399), three(17.0, 17.0, 0.1, 0.05), maker_current_unbalance=1.5))
    assert found.current is not None
    assert found.current.lost_phase
    assert found.current.standing == "within"
    assert not found.fit


def test_an_absurd_uncertainty_is_refused_a_wide_one_gives_cannot_tell() -> None:
    with pytest.raises(InputError, match="uncertainty"):
        supply(SupplyReadings(three(400, 400, 400, 1e15)))
    found = supply(SupplyReadings(three(400, 400, 400, 1e4), three(1, 1, 1, 1e3), rated_voltage=400))
    assert found.standing == "cannot tell"


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


@pytest.mark.parametrize(("least", "lost"), [(0.68, True), (0.69, False)])
def test_the_edge_of_a_lost_phase(least: float, lost: bool) -> None:  # noqa: FBT001
    """20 A, 20 A and x: 5 % of the mean is x at 0.678."""
    current = supply(SupplyReadings(three(400, 400, 400), three(20, 20, least - 0.005))).current
    assert current is not None
    assert current.lost_phase is lost


@pytest.mark.parametrize(("fraction", "sources"), [(0.0, 2), (0.02, 3), (0.03, 3), (0.0301, 2), (0.05, 2)])
def test_each_curve_counts_over_its_points_only(fraction: float, sources: int) -> None:
    found = derating(fraction)
    assert found is not None
    assert len(found.by_source) == sources


def test_the_file_holds_what_was_reviewed() -> None:
    table = TABLE()
    assert [len(curve.points) for curve in table.derating] == [2, 6, 10]
    assert (table.current_ratio.low, table.current_ratio.high, table.lost_phase.fraction) == (6.0, 10.0, 0.05)


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
