"""Flow capacity of filters: the drop carried from the rating to the case, and the count."""

import pytest
from tests.cleanup.units import PSI

from witnessmark.cleanup.filters import RatedFilter, Rating, fit, liquid_limit, need, rating
from witnessmark.cleanup.line_states import liquid_density, suction_density
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.refrigerants import saturation

RATING = Rating(mass_flow=0.1, drop=10e3, density=20.0)


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
    alone = fit(wanted, Rating(needed, 10e3, 20.0))
    assert alone.drop_high == pytest.approx(wanted.start_drop)
    assert alone.count == 1


def test_too_small_a_filter_is_no_plan() -> None:
    assert fit(need("suction", 10.0, 20.0, 1e3), RATING).count is None


@pytest.mark.parametrize("rated", [Rating(0.0, 1e3, 20.0), Rating(0.1, 0.0, 20.0)])
def test_ratings_must_be_positive(rated: Rating) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        fit(need("suction", 0.1, 20.0, 40e3), rated, position=2)
    assert caught.value.field == "filters.2"


def test_volume_flow_is_mass_flow_over_density() -> None:
    assert need("suction", 0.3, 15.0, 1e4).volume_flow == pytest.approx(0.02)


def test_the_liquid_limit_is_flash_or_print_whichever_is_smaller() -> None:
    """One kelvin of R-123 is little pressure, one kelvin of R-410A is more than 3 psi."""
    drop, origin, _ = liquid_limit("R-123", 303.15)
    slope = saturation.bubble_slope("R-123", 303.15)
    assert drop == pytest.approx(slope, rel=0.03)
    assert origin == "common-practice"
    drop, origin, _ = liquid_limit("R-410A", 303.15)
    assert drop == pytest.approx(3 * PSI)
    assert origin == "cleanup-liquid-drier"
    with pytest.raises(OutOfRangeError) as caught:
        liquid_limit("R-22", 900.0)
    assert caught.value.field == "liquid_temperature"


def test_twenty_in_parallel_are_the_most() -> None:
    """At n = 2 and the same density n filters bring the drop down by n²."""
    rated = Rating(0.1, drop=10e3, density=20.0)
    assert fit(need("suction", 0.1 * 20, 20.0, 20e3), rated).count == 20
    assert fit(need("suction", 0.1 * 20.01, 20.0, 20e3), rated).count is None


def test_a_suction_filter_is_rated_at_the_temperatures_of_the_circuit_unless_it_has_its_own() -> None:
    circuits = rating(RatedFilter("suction", 1e4, mass_flow=0.1), "R-22", 275.0, 308.0)
    own = rating(RatedFilter("suction", 1e4, mass_flow=0.1, evaporating_temperature=280.0), "R-22", 275.0, 308.0)
    other = rating(RatedFilter("suction", 1e4, mass_flow=0.1, refrigerant="R-134a"), "R-22", 275.0, 308.0)
    assert circuits == Rating(0.1, 1e4, suction_density("R-22", 275.0, 0.0))
    assert own.density == suction_density("R-22", 280.0, 0.0)
    assert other.density == suction_density("R-134a", 275.0, 0.0)


def test_a_liquid_filter_is_rated_as_the_standard_says_unless_it_has_its_own_temperatures() -> None:
    """AHRI 710: 86 degF liquid."""
    assert rating(RatedFilter("liquid", 1e4, mass_flow=0.1), "R-22", 275.0, None).density == liquid_density(
        "R-22", 303.15
    )
    own = RatedFilter("liquid", 1e4, mass_flow=0.1, liquid_temperature=310.0)
    assert rating(own, "R-22", 275.0, None).density == liquid_density("R-22", 310.0)


def test_a_capacity_needs_a_liquid_temperature() -> None:
    with pytest.raises(InputError) as caught:
        rating(RatedFilter("suction", 1e4, capacity=1e4), "R-22", 275.0, None)
    assert caught.value.field == "liquid_temperature"


@pytest.mark.parametrize("figures", [{}, {"mass_flow": 0.1, "capacity": 1e4}])
def test_a_rating_is_a_flow_or_a_capacity(figures: dict[str, float]) -> None:
    with pytest.raises(InputError):
        RatedFilter("suction", 1e4, **figures)  # type: ignore[arg-type]


def test_the_makers_limit_of_a_liquid_drier_stands_alone() -> None:
    usual = liquid_limit("R-410A", 303.15)
    document = "Guide 7, page 2"
    for drop, named, counts in ((10e3, "", True), (60e3, "", False), (60e3, document, True), (120e3, document, False)):
        found = liquid_limit("R-410A", 303.15, drop, named)
        assert found[:2] == ((drop, "maker-limit") if counts else usual[:2])
