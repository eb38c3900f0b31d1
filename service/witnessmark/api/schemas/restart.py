"""The gate before a restart on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import (
    AcidNumber,
    Mass,
    MassFraction,
    Real,
    TemperatureDifference,
    Time,
    Wire,
)
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.evacuation import DecayFields
from witnessmark.api.schemas.insulation import InsulationFields
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.api.schemas.listed import Listed
from witnessmark.api.schemas.oil_quality import Colour, MakerOilLimits, OilType
from witnessmark.api.schemas.pressure_test import PressureTestFields
from witnessmark.api.schemas.supply_unbalance import SupplyFields
from witnessmark.api.schemas.watching import AfterRunFields, AfterRunResult, WatchBands, WatchItemResult
from witnessmark.api.schemas.windings import WindingsFields
from witnessmark.restart.gate import checks

CheckName = Annotated[str, *Listed.field("check", checks)]


class HeatPump(Wire):
    """A reversing machine."""

    one_way_cores_fitted: bool = Field(description="One-way filter cores are in: it must stay locked in one mode.")


class Machine(Wire):
    """The machine to be started: it decides which checks are required and what is watched."""

    compressor: Literal["scroll", "rotary", "reciprocating", "screw", "centrifugal"]
    drive: Literal["across the line", "soft starter", "inverter"]
    phases: Literal[1, 3]
    shell_side: Literal["low-side", "high-side", "unknown"] = Field(
        description="Whether the shell holds suction gas (low-side) or discharge gas (high-side)."
    )
    application: Literal["air conditioning", "medium temperature", "low temperature"]
    refrigerant: Designation
    burnout_grade: Literal[0, 1, 2, 3] | None = Field(
        None,
        description="0 mechanical failure with clean oil, to 3 repeated burnout with sludge. Not graded: taken as 1.",
    )
    heat_pump: HeatPump | None = None
    suction_core_fitted: bool = False
    debris_possible: bool = Field(default=False, description="Fragments may have left the old compressor.")


class StatedCheck(Wire):
    """What the technician states about one check."""

    check: CheckName
    outcome: Literal["passed", "failed", "not done"]


class OilSample(Wire):
    """An oil sample; an acid number makes it count for the acid check."""

    oil: OilType
    acid_number: AcidNumber | None = None
    water: MassFraction | None = None
    colour: Colour | None = None
    maker_limits: MakerOilLimits = MakerOilLimits()


class RestartTests(Wire):
    """Readings of the tests: each is judged as by its own endpoint and counts as evidence."""

    supply_unbalance: SupplyFields | None = None
    insulation: InsulationFields | None = None
    windings: WindingsFields | None = None
    pressure_test: PressureTestFields | None = None
    evacuation: DecayFields | None = None
    oil_quality: OilSample | None = None


class WeighedCharge(Wire):
    """Charge weighed in, and what nameplate and line length ask for."""

    weighed: Mass
    wanted: Mass


class MeasuredBefore(Wire):
    """Single readings that checks take."""

    heater_on: Time | None = Field(None, description="How long the crankcase heater has been on.")
    sump_superheat_at_rest: TemperatureDifference | None = Field(
        None, description="Oil above the saturation temperature at standstill."
    )
    charge: WeighedCharge | None = None
    off_time: Time | None = Field(None, description="Off time that the timer against short cycling enforces.")


class MakersBefore(Wire):
    """The maker's limits for those readings."""

    heater_on: Time | None = None
    sump_superheat_at_rest: TemperatureDifference | None = None
    charge_deviation: Annotated[Real, Field(gt=0, le=0.25)] | None = None
    off_time: Time | None = None


class RestartRequest(Request):
    """Request of POST /v1/restart."""

    machine: Machine
    stated: Annotated[list[StatedCheck], Field(max_length=60)] = Field(
        default_factory=list,
        description="Checks not named count as not done. Insulation, pressure test, vacuum and a three-phase supply "
        "are not passed by a claim: their readings belong into `tests`.",
    )
    tests: RestartTests = RestartTests()
    measured: MeasuredBefore = MeasuredBefore()
    maker_limits: MakersBefore = MakersBefore()
    watch_limits: WatchBands = WatchBands()
    after_run: AfterRunFields | None = None


class EvidenceResult(Wire):
    """One piece of evidence."""

    origin: str
    outcome: Literal["passed", "failed", "conflicting", "undecided", "missing"]
    detail: str


class DurationLimit(Wire):
    """A measured time against its limit."""

    value: Time
    limit: LimitShown[Time]


class DifferenceLimit(Wire):
    """A measured temperature difference against its limit."""

    value: TemperatureDifference
    limit: LimitShown[TemperatureDifference]


class NumberLimit(Wire):
    """A measured fraction against its limit."""

    value: Real
    limit: LimitShown[Real]


class GateCheckResult(Wire):
    """One check of the gate."""

    check: str
    title: str
    state: Literal["passed", "failed", "missing", "conflicting", "not required"]
    required_by: list[str] = Field(description="What about this machine requires it; empty if nothing does.")
    evidence: list[EvidenceResult]
    measured: list[DurationLimit | DifferenceLimit | NumberLimit]
    source: str


class RestartResult(Wire):
    """One verdict, never more than a watched start by a licensed technician."""

    verdict: Literal["do not start", "a licensed technician may start, watching the listed readings"]
    blocking: list[str] = Field(
        description="The checks that stand in the way; `after_run` where the log of the run does."
    )
    checks: list[GateCheckResult]
    watching: list[WatchItemResult]
    reading_times: list[Time] = Field(description="When to take the readings, after the start.")
    after_run: AfterRunResult | None


class RestartAnswer(Answer):
    """Answer of POST /v1/restart."""

    result: RestartResult
