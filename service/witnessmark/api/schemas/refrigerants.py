"""The catalogue of refrigerants on the wire."""

from __future__ import annotations

from typing import Annotated

from pydantic import AliasChoices, Field

from witnessmark.api.context import Answer
from witnessmark.api.quantities import Pressure, Real, Shown, Temperature, TemperatureDifference, Wire
from witnessmark.refrigerants.catalogue import BlendKind, PropertyBasis, SafetyClass
from witnessmark.refrigerants.environment import SubstanceClass
from witnessmark.vocabulary import Oil, SystemOfUnits


class CatalogueQuery(Wire):
    """How a catalogue is shown."""

    report_in: SystemOfUnits = Field("SI", description="Units of the answer.")


class ComponentPart(Shown):
    """One substance of a blend."""

    designation: str = Field(description="ASHRAE 34 designation of the substance.")
    mass_fraction: Annotated[Real, Field(gt=0, le=1, description="Nominal, by mass; all together are 1.")]


class CatalogueNote(Shown):
    """Something to know beside the numbers."""

    text: str = Field(description="What to know.")
    source: str = Field(description="Source id.")


class EnvironmentShown(Shown):
    """What a refrigerant does to ozone layer and climate; a blend has the mean of its components by mass."""

    substance_classes: list[SubstanceClass] = Field(description="What the rules call its components, each kind once.")
    ozone_depletion: Annotated[Real, Field(ge=0)] | None
    """Ozone depletion potential, R-11 = 1; null where a component's is not known here."""
    global_warming_ar4: Annotated[Real, Field(ge=0)] | None
    """Global warming potential over 100 years by the fourth IPCC report, which many laws use; null where not known."""
    global_warming_ar6: Annotated[Real, Field(ge=0)] | None
    """The same by the sixth report."""
    unknown: list[str] = Field(description="Why a potential is null, and which component has none; empty if none is.")


class RefrigerantEntry(Shown):
    """One refrigerant in the list."""

    designation: str = Field(description="ASHRAE 34 designation; the spelling that every request uses.")
    chemical_name: str = Field(description="Of a single substance; empty for a blend.")
    kind: BlendKind = Field(description="Single substance, azeotropic or zeotropic blend (ASHRAE 34).")
    safety_class: SafetyClass = Field(description="ASHRAE 34 safety group.")
    basis: PropertyBasis = Field(description="Kind of the equation of state.")
    accuracy: TemperatureDifference = Field(validation_alias=AliasChoices("accuracy", "accuracy_K"))
    """How far saturation temperatures may be off, about 95 %."""


class RefrigerantDetail(RefrigerantEntry):
    """Everything the catalogue knows of one refrigerant."""

    toxicity: str = Field(description="What the letter of the safety group means.")
    flammability: str = Field(description="What the number of the safety group means.")
    composition: list[ComponentPart] = Field(validation_alias=AliasChoices("composition", "components"))
    """What it consists of; a single substance of itself."""
    molar_mass: Annotated[Real, Field(gt=0, json_schema_extra={"x-unit": "kg/mol"}, description="Molar mass, kg/mol.")]
    critical_temperature: Temperature = Field(description="Temperature of the critical point.")
    critical_pressure: Pressure = Field(description="Pressure of the critical point, absolute.")
    lowest_temperature: Temperature = Field(validation_alias=AliasChoices("lowest_temperature", "t_min"))
    """Saturation is answered from here …"""
    highest_temperature: Temperature = Field(validation_alias=AliasChoices("highest_temperature", "t_max"))
    """… up to here."""
    lowest_because: str = Field(description="What ends the range at the lowest temperature.")
    highest_because: str = Field(description="What ends it at the highest.")
    glide_at_one_atmosphere: TemperatureDifference | None
    """Dew minus bubble temperature at 101.325 kPa, where the curves reach that pressure."""
    triple_temperature: Temperature | None
    """Below it a single substance is no liquid; null for a blend, and where only the equation's own end is known."""
    triple_pressure: Pressure | None = Field(description="Pressure of the triple point, absolute; null as above.")
    oils: list[Oil]
    """Types of oil in use with it, by trade practice; the maker's own choice decides. Empty where nothing is known."""
    environment: EnvironmentShown = Field(description="Ozone layer and climate.")
    equation_of_state: str = Field(validation_alias=AliasChoices("equation_of_state", "library"))
    """Library and version behind the curves."""
    notes: list[CatalogueNote] = Field(description="What to know beside the numbers.")


class RefrigerantList(Shown):
    """All refrigerants."""

    refrigerants: list[RefrigerantEntry] = Field(description="In the order of the catalogue.")


class RefrigerantsAnswer(Answer):
    """Answer of GET /v1/refrigerants."""

    result: RefrigerantList = Field(description="The catalogue.")


class RefrigerantAnswer(Answer):
    """Answer of GET /v1/refrigerants/{designation}."""

    result: RefrigerantDetail = Field(description="The refrigerant.")
