"""Quality by moles and by mass in the two-phase region of a blend.

Between bubble and dew point at constant pressure, temperature, enthalpy, entropy and specific volume run nearly
linearly in the molar quality, but not in the mass quality: the first vapour is lighter or heavier than the blend. Its
molar mass and that of the last liquid are known from the saturation curves; between them the vapour's molar mass is
taken as the quadratic that meets both and the slope at the dew point, which the mass balance of the last liquid fixes.
For a single substance both ratios are one, and the two qualities are the same.
"""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.refrigerants.fluid import STEP, Bracket, solve


@dataclass(frozen=True, slots=True)
class Partners:
    """Molar masses over the blend's: of the first vapour (bubble point) and of the last liquid (dew point)."""

    vapour: float
    liquid: float

    def mass_quality(self, molar: float) -> float:
        """Mass of vapour per mass, from moles of vapour per mole; both 0 to 1."""
        return self._curve(molar)[0]

    def molar_quality(self, mass: float) -> float:
        """Moles of vapour per mole, from mass of vapour per mass; both 0 to 1."""

        def gap(molar: float) -> tuple[float, float]:
            value, slope = self._curve(molar)
            return value - mass, slope

        return min(max(solve(gap, Bracket(0.0, 1.0, mass, STEP)), 0.0), 1.0)

    def _curve(self, molar: float) -> tuple[float, float]:
        """Mass quality and its slope: molar quality times the vapour's molar mass over the blend's."""
        first = 3.0 - 2.0 * self.vapour - self.liquid
        second = self.vapour + self.liquid - 2.0
        ratio = self.vapour + molar * (first + molar * second)
        return molar * ratio, ratio + molar * (first + 2.0 * molar * second)
