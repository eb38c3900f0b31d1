"""Supply of a three-phase motor on the wire."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import AliasChoices, AliasPath, BeforeValidator, Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Current, Real, Shown, Voltage, Wire
from witnessmark.api.schemas.limit import Fraction, LimitShown, MakerDocument
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.electrical.single_phasing import MeasuredBetween
from witnessmark.calculations.electrical.supply_unbalance import (
    SupplyOutcome,
    UnbalanceOrigin,
    VoltageZone,
    WhenRolled,
)
from witnessmark.calculations.metrology.limits import Standing


def _three_phase_only(readings: Any) -> Any:
    """A word of help where one or two voltages come: this operation is for three-phase supplies."""
    if isinstance(readings, list) and 0 < len(readings) < 3:  # noqa: PLR2004
        raise ValueError(
            "three readings of a three-phase supply are needed; a single-phase one has no unbalance: hold its one "
            "voltage against the nameplate (within 10 %), or give it as tests.line_voltage of a restart"
        )
    return readings


ThreeVoltages = Annotated[list[Voltage], Field(min_length=3, max_length=3), BeforeValidator(_three_phase_only)]
ThreeCurrents = Annotated[list[Current], Field(min_length=3, max_length=3)]


class SupplyMakerLimits(Wire):
    """The maker's limits, as fractions; they override the published ones."""

    voltage_unbalance: Annotated[Real, Field(gt=0, le=0.05)] | None = None
    """A fraction: 0.02 is 2 %. Above 5 % no source lets a motor run."""
    current_unbalance: Fraction | None = Field(None, description="A fraction: 0.1 is 10 %.")
    document: MakerDocument = ""
    """Where the maker states them: title, number, page. Without it none counts that all published ones exclude."""


class SupplyFields(Wire):
    """What was measured at the motor's terminals under load."""

    voltages: ThreeVoltages = Field(description="Line to line: L1-L2, L2-L3, L3-L1; otherwise L1, L2, L3.")
    measured_between: MeasuredBetween = "line-to-line"
    """Between what; to neutral or ground only a lost phase can be seen."""
    currents: ThreeCurrents | None = Field(None, description="L1, L2, L3.")
    when_rolled: WhenRolled | None = None
    """All three motor leads were moved one line on: the highest current stayed on its line (follows-supply), or went
    with its lead (follows-motor). It decides where the unbalance comes from."""
    rated_voltage: Voltage | None = Field(None, description="Nameplate voltage of the motor.")
    rated_voltage_to: Voltage | None = None
    """Where the nameplate names a range, as 208-230 V: its upper end; rated_voltage is the lower one then."""
    one_meter: bool = True
    """Each kind was read with one meter, whose share-of-reading error cancels."""
    maker_limits: SupplyMakerLimits = Field(SupplyMakerLimits(), description="The maker's limits, where known.")

    @model_validator(mode="after")
    def _rolled_leads_need_currents(self) -> Self:
        if self.when_rolled is not None and self.currents is None:
            raise ValueError("when_rolled tells what became of the highest current: give the currents")
        return self


class SupplyUnbalanceRequest(Request, SupplyFields):
    """Request of POST /v1/supply-unbalance."""


class PermittedLoad(Shown):
    """Load that the motor may carry, as a fraction of rated: the lowest that a source gives."""

    factor: Real = Field(description="The lowest: what counts.")
    by_source: dict[str, Real] = Field(description="What each source gives at this unbalance, by source id.")


class VoltageBandResult(Shown):
    """Mean voltage against the nameplate."""

    deviation: Ratio = Field(description="Mean less rated voltage, over the rated one.")
    limit: LimitShown[Real] = Field(description="Either side of the rated voltage.")
    standing: Standing = Field(description="Where the deviation stands against the limit.")
    zone: VoltageZone = Field(description="Of IEC 60034-1: A for good, B not for long; neither changes the verdict.")


class CurrentResult(Shown):
    """Currents of the three phases."""

    unbalance: Ratio = Field(validation_alias=AliasPath("unbalance", "fraction"))
    """Greatest deviation from the mean, over the mean."""
    limit: LimitShown[Real] = Field(description="Limit of the current unbalance.")
    standing: Standing = Field(description="Where the current unbalance stands against the limit.")
    explained_low: Real = Field(description="The least current unbalance that the voltage unbalance explains.")
    explained_high: Real = Field(description="The most current unbalance that the voltage unbalance explains.")
    origin: UnbalanceOrigin = Field(description="Where the current unbalance comes from.")


class SupplyUnbalanceResult(Shown):
    """The supply as the motor sees it."""

    verdict: SupplyOutcome = Field(description="The worst of all parts; derate: fit for less than the rated load only.")
    explanation: str = Field(description="What the verdict rests on where the numbers do not say so; may be empty.")
    lost_leg: Annotated[int, Field(ge=1, le=3)] | None
    """The lost line, L1 to L3; null where none is or the readings do not show which."""
    mean_voltage: Voltage = Field(validation_alias=AliasPath("voltage", "mean"))
    """Mean of the three voltages."""
    voltage_unbalance: Ratio = Field(validation_alias=AliasPath("voltage", "fraction"))
    """Greatest deviation from the mean, over the mean."""
    furthest: Annotated[int, Field(ge=1, le=3)] = Field(validation_alias=AliasPath("voltage", "furthest"))
    """Which of the three readings lies furthest from the mean."""
    spread_over_mean: Real = Field(validation_alias=AliasPath("voltage", "spread_over_mean"))
    """(Greatest - least) / mean: NOT the unbalance of the standard, up to twice as large."""
    limit: LimitShown[Real] = Field(description="Limit of the voltage unbalance.")
    voltage_standing: Standing = Field(validation_alias=AliasChoices("voltage_standing", "standing"))
    """Where the voltage unbalance alone stands against the limit."""
    permitted_load: PermittedLoad | None = Field(validation_alias=AliasChoices("permitted_load", "derating"))
    """Null above 5 %, where the motor should not be run, and where not read line to line."""
    extra_temperature_rise: Ratio | None
    """Extra winding temperature rise over the normal rise; null where a phase is lost or not read line to line."""
    voltage_band: VoltageBandResult | None = Field(validation_alias=AliasChoices("voltage_band", "band"))
    """Null where the rated voltage was not given."""
    current: CurrentResult | None = Field(description="Null where no currents were given.")


class SupplyUnbalanceAnswer(Answer):
    """Answer of POST /v1/supply-unbalance."""

    result: SupplyUnbalanceResult = Field(description="The supply as the motor sees it.")
