"""The gate before a restart on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypeAliasType

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Length, Mass, Pressure, Real, Shown, TemperatureDifference, Time, Voltage, Wire
from witnessmark.api.schemas.designation import NamedDesignation
from witnessmark.api.schemas.evacuation import DecayFields
from witnessmark.api.schemas.insulation import InsulationFields
from witnessmark.api.schemas.limit import LimitShown, MakerDocument
from witnessmark.api.schemas.listed import Listed
from witnessmark.api.schemas.oil_quality import OilSampleFields
from witnessmark.api.schemas.pressure_test import PressureTestFields
from witnessmark.api.schemas.supply_unbalance import SupplyFields
from witnessmark.api.schemas.watching import AfterRunFields, AfterRunResult, WatchBands, WatchItemResult
from witnessmark.api.schemas.windings import WindingsFields
from witnessmark.calculations.circuit.fractionation import CylinderPhase
from witnessmark.calculations.circuit.superheat import MeteringDevice
from witnessmark.restart.context import DrierWaiver, HeaterWaiver, Mode
from witnessmark.restart.evidence import EvidenceOutcome, OilLevel, OilSampleOf
from witnessmark.restart.gate import CheckState, Measure, StartVerdict, StatedOutcome, checks
from witnessmark.vocabulary import (
    AcidTest,
    Application,
    BurnoutGrade,
    Compressor,
    Construction,
    Cooling,
    Drive,
    Oil,
    Phases,
    Plant,
    ShellSide,
)

TestedPart = TypeAliasType("TestedPart", Literal["high", "low", "whole"])
"""What of the circuit was under pressure."""
CheckName = Annotated[str, *Listed.field("check", checks)]


class Machine(Wire):
    """The machine to be started: it decides which checks are required and what is watched."""

    compressor: Compressor = Field(description="How the compressor compresses.")
    construction: Construction | None = None
    """How motor and compressor are enclosed; left out if not known."""
    drive: Drive = Field(description="How the motor is fed.")
    phases: Phases = Field(description="Phases of the motor's supply.")
    shell: ShellSide | None = None
    """Which gas the shell holds: suction (low-side) or discharge (high-side); left out if not known."""
    application: Application = Field(description="At which evaporating temperatures the machine works.")
    refrigerant: NamedDesignation
    metering: MeteringDevice | None = None
    """What feeds the evaporator: flooded ones run with next to no superheat."""
    cooling: Cooling | None = Field(None, description="What cools the gas during compression; left out, as usual.")
    burnout_grade: BurnoutGrade | None = None
    """0 mechanical failure with clean oil, to 3 repeated burnout with sludge. Not graded: taken as 1."""
    plant: Plant = Field("cooling-only", description="How the circuit can run.")
    one_way_cores_fitted: bool | None = None
    """One-way filter cores are in. A plant that reverses must say: it stays locked with them."""
    core_mode: Mode | None = Field(None, description="The mode in which the one-way cores are flowed through rightly.")
    locked_mode: Mode | None = Field(None, description="The mode in which the machine is locked.")
    suction_core_fitted: bool | None = Field(None, description="A suction filter-drier core is in.")
    liquid_drier_fitted: bool | None = Field(None, description="A liquid-line filter-drier is in.")
    crankcase_heater_fitted: bool | None = Field(None, description="A sump heater is fitted.")
    no_heater_because: HeaterWaiver | None = None
    """Why none is needed, where none is fitted: without it the sump is to be proved warm."""
    no_drier_because: DrierWaiver | None = None
    """Why none is in, where none is: counts after a mechanical failure with clean oil, of a small weighed charge."""
    oil_safety_fitted: bool | None = Field(None, description="An oil pressure or oil flow safety is fitted.")
    oil: Oil | None = Field(None, description="Base of the oil that the nameplate asks for.")
    debris_possible: bool = Field(default=False, description="Fragments may have left the old compressor.")


class StatedCheck(Wire):
    """What the technician states about one check."""

    check: CheckName = Field(description="The check.")
    outcome: StatedOutcome = Field(description="How it came out.")


class LineVoltage(Wire):
    """The supply of a single-phase machine."""

    voltage: Voltage = Field(description="Line to line or to neutral, as the machine is fed.")
    rated_voltage: Voltage = Field(description="Nameplate voltage of the motor.")
    rated_voltage_to: Voltage | None = None
    """Where the nameplate names a range, as 208-230 V: its upper end; rated_voltage is the lower one then."""


class SideTest(PressureTestFields):
    """A standing test of one side, or of the whole circuit at once."""

    side: TestedPart = Field(description="What was under pressure; the whole counts for both sides.")
    design_pressure: Pressure | None = None
    """From the nameplate, for the part tested. Left out, the refrigerant's saturation pressure at the design
    temperature of each side counts; a lower figure counts with `maker_document` only."""
    superseded: bool = False
    """What it found was mended, and the side was tested again: that test counts, and of this one only what overstressed
    the side."""


class CircuitDecay(DecayFields):
    """A decay test, and whether its gauge saw the circuit."""

    pump_valved_off: bool | None = None
    """The pump was valved off. Not said, the test counts as not done."""
    gauge_at_pump: bool | None = None
    """The gauge sat at the pump instead of in the circuit. Not said, the test counts as not done."""


class OilSampleTaken(OilSampleFields):
    """An oil sample, and of which oil it is."""

    sample: OilSampleOf
    """new-charge counts for the check of the oil charge, circuit (after the cleaning, before charging) for that of acid
    left in the circuit; old-compressor only against a failure graded 0."""
    acid_test: AcidTest | None = Field(None, description="Of a field kit for this oil, where no number was measured.")


class RestartTests(Wire):
    """Readings of the tests: each is judged as by its own endpoint and counts as evidence."""

    supply_unbalance: SupplyFields | None = Field(None, description="Three-phase supply.")
    line_voltage: LineVoltage | None = Field(None, description="Single-phase supply.")
    insulation: InsulationFields | None = Field(None, description="Counts for the check of the insulation.")
    windings: WindingsFields | None = Field(None, description="Counts for the check of the windings.")
    pressure_tests: Annotated[list[SideTest], Field(max_length=6)] = Field(default_factory=list)
    """Each side at its own design pressure."""
    evacuation: CircuitDecay | None = Field(None, description="Counts for the check of the vacuum.")
    oil_samples: Annotated[list[OilSampleTaken], Field(max_length=6)] = Field(default_factory=list)
    """Before the first run: of the oil filled in, of what is left in the circuit."""


class WeighedCharge(Wire):
    """Charge weighed in, and what nameplate and line length ask for."""

    weighed: Mass = Field(description="Weighed in.")
    wanted: Mass = Field(description="Asked for.")
    refrigerant: NamedDesignation | None = None
    """As the cylinder's label says; left out, as the machine's."""
    taken_as: CylinderPhase | None = None
    """How it left the cylinder: zeotropic blends change their composition as vapour."""


class SwitchTest(Wire):
    """A pressure switch: where it is set, and where it opened when tried."""

    setting: Pressure = Field(description="Its setting.")
    opened_at: Pressure | None = Field(None, description="Where it opened; left out if it did not or was not tried.")


class MeasuredBefore(Wire):
    """Single readings that checks take."""

    heater_on: Time | None = Field(None, description="How long the crankcase heater has been on.")
    sump_superheat_at_rest: TemperatureDifference | None = None
    """Oil above saturation at standstill: above the surroundings, where no pressure was read."""
    charge: WeighedCharge | None = Field(None, description="Charge weighed in and asked for.")
    off_time: Time | None = Field(None, description="Off time that the timer against short cycling enforces.")
    coupling_offset: Length | None = Field(None, description="Offset of an open compressor's coupling.")
    oil_level: OilLevel | None = Field(None, description="Oil in the sight glass at rest.")
    liquid_in_shell: bool | None = Field(None, description="Liquid refrigerant is known to lie in the shell.")
    high_pressure_switch: SwitchTest | None = Field(None, description="Counts for the check of the protections.")
    low_pressure_switch: SwitchTest | None = Field(None, description="Counts for the check of the protections.")


class MakersBefore(Wire):
    """The maker's limits for those readings."""

    heater_on: Time | None = Field(None, description="How long the heater has to be on.")
    sump_superheat_at_rest: TemperatureDifference | None = Field(None, description="Least superheat of the oil.")
    charge_deviation: Annotated[Real, Field(gt=0, le=0.25)] | None = None
    """Greatest deviation of the charge, either side: 0.05 is 5 %."""
    off_time: Time | None = Field(None, description="Least off time.")
    coupling_offset: Length | None = Field(None, description="Greatest offset of the coupling.")
    document: MakerDocument = ""
    """Where the maker states them: title, number, page. Without it none counts that all published ones exclude."""


class RestartRequest(Request):
    """Request of POST /v1/restart."""

    machine: Machine = Field(description="The machine to be started.")
    stated: Annotated[list[StatedCheck], Field(max_length=60)] = Field(default_factory=list)
    """Checks not named count as not done. Insulation, windings, supply, pressure tests, vacuum, charge, a warm sump and
    a coupling are not passed by a claim: their readings belong into `tests` and `measured`."""
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
    condition: str = Field(description="What to keep to although the check is passed; mostly empty.")


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


class LengthLimit(Shown):
    """A measured length against its limit."""

    measure: Measure = Field(description="What was measured.")
    value: Length = Field(description="The reading.")
    limit: LimitShown[Length] = Field(description="Its limit.")


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
    measured: list[DurationLimit | DifferenceLimit | LengthLimit | NumberLimit]
    """Measured values that it takes, with their limits."""
    by_maker: list[str] = Field(description="What it owes to a limit that the maker is said to set; mostly empty.")
    source: str = Field(description="Id of the source.")


class RestartResult(Wire):
    """One verdict, never more than a watched start by a licensed technician."""

    verdict: StartVerdict = Field(description="Whether a licensed technician may start under watch.")
    blocking: list[str]
    """The checks that stand in the way; `after-run` where the log of the run does."""
    contradictions: list[str] = Field(description="What of the request speaks against what else of it.")
    conditions: list[str] = Field(description="What to keep to if it is started.")
    checks: list[GateCheckResult] = Field(description="Every check, in the order of the work.")
    watching: list[WatchItemResult] = Field(description="What to watch in the first hour.")
    reading_times: list[Time] = Field(description="When to take the readings, after the start.")
    after_run: AfterRunResult | None = Field(description="Null where no log was given.")
    translation: str = Field("", description="Who has read the translation; empty in English. Show it with the words.")


class RestartAnswer(Answer):
    """Answer of POST /v1/restart."""

    result: RestartResult = Field(description="One verdict, with every check behind it.")
