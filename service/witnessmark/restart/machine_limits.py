"""What bounds a run by the kind of machine: the same figures as the calculations of compression and superheat hold.

One truth: what /v1/compression calls within its limit, or /v1/superheat for this machine, stops no run. SI: K, ratios.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from witnessmark.calculations.circuit.superheat import Band, MarginMachine, limits_for, of_refrigerant
from witnessmark.calculations.compressor.compressor_types import cooling_of
from witnessmark.calculations.compressor.operating_limits import OperatingMachine, OperatingQuantity, ruling_for
from witnessmark.calculations.metrology.limits import Limit, StatedLimit
from witnessmark.restart.context import Machine
from witnessmark.restart.run_limits import End

SUPERHEAT = "suction_superheat"
OPERATING: Mapping[str, tuple[OperatingQuantity, End]] = {
    "discharge_temperature": ("discharge_temperature", "high"),
    "compression_ratio": ("pressure_ratio", "high"),
    "discharge_superheat": ("discharge_superheat", "low"),
}
"""Items of the watch list, and what the calculation of compression calls them."""


def operating(machine: Machine) -> OperatingMachine | None:
    """The machine as that calculation takes it; None of a refrigerant without properties."""
    if machine.refrigerant is None:
        return None
    turbo = machine.compressor == "centrifugal"  # of which that calculation knows no usual cooling
    cooling = machine.cooling if turbo else cooling_of(machine.compressor, machine.cooling)
    return OperatingMachine(machine.refrigerant, machine.compressor, machine.application, cooling)


def machine_limits(machine: Machine) -> dict[tuple[str, End], Limit]:
    """Limit by item and end of its band, for this kind of machine.

    Example: an ammonia piston machine discharges at up to 150 degC, a scroll on R-410A at up to 107 degC.
    """
    found: dict[tuple[str, End], Limit] = dict(_superheat(machine))
    known = operating(machine)
    for item, (quantity, end) in OPERATING.items():
        ruling = None if known is None else ruling_for(known, quantity)
        if ruling is not None:
            found[item, end] = Limit(ruling.safer, ruling.stated)
    return found


def suction_in_vacuum(machine: Machine) -> float | None:
    """Suction pressure, Pa absolute, below which this refrigerant is in vacuum where it should not be; or None."""
    known = operating(machine)
    ruling = None if known is None else ruling_for(known, "suction_pressure")
    return None if ruling is None else ruling.value


def _superheat(machine: Machine) -> Iterator[tuple[tuple[str, End], Limit]]:
    """A flooded evaporator has a band of its own; else the upper end is that of the machine, whatever feeds it.

    Where several may hold and nobody said which, all lower ends count: between them a reading stops nothing.
    """
    said = MarginMachine(machine.compressor, machine.application, machine.metering)
    known = said if machine.refrigerant is None else of_refrigerant(said, machine.refrigerant)
    bands = limits_for("suction", known)
    alone = [band for band in bands if known.alone(band)]
    held: list[Band] = alone or [band for band in bands if not band.metering or machine.metering is not None]
    if alone:
        yield (SUPERHEAT, "low"), Limit("higher", tuple(StatedLimit(band.low, band.source) for band in alone))
    highs = tuple(StatedLimit(band.high, band.source) for band in held if band.high is not None)
    if highs:
        yield (SUPERHEAT, "high"), Limit("lower", highs)
