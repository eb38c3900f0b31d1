"""The units in which a pressure-enthalpy picture is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
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


CLOSE = 0.12
"""Marks nearer than this on the logarithm would write over each other."""


def gauge_marks(bottom: float, top: float, air: float) -> tuple[list[float], list[float]]:
    """Gauge pressures to be written and those only marked, between two absolute ones; 0 where air lies between.

    >>> gauge_marks(30.0, 600.0, 101.325)[0]
    [0.0, -20.0, -50.0, 20.0, 50.0, 100.0, 200.0]
    """
    least = max(bottom - air, 0.1 * air)
    zero = [0.0] if bottom <= air <= top else []
    below = [-mark for mark in round_marks(0.1 * air, air - bottom)] if zero and bottom < 0.9 * air else []
    above = round_marks(least, top - air)
    written = [*zero, *_apart(zero, below, air), *_apart(zero, above, air)]
    return written, round_marks(least, top - air, range(1, 10))


def _apart(first: list[float], marks: list[float], air: float) -> list[float]:
    """Those of the marks that stand apart from the one before them, on a scale of logarithms."""
    kept = list(first)
    for mark in marks:
        if not kept or abs(math.log((mark + air) / (kept[-1] + air))) > math.log1p(CLOSE):
            kept.append(mark)
    return kept[len(first) :]


def round_marks(low: float, high: float, digits: Iterable[int] = (1, 2, 5)) -> list[float]:
    """These digits times powers of ten, between two ends.

    >>> round_marks(90.0, 700.0)
    [100.0, 200.0, 500.0]
    """
    steps = tuple(digits)
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    return [m * 10.0**d for d in decades for m in steps if low <= m * 10.0**d <= high]
