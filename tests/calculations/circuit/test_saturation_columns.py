"""A column of readings is answered as each of them alone, to the last bit."""

import numpy as np
import pytest

from witnessmark.calculations.circuit import saturation as single
from witnessmark.calculations.circuit import saturation_columns as columns
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import catalogue, saturation

ROWS = 300


def same(found: columns.SaturationColumns, wanted: list[single.Saturation]) -> None:
    for side in ("bubble", "dew"):
        for name in ("temperature", "pressure"):
            cells: list[Measured] = [getattr(getattr(one, side), name) for one in wanted]
            assert getattr(getattr(found, side), name).tolist() == [cell.value for cell in cells]
            assert getattr(getattr(found, side), f"{name}_uncertainty").tolist() == [cell.uncertainty for cell in cells]
    glides = [one.glide for one in wanted if one.glide is not None]
    assert found.glide.tolist() == [glide.value for glide in glides]
    assert found.glide_uncertainty.tolist() == [glide.uncertainty for glide in glides]
    assert {one.region for one in wanted} == {"both ends"}
    assert {found.accuracy} == {one.accuracy for one in wanted}


@pytest.mark.parametrize("designation", ["R-134a", "R-407C", "R-744", "R-454B"])
def test_at_pressures_and_temperatures(designation: str) -> None:
    generator = np.random.default_rng(5)
    low, high = single.pressure_range(designation)
    pressure = np.concatenate([[low, high], np.exp(generator.uniform(np.log(low), np.log(high), ROWS))])
    widths = generator.choice([0.0, 250.0], pressure.size)
    pairs = zip(pressure.tolist(), widths.tolist(), strict=True)
    same(
        columns.at_pressure(designation, pressure, widths),
        [single.at_pressure(designation, Measured(*pair)) for pair in pairs],
    )
    cold, hot = saturation.temperature_range(designation)
    temperature = np.concatenate([[cold, hot], generator.uniform(cold, hot, ROWS)])
    pairs = zip(temperature.tolist(), widths.tolist(), strict=True)
    same(
        columns.at_temperature(designation, temperature, widths),
        [single.at_temperature(designation, Measured(*pair)) for pair in pairs],
    )


def test_every_refrigerant_in_the_middle_of_its_range() -> None:
    for designation in catalogue.designations():
        cold, hot = saturation.temperature_range(designation)
        middle = np.array([0.5 * (cold + hot)])
        found = columns.at_temperature(designation, middle, np.array([0.3]))
        same(found, [single.at_temperature(designation, Measured(float(middle[0]), 0.3))])


def test_outside_the_curves() -> None:
    with pytest.raises(OutOfRangeError, match="temperature"):
        columns.at_temperature("R-134a", np.array([280.0, 900.0]), np.zeros(2))
