"""What is watched after a start, and what the log of the run says, on the wire."""

from __future__ import annotations

from typing import Annotated

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
from witnessmark.api.schemas.limit import LimitShown, MakerDocument
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.restart.after_run import RunVerdict, StageState, Trend

Bound = Annotated[Real, Field(ge=0, le=1e6)]


class DifferenceBand(Wire):
    """The maker's band of a temperature difference."""

    low: TemperatureDifference | None = Field(None, description="It may not be below.")
    high: TemperatureDifference | None = Field(None, description="It may not be above.")


class TemperatureBand(Wire):
    """The maker's band of a temperature."""

    low: Temperature | None = Field(None, description="It may not be below.")
    high: Temperature | None = Field(None, description="It may not be above.")


class PressureBand(Wire):
    """The maker's band of a pressure."""

    low: Pressure | None = Field(None, description="It may not be below.")
    high: Pressure | None = Field(None, description="It may not be above.")


class DropBand(Wire):
    """The maker's band of a pressure drop."""

    low: PressureDifference | None = Field(None, description="It may not be below.")
    high: PressureDifference | None = Field(None, description="It may not be above.")


class NumberBand(Wire):
    """The maker's band of a fraction, ratio or count."""

    low: Bound | None = Field(None, description="It may not be below.")
    high: Bound | None = Field(None, description="It may not be above.")


class WatchBands(Wire):
    """The maker's limits for what is watched; they override the published ones."""

    suction_pressure: PressureBand | None = Field(None, description="At the compressor.")
    discharge_pressure: PressureBand | None = Field(None, description="At the compressor.")
    suction_superheat: DifferenceBand | None = Field(None, description="At the compressor.")
    discharge_superheat: DifferenceBand | None = Field(None, description="At the compressor.")
    discharge_temperature: TemperatureBand | None = Field(None, description="Of the line, 75 to 150 mm from the shell.")
    sump_superheat: DifferenceBand | None = Field(None, description="Oil above the evaporating temperature.")
    shell_above_suction: DifferenceBand | None = Field(None, description="Shell bottom above the suction line.")
    compression_ratio: NumberBand | None = Field(None, description="Absolute discharge over suction pressure.")
    current_share: NumberBand | None = Field(None, description="Highest phase current over the rated load current.")
    current_deviation: NumberBand | None = Field(None, description="Current over the maker's curve, less one.")
    current_unbalance: NumberBand | None = Field(None, description="Greatest deviation from the mean over the mean.")
    voltage_unbalance: NumberBand | None = Field(None, description="Greatest deviation from the mean over the mean.")
    voltage_deviation: NumberBand | None = Field(None, description="Mean voltage over the rated one, less one.")
    core_drop_rise: DropBand | None = Field(None, description="Drop across the core less its first reading.")
    core_drop: DropBand | None = Field(None, description="Drop across the suction core.")
    liquid_drier_drop: DifferenceBand | None = Field(None, description="Drop across the liquid-line drier.")
    starts_per_hour: NumberBand | None = Field(None, description="Starts in an hour.")
    net_oil_pressure: DropBand | None = Field(None, description="Oil pressure above that of the crankcase.")
    document: MakerDocument = ""
    """Where the maker states them: title, number, page. Without it none counts that all published ones exclude."""


class NumberReading(Wire):
    """A reading without unit: a ratio, a fraction (1 is the whole) or a count."""

    value: Annotated[Real, Field(ge=-1e6, le=1e6)] = Field(description="The number.")
    uncertainty: Annotated[Real, Field(ge=0, le=1e6)] | None = Field(None, description="One standard uncertainty.")


class RunProofs(Wire):
    """What was proved by then, and how it came out; left out where it was not done."""

    acid_free: bool | None = Field(None, description="Acid test of the oil negative.")
    oil_colour_good: bool | None = Field(None, description="Oil colour in limit.")
    temporary_cores_removed: bool | None = None
    """Temporary suction cores removed or changed for felt."""
    control_back_to_normal: bool | None = Field(None, description="Mode lock released and control back to normal.")
    oil_and_sound_good: bool | None = Field(None, description="Oil level in the glass, no knocking, no rising whine.")
    no_leak: bool | None = Field(None, description="No leak seen.")


class RunReading(Wire):
    """Readings at one time after the start; left out where nothing was read."""

    at: Time = Field(description="Time after the start.")
    suction_pressure: Pressure | None = Field(None, description="At the compressor.")
    discharge_pressure: Pressure | None = Field(None, description="At the compressor.")
    suction_superheat: TemperatureDifference | None = Field(None, description="At the compressor.")
    discharge_superheat: TemperatureDifference | None = Field(None, description="At the compressor.")
    discharge_temperature: Temperature | None = Field(None, description="Of the line, 75 to 150 mm from the shell.")
    sump_superheat: TemperatureDifference | None = Field(None, description="Oil above the evaporating temperature.")
    shell_above_suction: TemperatureDifference | None = Field(None, description="Shell bottom above the suction line.")
    compression_ratio: NumberReading | None = Field(None, description="Absolute discharge over suction pressure.")
    current_share: NumberReading | None = Field(None, description="Highest phase current over the rated load current.")
    current_deviation: NumberReading | None = Field(None, description="Current over the maker's curve, less one.")
    current_unbalance: NumberReading | None = Field(None, description="Greatest deviation from the mean over the mean.")
    voltage_unbalance: NumberReading | None = Field(None, description="Greatest deviation from the mean over the mean.")
    voltage_deviation: NumberReading | None = Field(None, description="Mean voltage over the rated one, less one.")
    core_drop_rise: PressureDifference | None = Field(None, description="Drop across the core less its first reading.")
    core_drop: PressureDifference | None = Field(None, description="Drop across the suction core.")
    liquid_drier_drop: TemperatureDifference | None = Field(None, description="Drop across the liquid-line drier.")
    starts_per_hour: NumberReading | None = Field(None, description="Starts in an hour.")
    net_oil_pressure: PressureDifference | None = Field(None, description="Oil pressure above that of the crankcase.")
    proofs: RunProofs = Field(RunProofs(), description="What was proved by then.")


class AfterRunFields(Wire):
    """The log of the run so far, in rising time."""

    elapsed: Time = Field(description="Time since the start.")
    readings: Annotated[list[RunReading], Field(max_length=500)] = Field(description="In rising time.")


ShownValue = Pressure | PressureDifference | Temperature | TemperatureDifference | Ratio
LimitOfItem = (
    LimitShown[Pressure]
    | LimitShown[PressureDifference]
    | LimitShown[Temperature]
    | LimitShown[TemperatureDifference]
    | LimitShown[Real]
)


class WatchItemResult(Wire):
    """One thing to watch."""

    item: str = Field(description="Id of the item: the field that takes its reading.")
    title: str = Field(description="What to watch.")
    low: LimitOfItem | None = Field(description="It may not be below; null where no figure is known.")
    high: LimitOfItem | None = Field(description="It may not be above; null where no figure is known.")
    stop: bool = Field(description="Beyond every limit the machine is stopped at once.")
    act: str = Field(description="What to do or to look for.")
    needs_maker: bool = Field(description="No figure is known: the maker's is needed.")
    source: str = Field(description="Id of the source.")


class ItemReadingResult(Wire):
    """One reading against its limits."""

    at: Time = Field(description="Time after the start.")
    item: str = Field(description="Id of the item.")
    value: ShownValue = Field(description="What was read.")
    standing: Standing | None = Field(description="Where it stands; null where no limit is known.")


class StageOfRun(Wire):
    """One look after the start."""

    stage: str = Field(description="first-hour, first-day or two-weeks.")
    title: str = Field(description="When it is due, in words.")
    state: StageState = Field(description="How it came out.")
    due: Time = Field(description="When it is due, after the start.")
    latest: Time = Field(description="Until when a reading counts for it.")
    missing: list[str] = Field(description="Items and proofs that it needs and that are not in the log.")
    failed_proofs: list[str] = Field(description="Proofs that came out bad.")
    readings: list[ItemReadingResult] = Field(description="What was read in its window.")
    source: str = Field(description="Id of the source.")


class TrendResult(Wire):
    """How an item moved from its first to its last reading."""

    item: str = Field(description="Id of the item.")
    trend: Trend = Field(description="Which way it moved.")
    change: PressureDifference | TemperatureDifference | Ratio = Field(description="Last less first reading.")


class AfterRunResult(Wire):
    """What the run so far says; "nothing found" is the most it can say."""

    verdict: RunVerdict = Field(description="What the run so far says.")
    next_look: Time | None = Field(
        description="When the next look is due, after the start; null after the last and where it is stopped now."
    )
    stages: list[StageOfRun] = Field(description="The looks.")
    outside: list[ItemReadingResult] = Field(description="Everything outside of a limit.")
    trends: list[TrendResult] = Field(description="Of every item that was read twice.")
