"""Nitrogen as a test gas."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import nitrogen

PRESSURES = st.floats(1e3, 12e6)
TEMPERATURES = st.floats(230.0, 370.0)


@given(PRESSURES, TEMPERATURES)
def test_density_and_pressure_are_inverse(pressure: float, temperature: float) -> None:
    density = nitrogen.density(pressure, temperature)
    assert nitrogen.pressure_at(density, temperature) == pytest.approx(pressure, rel=1e-8)


@given(PRESSURES, TEMPERATURES)
def test_the_same_temperature_gives_the_same_pressure(pressure: float, temperature: float) -> None:
    assert nitrogen.at_constant_volume(pressure, temperature, temperature) == pytest.approx(pressure, rel=1e-8)


def test_compressibility_tends_to_one() -> None:
    assert nitrogen.compressibility(1e3, 300.0) == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize(
    ("pressure", "temperature", "field"),
    [(1.0, 300.0, "pressure"), (1e6, 150.0, "temperature"), (2e7, 300, "pressure")],
)
def test_states_out_of_range(pressure: float, temperature: float, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        nitrogen.compressibility(pressure, temperature)
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("density", "temperature", "field"),
    [(-1.0, 300.0, "density"), (0.0, 300.0, "density"), (400.0, 300.0, "density"), (10.0, 500.0, "temperature")],
)
def test_densities_out_of_range(density: float, temperature: float, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        nitrogen.pressure_at(density, temperature)
    assert caught.value.field == field


def test_every_corner_of_the_range_answers() -> None:
    for temperature in nitrogen.TEMPERATURES:
        for pressure in nitrogen.PRESSURES:
            for other in nitrogen.TEMPERATURES:
                assert nitrogen.at_constant_volume(pressure, temperature, other) > 0
        for density in nitrogen.DENSITIES:
            assert nitrogen.pressure_at(density, temperature) > 0


def test_threads_do_not_share_a_state() -> None:
    jobs = [(1e5 * k, 250.0 + k) for k in range(1, 100)]
    alone = [nitrogen.compressibility(*job) for job in jobs]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(lambda job: nitrogen.compressibility(*job), jobs)) == alone
