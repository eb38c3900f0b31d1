"""A limit on the wire: the figure that counts, why, and what every source states."""

from __future__ import annotations

from typing import Annotated, Any, Generic, Literal, TypeVar

from pydantic import AliasChoices, BeforeValidator, Field, ModelWrapValidatorHandler, ValidationInfo, model_validator
from typing_extensions import TypeAliasType

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Real, Shown
from witnessmark.calculations.metrology.limits import Basis, Ruling, Safer

V = TypeVar("V")
Fraction = Annotated[Real, Field(gt=0, le=0.2, description="A fraction: 0.02 is 2 %.")]
MakerDocument = Annotated[str, Field(max_length=200)]
"""Where the maker states his limits, as it is to be quoted: title, number, page. Without it none counts that is looser
than everything published."""
LimitSide = TypeAliasType("LimitSide", Literal["not above", "not below"])
"""On which side of a limit a reading must lie."""
SIDES: dict[Safer, LimitSide] = {"lower": "not above", "higher": "not below"}
_Side = Annotated[LimitSide, BeforeValidator(lambda safer: SIDES.get(safer, safer))]


def named(base: str, kinds: tuple[Any, ...]) -> str:
    """`LimitShownVacuum` rather than `LimitShown[Vacuum]`; a bare number is `Number`."""
    return base + "".join(kind.__name__ if isinstance(kind, type) else "Number" for kind in kinds)


def note_limit(context: RequestContext, ruling: Ruling) -> None:
    """Cite every source of a limit; say that a maker's overrides, and warn where it is looser than published ones."""
    context.cite(*ruling.sources)
    if ruling.basis == "maker":
        context.assume("Where a limit of the maker was given it overrides the published ones, which stand beside it.")
    if ruling.maker is not None:
        context.warn(*ruling.maker.cautions)


class StatedFigure(Shown, Generic[V]):
    """What one source states; its citation and trust stand in `sources`."""

    value: V = Field(description="The figure.")
    source: str = Field(description="Id of the source.")
    note: str = Field(description="What the source says about it; may be empty.")

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """The name that the schema has."""
        return named("StatedFigure", params)


class LimitShown(Shown, Generic[V]):
    """The limit that counts: the maker's where given, otherwise the safest that a source states.

    Read from a core `Ruling`, it notes sources and cautions in the request context that the validation carries.
    """

    value: V = Field(description="The figure that counts.")
    side: _Side = Field(validation_alias=AliasChoices("side", "safer"))
    """On which side of it a reading must lie."""
    basis: Basis = Field(description="Why this figure counts.")
    looser_than_published: bool = Field(description="Whether the maker allows more than the safest published figure.")
    remark: str = Field(description="What is to be said of a limit that the maker is said to set; mostly empty.")
    stated: list[StatedFigure[V]] = Field(description="What every source states, published figures only.")

    @model_validator(mode="wrap")
    @classmethod
    def _noted(cls, limit: Any, handler: ModelWrapValidatorHandler[Any], info: ValidationInfo) -> Any:
        if isinstance(limit, Ruling):
            note_limit(info.context, limit)  # type: ignore[arg-type]
        return handler(limit)

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """The name that the schema has."""
        return named("LimitShown", params)
