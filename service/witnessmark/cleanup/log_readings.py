"""What a log of filter readings holds, and each reading brought to full flow. K, Pa, shares of full flow."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.cleanup.drop_correction import FlowState, FullFlowDrop, ShareOf, at_full_flow, flow_state
from witnessmark.cleanup.drop_limits import Installation
from witnessmark.cleanup.line_states import suction_density
from witnessmark.cleanup.log_rules import LOG_RULES
from witnessmark.cleanup.maker_limits import NO_LIMITS, MakerLimits
from witnessmark.cleanup.sizing_rules import SIZING
from witnessmark.errors import InputError, located
from witnessmark.reference.instruments import default_uncertainty
from witnessmark.refrigerants import saturation
from witnessmark.vocabulary import AcidTest, Oil

GAUGE = "differential-pressure-gauge"
METER_SLACK = 3600.0
"""An hour meter shows whole hours, s."""
ReadingState = TypeAliasType(
    "ReadingState",
    Literal["at full flow", "not judged: low flow", "not judged: no flow", "not judged: negative drop"],
)
"""Whether a reading could be brought to full flow, or why not."""


@dataclass(frozen=True, slots=True)
class FilterReading:
    """One look. Either drop (inlet less outlet) or both absolute pressures, else InputError.

    evaporating (dew) temperature: None means from the inlet pressure, else as at full flow, and so for the suction
    temperature. flow_share: of the full mass flow or speed; 0 at standstill. new_core: a new core was fitted just
    before this reading. hour_meter: running time of the compressor, s, counted from any moment.
    """

    at: datetime
    drop: Measured | None = None
    flow_share: float = 1.0
    evaporating_temperature: float | None = None
    suction_temperature: float | None = None
    new_core: bool = False
    colour: float | None = None
    acid_number: Measured | None = None
    acid_test: AcidTest | None = None
    inlet_pressure: Measured | None = None
    outlet_pressure: Measured | None = None
    hour_meter: float | None = None

    def __post_init__(self) -> None:
        pressures = (self.inlet_pressure is not None, self.outlet_pressure is not None)
        if pressures not in {(True, True), (False, False)} or (self.drop is None) != pressures[0]:
            raise InputError("", "a drop, or the pressures on both sides, are wanted", "either of them")

    @property
    def one_gauge(self) -> bool:
        """Whether both pressures came without uncertainty: from one gauge, whose bias cancels."""
        pressures = (self.inlet_pressure, self.outlet_pressure)
        return all(pressure is not None and pressure.uncertainty == 0 for pressure in pressures)

    @property
    def has_state(self) -> bool:
        """Whether anything tells the density of the gas at this reading."""
        return (self.evaporating_temperature, self.suction_temperature, self.inlet_pressure) != (None, None, None)

    @property
    def measured_drop(self) -> Measured:
        """The drop as given or between the pressures, Pa."""
        if self.inlet_pressure is None or self.outlet_pressure is None:
            assert self.drop is not None  # noqa: S101 - checked above
            return self.drop
        drop = self.inlet_pressure.value - self.outlet_pressure.value
        uncertainty = math.hypot(self.inlet_pressure.uncertainty, self.outlet_pressure.uncertainty)
        return Measured(drop, default_uncertainty(GAUGE, drop) if self.one_gauge else uncertainty)

    def dew_temperature(self, refrigerant: str) -> float | None:
        """Evaporating temperature as given or from the inlet pressure, K; OutOfRangeError (inlet_pressure)."""
        if self.evaporating_temperature is not None or self.inlet_pressure is None:
            return self.evaporating_temperature
        with located(pressure="inlet_pressure"):
            return float(saturation.dew_temperature(refrigerant, self.inlet_pressure.value))


@dataclass(frozen=True, slots=True)
class FilterLogCase:
    """A log with what it is judged against. Temperature and superheat describe full flow.

    oil_port: False where no oil can be drawn; its colour is then not asked for.
    """

    refrigerant: str
    evaporating_temperature: float
    readings: tuple[FilterReading, ...]
    time_zone: str
    oil: Oil | None = None
    suction_superheat: float | None = None
    share_of: ShareOf = "mass-flow"
    installation: Installation = "temporary"
    maker_limits: MakerLimits = NO_LIMITS
    oil_port: bool | None = None

    @property
    def full_superheat(self) -> float:
        """Superheat at full flow, K; the usual one where it was not given."""
        return SIZING().suction_superheat.value if self.suction_superheat is None else self.suction_superheat


@dataclass(frozen=True, slots=True)
class CorrectedReading:
    """A reading with its place in the request, instant, seconds since the first, state of flow and full-flow drop."""

    position: int
    reading: FilterReading
    at: datetime
    elapsed: float
    flow: FlowState
    drop: Measured
    state: ReadingState
    full: FullFlowDrop | None

    def running_since(self, earlier: CorrectedReading) -> float:
        """Running time between two readings, s: by the meter where both tell it, else by the clock. InputError."""
        meters = (earlier.reading.hour_meter, self.reading.hour_meter)
        if meters[0] is None or meters[1] is None:
            return self.elapsed - earlier.elapsed
        if not 0 <= meters[1] - meters[0] <= self.elapsed - earlier.elapsed + METER_SLACK:
            field = f"readings.{self.position}.hour_meter"
            raise InputError(field, "not between the reading before it and the time that went by", "the meter as read")
        return meters[1] - meters[0]


def correct(case: FilterLogCase, position: int, at: datetime, first: datetime, offset: Measured) -> CorrectedReading:
    """Bring one reading to full flow, the gauge's offset taken off; errors are located at `readings.<position>`."""
    reading = case.readings[position]
    with located(f"readings.{position}"):
        flow = flow_state(reading.flow_share, case.share_of, _density_ratio(case, reading))
    drop = reading.measured_drop
    drop = Measured(drop.value - offset.value, math.hypot(drop.uncertainty, offset.uncertainty))
    state = _state(flow.share, drop)
    full = at_full_flow(drop, flow) if state == "at full flow" else None
    return CorrectedReading(position, reading, at, (at - first).total_seconds(), flow, drop, state, full)


def _state(share: float, drop: Measured) -> ReadingState:
    if share <= 0:
        return "not judged: no flow"
    if share < LOG_RULES().flow.least_share:
        return "not judged: low flow"
    return "not judged: negative drop" if drop.value + COVERAGE * drop.uncertainty < 0 else "at full flow"


def _density_ratio(case: FilterLogCase, reading: FilterReading) -> float:
    """Gas density at the reading over that at full flow; 1 where neither temperature was read."""
    dew, superheat = reading.dew_temperature(case.refrigerant), case.full_superheat
    if not reading.has_state:
        return 1.0
    evaporating = case.evaporating_temperature if dew is None else dew
    if reading.suction_temperature is not None:
        superheat = reading.suction_temperature - evaporating
    with located(suction_superheat="suction_temperature"):
        density = suction_density(case.refrigerant, evaporating, superheat)
    return density / suction_density(case.refrigerant, case.evaporating_temperature, case.full_superheat)
