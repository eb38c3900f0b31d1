"""The designation of a refrigerant as a field: a closed list, named once in the document."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema
from typing_extensions import TypeAliasType

from witnessmark.refrigerants import catalogue


class _Listed:
    """Takes the designations of the catalogue and nothing else."""

    def __get_pydantic_core_schema__(self, _source: Any, _handler: GetCoreSchemaHandler) -> CoreSchema:
        names = core_schema.literal_schema(list(catalogue.designations()))
        return core_schema.custom_error_schema(names, "unknown_refrigerant", custom_error_message="no such refrigerant")


Designation = TypeAliasType("Designation", Annotated[str, _Listed(), Field(description="Designation, such as R-410A.")])
"""The catalogue of refrigerants on the wire: ASHRAE 34 designations."""
