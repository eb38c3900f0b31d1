"""The surfaces against the equation of state at fresh random points, and numbers against columns."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from witnessmark.arithmetic import Array
from witnessmark.refrigerants import catalogue, equation, saturation
from witnessmark.refrigerants.fluid import fluid
from witnessmark.refrigerants.surfaces import build, files
from witnessmark.refrigerants.surfaces.files import INDEX, phase
from witnessmark.refrigerants.surfaces.phase import Inverse, Phase, PhaseSide

SIDES: tuple[PhaseSide, ...] = ("gas", "liquid")
FRESH = 20_261
POINTS = 60
PAIRS = [(name, side) for name, row in INDEX().items() for side in row.phases]
USUAL = ["R-22", "R-32", "R-134a", "R-290", "R-404A", "R-407C", "R-410A", "R-448A", "R-454B", "R-717", "R-1234yf"]
_COLD = "from a few kelvins to 200 degC the gas bends too much; nobody compresses it in the trade"
NONE: dict[tuple[str, PhaseSide], str] = {
    ("R-702", "gas"): _COLD,
    ("R-704", "gas"): _COLD,
    ("R-704", "liquid"): "between its lambda point and its critical point lie 3 K",
    ("R-720", "gas"): _COLD,
}
"""Phases of catalogued refrigerants without surfaces, and why."""


def taken(name: str, side: PhaseSide) -> Phase:
    found = phase(name, side)
    assert found is not None
    return found


@pytest.mark.parametrize(("name", "side"), PAIRS)
def test_against_the_equation_of_state_at_fresh_points(name: str, side: PhaseSide) -> None:
    model = build.Model(fluid(name), side)
    found = build.errors(model, taken(name, side), POINTS, FRESH)
    for quantity, limit in build.LIMIT.items():
        assert found[quantity] <= limit, quantity
        assert INDEX()[name].phases[side].worst[quantity] <= build.AIM * limit


def test_every_phase_that_can_be_had_is_there() -> None:
    assert {(name, side) for name in catalogue.designations() for side in SIDES} - {*PAIRS} == NONE.keys()


@pytest.mark.parametrize("name", USUAL)
def test_the_usual_refrigerants_are_on_surfaces_where_machines_work(name: str) -> None:
    """Evaporating from -40 °C, condensing to 60 °C or 0.85 of critical, gas to 200 °C, liquid from -50 °C."""
    gas, liquid = (taken(name, side) for side in SIDES)
    critical = catalogue.get(name).critical_pressure
    high = min(float(saturation.dew_pressure(name, 333.15)), 0.85 * critical)
    for found in (gas, liquid):
        assert found.p_low <= float(saturation.dew_pressure(name, 233.15))
        assert found.p_high >= high
    assert gas.far >= 473.15
    assert liquid.far <= 223.15


def points(found: Phase, name: str, count: int = 300) -> tuple[Array, Array]:
    generator = np.random.default_rng(11)
    pressure = np.exp(generator.uniform(np.log(found.p_low), np.log(found.p_high), count))
    pressure[:2] = found.p_low, found.p_high
    line = saturation.dew_temperature if found.side == "gas" else saturation.bubble_temperature
    near = line(name, pressure)
    share = generator.uniform(0.0, 1.0, count)
    share[2:4] = 0.0, 1.0
    return pressure, near + (found.far - near) * share


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("name", ["R-32", "R-454B", "R-744"])
def test_numbers_and_columns_agree_to_the_last_bit(name: str, side: PhaseSide) -> None:
    found = taken(name, side)
    pressure, temperature = points(found, name)
    spots = found.spot(pressure, temperature)
    columns: list[Any] = [found.enthalpy(spots), found.entropy(spots), found.density(spots, pressure, temperature)]
    names: tuple[Inverse, ...] = ("enthalpy", "entropy")
    columns += [found.inverse(one, pressure, values)[1] for one, values in zip(names, columns, strict=False)]
    columns += [found.reach(one, pressure, values) for one, values in zip(names, columns, strict=False)]
    columns.append(found.held(pressure, temperature))
    for k, (p, t) in enumerate(zip(pressure.tolist(), temperature.tolist(), strict=True)):
        spot = found.spot(p, t)
        alone: list[Any] = [found.enthalpy(spot), found.entropy(spot), found.density(spot, p, t)]
        alone += [found.inverse(one, p, value)[1] for one, value in zip(names, alone, strict=False)]
        alone += [found.reach(one, p, value) for one, value in zip(names, alone, strict=False)]
        assert [column[k] for column in columns] == [*alone, found.holds(p, t)]


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("name", USUAL)
def test_there_and_back(name: str, side: PhaseSide) -> None:
    found = taken(name, side)
    pressure, temperature = points(found, name)
    spots = found.spot(pressure, temperature)
    for inverse, values in (("enthalpy", found.enthalpy(spots)), ("entropy", found.entropy(spots))):
        back = found.inverse(inverse, pressure, values)  # type: ignore[arg-type]
        assert back[1] == pytest.approx(temperature, abs=1e-6)
        assert getattr(found, inverse)(back[0]) == pytest.approx(values, abs=1e-4)


@pytest.mark.parametrize("name", USUAL)
def test_heat_capacity_is_positive_and_density_rises_with_pressure(name: str) -> None:
    """Between neighbours a tenth of a kelvin or a thousandth of the pressure apart no surface ripples."""
    for side in SIDES:
        found = taken(name, side)
        pressure, temperature = points(found, name, 2000)
        hotter = temperature + (0.1 if side == "gas" else -0.1)
        inside = found.held(pressure, hotter) & (pressure * 1.001 <= found.p_high)
        line = saturation.dew_temperature if side == "gas" else saturation.bubble_temperature
        squeezed = np.minimum(pressure * 1.001, found.p_high)
        near = line(name, squeezed)
        inside &= temperature >= near if side == "gas" else temperature <= near
        here, there = found.spot(pressure, temperature), found.spot(pressure, hotter)
        rise = (found.enthalpy(there) - found.enthalpy(here)) * (1 if side == "gas" else -1)
        assert np.all(rise[inside] > 0)
        denser = found.density(found.spot(squeezed, temperature), squeezed, temperature)
        assert np.all(denser[inside] > found.density(here, pressure, temperature)[inside])


def test_clapeyron_between_both_surfaces() -> None:
    """dp/dT of the saturation line from latent heat and volumes of the surfaces, of single substances."""
    for name in ("R-32", "R-134a", "R-290", "R-717"):
        gas, liquid = (taken(name, side) for side in SIDES)
        for celsius in (-20.0, 5.0, 40.0):
            t = 273.15 + celsius
            p = float(saturation.dew_pressure(name, t))
            dry, wet = gas.spot(p, t), liquid.spot(p, t)
            latent = gas.enthalpy(dry) - liquid.enthalpy(wet)
            volume = 1.0 / gas.density(dry, p, t) - 1.0 / liquid.density(wet, p, t)
            assert latent / (t * volume) == pytest.approx(float(saturation.dew_slope(name, t)), rel=2e-4)


@pytest.mark.parametrize("name", USUAL)
def test_where_surfaces_end_the_equation_goes_on_without_a_step(name: str) -> None:
    """Both sides of the end of the pressures differ by no more than what the surfaces may be off."""
    found = taken(name, "gas")
    temperature = float(saturation.dew_temperature(name, found.p_high)) + 20.0
    spot, known = found.spot(found.p_high, temperature), equation.gas(name, found.p_high, temperature)
    assert found.enthalpy(spot) == pytest.approx(known.enthalpy, abs=1.0)
    assert found.entropy(spot) == pytest.approx(known.entropy, abs=3e-3)
    assert found.density(spot, found.p_high, temperature) == pytest.approx(known.density, rel=1e-5)
    assert files.phase("R-999", "gas") is None
