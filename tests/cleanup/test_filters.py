"""Flow capacity of filters: the drop carried from the rating to the case, and the count."""

import pytest

from witnessmark.cleanup.filters import Rating, fit, liquid_density, liquid_limit, need, suction_density
from witnessmark.cleanup.tables import PSI
from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import saturation, states

RATING = Rating("suction", mass_flow=0.1, drop=10e3, density=20.0)


def test_at_the_rated_state_the_drop_is_the_rated_one() -> None:
    found = fit(need("suction", 0.1, 20.0, 40e3), RATING)
    assert found.drop_low == pytest.approx(10e3)
    assert found.drop_high == pytest.approx(10e3)
    assert found.count == 1


def test_double_flow_costs_between_the_two_exponents() -> None:
    found = fit(need("suction", 0.2, 20.0, 40e3), RATING)
    assert found.drop_low == pytest.approx(10e3 * 2**1.5)
    assert found.drop_high == pytest.approx(10e3 * 4)


def test_half_the_density_doubles_the_drop() -> None:
    found = fit(need("suction", 0.1, 10.0, 40e3), RATING)
    assert found.drop_high == pytest.approx(20e3)


def test_the_count_brings_the_drop_under_the_starting_share() -> None:
    wanted = need("suction", 0.5, 20.0, 20e3)
    found = fit(wanted, RATING)
    assert found.count is not None
    each = wanted.mass_flow / found.count / RATING.mass_flow
    assert max(10e3 * each**1.5, 10e3 * each**2) <= wanted.start_drop * (1 + 1e-9)
    fewer = wanted.mass_flow / (found.count - 1) / RATING.mass_flow
    assert max(10e3 * fewer**1.5, 10e3 * fewer**2) > wanted.start_drop


def test_a_single_filter_of_the_needed_rating_just_does() -> None:
    wanted = need("suction", 0.5, 15.0, 20e3)
    needed = fit(wanted, RATING).needed_rated_flow
    alone = fit(wanted, Rating("suction", needed, 10e3, 20.0))
    assert alone.drop_high == pytest.approx(wanted.start_drop)
    assert alone.count == 1


def test_too_small_a_filter_is_no_plan() -> None:
    assert fit(need("suction", 10.0, 20.0, 1e3), RATING).count is None


@pytest.mark.parametrize("rating", [Rating("suction", 0.0, 1e3, 20.0), Rating("suction", 0.1, 0.0, 20.0)])
def test_ratings_must_be_positive(rating: Rating) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        fit(need("suction", 0.1, 20.0, 40e3), rating, position=2)
    assert caught.value.field == "filters.2"


def test_volume_flow_is_mass_flow_over_density() -> None:
    assert need("suction", 0.3, 15.0, 1e4).volume_flow == pytest.approx(0.02)


def test_suction_density_falls_with_superheat() -> None:
    pressure = float(saturation.dew_pressure("R-404A", 250.0))
    saturated = states.saturated_vapour("R-404A", pressure).density
    assert suction_density("R-404A", 250.0, 0.0) == pytest.approx(saturated)
    assert suction_density("R-404A", 250.0, 20.0) < saturated
    with pytest.raises(OutOfRangeError) as caught:
        suction_density("R-404A", 20.0, 5.0)
    assert caught.value.field == "evaporating_temperature"


def test_liquid_density_names_its_field() -> None:
    assert liquid_density("R-22", 303.15) > 1000
    with pytest.raises(OutOfRangeError) as caught:
        liquid_density("R-22", 900.0)
    assert caught.value.field == "liquid_temperature"


def test_the_liquid_limit_is_flash_or_print_whichever_is_smaller() -> None:
    """One kelvin of R-123 is little pressure, one kelvin of R-410A is more than 3 psi."""
    drop, origin = liquid_limit("R-123", 303.15)
    slope = saturation.bubble_slope("R-123", 303.15)
    assert drop == pytest.approx(slope, rel=0.03)
    assert origin == "common-practice"
    drop, origin = liquid_limit("R-410A", 303.15)
    assert drop == pytest.approx(3 * PSI)
    assert origin == "cleanup-liquid-drier"
    with pytest.raises(OutOfRangeError) as caught:
        liquid_limit("R-22", 900.0)
    assert caught.value.field == "liquid_temperature"
