"""A job to start from."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.filters import AcidCapacity, RatedFilter
from witnessmark.cleanup.job import CleanupJob, OilCharge
from witnessmark.cleanup.severity import Signs

SIGNS = Signs(
    acid_number=Measured(0.12, 0.01), colour=Measured(4.5), smell="slight", burn="none",
    debris=frozenset({"metal-fragments", "carbonised-oil"}), repeated_failure=False,
)  # fmt: skip
RATED = RatedFilter("suction", 13_800.0, mass_flow=0.2, water_capacity=0.02, acid_capacity=AcidCapacity(0.002, "KOH"))
JOB = CleanupJob(
    "R-410A", 277.6, "PVE", datetime.fromisoformat("2026-03-07T14:00"), "America/Chicago", plant="heat-pump",
    can_lock=True, compressors=2, charge=9.5, capacity=28_000.0, liquid_temperature=308.15, suction_superheat=8.0,
    filters=(RATED,),
)  # fmt: skip


def job(**changes: Any) -> CleanupJob:
    """The job with changes; those of the signs and the oil charge go there by name."""
    signs = replace(SIGNS, **changes.pop("signs", {}))
    oil_charge = replace(OilCharge(3.0, 0.9, 1.0), **changes.pop("oil_charge", {}))
    return replace(JOB, signs=signs, oil_charge=oil_charge, **changes)
