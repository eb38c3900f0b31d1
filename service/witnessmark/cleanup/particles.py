"""Drag and settling of fragments. SI units: m, kg/m³, Pa s, m/s.

Source: Haider and Levenspiel, Powder Technology 58 (1989) 63-70: drag of nonspherical particles by sphericity, CD =
24/Re (1 + A Re^B) + C / (1 + D/Re), Re below 2.6e5 with the volume-equivalent diameter. Broken metal is angular: no
drag crisis is expected above that, and the formula is carried on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.constants import g
from scipy.optimize import brentq

REYNOLDS = (1e-8, 1e8)
SPHERICITY = (0.1, 1.0)


@dataclass(frozen=True, slots=True)
class Fluid:
    """Density, kg/m³, and dynamic viscosity, Pa s."""

    density: float
    viscosity: float


def drag_coefficient(reynolds: float, sphericity: float) -> float:
    """Drag coefficient on the area of the volume-equivalent sphere; sphericity from 0.1 to 1 (round).

    >>> round(drag_coefficient(1000.0, sphericity=1.0), 3)
    0.484
    """
    s = min(max(sphericity, SPHERICITY[0]), SPHERICITY[1])
    a = math.exp(2.3288 - 6.4581 * s + 2.4486 * s**2)
    b = 0.0964 + 0.5565 * s
    c = math.exp(4.905 - 13.8944 * s + 18.4222 * s**2 - 10.2599 * s**3)
    d = math.exp(1.4681 + 12.2584 * s - 20.7322 * s**2 + 15.8855 * s**3)
    viscous: float = 24 / reynolds * (1 + a * reynolds**b)
    return viscous + c / (1 + d / reynolds)


def settling_velocity(diameter: float, density: float, fluid: Fluid, sphericity: float = 1.0) -> float:
    """Velocity at which drag carries the weight less buoyancy: the upward flow that just holds the fragment.

    diameter: of the sphere of equal volume. 0 for what does not sink. CD Re² = 4/3 Ar with the Archimedes number Ar.

    >>> round(settling_velocity(1e-3, 7850.0, Fluid(998.2, 1.002e-3)), 3)
    0.368
    """
    excess = density - fluid.density
    if excess <= 0:
        return 0.0
    archimedes = g * fluid.density * excess * diameter**3 / fluid.viscosity**2

    def balance(log_reynolds: float) -> float:
        reynolds = math.exp(log_reynolds)
        return math.log(drag_coefficient(reynolds, sphericity) * reynolds**2 * 3 / 4 / archimedes)

    low, high = (math.log(end) for end in REYNOLDS)
    if balance(low) > 0:
        return 0.0
    reynolds = math.exp(float(brentq(balance, low, high, xtol=1e-12)))
    return reynolds * fluid.viscosity / (fluid.density * diameter)


def equal_volume_diameter(mass: float, density: float) -> float:
    """Diameter of the sphere that has this mass, kg, at this density, kg/m³; m.

    >>> round(equal_volume_diameter(0.108, 7200.0), 4)
    0.0306
    """
    return float(math.cbrt(6 * mass / (math.pi * density)))
