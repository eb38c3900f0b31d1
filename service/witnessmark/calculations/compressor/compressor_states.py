"""States at the two ends of a compressor, with errors that name the reading. SI: Pa absolute, K, J/kg."""

from __future__ import annotations

import math

from witnessmark.errors import InputError, OutOfRangeError, located
from witnessmark.refrigerants import catalogue, saturation, states


def suction_gas(designation: str, pressure: float, temperature: float) -> states.State:
    """Suction gas; at or below the dew temperature, where a thermometer tells no quality, dry saturated gas."""
    with located(pressure="suction_pressure", temperature="suction_temperature"):
        dry = states.saturated_vapour(designation, pressure)
        return dry if temperature <= dry.temperature else states.gas(designation, pressure, temperature)


def ideal_discharge(designation: str, pressure: float, suction: states.State) -> states.State:
    """Where compression at constant entropy ends; InputError (discharge_pressure) beyond the equations' range."""
    with located(pressure="discharge_pressure"):
        try:
            return states.at_entropy(designation, pressure, suction.entropy)
        except OutOfRangeError as error:
            if error.field == "pressure":
                raise
            fault = "even ideal compression from this suction state leaves the range of the property equations"
            raise InputError("discharge_pressure", fault, "a smaller pressure ratio") from None


def discharge_at(designation: str, pressure: float, enthalpy: float) -> states.State | None:
    """The discharge with this enthalpy; None beyond the hottest state of the property equations."""
    try:
        return states.at_enthalpy(designation, pressure, enthalpy)
    except OutOfRangeError:
        return None


def discharge_gas(designation: str, pressure: float, temperature: float) -> states.State | None:
    """The discharge gas; None at or below its dew temperature, where the reading fixes no state."""
    with located(pressure="discharge_pressure", temperature="discharge_temperature"):
        if temperature <= dew_temperature(designation, pressure):
            return None
        return states.gas(designation, pressure, temperature)


def dew_temperature(designation: str, pressure: float) -> float:
    """Dew temperature at the discharge, K; minus infinity above the critical pressure, where there is none."""
    if pressure >= catalogue.get(designation).critical_pressure:
        return -math.inf
    with located(pressure="discharge_pressure"):
        return float(saturation.dew_temperature(designation, pressure))
