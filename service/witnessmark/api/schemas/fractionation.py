"""What a leak does to a blend, on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import AliasChoices, Field

from witnessmark.api import quantities as q
from witnessmark.api.context import Answer, Request
from witnessmark.api.quantities import Real, Shown
from witnessmark.api.schemas.designation import Designation
from witnessmark.calculations.circuit.fractionation import LIQUID_SHARES, REMOVED, CylinderPhase
from witnessmark.refrigerants.catalogue import SafetyClass

Share = Annotated[Real, Field(ge=0, le=1)]


class FractionationRequest(Request):
    """A stopped circuit or a cylinder that leaks at one temperature."""

    refrigerant: Designation = Field(description="The blend or mixture that was charged.")
    phase: CylinderPhase = Field(description="What the hole lets out: vapour, or liquid from below its level.")
    temperature: q.Temperature = Field(description="Of the standing circuit or cylinder.")
    removed: Annotated[Real, Field(ge=REMOVED[0], le=REMOVED[1])]
    """Share of the charge that is gone, by mass."""
    liquid_share: Annotated[Real, Field(ge=LIQUID_SHARES[0], le=LIQUID_SHARES[1])] | None = None
    """Share of the inner volume that liquid fills at first; without it 0.5 is taken, and said."""


class CompositionPart(Shown):
    """One substance of a mixture."""

    designation: str = Field(description="Its designation.")
    mass_fraction: Share = Field(description="Its share by mass.")


class LeakStep(Shown):
    """The circuit after a part of the charge is gone."""

    removed: Share = Field(description="Share of the charge that is gone, by mass.")
    pressure: q.Pressure = Field(description="Standing pressure, absolute.")
    gauge_pressure: q.GaugePressure = Field(validation_alias=AliasChoices("gauge_pressure", "pressure"))
    """The same as a gauge at the site would show it."""
    composition: list[CompositionPart] = Field(description="Of all that is left.")
    leaving: list[CompositionPart] = Field(description="Of what leaves at this moment.")
    liquid: Share = Field(description="Share of liquid in what is left, by mass.")


class ChargeShown(Shown):
    """A composition, and how it boils at the pressure at which all of them are compared."""

    mixture: str = Field(validation_alias=AliasChoices("mixture", "text"))
    """As other requests take it for `refrigerant`."""
    composition: list[CompositionPart] = Field(description="Its components.")
    bubble_temperature: q.Temperature = Field(validation_alias=AliasChoices("bubble_temperature", "bubble"))
    """Where its liquid begins to boil."""
    dew_temperature: q.Temperature = Field(validation_alias=AliasChoices("dew_temperature", "dew"))
    """Where its last liquid is gone."""
    glide: q.TemperatureDifference = Field(description="Dew minus bubble temperature.")
    bubble_shift: q.TemperatureDifference
    """Bubble temperature against the blend's own: subcooling by the blend's table shows less than there is by this."""
    dew_shift: q.TemperatureDifference
    """Dew temperature against the blend's own: superheat by the blend's table shows more than there is by this."""


class FractionationResult(Shown):
    """The leak, what is left of the charge, and what topping up with the blend makes of it."""

    refrigerant: str = Field(description="The designation asked for.")
    steps: list[LeakStep] = Field(description="From the full charge to what is left.")
    compared_at: q.Pressure = Field(validation_alias=AliasChoices("compared_at", "pressure"))
    """Pressure at which the charges are compared, absolute: the blend's dew pressure at the temperature."""
    before: ChargeShown = Field(description="The blend as charged.")
    left: ChargeShown = Field(description="What is left after the leak.")
    topped_up: ChargeShown = Field(description="What is left, filled up with the blend to the first charge.")
    largest_shift: Share = Field(description="Largest change of a component's share by mass, in what is left.")
    flammable_share: Share = Field(validation_alias=AliasChoices("flammable_share", "flammable"))
    """Largest share by mass of flammable components in anything that leaked or stayed, liquid or vapour."""
    safety_class: SafetyClass
    """How the changed charge is treated: by its worst component. The standard has no class for a changed charge."""
    class_as_formulated: SafetyClass | None
    """Class of the blend as formulated, by the standard: that of its worst fractionation. Null where it has none."""
    dry_from: Share | None = Field(description="Share gone from which no liquid was left; null while there is some.")
    accuracy: q.TemperatureDifference = Field(description="How far the saturation temperatures may be off, about 95 %.")


class FractionationAnswer(Answer):
    """Answer of POST /v1/refrigerants/fractionation."""

    result: FractionationResult = Field(description="What the leak did.")
