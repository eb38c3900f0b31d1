"""The cleanup plan on the wire: what was found, what the circuit is, and what to do when."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import AfterValidator, AliasChoices, Field, StringConstraints
from typing_extensions import TypeAliasType

from witnessmark.api import quantities as q
from witnessmark.api.context import Answer, Request
from witnessmark.api.mapping import From, Span
from witnessmark.api.plain_text import ONE_LINE, shape
from witnessmark.api.quantities import Real, Shown, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.limit import MakerDocument
from witnessmark.api.schemas.listed import Listed
from witnessmark.api.schemas.oil_quality import Colour, OilItemResult
from witnessmark.calculations.samples.oil_quality import RANGES
from witnessmark.cleanup.components import Action, part_ids
from witnessmark.cleanup.contaminants import Contaminant, LoadMeasure
from witnessmark.cleanup.drop_limits import LARGEST_LIMIT, Installation
from witnessmark.cleanup.filters import FilterLine
from witnessmark.cleanup.schedule import TimeBasis
from witnessmark.cleanup.severity import Burn, Debris, Deposit, Smell, Solids
from witnessmark.cleanup.sizing import OIL_CHARGES
from witnessmark.cleanup.sizing_rules import Acid
from witnessmark.cleanup.steps import StepTime
from witnessmark.cleanup.turnover import CAPACITIES, CHARGES, FLOWS, FlowBasis
from witnessmark.vocabulary import AcidTest, BurnoutGrade, Compressor, Construction, Oil, Plant

CORE_CAPACITIES, DROPS = Span(1e-6, 10.0), Span(1.0, LARGEST_LIMIT)
Temperature = Annotated[q.Temperature, Span(0.0, 5000.0)]
MaybeTemperature = Annotated[q.Temperature | None, Span(0.0, 5000.0)]
MaybeSuperheat = Annotated[q.TemperatureDifference | None, Span(0.0, 60.0)]
MaybeDrop = Annotated[q.PressureDifference | None, DROPS]
MaybeFlow = Annotated[q.MassFlow | None, Span(*FLOWS)]
MaybeCapacity = Annotated[q.Capacity | None, Span(*CAPACITIES)]
MaybeDrained = Annotated[q.Mass | None, Span(0.0, OIL_CHARGES[1])]
ACID, WATER = RANGES["acid_number"], RANGES["water"]
MaybeWater = Annotated[q.MassFraction | None, Span(*WATER)]
MINUTES, GRAMS = From(units=("min", "min")), From(units=("g", "g"))

PartId = TypeAliasType("PartId", Annotated[str, *Listed.field("part", part_ids)])
CALENDAR = (1900, 2200)
"""Years. Nearer to the ends of what can be counted, a change of zone would lead beyond them."""


def moment_of(text: str) -> datetime:
    """The moment that ISO 8601 means. ValueError where no calendar has it, or it is far from any job."""
    moment = datetime.fromisoformat(text)
    if not CALENDAR[0] <= moment.year <= CALENDAR[1]:
        raise ValueError(f"the year is out of range; accepted: {CALENDAR[0]} to {CALENDAR[1]}")
    return moment


OFFSET = r"(Z|\+(0[0-9]|1[0-3]):[0-5][0-9]|\+14:00|-(0[0-9]|1[01]):[0-5][0-9]|-12:00)"
"""Of a clock from UTC: none on Earth is further behind or ahead."""
Moment = Annotated[
    str,
    StringConstraints(
        pattern=shape(
            r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?" + OFFSET + "?$",
            "date and time, such as 2026-03-07T14:00 on the clock of the site or 2026-03-07T14:00-06:00",
        )
    ),
    AfterValidator(moment_of),
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
JobName = Annotated[str, StringConstraints(min_length=1, max_length=80, pattern=ONE_LINE)]
Share = Annotated[Real, Field(ge=0, le=1)]
SourceName = Annotated[str, Field(description="Id of the source; its citation stands in `sources` of the answer.")]
Why = Annotated[str, Field(description="The reason in words.")]


class Signs(Wire):
    """What the opened compressor, its oil and the cut lines show; leave out what was not looked at."""

    colour: Colour | None = Field(None, description="Of the oil, by ASTM D1500.")
    acid_number: Annotated[q.AcidNumber | None, Span(*ACID, sample="signs.acid_number")] = None
    """Of the oil."""
    acid_test: AcidTest | None = Field(None, description="A field kit for this oil type.")
    water: Annotated[q.MassFraction | None, Span(*WATER, sample="signs.water")] = Field(None, description="In the oil.")
    smell: Smell | None = Field(None, description="Of oil or refrigerant.")
    burn: Burn | None = Field(None, description="Spot: a small part of the winding; winding: a large part.")
    burnt_while_turning: bool | None = Field(None, description="Whether the motor burnt while the compressor turned.")
    debris: list[Debris] | None = Field(None, max_length=5)
    """What is loose in the compressor or on its parts; empty: looked, none found."""
    deposits: list[Deposit] | None = Field(None, max_length=4)
    """What lies in the lines; empty: looked, none found."""
    repeated_failure: bool | None = Field(None, description="Whether this circuit has lost a compressor before.")


class OilCharge(Wire):
    """Oil of the circuit, as far as it is known."""

    total: Annotated[q.Mass | None, Span(*OIL_CHARGES)] = Field(None, description="All oil of the circuit.")
    drained: MaybeDrained = Field(None, description="What came out with the failed compressor.")
    drained_per_change: MaybeDrained = Field(None, description="What one oil change of the new compressor drains.")


class AcidCapacity(Wire):
    """Acid that one core holds, in the acid that its maker names."""

    mass: Annotated[q.Mass, CORE_CAPACITIES] = Field(description="Mass of that acid.")
    acid: Acid = Field(description="The acid of the rating.")


class RatedFilter(Wire):
    """A filter-drier as rated by its maker: a flow, or a capacity at rating temperatures, at a pressure drop."""

    line: FilterLine = Field(description="The line it is for.")
    mass_flow: MaybeFlow = Field(None, description="Rated flow, or else `capacity`.")
    capacity: MaybeCapacity = Field(None, description="Rated cooling capacity (AHRI 730 or 710/711 terms).")
    drop: Annotated[q.PressureDifference, DROPS] = Field(description="Pressure drop at the rated flow.")
    refrigerant: Designation | None = Field(None, description="Of the rating; without it that of the circuit.")
    evaporating_temperature: MaybeTemperature = None
    """Of the rating; without it that of the circuit (suction) or 5 °F (liquid line, AHRI 710)."""
    liquid_temperature: MaybeTemperature = None
    """Of the rating; without it 86 °F (liquid line, AHRI 710) or that of the circuit (suction)."""
    water_capacity: Annotated[q.Mass | None, CORE_CAPACITIES] = None
    """Water that one core holds at the rating's dryness."""
    acid_capacity: AcidCapacity | None = Field(None, description="Acid that one core holds.")


class MakerLimits(Wire):
    """Limits of the maker; they override every limit of this service where they count, and the answer says so."""

    suction_drop: MaybeDrop = Field(None, description="Across the suction core.")
    acid_number: Annotated[q.AcidNumber | None, Span(*ACID)] = Field(None, description="Of the oil.")
    water: MaybeWater = Field(None, description="In the oil.")
    colour: Colour | None = Field(None, description="Of the oil, by ASTM D1500.")
    document: MakerDocument = ""
    """Where the maker states them: title, number, page. Without it none counts that all published ones exclude."""


class MakerPlanLimits(MakerLimits):
    """Limits of the maker for a plan: the same, and one for the liquid drier."""

    liquid_drop: MaybeDrop = Field(None, description="Across the liquid drier.")


class CleanupPlanRequest(Request):
    """One job: circuit, findings, filters at hand, and when the new compressor is to start."""

    refrigerant: Designation = Field(description="Of the circuit.")
    evaporating_temperature: Temperature = Field(description="Dew temperature at suction pressure, as it will run.")
    suction_superheat: MaybeSuperheat = Field(None, description="At the filter.")
    liquid_temperature: MaybeTemperature = Field(None, description="Before the expansion valve.")
    charge: Annotated[q.Mass | None, Span(*CHARGES)] = Field(None, description="Refrigerant of the circuit.")
    mass_flow: MaybeFlow = Field(None, description="Of the refrigerant at full load.")
    capacity: MaybeCapacity = None
    """Cooling capacity; with the liquid temperature it gives the flow."""
    refrigerant_water: MaybeWater = Field(None, description="Water measured in the refrigerant.")
    plant: Plant = Field("cooling-only", description="How the circuit can run.")
    can_lock: bool | None = Field(None, description="Whether a reversible plant can be held in cooling.")
    compressor: Compressor | None = None
    """Its kind; a centrifugal gets no suction core. Left out, a refrigerant of low pressure tells one."""
    compressors: Annotated[int, Field(ge=1, le=20)] = Field(1, description="Compressors on this circuit.")
    construction: Construction | None = Field(None, description="Of the new compressor.")
    oil_port: bool | None = None
    """Whether oil can be drawn from it; else a welded hermetic counts as without a port."""
    parts: list[PartId] | None = Field(None, max_length=17, description="What the circuit has; else the usual parts.")
    oil: Oil = Field(description="Type of the oil.")
    oil_charge: OilCharge = Field(OilCharge(), description="Amounts of oil, for oil changes and cores.")
    signs: Signs = Field(Signs(), description="What compressor, oil and lines show.")
    filters: list[RatedFilter] = Field([], max_length=10, description="Filter-driers at hand.")
    installation: Installation = Field("temporary", description="Of the suction core.")
    maker_limits: MakerPlanLimits = Field(MakerPlanLimits(), description="Limits of the maker.")
    start: Moment
    time_zone: ZoneName
    reference: JobName | None = Field(None, description="The caller's name of the job; it marks the calendar events.")
    site_name: JobName | None = Field(None, description="Name of the place, for the calendar.")


class ScoreResult(Shown):
    """One item of the score."""

    id: str = Field(description="Id of the item.")
    points: int = Field(description="What it adds to the score.")
    lowest_grade: BurnoutGrade = Field(validation_alias=AliasChoices("lowest_grade", "floor"))
    """The grade this sign allows at least, whatever the points."""
    text: str = Field(description="What was seen.")
    source: SourceName


class SeverityResult(Shown):
    """Two axes: the grade of acid and carbon (0 none, 1 mild, 2 severe, 3 with sludge or repeated), and the solids."""

    grade: BurnoutGrade = Field(description="The higher of the grade by points and the lowest grades of the items.")
    name: str = Field(description="The grade in a word or two; `unknown` where nobody looked and the grade stands in.")
    text: str = Field(description="What it means for the cleaning.")
    solids: Solids = Field(description="The worst of the loose solids that were found.")
    solids_text: str = Field(description="What they mean for the circuit, however clear the oil.")
    score: int = Field(description="Sum of all points.")
    items: list[ScoreResult] = Field(description="What the score is made of.")
    oil: list[OilItemResult] = Field(description="The measured oil against its limits.")
    not_looked_at: list[str] = Field(description="Signs that nobody has looked at; they do not count as clean.")


class DropCandidateResult(Shown):
    """One limit that some source gives."""

    drop: q.PressureDifference = Field(description="The limit.")
    penalty: q.TemperatureDifference | None = Field(description="Loss of saturation temperature that this drop costs.")
    decides: bool = Field(description="False for advice that is shown and does not decide.")
    note: str = Field(description="What it was written for.")
    neighbour: str | None = Field(description="The refrigerant it was printed for, where that is another.")
    source: SourceName


class DropLimitResult(Shown):
    """How much pressure the suction core may take."""

    drop: q.PressureDifference = Field(description="The limit that decides.")
    penalty: q.TemperatureDifference = Field(description="Loss of saturation temperature that it costs.")
    source: SourceName
    maker_overrides: bool = Field(description="Whether it is the maker's, whatever other sources say.")
    remark: str = Field(description="What is to be said of a limit that the maker is said to set; mostly empty.")
    rise_over_new: DropCandidateResult = Field(description="How far the drop may rise over that of the new core.")
    candidates: list[DropCandidateResult] = Field(description="All that sources give, the smallest first.")


class TurnoverResult(Shown):
    """How long the charge, and the oil, take to go round once."""

    mass_flow: Annotated[q.MassFlow, From("flow.mass_flow")] = Field(description="The flow they rest on.")
    mass_flow_from: Annotated[FlowBasis, From("flow.basis")] = Field(description="Where that flow comes from.")
    charge_time: Annotated[q.Time, MINUTES] = Field(description="Charge over flow.")
    oil_time: Annotated[q.Time | None, MINUTES] = Field(description="Null where the oil charge is not known.")


class NeedResult(Shown):
    """What a line asks of a filter."""

    line: FilterLine = Field(description="The line.")
    mass_flow: q.MassFlow = Field(description="Flow through it.")
    volume_flow: q.VolumeFlow = Field(description="The same by volume.")
    density: q.Density = Field(description="Of what flows there.")
    start_drop: q.PressureDifference = Field(description="Largest drop a new core should start with.")


class FitResult(Shown):
    """How a rated filter fits its line."""

    filter: int = Field(validation_alias=AliasChoices("filter", "position"))
    """Position in `filters`, from 0."""
    rated_mass_flow: Annotated[q.MassFlow, From("rating.mass_flow")] = Field(description="Its flow at the rated drop.")
    drop_low: q.PressureDifference = Field(description="Expected drop of one, the flow exponent at one end.")
    drop_high: q.PressureDifference = Field(description="The same, the exponent at the other end.")
    needed_rated_flow: q.MassFlow = Field(description="Rated flow that a single filter would need.")
    count: int | None = Field(description="How many in parallel do; null where it would take more than 20.")


class LoadResult(Shown):
    """A contaminant to be taken up, by mass balance."""

    contaminant: Contaminant = Field(description="What it is.")
    expressed_as: LoadMeasure = Field(description="What the mass is the mass of.")
    mass: Annotated[q.Mass, GRAMS] = Field(description="Of water, or of KOH that neutralises the acid.")
    cores: int | None = Field(description="Cores that hold it; null where no rated capacity was given.")


class CoreSetsResult(Shown):
    """Sets of cores to have at hand."""

    sets: int = Field(description="The larger of both.")
    by_grade: int = Field(description="What a grade like this usually takes.")
    by_balance: int | None = Field(description="What the contaminants in `loads` ask for; null where not known.")
    rests_on: str = Field(description="The reason in words.")


class OilChangeResult(Shown):
    """Oil changes by the dilution series."""

    drained_share: Share = Field(description="Share of all oil that one change drains.")
    target: Annotated[Real, Field(ge=0)] = Field(description="Share of old oil that may stay.")
    changes: int | None = Field(description="Null where more than a plan's worth would be needed: drain elsewhere too.")
    residual: Share = Field(description="Share of old oil after the last change.")
    series: list[Share] = Field(description="Share of old oil before the first, after the first, second … change.")


class PartResult(Shown):
    """What to do with a part."""

    part: Annotated[str, From("part.id")] = Field(description="Id of the part.")
    name: str = Field(description="Its name on this plant.")
    action: Action = Field(description="What to do at this grade.")
    why: Annotated[Why, From("part.why")]
    source: Annotated[SourceName, From("part.source")]


class StepResult(Shown):
    """One step of the job."""

    number: int = Field(description="Counted from 1.")
    id: str = Field(description="Id of the step.")
    when: StepTime = Field(description="In which part of the job it falls.")
    text: str = Field(description="What to do.")
    cautions: list[str] = Field(description="Ids; their texts stand in `cautions` of the answer.")
    source: SourceName


class CheckResult(Shown):
    """One visit."""

    id: str = Field(description="Id of the check.")
    also: list[str] = Field(description="Ids of other checks that this visit serves.")
    title: str = Field(description="What it is about, in a few words.")
    elapsed: q.Time = Field(description="Running time since the start.")
    at: datetime = Field(description="UTC.")
    local: datetime = Field(description="On the clock of the site.")
    what: str = Field(description="What to look at.")
    basis: TimeBasis = Field(description="What its time rests on.")
    why: Why
    sources: list[SourceName] = Field(description="Where its time and its work come from.")


class CleanupPlanResult(Shown):
    """The plan."""

    refrigerant: str = Field(description="Of the circuit.")
    severity: SeverityResult = Field(description="How badly the circuit is contaminated.")
    drop_limit: DropLimitResult = Field(description="How much pressure the suction core may take.")
    turnover: TurnoverResult | None = Field(description="Null where flow or charge is not known.")
    needs: list[NeedResult] = Field(description="What the lines ask of a filter; none without a flow.")
    fits: list[FitResult] = Field(description="How the filters at hand do.")
    loads: list[LoadResult] = Field(description="What the cores must take up, as far as it is known.")
    core_sets: CoreSetsResult = Field(description="How many sets of cores to have at hand, and why.")
    oil_changes: OilChangeResult | None = Field(description="Null where the amounts of oil are not known.")
    parts: list[PartResult] = Field(description="Parts to open, the heaviest work first.")
    steps: list[StepResult] = Field(description="The job in order.")
    checks: list[CheckResult] = Field(description="When to look again, in order of time.")
    clean_when: list[str] = Field(description="All of these, then stop.")
    translation: str = Field("", description="Who has read the translation; empty in English. Show it with the words.")


class CleanupPlanAnswer(Answer):
    """Answer of POST /v1/cleanup/plan."""

    result: CleanupPlanResult = Field(description="The plan.")
