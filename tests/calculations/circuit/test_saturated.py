"""Saturated pair at one pressure."""

from __future__ import annotations

import pytest

from witnessmark.calculations.circuit.saturated import latent_heat, liquid_density, saturated, vapour_density
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import states


@pytest.mark.parametrize("name", ["R-134a", "R-407C"])
def test_agrees_with_the_states(name: str) -> None:
    liquid, vapour = states.saturated_liquid(name, 5e5), states.saturated_vapour(name, 5e5)
    assert liquid_density(name, 5e5) == pytest.approx(liquid.density, rel=1e-4)
    assert vapour_density(name, 5e5) == pytest.approx(vapour.density, rel=1e-4)
    assert latent_heat(name, 5e5) == pytest.approx(vapour.enthalpy - liquid.enthalpy)


def test_uncertainty_of_the_pressure_travels() -> None:
    pair = saturated("R-134a", Measured(5e5, 1e4))
    assert pair.vapour_density.uncertainty / pair.vapour_density.value == pytest.approx(0.02, rel=0.1)
    assert 0 < pair.liquid_density.uncertainty < 0.01 * pair.liquid_density.value
    with pytest.raises(OutOfRangeError, match="pressure"):
        saturated("R-134a", Measured(1e9))
