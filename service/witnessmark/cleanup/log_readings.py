"""What a log of filter readings holds, and each reading brought to full flow. K, Pa, shares of full flow."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.oil_quality import OilProperty
from witnessmark.cleanup import filters
from witnessmark.cleanup.drop_correction import FlowState, FullFlowDrop, ShareOf, at_full_flow, flow_state
from witnessmark.cleanup.drop_limits import Installation
from witnessmark.cleanup.severity import AcidTest
from witnessmark.cleanup.tables import table
from witnessmark.errors import located
from witnessmark.vocabulary import Oil

Standing = Literal["at full flow", "not judged: low flow", "not judged: no flow", "not judged: negative drop"]


@dataclass(frozen=True, slots=True)
class FilterReading:
    """One look. drop: inlet less outlet. evaporating (dew) and suction temperature: None means as at full flow.

    flow_share: of the full mass flow or speed; 0 at standstill. new_core: a new core was fitted just before this
    reading.
    """

    at: datetime
    drop: Measured
    flow_share: float = 1.0
    evaporating: float | None = None
    suction: float | None = None
    new_core: bool = False
    colour: float | None = None
    acid_number: Measured | None = None
    acid_test: AcidTest | None = None


@dataclass(frozen=True, slots=True)
class FilterLogCase:
    """A log with what it is judged against. evaporating and superheat describe full flow; maker_drop in Pa."""

    refrigerant: str
    evaporating: float
    readings: tuple[FilterReading, ...]
    time_zone: str
    oil: Oil | None = None
    superheat: float | None = None
    share_of: ShareOf = "mass flow"
    installation: Installation = "temporary"
    maker_drop: float | None = None
    maker_limits: dict[OilProperty, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Prepared:
    """A reading with its place in the request, instant, seconds since the first, state of flow and full-flow drop."""

    position: int
    reading: FilterReading
    at: datetime
    elapsed: float
    state: FlowState
    drop: Measured
    standing: Standing
    full: FullFlowDrop | None


def prepare(case: FilterLogCase, position: int, at: datetime, first: datetime, offset: Measured) -> Prepared:
    """Bring one reading to full flow, the gauge's offset taken off; fields are named `readings.<position>.…`."""
    reading = case.readings[position]
    with located(flow_share=f"readings.{position}.flow_share"):
        state = flow_state(reading.flow_share, case.share_of, _density_ratio(case, position))
    drop = Measured(reading.drop.value - offset.value, math.hypot(reading.drop.uncertainty, offset.uncertainty))
    standing = _standing(state.share, drop)
    full = at_full_flow(drop, state) if standing == "at full flow" else None
    return Prepared(position, reading, at, (at - first).total_seconds(), state, drop, standing, full)


def _standing(share: float, drop: Measured) -> Standing:
    if share <= 0:
        return "not judged: no flow"
    if share < float(table("log")["flow"]["least_share"]):
        return "not judged: low flow"
    return "not judged: negative drop" if drop.value + 2 * drop.uncertainty < 0 else "at full flow"


def _density_ratio(case: FilterLogCase, position: int) -> float:
    """Gas density at the reading over that at full flow; 1 where neither temperature was read."""
    reading = case.readings[position]
    if reading.evaporating is None and reading.suction is None:
        return 1.0
    at = f"readings.{position}"
    evaporating = case.evaporating if reading.evaporating is None else reading.evaporating
    superheat = full_superheat(case) if reading.suction is None else reading.suction - evaporating
    with located(
        evaporating_temperature=f"{at}.evaporating_temperature", suction_superheat=f"{at}.suction_temperature"
    ):
        return filters.suction_density(case.refrigerant, evaporating, superheat) / full_density(case)


def full_superheat(case: FilterLogCase) -> float:
    """Superheat at full flow, K; the usual one where it was not given."""
    usual = float(table("sizing")["suction_superheat"]["value_K"])
    return usual if case.superheat is None else case.superheat


def full_density(case: FilterLogCase) -> float:
    """Gas density at full flow, kg/m³."""
    return filters.suction_density(case.refrigerant, case.evaporating, full_superheat(case))
