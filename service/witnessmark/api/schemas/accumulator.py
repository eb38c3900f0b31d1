"""A suction accumulator on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from witnessmark.api import quantities as q
from witnessmark.api.context import Answer, Request
from witnessmark.api.mapping import Span
from witnessmark.api.quantities import Real, Shown, Wire
from witnessmark.api.schemas.designation import Designation
from witnessmark.api.schemas.estimated import Estimated
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.compressor import accumulator as core
from witnessmark.calculations.compressor.accumulator import FillingOutcome, SizingVerdict
from witnessmark.reference.instruments import LOW_SIDE

PRESSURES = Span(0.0, 1e9, LOW_SIDE)
FLOWS, WEIGHED = Span(*core.FLOWS, "mass-flow-meter"), Span(*core.MASSES, "scale")


class AccumulatorVessel(Wire):
    """The vessel."""

    holding_volume: Annotated[q.Volume, Span(*core.VOLUMES)] = Field(description="Liquid that fits below the outlet.")
    diameter: Annotated[q.Length | None, Span(*core.DIAMETERS)] = None
    """Inside; without it nothing is said on swelling and drops."""
    oil_hole: Annotated[q.Length | None, Span(*core.HOLES, "calliper")] = None
    """Diameter of the oil return hole; left out: it passes nothing."""


class WetReturnInput(Wire):
    """What comes back from the evaporators at low load."""

    pressure: Annotated[q.Pressure, PRESSURES] = Field(description="Suction pressure at low load.")
    mass_flow: Annotated[q.MassFlow, FLOWS] = Field(description="Of the wet stream.")
    quality: Ratio = Field(description="Mass of vapour per mass of the wet stream.")
    superheated_flow: Annotated[q.MassFlow | None, FLOWS] = None
    """From circuits that run dry beside it."""
    superheat: Annotated[q.TemperatureDifference | None, Span(*core.SUPERHEATS)] = None
    """Of the dry stream."""


class ChargeInput(Wire):
    """The charge, and where it can be."""

    nominal: Annotated[q.Mass, WEIGHED] = Field(description="By nameplate and lines.")
    overcharge: Annotated[q.Mass | None, WEIGHED] = Field(None, description="Above the nominal charge.")
    held_elsewhere: Annotated[q.Mass | None, Span(*core.MASSES)] = None
    """What the rest of the circuit can hold at low load."""
    in_vessel: Annotated[q.Mass | None, Span(*core.MASSES)] = None
    """Liquid in the vessel at the start."""


class RampInput(Wire):
    """The way back to high load."""

    pressure: Annotated[q.Pressure, PRESSURES] = Field(description="Suction pressure at its end.")
    mass_flow: Annotated[q.MassFlow, FLOWS] = Field(description="Flow at its end.")
    time: Annotated[q.Time, Span(*core.TIMES)] = Field(description="How long the ramp takes.")


class AccumulatorRequest(Request):
    """A vessel, a wet return, a charge, and how long low load lasts."""

    refrigerant: Designation
    vessel: AccumulatorVessel = Field(description="The accumulator.")
    wet_return: WetReturnInput = Field(description="What comes back at low load.")
    charge: ChargeInput = Field(description="How much refrigerant there is, and where.")
    duration: Annotated[q.Time, Span(*core.TIMES)] = Field(description="How long low load lasts.")
    ramp: RampInput | None = Field(None, description="The way back to high load, where carry-over is asked for.")
    motor_power: Annotated[q.Power | None, Span(*core.POWERS)] = None
    """Of the compressor, for the rule on when one is required."""


class RequiredRule(Shown):
    """A compressor maker's rule on when an accumulator is required."""

    above_charge: q.Mass = Field(description="Charge above which one is required.")
    required: bool = Field(description="Whether the charge with overcharge is above it.")
    source: str = Field(description="Source id of the rule.")


class SizingResult(Shown):
    """The vessel against the published sizing rule."""

    holding_mass: Estimated[q.Mass] = Field(description="Liquid that the vessel holds up to its outlet.")
    share: Estimated[Ratio] = Field(description="Of the nominal charge.")
    share_overcharged: Estimated[Ratio] = Field(description="Of the charge with overcharge.")
    least_share: Real = Field(description="Of the charge, by the published rule.")
    verdict: SizingVerdict = Field(description="The share against the rule, at about 95 %.")
    required: RequiredRule | None = Field(description="Null where no rule is known for the motor power.")
    source: str = Field(description="Source id of the sizing rule.")


class LevelResult(Shown):
    """Liquid in the vessel at one time."""

    time: q.Time = Field(description="Since low load began.")
    mass: Estimated[q.Mass] = Field(description="Liquid in the vessel.")
    share: Real = Field(description="Of what the vessel holds.")


class CarryOverResult(Shown):
    """What the ramp back to high load does to the liquid in the vessel."""

    flash_share: Estimated[Ratio] = Field(description="Of the liquid, when the pressure falls.")
    carried: Estimated[q.Mass] | None = Field(description="Liquid that goes over; null without a diameter.")
    quality: Estimated[Ratio] | None = Field(description="At the compressor, over the ramp.")
    gas_speed: Estimated[Ratio] | None = Field(description="Gas velocity over the one that lifts drops.")


class AccumulatorResult(Shown):
    """Sizing, filling, overflow, carry-over."""

    refrigerant: str = Field(description="Its designation.")
    sizing: SizingResult = Field(description="The vessel against the published rule.")
    liquid_in: Estimated[q.MassFlow] = Field(description="With the wet return.")
    boil_off: Estimated[q.MassFlow] = Field(description="By the superheat of the dry stream.")
    through_oil_hole: Estimated[q.MassFlow] = Field(description="Out to the compressor.")
    net: Estimated[q.MassFlow] = Field(description="What the vessel gains.")
    spare: q.Mass | None = Field(description="Refrigerant that the rest of the circuit cannot hold at low load.")
    outcome: FillingOutcome = Field(description="What low load ends in, at about 95 %.")
    time_to_overflow: Estimated[q.Time] | None = Field(description="Null unless it fills and overflows.")
    quality_before: Estimated[Ratio] = Field(description="At the compressor, before overflow.")
    quality_overflowing: Estimated[Ratio] = Field(description="At the compressor, while it overflows.")
    levels: list[LevelResult] = Field(description="From the start to the end of low load.")
    ramp: CarryOverResult | None = Field(description="Null where no ramp was asked for.")


class AccumulatorAnswer(Answer):
    """Answer of POST /v1/accumulator."""

    result: AccumulatorResult = Field(description="What the vessel does.")
