"""The case document: one open schema for everything known of one job, kept by the caller, sent whole or in part."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, StringConstraints, model_validator
from typing_extensions import TypeAliasType

from witnessmark.api import quantities as q
from witnessmark.api.context import Site
from witnessmark.api.plain_text import shape
from witnessmark.api.quantities import Wire
from witnessmark.api.schemas import cleanup as plan
from witnessmark.api.schemas.case_tests import BeforeStart, FilterLogKept, OilSampleKept, RefrigerantSampleKept
from witnessmark.api.schemas.case_tests import TestsOfFailure as FailedTests
from witnessmark.api.schemas.cleanup import OFFSET, JobName, Moment, ZoneName, moment_of
from witnessmark.api.schemas.debris_balance import BrokenPart, PlaceOnPath, RecoveredFragment
from witnessmark.api.schemas.designation import KeptDesignation
from witnessmark.api.schemas.diagnosis import MOST_REPORTS, Circumstances, MachineFacts, ReportedFinding
from witnessmark.api.schemas.field_readings import FieldReadings
from witnessmark.api.schemas.listed import LONGEST
from witnessmark.api.schemas.trend_log import LogEpisodeKept
from witnessmark.calculations.circuit.superheat import MeteringDevice
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.casework.repair import WorkKind
from witnessmark.cleanup.drop_limits import Installation
from witnessmark.diagnosis.case import Channel, CompressorFate, Condition, Urgency
from witnessmark.restart.context import DrierWaiver, HeaterWaiver, Mode
from witnessmark.vocabulary import BurnoutGrade, Cooling, Oil, Plant

MOST_SETS, MOST_NOTES, MOST_STEPS, MOST_EPISODES = 40, 40, 100, 200
LONGEST_COMPLAINT, LONGEST_NOTE = 10_000, 4_000
ReadingsOf = TypeAliasType("ReadingsOf", Literal["found", "sound", "after-repair"])
"""When a set was read: at the failed machine, at the same machine when it was sound, or after the repair."""
Line = Annotated[str, StringConstraints(max_length=LONGEST_NOTE)]
Complaint = Annotated[str, StringConstraints(max_length=LONGEST_COMPLAINT)]
Instant = Annotated[
    str,
    StringConstraints(
        pattern=shape(
            r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?" + OFFSET + "$",
            "date and time with the offset of the clock from UTC, such as 2026-03-07T14:00-06:00 or 2026-03-07T20:00Z",
        )
    ),
    AfterValidator(lambda text: moment_of(text) and text),
    Field(examples=["2026-03-07T14:00-06:00"]),
]


class CaseSite(Site):
    """Where the machine stands."""

    name: JobName | None = Field(None, description="Name of the place.")
    time_zone: ZoneName | None = Field(None, description="IANA time zone of the site.")

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        """Either, none or both: of two the altitude counts, and the case says so."""
        return self

    @property
    def knows_weather(self) -> bool:
        """Whether the air pressure that counts was read on the spot."""
        return self.altitude is None and super().knows_weather

    def air_pressure(self) -> float:
        """Local air pressure, Pa; that of sea level where the place tells neither altitude nor barometer."""
        return SEA_LEVEL_PRESSURE if self.altitude is None and self.barometer is None else super().air_pressure()


class CaseMachine(MachineFacts):
    """The machine and its circuit, as far as they are known."""

    name: JobName | None = Field(None, description="The caller's name of the machine, such as its place.")
    plant: Plant | None = Field(None, description="How the circuit can run.")
    can_lock: bool | None = Field(None, description="Whether a reversible plant can be held in cooling.")
    compressors: Annotated[int, Field(ge=1, le=20)] | None = Field(None, description="Compressors on this circuit.")
    metering: MeteringDevice | None = Field(None, description="What feeds the evaporator.")
    cooling: Cooling | None = Field(None, description="What cools the gas during compression.")
    oil: Oil | None = Field(None, description="Base of the oil.")
    oil_port: bool | None = Field(None, description="Whether oil can be drawn from the compressor.")
    charge: q.Mass | None = Field(None, description="Refrigerant of the circuit.")
    capacity: q.Capacity | None = Field(None, description="Cooling capacity.")
    mass_flow: q.MassFlow | None = Field(None, description="Of the refrigerant at full load.")
    evaporating_temperature: q.Temperature | None = Field(None, description="Dew, as a sound machine runs.")
    condensing_temperature: q.Temperature | None = Field(None, description="Bubble, as a sound machine runs.")
    suction_superheat: q.TemperatureDifference | None = Field(None, description="As a sound machine runs.")
    liquid_temperature: q.Temperature | None = Field(None, description="Before the valve, as a sound machine runs.")
    oil_charge: plan.OilCharge | None = Field(None, description="Amounts of oil.")
    parts: list[plan.PartId] | None = Field(None, max_length=17, description="What the circuit has.")
    one_way_cores_fitted: bool | None = Field(None, description="One-way filter cores are in.")
    core_mode: Mode | None = Field(None, description="The mode in which these cores are flowed through rightly.")
    locked_mode: Mode | None = Field(None, description="The mode in which the machine is locked.")
    suction_core_fitted: bool | None = Field(None, description="A suction filter-drier core is in.")
    crankcase_heater_fitted: bool | None = Field(None, description="A sump heater is fitted.")
    no_heater_because: HeaterWaiver | None = Field(None, description="Why none is needed, where none is fitted.")
    no_drier_because: DrierWaiver | None = Field(None, description="Why no liquid-line drier is in, where none is.")
    oil_safety_fitted: bool | None = Field(None, description="An oil pressure or oil flow safety is fitted.")
    debris_possible: bool | None = None
    """Fragments may have left the old compressor; a breakage in the document says so too."""
    burnout_grade: BurnoutGrade | None = None
    """A grade settled by somebody who looked; where the plan grades higher, its grade counts."""


class CaseNote(Wire):
    """Something written down on the job."""

    at: Moment | None = Field(None, description="When.")
    by: JobName | None = Field(None, description="Who wrote it, such as a role.")
    text: Line
    """The note; read for findings where it is `of` the failed machine. One `of` the time after the repair is read for
    danger to people alone, and so are the steps of work."""
    of: ReadingsOf = Field("found", description="What it tells of.")


class ReadingSet(Wire):
    """What was read at one time."""

    at: Moment | None = Field(None, description="When.")
    of: ReadingsOf = Field("found", description="Of the failed machine, of the sound one, or after the repair.")
    instruments: JobName | None = Field(None, description="With what they were read.")
    values: FieldReadings = Field(description="The readings.")


class WorkStep(Wire):
    """Something done on the job."""

    at: Moment | None = Field(None, description="When.")
    by: JobName | None = Field(None, description="Who did it.")
    text: Line = Field(description="What was done.")
    kind: WorkKind | None = Field(None, examples=["compressor-replaced"])
    """What it came to. `made-safe`: danger to people is over; `bridge-removed`: no protection is bridged. Left out, the
    text is read for plain words that the compressor is out, another one in, or a bridge taken away: what was found
    before orders nothing any more then."""


class Breakage(Wire):
    """What broke and what was found of it."""

    parts: list[BrokenPart] = Field([], max_length=50, description="Parts that broke.")
    fragments: list[RecoveredFragment] = Field([], max_length=100, description="Fragments that were recovered.")
    discharge_temperature: plan.MaybeTemperature = Field(None, description="Of the hot gas as it ran.")
    places: list[PlaceOnPath] | None = Field(None, min_length=1, max_length=30)
    """Places on the way, in order of flow; else those usual for the plant."""


class CaseDocument(Wire):
    """Everything known of one job. Nothing is required: a single line of complaint is a case.

    The caller keeps it; the service stores nothing. Every other request can be cut from it, so that nothing is typed
    twice; quantities stay in the units in which they were sent.
    """

    format: Literal[1] = Field(1, description="Version of this schema.")
    reference: JobName | None = Field(None, description="The caller's own id of the job; it comes back unchanged.")
    as_of: Instant | None = None
    """The moment for which the answer is wanted, with its offset. The service reads no clock: without it what depends
    on the time of day says so."""
    site: CaseSite | None = Field(None, description="Where the machine stands.")
    machine: CaseMachine = Field(CaseMachine(), description="The machine and its circuit.")
    refrigerant: KeptDesignation | None = Field(None, description="Refrigerant in the circuit.")
    circumstances: Circumstances = Field(Circumstances(), description="What is known before any finding.")
    urgency: Urgency | None = Field(None, description="What the caller says depends on the machine.")
    complaint: Complaint | None = Field(None, description="What the caller said.")
    complaint_at: Moment | None = Field(None, description="When the call came.")
    notes: list[CaseNote] = Field([], max_length=MOST_NOTES, description="Notes of the job.")
    readings: list[ReadingSet] = Field([], max_length=MOST_SETS, description="Sets of readings, in order of time.")
    same_instruments: bool | None = Field(None, description="One set of instruments read the found and the sound.")
    findings: list[ReportedFinding] = Field([], max_length=MOST_REPORTS, description="What was seen and confirmed.")
    log_episodes: list[LogEpisodeKept] = Field([], max_length=MOST_EPISODES)
    """What the log of the machine showed before it failed (`POST /v1/trend-log` gives them, and their `findings`)."""
    reported_by: list[Channel] = Field([], max_length=3, description="How the findings were reported.")
    conditions: list[Condition] | None = Field(None, max_length=4, description="What holds at the machine now.")
    compressor_fate: CompressorFate | None = Field(None, description="What is settled about the compressor.")
    first: Annotated[str, StringConstraints(max_length=LONGEST)] | None = None
    """Id of the finding that was there first, as told."""
    signs: plan.Signs | None = Field(None, description="What the opened compressor, its oil and the lines show.")
    breakage: Breakage | None = Field(None, description="What broke and what was found of it.")
    oil_samples: list[OilSampleKept] = Field([], max_length=6, description="Oil samples, in order of time.")
    refrigerant_samples: list[RefrigerantSampleKept] = Field([], max_length=6, description="In order of time.")
    tests_of_failure: FailedTests = Field(FailedTests(), description="Tests of the failed machine.")
    filters: list[plan.RatedFilter] = Field([], max_length=10, description="Filter-driers at hand.")
    installation: Installation | None = Field(None, description="Of the suction core.")
    filter_log: FilterLogKept | None = Field(None, description="The log of the suction core.")
    maker_limits: plan.MakerPlanLimits | None = Field(None, description="Limits of the maker for cores and oil.")
    start: Moment | None = Field(None, description="When the new compressor is to start.")
    before_start: BeforeStart = Field(BeforeStart(), description="Work and tests before power is given.")
    work_done: list[WorkStep] = Field([], max_length=MOST_STEPS, description="What was done, in order of time.")
