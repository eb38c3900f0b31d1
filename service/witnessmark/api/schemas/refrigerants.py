"""The catalogue of refrigerants on the wire."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from witnessmark.api.context import Answer
from witnessmark.api.quantities import Pressure, Real, Temperature, TemperatureDifference, Wire
from witnessmark.vocabulary import SystemOfUnits


class CatalogueQuery(Wire):
    """How a catalogue is shown."""

    report_in: SystemOfUnits = "SI"


class ComponentPart(Wire):
    """One substance of a blend."""

    designation: str
    mass_fraction: Annotated[Real, Field(gt=0, le=1)]


class CatalogueNote(Wire):
    """Something to know beside the numbers."""

    text: str
    source: str


class RefrigerantEntry(Wire):
    """One refrigerant in the list."""

    designation: str = Field(description="ASHRAE 34 designation; the spelling that every request uses.")
    chemical_name: str
    kind: Literal["single", "azeotropic", "zeotropic"]
    safety_class: str = Field(description="ASHRAE 34 safety group.")
    basis: Literal["pure", "pseudo-pure", "mixture"] = Field(description="Kind of the equation of state.")
    accuracy: TemperatureDifference = Field(description="How far saturation temperatures may be off, about 95 %.")


class RefrigerantDetail(RefrigerantEntry):
    """Everything the catalogue knows of one refrigerant."""

    toxicity: str
    flammability: str
    composition: list[ComponentPart]
    molar_mass: Annotated[Real, Field(gt=0, json_schema_extra={"x-unit": "kg/mol"}, description="kg/mol")]
    critical_temperature: Temperature
    critical_pressure: Pressure
    lowest_temperature: Temperature = Field(description="Saturation is answered from here …")
    highest_temperature: Temperature = Field(description="… up to here.")
    glide_at_one_atmosphere: TemperatureDifference | None = Field(
        description="Dew minus bubble temperature at 101.325 kPa, where the curves reach that pressure."
    )
    equation_of_state: str
    notes: list[CatalogueNote]


class RefrigerantList(Wire):
    """All refrigerants."""

    refrigerants: list[RefrigerantEntry]


class RefrigerantsAnswer(Answer):
    """Answer of GET /v1/refrigerants."""

    result: RefrigerantList


class RefrigerantAnswer(Answer):
    """Answer of GET /v1/refrigerants/{designation}."""

    result: RefrigerantDetail
