"""A case to start from."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.case import Circuit, CleanupCase, OilCharge
from witnessmark.cleanup.filters import Rating
from witnessmark.cleanup.severity import Signs

CIRCUIT = Circuit(
    "R-410A", 277.6, plant="heat pump", can_lock=True, compressors=2, charge=9.5, capacity=28_000.0, liquid=308.15,
    superheat=8.0,
)  # fmt: skip
SIGNS = Signs(
    "PVE", acid_number=Measured(0.12, 0.01), colour=Measured(4.5), smell="slight", burn="none",
    debris=frozenset({"metal fragments", "carbonised oil"}), repeated=False,
)  # fmt: skip


def case(**changes: Any) -> CleanupCase:
    """The case with changes; those of the circuit, signs and oil go there by name."""
    circuit = replace(CIRCUIT, **changes.pop("circuit", {}))
    signs = replace(SIGNS, **changes.pop("signs", {}))
    oil = replace(OilCharge(3.0, 0.9, 1.0), **changes.pop("oil", {}))
    rating = Rating("suction", 0.2, 13_800.0, 30.0, water_capacity=0.02, acid_capacity=0.002)
    made = CleanupCase(
        circuit, signs, datetime.fromisoformat("2026-03-07T14:00"), "America/Chicago", oil=oil, ratings=(rating,)
    )
    return replace(made, **changes)
