"""Limits that the maker sets for one job, as far as they count (`calculations/metrology/makers.py`)."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.calculations.metrology.makers import MakerWord
from witnessmark.calculations.samples import oil_quality
from witnessmark.vocabulary import Oil

OilLimits = dict[oil_quality.OilProperty, float | None]


@dataclass(frozen=True, slots=True)
class MakerLimits:
    """Drops across suction core and liquid drier, Pa; acid number, mg KOH/g; water, kg/kg; colour, ASTM D1500.

    document: where the maker states them.
    """

    suction_drop: float | None = None
    liquid_drop: float | None = None
    acid_number: float | None = None
    water: float | None = None
    colour: float | None = None
    document: str = ""

    @property
    def oil(self) -> dict[oil_quality.OilProperty, float]:
        """Those of the oil that are set."""
        limits: OilLimits = {"acid_number": self.acid_number, "water": self.water, "colour": self.colour}
        return {quantity: limit for quantity, limit in limits.items() if limit is not None}

    def words(self, oil: Oil) -> dict[oil_quality.OilProperty, MakerWord]:
        """What those of the oil are worth."""
        return oil_quality.weighed(oil, self.oil, self.document)


NO_LIMITS = MakerLimits()
"""The maker sets none."""
