"""The designation of a refrigerant as a field: a closed list, and near names when it is not on it."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AfterValidator, GetJsonSchemaHandler, StringConstraints
from pydantic_core import CoreSchema, PydanticCustomError

from witnessmark.errors import UnknownNameError
from witnessmark.refrigerants import catalogue


def _known(designation: str) -> str:
    try:
        catalogue.get(designation)
    except UnknownNameError as error:
        hint = "near: " + ", ".join(error.near) if error.near else "GET /v1/refrigerants lists them"
        raise PydanticCustomError("unknown_refrigerant", "no such refrigerant; {hint}", {"hint": hint}) from None
    return designation


class _Listed:
    """Shows the list of designations in the schema."""

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {**handler(core), "enum": list(catalogue.designations()), "examples": ["R-410A"]}


Designation = Annotated[str, StringConstraints(max_length=20), AfterValidator(_known), _Listed()]
