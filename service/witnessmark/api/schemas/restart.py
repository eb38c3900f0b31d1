"""The gate before a restart on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Mass, Real, Shown, TemperatureDifference, Time, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.evacuation import DecayFields
from witnessmark.api.schemas.insulation import InsulationFields
from witnessmark.api.schemas.limit import LimitShown
from witnessmark.api.schemas.listed import Listed
from witnessmark.api.schemas.oil_quality import OilSampleFields
from witnessmark.api.schemas.pressure_test import PressureTestFields
from witnessmark.api.schemas.supply_unbalance import SupplyFields
from witnessmark.api.schemas.watching import AfterRunFields, AfterRunResult, WatchBands, WatchItemResult
from witnessmark.api.schemas.windings import WindingsFields
from witnessmark.restart.evidence import EvidenceOutcome
from witnessmark.restart.gate import CheckState, Measure, StartVerdict, StatedOutcome, checks
from witnessmark.vocabulary import Application, BurnoutGrade, Compressor, Construction, Drive, Phases, Plant, ShellSide

CheckName = Annotated[str, *Listed.field("check", checks)]


class Machine(Wire):
    """The machine to be started: it decides which checks are required and what is watched."""

    compressor: Compressor = Field(description="How the compressor compresses.")
    construction: Construction | None = Field(
        None, description="How motor and compressor are enclosed; left out if not known."
    )
    drive: Drive = Field(description="How the motor is fed.")
    phases: Phases = Field(description="Phases of the motor's supply.")
    shell: ShellSide | None = Field(
        None,
        description="Which gas the shell holds: suction (low-side) or discharge (high-side); left out if not known.",
    )
    application: Application = Field(description="At which evaporating temperatures the machine works.")
    refrigerant: Designation
    burnout_grade: BurnoutGrade | None = Field(
        None,
        description="0 mechanical failure with clean oil, to 3 repeated burnout with sludge. Not graded: taken as 1.",
    )
    plant: Plant = Field("cooling-only", description="How the circuit can run.")
    one_way_cores_fitted: bool | None = Field(
        None,
        description="One-way filter cores are in. A plant that reverses must say: it stays locked with them.",
    )
    suction_core_fitted: bool = Field(default=False, description="A suction filter-drier core is in.")
    debris_possible: bool = Field(default=False, description="Fragments may have left the old compressor.")


class StatedCheck(Wire):
    """What the technician states about one check."""

    check: CheckName = Field(description="The check.")
    outcome: StatedOutcome = Field(description="How it came out.")


class RestartTests(Wire):
    """Readings of the tests: each is judged as by its own endpoint and counts as evidence."""

    supply_unbalance: SupplyFields | None = Field(None, description="Counts for the check of the supply.")
    insulation: InsulationFields | None = Field(None, description="Counts for the check of the insulation.")
    windings: WindingsFields | None = Field(None, description="Counts for the check of the windings.")
    pressure_test: PressureTestFields | None = Field(None, description="Counts for the check of the pressure test.")
    evacuation: DecayFields | None = Field(None, description="Counts for the check of the vacuum.")
    oil_quality: OilSampleFields | None = Field(
        None, description="Counts for the check of acid where it holds an acid number."
    )


class WeighedCharge(Wire):
    """Charge weighed in, and what nameplate and line length ask for."""

    weighed: Mass = Field(description="Weighed in.")
    wanted: Mass = Field(description="Asked for.")


class MeasuredBefore(Wire):
    """Single readings that checks take."""

    heater_on: Time | None = Field(None, description="How long the crankcase heater has been on.")
    sump_superheat_at_rest: TemperatureDifference | None = Field(
        None, description="Oil above the saturation temperature at standstill."
    )
    charge: WeighedCharge | None = Field(None, description="Charge weighed in and asked for.")
    off_time: Time | None = Field(None, description="Off time that the timer against short cycling enforces.")


class MakersBefore(Wire):
    """The maker's limits for those readings."""

    heater_on: Time | None = Field(None, description="How long the heater has to be on.")
    sump_superheat_at_rest: TemperatureDifference | None = Field(None, description="Least superheat of the oil.")
    charge_deviation: Annotated[Real, Field(gt=0, le=0.25)] | None = Field(
        None, description="Greatest deviation of the charge, either side: 0.05 is 5 %."
    )
    off_time: Time | None = Field(None, description="Least off time.")


class RestartRequest(Request):
    """Request of POST /v1/restart."""

    machine: Machine = Field(description="The machine to be started.")
    stated: Annotated[list[StatedCheck], Field(max_length=60)] = Field(
        default_factory=list,
        description="Checks not named count as not done. Insulation, pressure test, vacuum and a three-phase supply "
        "are not passed by a claim: their readings belong into `tests`.",
    )
    tests: RestartTests = Field(RestartTests(), description="Readings of the tests.")
    measured: MeasuredBefore = Field(MeasuredBefore(), description="Single readings that checks take.")
    maker_limits: MakersBefore = Field(MakersBefore(), description="The maker's limits for those readings.")
    watch_limits: WatchBands = Field(WatchBands(), description="The maker's limits for what is watched.")
    after_run: AfterRunFields | None = Field(None, description="The log of the run so far.")


class EvidenceResult(Shown):
    """One piece of evidence."""

    origin: str = Field(description="Where it comes from.")
    outcome: EvidenceOutcome = Field(description="What it is worth to the check.")
    detail: str = Field(description="What it said.")


class DurationLimit(Shown):
    """A measured time against its limit."""

    measure: Measure = Field(description="What was measured.")
    value: Time = Field(description="The reading.")
    limit: LimitShown[Time] = Field(description="Its limit.")


class DifferenceLimit(Shown):
    """A measured temperature difference against its limit."""

    measure: Measure = Field(description="What was measured.")
    value: TemperatureDifference = Field(description="The reading.")
    limit: LimitShown[TemperatureDifference] = Field(description="Its limit.")


class NumberLimit(Shown):
    """A measured fraction against its limit."""

    measure: Measure = Field(description="What was measured.")
    value: Real = Field(description="The reading.")
    limit: LimitShown[Real] = Field(description="Its limit.")


class GateCheckResult(Wire):
    """One check of the gate."""

    check: str = Field(description="Id of the check.")
    title: str = Field(description="What has to be true.")
    state: CheckState = Field(description="Where it stands, all evidence together.")
    required_by: list[str] = Field(description="What about this machine requires it; empty if nothing does.")
    evidence: list[EvidenceResult] = Field(description="What speaks for or against it.")
    measured: list[DurationLimit | DifferenceLimit | NumberLimit] = Field(
        description="Measured values that it takes, with their limits."
    )
    source: str = Field(description="Id of the source.")


class RestartResult(Wire):
    """One verdict, never more than a watched start by a licensed technician."""

    verdict: StartVerdict = Field(description="Whether a licensed technician may start under watch.")
    blocking: list[str] = Field(
        description="The checks that stand in the way; `after-run` where the log of the run does."
    )
    checks: list[GateCheckResult] = Field(description="Every check, in the order of the work.")
    watching: list[WatchItemResult] = Field(description="What to watch in the first hour.")
    reading_times: list[Time] = Field(description="When to take the readings, after the start.")
    after_run: AfterRunResult | None = Field(description="Null where no log was given.")


class RestartAnswer(Answer):
    """Answer of POST /v1/restart."""

    result: RestartResult = Field(description="One verdict, with every check behind it.")
