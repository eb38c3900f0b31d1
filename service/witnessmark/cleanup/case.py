"""What the planner is told about a job. Temperatures in K, masses in kg, flows in kg/s, powers in W."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from witnessmark.cleanup.components import Plant
from witnessmark.cleanup.drop_limits import Installation
from witnessmark.cleanup.filters import Rating
from witnessmark.cleanup.severity import Signs
from witnessmark.errors import ConflictError


@dataclass(frozen=True, slots=True)
class OilCharge:
    """Oil of the circuit: all of it, what came out with the failed compressor, and what one change drains, kg."""

    total: float | None = None
    drained: float | None = None
    drained_per_change: float | None = None


@dataclass(frozen=True, slots=True)
class Circuit:
    """The circuit. evaporating: dew temperature at suction pressure; liquid: before the expansion valve.

    parts: ids of `components.PARTS`; None means the usual ones of that plant. can_lock: whether a reversible plant can
    be held in cooling. water_in_refrigerant: mass fraction.
    """

    refrigerant: str
    evaporating: float
    plant: Plant = "cooling only"
    can_lock: bool | None = None
    compressors: int = 1
    charge: float | None = None
    mass_flow: float | None = None
    capacity: float | None = None
    liquid: float | None = None
    superheat: float | None = None
    parts: tuple[str, ...] | None = None
    water_in_refrigerant: float | None = None

    def __post_init__(self) -> None:
        if self.liquid is not None and self.liquid <= self.evaporating:
            raise ConflictError(
                ("liquid_temperature", "evaporating_temperature"),
                "the liquid is not above the evaporating temperature",
                "the liquid before the valve, warmer than the evaporator",
            )


@dataclass(frozen=True, slots=True)
class CleanupCase:
    """One job. start: when the new compressor runs; without an offset it is read on the clock of `time_zone` (IANA).

    maker_drop, maker_liquid_drop: the maker's limits for the suction core and for the liquid drier, Pa.
    """

    circuit: Circuit
    signs: Signs
    start: datetime
    time_zone: str
    installation: Installation = "temporary"
    oil: OilCharge = OilCharge()
    ratings: tuple[Rating, ...] = ()
    maker_drop: float | None = None
    maker_liquid_drop: float | None = None
