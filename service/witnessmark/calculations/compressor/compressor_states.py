"""States at the two ends of a compressor, with errors that name the reading. SI: Pa absolute, K, J/kg."""

from __future__ import annotations

import math

from witnessmark.errors import InputError, OutOfRangeError, located
from witnessmark.refrigerants import catalogue, saturation, states


def suction_gas(designation: str, pressure: float, temperature: float) -> states.State:
    """Suction gas; at or below the dew temperature, where a thermometer tells no quality, dry saturated gas.

    >>> round(suction_gas("R-134a", 0.2e6, 273.15).enthalpy / 1e3, 1)
    401.2
    """
    with located(pressure="suction_pressure", temperature="suction_temperature"):
        dry = states.saturated_vapour(designation, pressure)
        return dry if temperature <= dry.temperature else states.gas(designation, pressure, temperature)


def ideal_discharge(designation: str, pressure: float, entropy: float) -> states.State:
    """Where compression at this entropy ends; InputError (discharge_pressure) beyond the equations' range.

    >>> round(ideal_discharge("R-134a", 1e6, suction_gas("R-134a", 0.2e6, 273.15).entropy).temperature, 1)
    328.4
    """
    with located(pressure="discharge_pressure"):
        try:
            return states.at_entropy(designation, pressure, entropy)
        except OutOfRangeError as error:
            if error.field == "pressure":
                raise
            fault = "even ideal compression from this suction state leaves the range of the property equations"
            raise InputError("discharge_pressure", fault, "a smaller pressure ratio") from None


def discharge_at(designation: str, pressure: float, enthalpy: float) -> states.State | None:
    """The discharge with this enthalpy; None beyond the hottest state of the property equations.

    >>> discharge_at("R-134a", 1e6, 9e5) is None
    True
    """
    try:
        return states.at_enthalpy(designation, pressure, enthalpy)
    except OutOfRangeError:
        return None


def discharge_gas(designation: str, pressure: float, temperature: float) -> states.State | None:
    """The discharge gas; None at or below its dew temperature, where the reading fixes no state.

    >>> discharge_gas("R-134a", 1e6, 300.0) is None
    True
    """
    with located(pressure="discharge_pressure", temperature="discharge_temperature"):
        if temperature <= dew_temperature(designation, pressure):
            return None
        return states.gas(designation, pressure, temperature)


def dew_temperature(designation: str, pressure: float) -> float:
    """Dew temperature at the discharge, K; minus infinity above the critical pressure, where there is none.

    >>> round(dew_temperature("R-134a", 1e6), 2), dew_temperature("R-134a", 5e6)
    (312.54, -inf)
    """
    if pressure >= catalogue.get(designation).critical_pressure:
        return -math.inf
    with located(pressure="discharge_pressure"):
        return float(saturation.dew_temperature(designation, pressure))
