"""The units in which a pressure-enthalpy picture is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scipy.constants import psi, zero_Celsius

from witnessmark.calculations.cycle.diagram_lines import CUSTOMARY, METRIC, Grid
from witnessmark.vocabulary import SystemOfUnits


@dataclass(frozen=True, slots=True)
class Scale:
    """Units of the picture: SI value = unit × factor (temperature: K = unit × factor + zero)."""

    enthalpy: float
    enthalpy_unit: str
    pressure: float
    pressure_unit: str
    gauge_unit: str
    temperature: float
    zero: float
    temperature_unit: str
    entropy: float
    entropy_unit: str
    grid: Grid

    def degrees(self, kelvin: float) -> float:
        """A temperature in the unit of the picture."""
        return (kelvin - self.zero) / self.temperature


SCALES: Mapping[SystemOfUnits, Scale] = {
    "SI": Scale(1e3, "kJ/kg", 1e3, "kPa absolute", "kPa gauge", 1.0, zero_Celsius, "°C", 1e3, "kJ/(kg K)", METRIC),
    "bar": Scale(1e3, "kJ/kg", 1e5, "bar absolute", "bar gauge", 1.0, zero_Celsius, "°C", 1e3, "kJ/(kg K)", METRIC),
    "IP": Scale(2326.0, "Btu/lb", psi, "psia", "psig", 1 / 1.8, 459.67 / 1.8, "°F", 4186.8, "Btu/(lb °F)", CUSTOMARY),
}
"""By the system of units that an answer is asked for in."""
