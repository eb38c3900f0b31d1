"""Limits that the maker sets for one job: they override every limit of this service."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.calculations.samples import oil_quality

OilLimits = dict[oil_quality.OilProperty, float | None]


@dataclass(frozen=True, slots=True)
class MakerLimits:
    """Drops across suction core and liquid drier, Pa; acid number, mg KOH/g; water, kg/kg; colour, ASTM D1500."""

    suction_drop: float | None = None
    liquid_drop: float | None = None
    acid_number: float | None = None
    water: float | None = None
    colour: float | None = None

    @property
    def oil(self) -> dict[oil_quality.OilProperty, float]:
        """Those of the oil that are set."""
        limits: OilLimits = {"acid_number": self.acid_number, "water": self.water, "colour": self.colour}
        return {quantity: limit for quantity, limit in limits.items() if limit is not None}


NO_LIMITS = MakerLimits()
"""The maker sets none."""
