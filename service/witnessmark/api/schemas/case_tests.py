"""Parts of the case document: samples, the filter log, the tests of the failed machine and those before a start."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api.quantities import AcidNumber, MassFraction, Wire
from witnessmark.api.schemas.cleanup import Moment
from witnessmark.api.schemas.evacuation import DilutionFields
from witnessmark.api.schemas.filter_log import LogReading
from witnessmark.api.schemas.insulation import InsulationFields
from witnessmark.api.schemas.oil_quality import Colour, Contamination
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.restart import (
    CircuitDecay,
    LineVoltage,
    MakersBefore,
    MeasuredBefore,
    SideTest,
    StatedCheck,
)
from witnessmark.api.schemas.supply_unbalance import SupplyFields
from witnessmark.api.schemas.watching import AfterRunFields, WatchBands
from witnessmark.api.schemas.windings import WindingsFields
from witnessmark.calculations.samples.refrigerant_quality import CheckOutcome, SampleUse
from witnessmark.cleanup.drop_correction import ShareOf
from witnessmark.restart.evidence import OilSampleOf


class OilSampleKept(Wire):
    """An oil sample; its base is that of the machine."""

    at: Moment | None = Field(None, description="When it was taken.")
    sample: OilSampleOf = Field(description="Of which oil it is.")
    acid_number: AcidNumber | None = Field(None, description="By ASTM D974 or D664.")
    water: MassFraction | None = Field(None, description="Mass of water in the mass of oil.")
    colour: Colour | None = Field(None, description="ASTM D1500 colour.")
    contamination: Contamination | None = Field(None, description="Solids, milligrams per 100 millilitres.")


class RefrigerantSampleKept(Wire):
    """A refrigerant sample."""

    at: Moment | None = Field(None, description="When it was taken.")
    use: SampleUse = Field(description="Before it goes into a circuit, or out of a circuit that runs or ran.")
    water: MassFraction | None = Field(None, description="Mass of water in the liquid.")
    acidity: MassFraction | None = Field(None, description="Mass of acid as hydrogen chloride.")
    non_condensables: Ratio | None = Field(None, description="Share of the vapour's volume.")
    residue_volume: Ratio | None = Field(None, description="High-boiling residue by volume.")
    residue_mass: MassFraction | None = Field(None, description="High-boiling residue by mass.")
    chloride: CheckOutcome | None = Field(None, description="Turbidity test with silver nitrate.")
    particulates: CheckOutcome | None = Field(None, description="Looked at in clear glass after evaporating.")


class TestsOfFailure(Wire):
    """Electrical tests of the failed machine. They prove the failure and never count for the start of the next one."""

    __test__ = False

    insulation: InsulationFields | None = Field(None, description="Winding to ground.")
    windings: WindingsFields | None = Field(None, description="Between the terminals.")
    supply: SupplyFields | None = Field(None, description="The three-phase supply.")


class FilterLogKept(Wire):
    """The log of the suction core."""

    share_of: ShareOf = Field("mass-flow", description="What `flow_share` is a share of.")
    readings: list[LogReading] = Field(min_length=1, max_length=200, description="In any order.")


class BeforeStart(Wire):
    """What was done and measured on the repaired machine before power is given, and the log of its run."""

    stated: Annotated[list[StatedCheck], Field(max_length=60)] = Field(default_factory=list)
    """Checks stated by whoever did them; some are not passed by a claim."""
    supply: SupplyFields | None = Field(None, description="Three-phase supply.")
    line_voltage: LineVoltage | None = Field(None, description="Single-phase supply.")
    insulation: InsulationFields | None = Field(None, description="Of the compressor to be started.")
    windings: WindingsFields | None = Field(None, description="Of the compressor to be started.")
    pressure_tests: Annotated[list[SideTest], Field(max_length=6)] = Field(default_factory=list)
    """With nitrogen, each side at its own design pressure; in order of time."""
    evacuation: CircuitDecay | None = Field(None, description="Readings with the pump shut off.")
    dilution: DilutionFields | None = Field(None, description="Pulls and breaks of a repeated evacuation.")
    measured: MeasuredBefore = Field(MeasuredBefore(), description="Single readings that checks take.")
    maker_limits: MakersBefore = Field(MakersBefore(), description="The maker's limits for those readings.")
    watch_limits: WatchBands = Field(WatchBands(), description="The maker's limits for what is watched.")
    after_run: AfterRunFields | None = Field(None, description="The log of the run so far.")
