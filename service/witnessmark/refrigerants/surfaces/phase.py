"""One phase of one refrigerant on its lattice: values at (p, T), and temperature at (p, h) or (p, s).

Across runs ln p, along runs v = sqrt((T - T_sat) / (T_far - T_sat)) from the saturation line (0) to the hottest gas or
the coldest liquid (1): near saturation, where the surfaces bend most, a step in v is small in T. T_sat is the lattice's
own smooth line, so that v has no kinks. The inverses start from surfaces of their own, v over (ln p, y) with y from the
value like v from the temperature, and end with Newton steps on the forward surface, so that both directions agree.

Every method takes numbers or columns (Pa, K, J/kg, J/(kg K), kg/m3, in the zero of `states`), gives the same results to
the last bit, and checks no range: callers ask `holds` first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from witnessmark.arithmetic import Array
from witnessmark.refrigerants.surfaces.lattice import FAR, NEAR, Lattice, Value, logarithm, polynomial, root, slope

PhaseSide = Literal["gas", "liquid"]
Inverse = Literal["enthalpy", "entropy"]
SURFACES = ("enthalpy", "entropy", "density", "from_enthalpy", "from_entropy")
"""density: of gas the compressibility number density x T / p, in J/(kg K) turned over."""
LINE = "saturation"
STEPS, LEAST = 2, 1e-3
"""Newton steps in v squared after the start, whose error is squared by each, and where they start at the least."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a state lies on the lattice; strip and cell are numbers, or columns of them."""

    strip: Any
    a: Any
    line: Any
    cell: Any
    b: Any


class Phase:
    """Gas or liquid of one refrigerant. far: K, the hottest gas or the coldest liquid; p_low, p_high: Pa."""

    def __init__(self, side: PhaseSide, lattice: Lattice, far: float, ends: tuple[float, float]) -> None:
        self.side = side
        self.lattice = lattice
        self.far = far
        self.p_low, self.p_high = ends

    def holds(self, pressure: float, temperature: float) -> bool:
        """Whether the surfaces answer here; the caller knows on which side of the saturation line it is."""
        beyond = temperature <= self.far if self.side == "gas" else temperature >= self.far
        return self.p_low <= pressure <= self.p_high and beyond

    def held(self, pressure: Array, temperature: Array) -> Any:
        """`holds` over columns."""
        beyond = temperature <= self.far if self.side == "gas" else temperature >= self.far
        return (self.p_low <= pressure) & (pressure <= self.p_high) & beyond

    def spot(self, pressure: Value, temperature: Value) -> Spot:
        """The place of (p, T)."""
        strip, a = self.lattice.across(logarithm(pressure))
        line = self.lattice.line(LINE, strip, a)
        cell, b = self.lattice.along(strip, root((temperature - line) / (self.far - line)))
        return Spot(strip, a, line, cell, b)

    def enthalpy(self, spot: Spot) -> Any:
        """J/kg."""
        return self.lattice.at("enthalpy", spot.cell, spot.a, spot.b)

    def entropy(self, spot: Spot) -> Any:
        """J/(kg K)."""
        return self.lattice.at("entropy", spot.cell, spot.a, spot.b)

    def density(self, spot: Spot, pressure: Value, temperature: Value) -> Value:
        """kg/m3."""
        found: Value = self.lattice.at("density", spot.cell, spot.a, spot.b)
        return found * pressure / temperature if self.side == "gas" else found

    def ends(self, name: Inverse, pressure: Value) -> tuple[Any, Any]:
        """What the surface is at the saturation line and at the far end."""
        strip, a = self.lattice.across(logarithm(pressure))
        return self._ends(name, strip, a)

    def _ends(self, name: Inverse, strip: Any, a: Any) -> tuple[Any, Any]:
        return self.lattice.line(name + NEAR, strip, a), self.lattice.line(name + FAR, strip, a)

    def reach(self, name: Inverse, pressure: Value, wanted: Value) -> Any:
        """Share of the way from the saturation line to the far end: 0 to 1 where the surfaces answer."""
        low, high = self.ends(name, pressure)
        return (wanted - low) / (high - low)

    def inverse(self, name: Inverse, pressure: Value, wanted: Value) -> tuple[Spot, Any]:
        """The place at which the surface has this value, and its temperature."""
        strip, a = self.lattice.across(logarithm(pressure))
        line = self.lattice.line(LINE, strip, a)
        v, cell, b = self.start(name, strip, a, wanted)
        v, b = self.solved(self.lattice.section(name, cell, a), wanted, v, cell - strip * self.lattice.rows, b)
        return Spot(strip, a, line, cell, b), line + (self.far - line) * (v * v)

    def start(self, name: Inverse, strip: Any, a: Any, wanted: Value) -> tuple[Any, Any, Any]:
        """Where the search for a value begins: v, its cell, and b."""
        low, high = self._ends(name, strip, a)
        cell, at = self.lattice.along(strip, root((wanted - low) / (high - low)))
        v: Any = _inside(self.lattice.at(f"from_{name}", cell, a, at))
        return (v, *self.lattice.along(strip, v))

    def solved(self, section: Any, wanted: Value, v: Any, part: Any, b: Any) -> tuple[Any, Any]:
        """Where a section, that of part number `part` of its strip, has the value: v and b."""
        for _ in range(STEPS):
            gap = (polynomial(section, b) - wanted) / (slope(section, b) * self.lattice.rows)
            v = root(v * v - (v + v) * gap)
            b = v * self.lattice.rows - part
        return v, b


def _inside(v: Value) -> Value:
    """Within the lattice, and not at the saturation line itself, where the slope over v is nothing."""
    if isinstance(v, np.ndarray):
        return np.asarray(np.minimum(np.maximum(v, LEAST), 1.0))
    return min(max(v, LEAST), 1.0)
