"""What is watched after a start, and what the log of the run says, on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.quantities import (
    Pressure,
    PressureDifference,
    Real,
    Temperature,
    TemperatureDifference,
    Time,
    Wire,
)
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.supply_unbalance import Standing

Bound = Annotated[Real, Field(ge=0, le=1e6)]


class DifferenceBand(Wire):
    """The maker's band of a temperature difference."""

    low: TemperatureDifference | None = None
    high: TemperatureDifference | None = None


class TemperatureBand(Wire):
    """The maker's band of a temperature."""

    low: Temperature | None = None
    high: Temperature | None = None


class PressureBand(Wire):
    """The maker's band of a pressure."""

    low: Pressure | None = None
    high: Pressure | None = None


class DropBand(Wire):
    """The maker's band of a pressure drop."""

    low: PressureDifference | None = None
    high: PressureDifference | None = None


class NumberBand(Wire):
    """The maker's band of a fraction, ratio or count."""

    low: Bound | None = None
    high: Bound | None = None


class WatchBands(Wire):
    """The maker's limits for what is watched; they override the published ones."""

    suction_pressure: PressureBand | None = None
    discharge_pressure: PressureBand | None = None
    suction_superheat: DifferenceBand | None = None
    discharge_superheat: DifferenceBand | None = None
    discharge_temperature: TemperatureBand | None = None
    sump_superheat: DifferenceBand | None = None
    shell_above_suction: DifferenceBand | None = None
    compression_ratio: NumberBand | None = None
    current_share: NumberBand | None = None
    current_deviation: NumberBand | None = None
    current_unbalance: NumberBand | None = None
    voltage_unbalance: NumberBand | None = None
    voltage_deviation: NumberBand | None = None
    core_drop_rise: DropBand | None = None
    core_drop: DropBand | None = None
    liquid_drier_drop: DifferenceBand | None = None
    starts_per_hour: NumberBand | None = None


class NumberReading(Wire):
    """A reading without unit: a ratio, a fraction (1 is the whole) or a count."""

    value: Annotated[Real, Field(ge=-1e6, le=1e6)]
    uncertainty: Annotated[Real, Field(ge=0, le=1e6)] | None = Field(None, description="One standard uncertainty.")


class RunProofs(Wire):
    """What was proved by then, and how it came out; left out where it was not done."""

    acid_free: bool | None = None
    oil_colour_good: bool | None = None
    temporary_cores_removed: bool | None = None
    control_back_to_normal: bool | None = None


class RunReading(Wire):
    """Readings at one time after the start; left out where nothing was read."""

    at: Time
    suction_pressure: Pressure | None = None
    discharge_pressure: Pressure | None = None
    suction_superheat: TemperatureDifference | None = None
    discharge_superheat: TemperatureDifference | None = None
    discharge_temperature: Temperature | None = None
    sump_superheat: TemperatureDifference | None = None
    shell_above_suction: TemperatureDifference | None = None
    compression_ratio: NumberReading | None = None
    current_share: NumberReading | None = Field(None, description="Highest phase current over the rated load current.")
    current_deviation: NumberReading | None = Field(None, description="Current over the maker's curve, less one.")
    current_unbalance: NumberReading | None = None
    voltage_unbalance: NumberReading | None = None
    voltage_deviation: NumberReading | None = Field(None, description="Mean voltage over the rated one, less one.")
    core_drop_rise: PressureDifference | None = Field(None, description="Drop across the core less its first reading.")
    core_drop: PressureDifference | None = None
    liquid_drier_drop: TemperatureDifference | None = None
    starts_per_hour: NumberReading | None = None
    proofs: RunProofs = RunProofs()


class AfterRunFields(Wire):
    """The log of the run so far, in rising time."""

    elapsed: Time = Field(description="Time since the start.")
    readings: Annotated[list[RunReading], Field(max_length=500)]


Shown = Pressure | PressureDifference | Temperature | TemperatureDifference | Ratio
LimitOfItem = (
    LimitShown[Pressure]
    | LimitShown[PressureDifference]
    | LimitShown[Temperature]
    | LimitShown[TemperatureDifference]
    | LimitShown[Real]
)


class WatchItemResult(Wire):
    """One thing to watch."""

    item: str
    title: str
    low: LimitOfItem | None
    high: LimitOfItem | None
    stop: bool = Field(description="Beyond every limit the machine is stopped at once.")
    act: str = Field(description="What to do or to look for.")
    needs_maker: bool = Field(description="No figure is known: the maker's is needed.")
    source: str


class FoundResult(Wire):
    """One reading against its limits."""

    at: Time
    item: str
    value: Shown
    verdict: Standing | None = Field(description="Null where no limit is known.")


class StageOfRun(Wire):
    """One look after the start."""

    stage: str = Field(description="first_hour, first_day or two_weeks.")
    title: str
    state: Literal["good", "out of limits", "not proved", "missing", "not yet due"]
    due: Time
    latest: Time
    missing: list[str]
    failed_proofs: list[str]
    found: list[FoundResult]
    source: str


class TrendResult(Wire):
    """How an item moved from its first to its last reading."""

    item: str
    trend: Literal["rising", "falling", "steady"]
    change: PressureDifference | TemperatureDifference | Ratio


class AfterRunResult(Wire):
    """What the run so far says; "nothing found" is the most it can say."""

    verdict: Literal[
        "stop and find out", "look into it now", "not proved", "go on watching", "nothing found after two weeks"
    ]
    next_look: Time | None
    stages: list[StageOfRun]
    outside: list[FoundResult]
    trends: list[TrendResult]
