"""The refrigerant as a field: any usual spelling is taken, its designation is what the service goes on with."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema
from typing_extensions import TypeAliasType

from witnessmark.refrigerants.names import LONGEST, resolve


class _Spelled:
    """Takes every usual spelling of a catalogued refrigerant and hands on its designation."""

    def __get_pydantic_core_schema__(self, _source: Any, _handler: GetCoreSchemaHandler) -> CoreSchema:
        text = core_schema.str_schema(min_length=1, max_length=LONGEST, strict=True)
        return core_schema.no_info_after_validator_function(resolve, text)


_DESCRIPTION = (
    "A refrigerant by its ASHRAE 34 / ISO 817 designation, in any usual spelling, or by the name of a substance. "
    "Answers give the designation as `GET /v1/refrigerants` lists it."
)
_EXAMPLES = ["R-410A", "r454b", "HFC-134a", "propane"]
Designation = TypeAliasType(
    "Designation", Annotated[str, _Spelled(), Field(description=_DESCRIPTION, examples=_EXAMPLES)]
)
"""The refrigerant on the wire."""
