"""The figures that sizing rests on. Data: `sizing.toml`."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.cleanup.rows import RISING, Figure, Positive, Share, ShareFigure, Sourced, complete

Acid = TypeAliasType("Acid", Literal["oleic", "HCl", "KOH"])
"""An acid in which the maker of a core rates what it holds."""


Count = Annotated[int, Field(ge=1)]


def _between_laminar_and_orifice(band: tuple[float, float]) -> tuple[float, float]:
    if not 1 <= band[0] < band[1] <= 2:  # noqa: PLR2004 - laminar flow 1, orifice 2
        raise ValueError("exponents lie between 1 and 2")
    return band


class FlowExponent(Sourced):
    """n in drop ~ (mass flow)^n / density: both ends of its band."""

    ends: Annotated[tuple[float, float], RISING, AfterValidator(_between_laminar_and_orifice)]

    @property
    def middle(self) -> float:
        """The exponent of the best estimate."""
        return sum(self.ends) / 2


class ResidualTarget(Sourced):
    """Share of old oil that may stay after a mild and after a severe contamination."""

    mild: Share
    severe: Share


class CoreSetsByGrade(Sourced):
    """Sets of cores to have at hand for grades 0 to 3."""

    value: tuple[Count, Count, Count, Count]


class MolarMasses(Sourced):
    """Molar mass per acid group, g/mol."""

    value: Annotated[dict[Acid, Positive], complete(Acid)]


class SizingRules(data.Row):
    """The file; what each figure means stands beside it there."""

    flow_exponent: FlowExponent
    start_share: ShareFigure
    usable_capacity: ShareFigure
    core_sets: CoreSetsByGrade
    suction_superheat: Figure
    residual_target: ResidualTarget
    most_changes: Count
    molar_mass: MolarMasses
    dry_refrigerant: Figure
    liquid_loss: Figure
    liquid_drop: Figure


SIZING = data.table(__package__, "sizing.toml", SizingRules)
