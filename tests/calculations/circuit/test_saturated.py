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


@pytest.mark.parametrize(
    ("pressure", "liquid", "vapour", "latent"),
    [
        (0.11561e6, 1367.9, 5.9546, 215.03e3),
        (0.70282e6, 1199.7, 34.193, 176.08e3),
        (2.4611e6, 951.32, 140.99, 112.53e3),
    ],
)
def test_a_published_table_of_saturation(pressure: float, liquid: float, vapour: float, latent: float) -> None:
    """R-134a at 250, 300 and 350 K: Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657, table 8."""
    assert liquid_density("R-134a", pressure) == pytest.approx(liquid, rel=1e-4)
    assert vapour_density("R-134a", pressure) == pytest.approx(vapour, rel=2e-4)
    assert latent_heat("R-134a", pressure) == pytest.approx(latent, rel=2e-4)
