"""A suction accumulator on the wire."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import (
    Length,
    Mass,
    MassFlow,
    Power,
    Pressure,
    Real,
    TemperatureDifference,
    Time,
    Volume,
    Wire,
)
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.estimated import Estimated
from witnessmark.api.schemas.ratio import Ratio


class AccumulatorVessel(Wire):
    """The vessel."""

    holding_volume: Volume = Field(description="Liquid that fits below the outlet.")
    diameter: Length | None = Field(None, description="Inside; without it nothing is said on swelling and drops.")
    oil_hole: Length | None = Field(None, description="Diameter of the oil return hole; left out: it passes nothing.")


class WetReturnInput(Wire):
    """What comes back from the evaporators at low load."""

    pressure: Pressure = Field(description="Suction pressure at low load.")
    mass_flow: MassFlow = Field(description="Of the wet stream.")
    quality: Ratio = Field(description="Mass of vapour per mass of the wet stream.")
    superheated_flow: MassFlow | None = Field(None, description="From circuits that run dry beside it.")
    superheat: TemperatureDifference | None = Field(None, description="Of the dry stream.")


class ChargeInput(Wire):
    """The charge, and where it can be."""

    nominal: Mass = Field(description="By nameplate and lines.")
    overcharge: Mass | None = None
    held_elsewhere: Mass | None = Field(None, description="What the rest of the circuit can hold at low load.")
    in_vessel: Mass | None = Field(None, description="Liquid in the vessel at the start.")


class RampInput(Wire):
    """The way back to high load."""

    pressure: Pressure = Field(description="Suction pressure at its end.")
    mass_flow: MassFlow = Field(description="Flow at its end.")
    time: Time


class AccumulatorRequest(Request):
    """A vessel, a wet return, a charge, and how long low load lasts."""

    refrigerant: Designation
    vessel: AccumulatorVessel
    wet_return: WetReturnInput
    charge: ChargeInput
    duration: Time = Field(description="How long low load lasts.")
    ramp: RampInput | None = None
    motor_power: Power | None = Field(None, description="Of the compressor, for the rule on when one is required.")


class RequiredRule(Wire):
    """A compressor maker's rule on when an accumulator is required."""

    above_charge: Mass
    required: bool
    source: str


class SizingResult(Wire):
    """The vessel against the published sizing rule."""

    holding_mass: Estimated[Mass]
    share: Estimated[Ratio] = Field(description="Of the nominal charge.")
    share_overcharged: Estimated[Ratio] = Field(description="Of the charge with overcharge.")
    least_share: Real
    verdict: Literal["meets", "below", "cannot tell"]
    required: RequiredRule | None
    source: str


class LevelResult(Wire):
    """Liquid in the vessel at one time."""

    time: Time
    mass: Estimated[Mass]
    share: Real = Field(description="Of what the vessel holds.")


class CarryOverResult(Wire):
    """What the ramp back to high load does to the liquid in the vessel."""

    flash_share: Estimated[Ratio]
    carried: Estimated[Mass] | None
    quality: Estimated[Ratio] | None = Field(description="At the compressor, over the ramp.")
    gas_speed: Estimated[Ratio] | None = Field(description="Gas velocity over the one that lifts drops.")


class AccumulatorResult(Wire):
    """Sizing, filling, overflow, carry-over."""

    refrigerant: str
    sizing: SizingResult
    liquid_in: Estimated[MassFlow]
    boil_off: Estimated[MassFlow]
    through_oil_hole: Estimated[MassFlow]
    net: Estimated[MassFlow]
    spare: Mass | None = Field(description="Refrigerant that the rest of the circuit cannot hold at low load.")
    outcome: Literal["fills and overflows", "holds all there is", "drains", "cannot tell"]
    time_to_overflow: Estimated[Time] | None
    quality_before: Estimated[Ratio] = Field(description="At the compressor, before overflow.")
    quality_overflowing: Estimated[Ratio] = Field(description="At the compressor, while it overflows.")
    levels: list[LevelResult]
    ramp: CarryOverResult | None


class AccumulatorAnswer(Answer):
    """Answer of POST /v1/accumulator."""

    result: AccumulatorResult
