"""The refrigerant as a field: any usual spelling or a composition is taken, its designation is what goes on."""

from __future__ import annotations

from collections.abc import Callable
from functools import singledispatch
from typing import Annotated, Any, Self

from pydantic import (
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationError,
    ValidatorFunctionWrapHandler,
    WrapValidator,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema
from typing_extensions import TypeAliasType

from witnessmark.api.quantities import Real, Wire
from witnessmark.errors import InputError
from witnessmark.refrigerants.names import (
    LONGEST,
    LONGEST_NAME,
    MOST_COMPONENTS,
    UnservedError,
    mixture_text,
    resolve,
    with_total,
)

Share = Annotated[Real, Field(gt=0, le=1)]


class MixturePart(Wire):
    """One part of a mixture: a substance, or a blend as it was charged, with its share by mass or by mole."""

    refrigerant: Annotated[
        str,
        Field(
            min_length=1,
            max_length=LONGEST_NAME,
            description="A catalogued substance or blend, in any usual spelling.",
            examples=["R-407C", "propane"],
        ),
    ]
    mass_fraction: Share | None = Field(None, description="Its share by mass, 0 to 1.")
    mole_fraction: Share | None = Field(None, description="Its share by moles, 0 to 1, instead.")

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        if (self.mass_fraction is None) == (self.mole_fraction is None):
            raise ValueError("give either mass_fraction or mole_fraction")
        return self


class Mixture(Wire):
    """A mixture by its composition: charged wrongly, topped up, or changed by a leak."""

    composition: Annotated[list[MixturePart], Field(min_length=1, max_length=MOST_COMPONENTS)]
    """All shares by mass or all by mole; they add up to 1. Blends count with what they consist of: six substances."""

    @model_validator(mode="after")
    def _one_basis(self) -> Self:
        if len({part.mass_fraction is None for part in self.composition}) > 1:
            raise ValueError("give all shares by mass or all by mole")
        return self

    def total(self) -> float:
        """What the shares add up to."""
        return sum(part.mass_fraction or part.mole_fraction or 0.0 for part in self.composition)

    def text(self) -> str:
        """The text that stands for it: `R-32/125 (60/40)`."""
        if self.composition[0].mass_fraction is not None:
            return mixture_text([(part.refrigerant, part.mass_fraction or 0.0) for part in self.composition], "mass")
        return mixture_text([(part.refrigerant, part.mole_fraction or 0.0) for part in self.composition], "mole")


@singledispatch
def _named(value: Any) -> Any:
    """The text of a composition; anything else as it is, for the schema to judge."""
    return value


_named.register(str, str)


@_named.register(dict)
def _(value: dict[str, Any]) -> str:
    return Mixture.model_validate(value).text()


def _resolved(value: Any, as_text: Callable[[Any], str]) -> str:
    """The designation that is meant; of a composition what its shares add up to goes with it."""
    if not isinstance(value, dict):
        return resolve(as_text(value))
    mixture = Mixture.model_validate(value)
    return with_total(resolve(as_text(mixture.text())), mixture.total())


class _Spelled:
    """Takes every usual spelling of a catalogued refrigerant, or a composition, and hands on its designation."""

    def __get_pydantic_core_schema__(self, _source: Any, _handler: GetCoreSchemaHandler) -> CoreSchema:
        text = core_schema.str_schema(min_length=1, max_length=LONGEST, strict=True)
        return core_schema.no_info_wrap_validator_function(_resolved, text)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        either = [handler(schema), handler(Mixture.__pydantic_core_schema__)]
        return {"anyOf": either, "description": _DESCRIPTION, "examples": _EXAMPLES}


_DESCRIPTION = (
    "A refrigerant by its ASHRAE 34 / ISO 817 designation, in any usual spelling, or by the name of a substance; or a "
    "mixture, by its composition or as `R-32/125 (60/40)` in per cent by mass. Answers give the designation as "
    "`GET /v1/refrigerants` lists it, or that text."
)
_EXAMPLES = ["R-410A", "r454b", "HFC-134a", "propane"]
Designation = TypeAliasType("Designation", Annotated[str, _Spelled()])
"""The refrigerant on the wire."""


def _kept(value: Any, resolved: ValidatorFunctionWrapHandler) -> Any:
    try:
        return resolved(value)
    except ValidationError as error:
        if not all(isinstance(fault.get("ctx", {}).get("error"), InputError) for fault in error.errors()):
            raise
        return _named(value)


KeptDesignation = Annotated[Designation, WrapValidator(_kept)]
"""The same, but a refrigerant that nobody knows stays as it was written, for each part of a case to refuse."""


def _bare(value: Any, resolved: ValidatorFunctionWrapHandler) -> Any:
    try:
        return resolved(value)
    except ValidationError as error:
        refused = error.errors()[0].get("ctx", {}).get("error")
        if not isinstance(refused, UnservedError):
            raise
        return refused.bare


NamedDesignation = Annotated[Designation, WrapValidator(_bare)]
"""The same, where work goes on without properties: a real designation that is not served is taken by its name."""
