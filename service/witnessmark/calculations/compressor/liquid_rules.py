"""Estimates behind the liquid model and the words of its verdicts: reviewed data (liquid_ingestion.toml)."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, PositiveFloat
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text

AdviceId = TypeAliasType(
    "AdviceId",
    Literal[
        "dry",
        "taken",
        "dilutes",
        "over-current",
        "locks",
        "unsure",
        "gradual",
        "slug",
        "slow-forgiving",
        "ramp-danger",
        "ramp-warned",
        "ramp-clear",
    ],
)
"""Ids of what the calculation says in words."""


class GapEstimates(data.Row):
    """Leakage area = share * displacement^(2/3), discharge coefficient, pressure that parts stand, Pa, and turns."""

    share: Measured
    coefficient: Measured
    give_way: Measured
    turns: Measured
    source: SourceId


class LoadEstimates(data.Row):
    """Shaft work over dry work at which a protector or drive trips; share of the dry work lost in the port."""

    trip: Measured
    port: Measured
    source: SourceId


class OilDilution(data.Row):
    """Quality of what arrives below which the liquid dilutes the oil and washes the bearings."""

    quality: Annotated[float, Field(gt=0, lt=1)]
    source: SourceId


class ResponseTimes(data.Row):
    """How long a protector takes to act, s."""

    electronic: PositiveFloat
    thermal: PositiveFloat
    source: SourceId


class LiquidRules(data.Row):
    """The tables of the data file."""

    gaps: GapEstimates
    load: LoadEstimates
    protection: ResponseTimes
    dilution: OilDilution
    advice: dict[AdviceId, Text]
    advice_source: SourceId


RULES = data.table(__package__, "liquid_ingestion.toml", LiquidRules)
