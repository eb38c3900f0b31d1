"""What a sound compressor of each type does, and the limits of verdicts: reviewed data, checked when loaded."""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, PositiveFloat, model_validator

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.vocabulary import Compressor, Cooling, words


def _band(ends: tuple[float, float]) -> tuple[float, float]:
    if not 0 < ends[0] < ends[1] <= 1:
        raise ValueError("a band needs 0 < low < high <= 1")
    return ends


def _share(ends: tuple[float, float]) -> tuple[float, float]:
    if not 0 <= ends[0] < ends[1] < 1:
        raise ValueError("a share of heat needs 0 <= low < high < 1")
    return ends


EfficiencyBand = Annotated[tuple[float, float], AfterValidator(_band)]
"""From low to high, as fractions."""


class CompressorType(data.Row):
    """Bands (low, high) of overall isentropic and of volumetric efficiency of a sound machine, as fractions.

    cooling: what cools the gas in most machines of this type.
    """

    isentropic: EfficiencyBand
    volumetric: EfficiencyBand
    cooling: Cooling = "none"
    source: SourceId

    def efficiency(self) -> Measured:
        """The isentropic band as a value with standard uncertainty, every value in it equally likely (GUM 4.3.7)."""
        return _flat(*self.isentropic)

    def volumetric_efficiency(self) -> Measured:
        """The volumetric band likewise."""
        return _flat(*self.volumetric)


def _flat(low: float, high: float) -> Measured:
    return Measured((low + high) / 2, (high - low) / 2 / math.sqrt(3))


class ShellLoss(data.Row):
    """Share of the electrical power that leaves through the shell instead of with the gas, and the most it can be."""

    share: Measured
    most: PositiveFloat
    source: SourceId


class HeatTaken(data.Row):
    """Share of the electrical power that what cools the gas takes out of it, from least to most."""

    share: Annotated[tuple[float, float], AfterValidator(_share)]
    source: SourceId


class CooledHeads(data.Row):
    """Refrigerants whose piston machines have cooled heads as a rule, and what share of the power those may take."""

    refrigerants: frozenset[str]
    share: Annotated[tuple[float, float], AfterValidator(_share)]
    share_source: SourceId
    source: SourceId


class HeldDischarge(data.Row):
    """From which discharge of dry gas, K, it is often held by injection or a fan, and above which reading it may be."""

    dry: PositiveFloat
    held: PositiveFloat
    source: SourceId


class DryLine(data.Row):
    """K above dew, beyond the uncertainty of the reading, from which a suction line carries dry gas."""

    above_dew: PositiveFloat
    source: SourceId


class DeepVacuum(data.Row):
    """Pa absolute and pressure ratio: a running machine that draws its suction so deep pumps."""

    pressure: PositiveFloat
    ratio: PositiveFloat
    source: SourceId


class PressureRatioLimit(data.Row):
    """A ratio of absolute pressures, discharge over suction."""

    ratio: PositiveFloat
    source: SourceId


class WeakLimits(data.Row):
    """Below these a machine that builds pressure still leaks inside, as fractions.

    isentropic: efficiency; volumetric_share: of the lower end of the type's volumetric band; map_share: of the mass
    flow of the maker's map. least_volumetric: less than any machine moves whose discharge is as cool as a sound one's.
    """

    isentropic: PositiveFloat
    volumetric_share: PositiveFloat
    least_volumetric: PositiveFloat
    map_share: PositiveFloat
    source: SourceId


class CompressorLimits(data.Row):
    """The tables of the data file; `any_type` stands for a compressor whose type is not known."""

    types: dict[Compressor, CompressorType]
    any_type: CompressorType
    shell_loss: ShellLoss
    cooled: dict[Literal["oil", "liquid", "vapour"], HeatTaken]
    cooled_heads: CooledHeads
    held: HeldDischarge
    dry_line: DryLine
    deep_vacuum: DeepVacuum
    no_lift: PressureRatioLimit
    small_lift: PressureRatioLimit
    weak: WeakLimits

    @model_validator(mode="after")
    def _any_type_covers_all(self) -> Self:
        for band in ("isentropic", "volumetric"):
            low, high = getattr(self.any_type, band)
            if any(not low <= end <= high for kind in self.types.values() for end in getattr(kind, band)):
                raise ValueError("the bands of any_type must cover those of every type")
        return self


LIMITS = data.table(__package__, "compression.toml", CompressorLimits)


def compressor_type(compressor: Compressor | None) -> CompressorType:
    """The bands of this type; None, where it is not known, takes bands that cover every type.

    Errors: UnknownNameError (`compressor`); InputError for a type to which these calculations do not apply.

    >>> compressor_type("scroll").isentropic
    (0.55, 0.8)
    """
    limits = LIMITS()
    if compressor is None:
        return limits.any_type
    if compressor in limits.types:
        return limits.types[compressor]
    known = tuple(limits.types)
    if compressor in words(Compressor):
        fault = "this calculation is for positive-displacement compressors"
        raise InputError("compressor", fault, ", ".join(known) + ", or leave it out")
    raise UnknownNameError("compressor", "compressor type", known)


def cooling_of(compressor: Compressor | None, cooling: Cooling | None) -> Cooling | None:
    """What cools the gas: as stated, otherwise as in most machines of the type; None where neither is known.

    >>> cooling_of("screw", None), cooling_of("screw", "none"), cooling_of("scroll", None), cooling_of(None, None)
    ('oil', 'none', 'none', None)
    """
    if cooling is not None or compressor is None:
        return cooling
    return compressor_type(compressor).cooling


def heads_may_be_cooled(designation: str, compressor: Compressor | None, cooling: Cooling | None) -> bool:
    """Whether water or oil in the heads may cool the gas, and nobody said that nothing does.

    >>> heads_may_be_cooled("R-717", "reciprocating", None), heads_may_be_cooled("R-717", "reciprocating", "none")
    (True, False)
    """
    pistons = compressor in (None, "reciprocating")
    return pistons and cooling is None and designation in LIMITS().cooled_heads.refrigerants


def gas_cooling(designation: str, compressor: Compressor | None, cooling: Cooling | None) -> Cooling | None:
    """What cools the gas, as `cooling_of`; None as well where the heads may be cooled, so that nobody knows.

    >>> gas_cooling("R-717", "reciprocating", None), gas_cooling("R-22", "reciprocating", None)
    (None, 'none')
    """
    return None if heads_may_be_cooled(designation, compressor, cooling) else cooling_of(compressor, cooling)


def loss_of(cooling: Cooling | None) -> Measured:
    """Share of the power that does not stay in the gas: lost through the shell, or taken by what cools the gas.

    >>> loss_of("none"), loss_of("liquid").value
    (Measured(value=0.07, uncertainty=0.04), 0.3)
    """
    taken = heat_taken(cooling)
    return LIMITS().shell_loss.share if taken is None else _flat(*taken.share)


def heads_loss() -> Measured:
    """Share of the power that heads may take which may be cooled, every share in the band equally likely.

    >>> heads_loss().value
    0.175
    """
    return _flat(*LIMITS().cooled_heads.share)


def heat_taken(cooling: Cooling | None) -> HeatTaken | None:
    """What this cooling takes out of the gas; None where nothing cools it, or nobody knows.

    >>> heat_taken("none"), heat_taken("oil").share
    (None, (0.0, 0.85))
    """
    return None if cooling is None or cooling == "none" else LIMITS().cooled[cooling]
