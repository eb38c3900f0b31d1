"""Supply of a three-phase motor on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Current, Real, Voltage, Wire
from witnessmark.api.schemas.limit import Fraction, LimitShown
from witnessmark.api.schemas.ratio import Ratio

Standing = Literal["within", "outside", "sources disagree", "cannot tell"]
ThreeVoltages = Annotated[list[Voltage], Field(min_length=3, max_length=3)]
ThreeCurrents = Annotated[list[Current], Field(min_length=3, max_length=3)]


class SupplyMakerLimits(Wire):
    """The maker's limits, as fractions; they override the published ones."""

    voltage_unbalance: Annotated[Real, Field(gt=0, le=0.05)] | None = Field(
        None, description="A fraction: 0.02 is 2 %. Above 5 % no source lets a motor run."
    )
    current_unbalance: Fraction | None = None


class SupplyFields(Wire):
    """What was measured at the motor's terminals under load."""

    voltages: ThreeVoltages = Field(description="Line to line: L1-L2, L2-L3, L3-L1.")
    currents: ThreeCurrents | None = Field(None, description="L1, L2, L3.")
    rated_voltage: Voltage | None = Field(None, description="Nameplate voltage of the motor.")
    one_meter: bool = Field(
        default=True, description="Each kind was read with one meter, whose share-of-reading error cancels."
    )
    maker_limits: SupplyMakerLimits = SupplyMakerLimits()


class SupplyUnbalanceRequest(Request, SupplyFields):
    """Request of POST /v1/supply-unbalance."""


class PermittedLoad(Wire):
    """Load that the motor may carry, as a fraction of rated: the lowest that a source gives."""

    factor: Real
    by_source: dict[str, Real] = Field(description="What each source gives at this unbalance, by source id.")


class VoltageBandResult(Wire):
    """Mean voltage against the nameplate."""

    deviation: Ratio
    limit: LimitShown[Real]
    verdict: Standing


class CurrentResult(Wire):
    """Currents of the three phases."""

    unbalance: Ratio
    limit: LimitShown[Real]
    verdict: Standing
    explained_low: Real = Field(description="The least current unbalance that the voltage unbalance explains.")
    explained_high: Real = Field(description="The most current unbalance that the voltage unbalance explains.")
    origin: Literal[
        "supply explains it", "look at motor and connections", "less than the supply would give", "cannot tell"
    ]
    lost_phase: bool = Field(description="A phase carries next to no current.")


class SupplyUnbalanceResult(Wire):
    """The supply as the motor sees it."""

    mean_voltage: Voltage
    voltage_unbalance: Ratio = Field(description="Greatest deviation from the mean, over the mean.")
    furthest: Annotated[int, Field(ge=1, le=3, description="Which of the three readings lies furthest from the mean.")]
    spread_over_mean: Real = Field(
        description="(Greatest - least) / mean: NOT the unbalance of the standard, up to twice as large."
    )
    limit: LimitShown[Real]
    verdict: Standing
    permitted_load: PermittedLoad | None = Field(description="None above 5 %, where the motor should not be run.")
    extra_temperature_rise: Ratio = Field(description="Extra winding temperature rise over the normal rise.")
    voltage_band: VoltageBandResult | None
    current: CurrentResult | None
    fit: bool = Field(description="Whether everything measured is clearly within its limit and no phase is lost.")


class SupplyUnbalanceAnswer(Answer):
    """Answer of POST /v1/supply-unbalance."""

    result: SupplyUnbalanceResult
