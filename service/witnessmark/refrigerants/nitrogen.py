"""Nitrogen as a test gas: compressibility, density, and the pressure of a closed volume at another temperature.

Single phase only: every temperature accepted here is more than 70 K above nitrogen's critical temperature (126.2 K).
Source: Span, Lemmon, Jacobsen, Wagner, Yokozeki, A Reference Equation of State for the Thermodynamic Properties of
Nitrogen, J. Phys. Chem. Ref. Data 29 (2000) 1361-1433, as in the property library.
"""

from __future__ import annotations

import threading
from typing import Any

from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import library

TEMPERATURES = (200.0, 400.0)
PRESSURES = (1e3, 15e6)
GAS_CONSTANT = 8.314462618
MOLAR_MASS = 0.02801348
DENSITIES = (1e-3, 350.0)  # kg/m3; the thinnest state of the ranges above has 0.0084
_local = threading.local()


def compressibility(pressure: float, temperature: float) -> float:
    """Z = p M / (density R T), dimensionless, from pressure in Pa absolute and temperature in K.

    Errors: OutOfRangeError (pressure, temperature).
    """
    return pressure * MOLAR_MASS / (density(pressure, temperature) * GAS_CONSTANT * temperature)


def density(pressure: float, temperature: float) -> float:
    """Density, kg/m3, at pressure in Pa absolute and temperature in K; errors as for `compressibility`."""
    _within("pressure", pressure, PRESSURES, "pressure")
    _within("temperature", temperature, TEMPERATURES, "temperature")
    state = _state()
    state.update(library.coolprop().PT_INPUTS, pressure, temperature)
    return float(state.rhomass())


def pressure_at(density: float, temperature: float) -> float:
    """Pressure, Pa absolute, of nitrogen of that density (kg/m3) at temperature in K: explicit, no iteration.

    Errors: OutOfRangeError (density, temperature).
    """
    _within("density", density, DENSITIES, "density")
    _within("temperature", temperature, TEMPERATURES, "temperature")
    state = _state()
    state.update(library.coolprop().DmassT_INPUTS, density, temperature)
    return float(state.p())


def at_constant_volume(pressure: float, temperature: float, new_temperature: float) -> float:
    """Pressure, Pa absolute, that a closed volume of nitrogen at (pressure, temperature) takes at `new_temperature`, K.

    Errors: OutOfRangeError (pressure, temperature).
    """
    return pressure_at(density(pressure, temperature), new_temperature)


def _state() -> Any:
    """This thread's own state with the gas phase imposed."""
    if not hasattr(_local, "state"):
        _local.state = library.new_state("Nitrogen", None, "gas")
    return _local.state


def _within(field: str, value: float, span: tuple[float, float], dimension: str) -> None:
    if not span[0] <= value <= span[1]:
        raise OutOfRangeError(field, value, *span, dimension)
