"""State of the refrigerant in the lines: what flows there and what it carries. Temperatures in K, densities in kg/m³.

Errors are OutOfRangeError and UnknownNameError by the names of the arguments. Source: the equations of state of
`refrigerants`.
"""

from __future__ import annotations

from witnessmark.errors import located
from witnessmark.refrigerants import saturation, states

LEAST_SUPERHEAT = 0.2
"""Below this, K, the gas counts as saturated: single-phase states need room beside the dew curve."""


def suction_density(refrigerant: str, evaporating_temperature: float, suction_superheat: float) -> float:
    """Density of the suction gas at the dew pressure of `evaporating_temperature`, `suction_superheat` K above it.

    >>> round(suction_density("R-410A", evaporating_temperature=277.6, suction_superheat=8.0), 1)
    33.3
    """
    with located(temperature="evaporating_temperature"):
        pressure = float(saturation.dew_pressure(refrigerant, evaporating_temperature))
    if suction_superheat < LEAST_SUPERHEAT:
        return states.saturated_vapour(refrigerant, pressure).density
    with located(temperature="suction_superheat"):
        return states.gas(refrigerant, pressure, evaporating_temperature + suction_superheat).density


def liquid_density(refrigerant: str, liquid_temperature: float) -> float:
    """Density of saturated liquid (subcooling changes it by less than the exponent band).

    >>> round(liquid_density("R-22", liquid_temperature=303.15))
    1171
    """
    with located(temperature="liquid_temperature"):
        pressure = float(saturation.bubble_pressure(refrigerant, liquid_temperature))
    return states.saturated_liquid(refrigerant, pressure).density


def discharge_density(refrigerant: str, condensing_temperature: float, discharge_temperature: float) -> float:
    """Density of the discharge gas at the bubble pressure of `condensing_temperature`.

    >>> round(discharge_density("R-22", condensing_temperature=313.15, discharge_temperature=353.15), 1)
    52.3
    """
    with located(temperature="condensing_temperature"):
        pressure = float(saturation.bubble_pressure(refrigerant, condensing_temperature))
    with located(temperature="discharge_temperature"):
        return states.gas(refrigerant, pressure, discharge_temperature).density


def specific_cooling(refrigerant: str, evaporating_temperature: float, liquid_temperature: float) -> float:
    """Enthalpy of saturated vapour less that of saturated liquid before the valve, J/kg.

    >>> round(specific_cooling("R-22", evaporating_temperature=258.15, liquid_temperature=303.15) / 1e3)
    163
    """
    with located(temperature="evaporating_temperature"):
        low = float(saturation.dew_pressure(refrigerant, evaporating_temperature))
    with located(temperature="liquid_temperature"):
        high = float(saturation.bubble_pressure(refrigerant, liquid_temperature))
    vapour = states.saturated_vapour(refrigerant, low)
    return vapour.enthalpy - states.saturated_liquid(refrigerant, high).enthalpy
