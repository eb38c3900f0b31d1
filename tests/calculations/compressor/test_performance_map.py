"""Ten-coefficient maps: the polynomial, its units, its range and its correction to another superheat."""

import dataclasses

import pytest

from witnessmark.calculations.compressor import performance_map as maps
from witnessmark.errors import InputError

ONES = tuple([1.0] * 10)
POINT = maps.SuctionPoint(
    suction_pressure=600e3, discharge_pressure=2.0e6, suction_temperature=290.0, evaporating=280.0
)
FLOW = maps.PerformanceMap("mass_flow", ONES, "degC", 1.0, rating_superheat=5.0)


@pytest.mark.parametrize("place", range(10))
def test_each_coefficient_multiplies_its_own_term(place: int) -> None:
    """S = 2, D = 3: every term of the AHRI 540 form is a different number."""
    s, d = 2.0, 3.0
    terms = [1, s, d, s**2, s * d, d**2, s**3, d * s**2, s * d**2, d**3]
    only = tuple(float(k == place) for k in range(10))
    published = maps.PerformanceMap("power", only, "degC", 1.0)
    assert maps.evaluate(published, 275.15, 276.15) == pytest.approx(terms[place])


def test_temperatures_are_taken_in_the_scale_of_the_publication() -> None:
    suction_only = (0.0, 1.0, *([0.0] * 8))
    in_scale = {
        scale: maps.evaluate(maps.PerformanceMap("power", suction_only, scale, 1.0), 283.15, 313.15)
        for scale in ("degC", "degF", "K")
    }
    assert in_scale == pytest.approx({"degC": 10.0, "degF": 50.0, "K": 283.15})


def test_results_come_in_si() -> None:
    pounds_per_hour = maps.PerformanceMap("mass_flow", (100.0, *([0.0] * 9)), "degF", 0.45359237 / 3600)
    assert maps.evaluate(pounds_per_hour, 280.0, 310.0) == pytest.approx(100 * 0.45359237 / 3600)


@pytest.mark.parametrize("bad", [(1.0,) * 9, (*([1.0] * 9), float("nan"))])
def test_ten_finite_numbers_are_needed(bad: tuple[float, ...]) -> None:
    with pytest.raises(InputError) as caught:
        maps.PerformanceMap("power", bad, "degC", 1.0)
    assert caught.value.field == "coefficients"


def test_one_rating_state_only() -> None:
    with pytest.raises(InputError) as caught:
        maps.PerformanceMap("power", ONES, "degC", 1.0, rating_superheat=5.0, rating_suction_temperature=290.0)
    assert caught.value.field == "rating_superheat"


def test_coverage() -> None:
    limits = maps.MapRange(evaporating=(260.0, 285.0), condensing=(300.0, 330.0))
    stated = maps.PerformanceMap("power", ONES, "degC", 1.0, stated=limits)
    assert maps.coverage(stated, 280.0, 310.0) == "inside"
    assert maps.coverage(stated, 290.0, 310.0) == "outside"
    assert maps.coverage(stated, 280.0, 335.0) == "outside"
    assert maps.coverage(FLOW, 280.0, 310.0) == "not stated"


def test_mass_flow_follows_three_quarters_of_the_density() -> None:
    """Dabiri and Rice (1981), F_v = 0.75, with R-134a at 500 kPa: 23.5090 kg/m3 at 295 K, 22.9087 kg/m3 at 300 K.

    Densities: Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657, evaluated once by itself.
    """
    point = dataclasses.replace(POINT, suction_pressure=500e3, suction_temperature=300.0, evaporating=290.0)
    factor = maps.superheat_factor(FLOW, "R-134a", point)
    assert factor == pytest.approx(1 + 0.75 * (22.9087 / 23.5090 - 1), rel=1e-5)


def test_power_takes_the_isentropic_work_along() -> None:
    """More superheat: less flow, more work a kilogram; the two nearly cancel."""
    point = maps.SuctionPoint(350e3, 1.2e6, 300.0, 278.17)
    flow = dataclasses.replace(FLOW, rating_superheat=5.0)
    power = dataclasses.replace(flow, quantity="power")
    by_flow, by_power = (maps.superheat_factor(m, "R-134a", point) for m in (flow, power))
    assert by_flow is not None
    assert by_power is not None
    assert by_flow < by_power < 1.05


def test_at_the_rating_state_nothing_is_corrected() -> None:
    rated = dataclasses.replace(FLOW, rating_superheat=None, rating_suction_temperature=290.0)
    assert maps.superheat_factor(rated, "R-134a", dataclasses.replace(POINT, suction_pressure=350e3)) == pytest.approx(
        1
    )


@pytest.mark.parametrize(
    "published",
    [
        maps.PerformanceMap("mass_flow", ONES, "degC", 1.0),
        maps.PerformanceMap("mass_flow", ONES, "degC", 1.0, rating_suction_temperature=270.0),
        maps.PerformanceMap("current", ONES, "degC", 1.0, rating_superheat=5.0),
        maps.PerformanceMap("capacity", ONES, "degC", 1.0, rating_superheat=5.0),
    ],
)
def test_no_correction_without_a_rating_state_or_a_rule(published: maps.PerformanceMap) -> None:
    assert maps.superheat_factor(published, "R-134a", POINT) is None


def test_default_uncertainty_is_that_of_the_instrument_file() -> None:
    assert maps.default_uncertainty() == pytest.approx(0.05 / 3**0.5)


@pytest.mark.parametrize(("superheat", "corrected"), [(0.0, False), (0.01, True)])
def test_a_map_rated_at_saturated_suction_gives_no_correction(superheat: float, corrected: bool) -> None:  # noqa: FBT001
    rated = dataclasses.replace(FLOW, rating_superheat=superheat)
    point = dataclasses.replace(POINT, suction_pressure=350e3, evaporating=278.178)
    assert (maps.superheat_factor(rated, "R-134a", point) is not None) == corrected
