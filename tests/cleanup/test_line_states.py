"""State of the refrigerant in the lines."""

import pytest

from witnessmark.cleanup.line_states import (
    LEAST_SUPERHEAT,
    discharge_density,
    liquid_density,
    specific_cooling,
    suction_density,
)
from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import saturation, states


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


def test_below_the_least_superheat_gas_counts_as_saturated() -> None:
    saturated = suction_density("R-404A", 250.0, 0.0)
    assert suction_density("R-404A", 250.0, 0.999 * LEAST_SUPERHEAT) == saturated
    assert suction_density("R-404A", 250.0, LEAST_SUPERHEAT) < saturated


def test_hot_gas_is_thinner_the_hotter() -> None:
    assert discharge_density("R-22", 313.15, 360.0) < discharge_density("R-22", 313.15, 340.0)
    for condensing, discharge, field in ((900.0, 950.0, "condensing"), (313.15, 300.0, "discharge")):
        with pytest.raises(OutOfRangeError) as caught:
            discharge_density("R-22", condensing, discharge)
        assert caught.value.field == f"{field}_temperature"


def test_temperatures_off_the_curves_name_their_field() -> None:
    with pytest.raises(OutOfRangeError) as cold:
        specific_cooling("R-410A", 30.0, 300.0)
    assert cold.value.field == "evaporating_temperature"
    with pytest.raises(OutOfRangeError) as hot:
        specific_cooling("R-410A", 280.0, 900.0)
    assert hot.value.field == "liquid_temperature"
