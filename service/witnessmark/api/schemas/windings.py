"""Winding resistances on the wire."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Real, Resistance, Temperature, Wire
from witnessmark.api.schemas.limit import Fraction, LimitShown
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.api.schemas.supply_unbalance import Standing

Conductor = Literal["copper", "aluminium"]
Terminals = Annotated[list[Resistance | None], Field(min_length=3, max_length=3)]


class WindingReference(Wire):
    """A known resistance between the same terminals, from the maker or from an earlier reading."""

    resistance: Resistance
    temperature: Temperature
    winding_temperature: Temperature = Field(description="Of the winding when `terminals` were read.")
    conductor: Conductor = "copper"


class HotWinding(Wire):
    """Two readings between the same terminals: cold at a known temperature, and hot."""

    hot: Resistance
    cold: Resistance
    cold_temperature: Temperature
    conductor: Conductor = "copper"


class WindingsFields(Wire):
    """Resistances between the terminals, motor leads off."""

    winding: Literal["three-phase", "single-phase"]
    terminals: Terminals = Field(
        description="Three-phase: 1-2, 2-3, 3-1. Single-phase: common-start, common-run, start-run. "
        "null where the meter ran over its range (open)."
    )
    lead: Resistance | None = Field(None, description="Test leads shorted together; 0 with a four-wire meter.")
    meter: Literal["four-wire", "two leads"] = Field(
        "two leads", description="Chooses the default uncertainty of readings that carry none."
    )
    connection: Literal["star", "delta", "unknown"] = "unknown"
    form_wound: bool = False
    maker_balance: Fraction | None = Field(None, description="The maker's limit of unbalance.")
    reference: WindingReference | None = Field(None, description="Three-phase only: held against the mean reading.")
    temperature_by_resistance: HotWinding | None = None

    @model_validator(mode="after")
    def _reference_for_three_phase(self) -> Self:
        if self.reference is not None and self.winding == "single-phase":
            raise ValueError("a reference is held against the mean of a three-phase winding only")
        return self


class WindingsRequest(Request, WindingsFields):
    """Request of POST /v1/windings."""


class BalanceResult(Wire):
    """Balance of a three-phase winding."""

    unbalance: Ratio = Field(description="Greatest deviation from the mean, over the mean, test leads taken off.")
    without_lead_correction: Real
    mean: Resistance
    furthest: Annotated[int, Field(ge=1, le=3, description="Which of the three readings lies furthest from the mean.")]
    windings: list[Resistance] | None = Field(
        description="Each winding: star at terminals 1, 2, 3; delta between 1-2, 2-3, 3-1. Null if not known."
    )
    needed_uncertainty: Resistance | None = Field(
        description="Standard uncertainty of each reading that would decide; null where it is decided."
    )


class StartRunResult(Wire):
    """The two windings of a single-phase motor."""

    surplus: Resistance = Field(description="Start-run less the sum of the other two; zero in a sound motor.")
    sum_agrees: bool
    start_over_run: Ratio
    least: LimitShown[Real] = Field(description="What start over run may not be below.")
    greatest: LimitShown[Real] = Field(description="What it may not be above.")
    start_over_run_verdict: Standing


class ReferenceResult(Wire):
    """The mean reading against what the reference would have at this temperature."""

    expected: Resistance
    deviation: Ratio
    limit: LimitShown[Real]
    verdict: Standing


class WindingsResult(Wire):
    """What the windings say; parts that could not be calculated are null."""

    verdict: Literal[
        "balanced", "unbalanced", "sources disagree", "cannot tell", "open circuit", "protector may be open"
    ]
    balance: BalanceResult | None
    limit: LimitShown[Real] | None
    start_run: StartRunResult | None
    reference: ReferenceResult | None
    winding_temperature: Temperature | None


class WindingsAnswer(Answer):
    """Answer of POST /v1/windings."""

    result: WindingsResult
