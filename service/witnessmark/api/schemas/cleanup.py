"""The cleanup plan on the wire: what was found, what the circuit is, and what to do when."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import (
    AcidNumber,
    Capacity,
    Density,
    Mass,
    MassFlow,
    MassFraction,
    PressureDifference,
    Real,
    Shown,
    Temperature,
    TemperatureDifference,
    Time,
    VolumeFlow,
    Wire,
)
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.oil_quality import Colour, OilItemResult
from witnessmark.vocabulary import Oil

PartId = Literal[
    "discharge-line", "check-valve", "oil-separator", "reversing-valve", "accumulator", "receiver", "expansion-valve",
    "capillary", "solenoid", "strainers", "liquid-drier", "suction-drier", "indoor-coils", "sight-glass", "oil-balance",
]  # fmt: skip
Moment = Annotated[
    str,
    StringConstraints(pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?(Z|[+-]\d{2}:\d{2})?$"),
    Field(
        description="ISO 8601 date and time. Without an offset it is read on the clock of `time_zone`.",
        examples=["2026-03-07T14:00"],
    ),
]
ZoneName = Annotated[
    str,
    StringConstraints(min_length=1, max_length=60),
    Field(description="IANA time zone of the site.", examples=["Europe/Madrid"]),
]
Share = Annotated[Real, Field(ge=0, le=1)]


class OilFindings(Wire):
    """The oil of the failed compressor and of the circuit; leave out what was not looked at."""

    type: Oil
    colour: Colour | None = None
    acid_number: AcidNumber | None = None
    acid_test: Literal["negative", "positive"] | None = Field(None, description="A field kit for this oil type.")
    smell: Literal["none", "slight", "burnt"] | None = None
    water: MassFraction | None = None
    charge: Mass | None = Field(None, description="All oil of the circuit.")
    drained: Mass | None = Field(None, description="What came out with the failed compressor.")
    drained_per_change: Mass | None = Field(None, description="What one oil change of the new compressor drains.")


class Teardown(Wire):
    """What the opened compressor and the cut lines show; leave out what was not looked at."""

    burn: Literal["none", "spot", "winding"] | None = Field(
        None, description="Spot: a small part of the winding; winding: a large part."
    )
    burnt_while_turning: bool | None = None
    debris: list[Literal["metal fines", "metal fragments", "carbonised oil", "copper plating", "desiccant dust"]] = (
        Field([], max_length=5)
    )
    dirt: list[
        Literal["carbon in suction line", "carbon in drier", "sludge in discharge line", "sludge in suction line"]
    ] = Field([], max_length=4)
    repeated_failure: bool | None = Field(None, description="Whether this circuit has lost a compressor before.")


class AcidCapacity(Wire):
    """Acid that one core holds, in the acid that its maker names."""

    mass: Mass
    acid: Literal["oleic", "HCl", "KOH"]


class RatedFilter(Wire):
    """A filter-drier as rated by its maker: a flow, or a capacity at rating temperatures, at a pressure drop."""

    line: Literal["suction", "liquid"]
    mass_flow: MassFlow | None = None
    capacity: Capacity | None = Field(None, description="Rated cooling capacity (AHRI 730 or 710/711 terms).")
    drop: PressureDifference = Field(description="Pressure drop at the rated flow.")
    refrigerant: Designation | None = Field(None, description="Of the rating; without it that of the circuit.")
    evaporating_temperature: Temperature | None = Field(
        None, description="Of the rating; without it that of the circuit (suction) or 5 °F (liquid line, AHRI 710)."
    )
    liquid_temperature: Temperature | None = Field(
        None, description="Of the rating; without it 86 °F (liquid line, AHRI 710) or that of the circuit (suction)."
    )
    water_capacity: Mass | None = Field(None, description="Water that one core holds at the rating's dryness.")
    acid_capacity: AcidCapacity | None = None

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        if (self.mass_flow is None) == (self.capacity is None):
            raise ValueError("give either mass_flow or capacity")
        return self


class MakerLimits(Wire):
    """Limits of the maker; they override every limit of this service, and the answer says so."""

    suction_drop: PressureDifference | None = None
    acid_number: AcidNumber | None = None
    water: MassFraction | None = None
    colour: Colour | None = None


class MakerPlanLimits(MakerLimits):
    """Limits of the maker for a plan: the same, and one for the liquid drier."""

    liquid_drop: PressureDifference | None = None


class CleanupPlanRequest(Request):
    """One job: circuit, findings, filters at hand, and when the new compressor is to start."""

    refrigerant: Designation
    evaporating_temperature: Temperature = Field(description="Dew temperature at suction pressure, as it will run.")
    suction_superheat: TemperatureDifference | None = None
    liquid_temperature: Temperature | None = Field(None, description="Before the expansion valve.")
    charge: Mass | None = None
    mass_flow: MassFlow | None = None
    capacity: Capacity | None = Field(
        None, description="Cooling capacity; with the liquid temperature it gives the flow."
    )
    refrigerant_water: MassFraction | None = Field(None, description="Water measured in the refrigerant.")
    plant: Literal["cooling only", "heat pump", "branch-controlled"] = "cooling only"
    can_lock: bool | None = Field(None, description="Whether a reversible plant can be held in cooling.")
    compressors: Annotated[int, Field(ge=1, le=20)] = 1
    parts: list[PartId] | None = Field(None, max_length=15, description="What the circuit has; else the usual parts.")
    oil: OilFindings
    teardown: Teardown = Teardown()
    filters: list[RatedFilter] = Field([], max_length=10)
    installation: Literal["temporary", "permanent"] = Field("temporary", description="Of the suction core.")
    maker_limits: MakerPlanLimits = MakerPlanLimits()
    start: Moment
    time_zone: ZoneName


class ScoreResult(Shown):
    """One item of the score."""

    id: str
    points: int
    lowest_grade: int = Field(description="The grade this sign allows at least, whatever the points.")
    text: str
    source: str


class SeverityResult(Shown):
    """Grade of contamination: 0 mechanical only, 1 mild, 2 severe, 3 severe with sludge or repeated."""

    grade: int = Field(ge=0, le=3)
    name: str
    text: str
    score: int
    items: list[ScoreResult]
    oil: list[OilItemResult]
    not_looked_at: list[str] = Field(description="Signs that nobody has looked at; they do not count as clean.")


class DropCandidateResult(Shown):
    """One limit that some source gives."""

    drop: PressureDifference
    penalty: TemperatureDifference | None = Field(description="Loss of saturation temperature that this drop costs.")
    decides: bool = Field(description="False for advice that is shown and does not decide.")
    note: str
    source: str


class DropLimitResult(Shown):
    """How much pressure the suction core may take."""

    drop: PressureDifference
    penalty: TemperatureDifference
    source: str
    maker_overrides: bool
    rise_over_new: DropCandidateResult = Field(description="How far the drop may rise over that of the new core.")
    candidates: list[DropCandidateResult] = Field(description="All that sources give, the smallest first.")


class TurnoverResult(Shown):
    """How long the charge, and the oil, take to go round once."""

    mass_flow: MassFlow
    mass_flow_from: str
    charge_time: Time
    oil_time: Time | None


class NeedResult(Shown):
    """What a line asks of a filter."""

    line: Literal["suction", "liquid"]
    mass_flow: MassFlow
    volume_flow: VolumeFlow
    density: Density
    start_drop: PressureDifference = Field(description="Largest drop a new core should start with.")


class FitResult(Shown):
    """How a rated filter fits its line."""

    filter: int = Field(description="Position in `filters`, from 0.")
    rated_mass_flow: MassFlow
    drop_low: PressureDifference = Field(description="Expected drop of one, the flow exponent at one end.")
    drop_high: PressureDifference = Field(description="The same, the exponent at the other end.")
    needed_rated_flow: MassFlow = Field(description="Rated flow that a single filter would need.")
    count: int | None = Field(description="How many in parallel do; null where it would take more than 20.")


class LoadResult(Shown):
    """A contaminant to be taken up, by mass balance."""

    contaminant: Literal["water", "acid"]
    mass: Mass = Field(description="Water, or acid as KOH equivalent.")
    cores: int | None = Field(description="Cores that hold it; null where no rated capacity was given.")


class OilChangeResult(Shown):
    """Oil changes by the dilution series."""

    drained_share: Share
    target: Annotated[Real, Field(ge=0)] = Field(description="Share of old oil that may stay.")
    changes: int | None = Field(description="Null where more than a plan's worth would be needed: drain elsewhere too.")
    residual: Share
    series: list[Share] = Field(description="Share of old oil before the first, after the first, second … change.")


class PartResult(Shown):
    """What to do with a part."""

    part: str
    name: str
    action: Literal["leave", "inspect", "clean", "replace"]
    why: str
    source: str


class StepResult(Shown):
    """One step of the job."""

    number: int
    id: str
    when: Literal["before", "start", "running", "clean"]
    text: str
    cautions: list[str] = Field(description="Ids; their texts stand in `cautions` of the answer.")
    source: str


class CheckResult(Shown):
    """One look at the circuit."""

    id: str
    elapsed: Time
    at: str = Field(description="UTC.", json_schema_extra={"format": "date-time"})
    local: str = Field(description="On the clock of the site.", json_schema_extra={"format": "date-time"})
    what: str
    wins: Literal["printed interval", "turnover of the charge", "turnover of the oil"]
    why: str
    source: str


class CleanupPlanResult(Shown):
    """The plan."""

    refrigerant: str
    severity: SeverityResult
    drop_limit: DropLimitResult
    turnover: TurnoverResult | None
    needs: list[NeedResult]
    fits: list[FitResult]
    loads: list[LoadResult]
    oil_changes: OilChangeResult | None
    parts: list[PartResult]
    steps: list[StepResult]
    checks: list[CheckResult]
    clean_when: list[str] = Field(description="All of these, then stop.")


class CleanupPlanAnswer(Answer):
    """Answer of POST /v1/cleanup/plan."""

    result: CleanupPlanResult
