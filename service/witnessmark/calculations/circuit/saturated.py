"""Liquid and vapour in equilibrium at one pressure: the few properties that wet suction needs, with uncertainty."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.calculations.metrology.uncertainty import Measured, estimate
from witnessmark.refrigerants import saturation, states


@dataclass(frozen=True, slots=True)
class Saturated:
    """Densities of liquid (bubble) and vapour (dew) kg/m3, heat of evaporation J/kg, at one pressure."""

    liquid_density: Measured
    vapour_density: Measured
    latent: Measured


def liquid_density(designation: str, pressure: float) -> float:
    """Density [kg/m3] of liquid at its bubble point under this pressure [Pa].

    >>> round(liquid_density("R-134a", 101_325.0))
    1377
    """
    return float(saturation.liquid_density(designation, saturation.bubble_temperature(designation, pressure)))


def vapour_density(designation: str, pressure: float) -> float:
    """Density [kg/m3] of vapour at its dew point under this pressure [Pa].

    >>> round(vapour_density("R-134a", 101_325.0), 2)
    5.26
    """
    return float(saturation.vapour_density(designation, saturation.dew_temperature(designation, pressure)))


def latent_heat(designation: str, pressure: float) -> float:
    """Enthalpy from bubble to dew point at this pressure [Pa], J/kg.

    >>> round(latent_heat("R-134a", 101_325.0) / 1e3)
    217
    """
    vapour, liquid = (f(designation, pressure) for f in (states.saturated_vapour, states.saturated_liquid))
    return vapour.enthalpy - liquid.enthalpy


def saturated(designation: str, pressure: Measured) -> Saturated:
    """The three properties at a pressure reading. Errors: UnknownNameError, OutOfRangeError (field `pressure`).

    >>> pair = saturated("R-134a", Measured(101_325.0, 500.0))
    >>> round(pair.liquid_density.value), round(pair.liquid_density.uncertainty, 2)
    (1377, 0.32)
    """
    functions = (liquid_density, vapour_density, latent_heat)
    return Saturated(*(estimate(lambda p, f=f: f(designation, p), pressure).measured for f in functions))
