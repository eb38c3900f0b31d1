"""What the planner is told about a job. Temperatures in K, masses in kg, flows in kg/s, powers in W."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from witnessmark.cleanup.drop_limits import Installation
from witnessmark.cleanup.filters import RatedFilter
from witnessmark.cleanup.maker_limits import NO_LIMITS, MakerLimits
from witnessmark.cleanup.severity import NO_SIGNS, Signs
from witnessmark.errors import ConflictError
from witnessmark.refrigerants.low_pressure import is_low_pressure
from witnessmark.vocabulary import Compressor, Construction, Oil, Plant


@dataclass(frozen=True, slots=True)
class OilCharge:
    """Oil of the circuit: all of it, what came out with the failed compressor, and what one change drains, kg."""

    total: float | None = None
    drained: float | None = None
    drained_per_change: float | None = None


_NO_OIL = OilCharge()


@dataclass(frozen=True, slots=True)
class CleanupJob:
    """One job. evaporating: dew temperature at suction pressure; liquid: before the expansion valve.

    compressor: its kind; None where not said. start: when the new compressor runs; without an offset it is read on the
    clock of `time_zone` (IANA). parts: ids of `components.part_ids`; None means the usual ones of that plant. can_lock:
    whether a reversible plant can be held in cooling. refrigerant_water: mass fraction. oil_port: whether oil can be
    drawn from the running machine. reference and site_name: the caller's names of job and place. ConflictError where
    the liquid is not the warmer.
    """

    refrigerant: str
    evaporating_temperature: float
    oil: Oil
    start: datetime
    time_zone: str
    plant: Plant = "cooling-only"
    can_lock: bool | None = None
    compressor: Compressor | None = None
    compressors: int = 1
    charge: float | None = None
    mass_flow: float | None = None
    capacity: float | None = None
    liquid_temperature: float | None = None
    suction_superheat: float | None = None
    refrigerant_water: float | None = None
    parts: tuple[str, ...] | None = None
    oil_charge: OilCharge = _NO_OIL
    signs: Signs = NO_SIGNS
    filters: tuple[RatedFilter, ...] = ()
    installation: Installation = "temporary"
    construction: Construction | None = None
    oil_port: bool | None = None
    reference: str | None = None
    site_name: str | None = None
    maker_limits: MakerLimits = NO_LIMITS

    @property
    def draws_oil(self) -> bool | None:
        """Whether oil can be drawn: as said, of a chiller it can, else by the construction; None where not known."""
        if self.oil_port is None and self.chiller:
            return True
        if self.oil_port is not None or self.construction is None:
            return self.oil_port
        return self.construction != "hermetic"

    @property
    def chiller(self) -> bool:
        """Whether it is a centrifugal chiller: as said, or else by a refrigerant of low pressure, which none else has.

        No suction core and no liquid-line drier goes into one. UnknownNameError (refrigerant).
        """
        if self.compressor is not None:
            return self.compressor == "centrifugal"
        return is_low_pressure(self.refrigerant)

    @property
    def drierless(self) -> bool:
        """Whether the parts that were listed leave out a liquid-line drier: the plant was built without one."""
        return self.parts is not None and "liquid-drier" not in self.parts and not self.chiller

    def __post_init__(self) -> None:
        if self.liquid_temperature is not None and self.liquid_temperature <= self.evaporating_temperature:
            fields = ("liquid_temperature", "evaporating_temperature")
            raise ConflictError(fields, "the liquid is not the warmer one", "liquid before the valve, dew temperature")
