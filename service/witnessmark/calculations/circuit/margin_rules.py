"""The rows of the limits of superheat and subcooling, and of what is said of them (superheat.toml).

Temperatures and their differences in K. Source: each row names its own.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text
from witnessmark.vocabulary import Application, Compressor

SuperheatPlace = TypeAliasType("SuperheatPlace", Literal["suction", "discharge", "sump"])
"""Where superheat was read: it chooses the limits."""
MeteringDevice = TypeAliasType(
    "MeteringDevice", Literal["thermostatic-valve", "electronic-valve", "fixed-orifice", "capillary", "float"]
)
"""What feeds the evaporator; `float`: a flooded evaporator."""
Fact = Literal["compressor", "application", "metering", "refrigerant"]
FACTS: tuple[Fact, ...] = ("compressor", "application", "metering")
"""What a caller may say of the machine."""


class Band(data.Row):
    """Limits of a margin, K, and the machines they are stated for; `high` is None where only a minimum is known.

    needs: it may hold only where these facts are known. alone: where these are and it may hold, no other band does that
    is not so. surely: above it is too much beside limits without an upper end: `high`, or the greatest of the place
    where what it names is not known.
    """

    low: Annotated[float, Field(ge=0)]
    high: float | None = None
    source: SourceId
    compressors: tuple[Compressor, ...] = ()
    applications: tuple[Application, ...] = ()
    metering: tuple[MeteringDevice, ...] = ()
    refrigerants: tuple[str, ...] = ()
    needs: tuple[Fact, ...] = ()
    alone: tuple[Fact, ...] = ()
    surely: float | None = None

    @model_validator(mode="after")
    def _is_a_band(self) -> Self:
        if self.high is not None and not self.low < self.high:
            raise ValueError("a band needs low < high")
        return self


class Beyond(data.Row):
    """How far beyond the far end of evaporation a reading may lie, K, before it contradicts the pressure.

    gas: of a line that should carry gas, where nothing but the two readings is asked about.
    """

    far_end: Annotated[float, Field(gt=0)]
    gas: Annotated[float, Field(gt=0)]
    source: SourceId


class Hottest(data.Row):
    """Temperature, K, above which no discharge line is good, and the machines it is stated for (no list: every one).

    special: it replaces the general ones where all that it names is known; where that is not known both may hold.
    """

    temperature: Annotated[float, Field(gt=0)]
    source: SourceId
    refrigerants: tuple[str, ...] = ()
    compressors: tuple[Compressor, ...] = ()
    special: bool = False


class Bands(data.Row):
    """The limits by place, and the likely reasons where two readings contradict each other, or the line is too hot.

    hottest: of the discharge line, hottest_sump: of the oil; far_hottest: K, above which no limit of a maker counts.
    """

    suction: tuple[Band, ...]
    discharge: tuple[Band, ...]
    sump: tuple[Band, ...]
    liquid: tuple[Band, ...]
    beyond: Beyond
    hottest: tuple[Hottest, ...]
    hottest_sump: tuple[Hottest, ...]
    far_hottest: float
    reasons: dict[str, tuple[Text, ...]]


bands = data.table(__package__, "superheat.toml", Bands)
