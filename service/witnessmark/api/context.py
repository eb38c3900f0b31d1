"""Where quantities become SI readings and results become quantities again, with what was assumed on the way."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import version
from typing import Self, TypedDict, TypeVar

from pydantic import Field, model_validator

from witnessmark import __version__, data
from witnessmark.api.quantities import AirPressure, Length, Pressure, Quantity, Wire
from witnessmark.api.units import System
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE, pressure_at_altitude
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError
from witnessmark.reference import caution, source
from witnessmark.reference.instruments import default_uncertainty

Q = TypeVar("Q", bound=Quantity)
PROPERTY_LIBRARY = f"CoolProp {version('CoolProp')}"

# Above this the "gauge" reading would need an air pressure no inhabited place has; below it no barometer works.
BAROMETER_RANGE = (30e3, 115e3)


class Site(Wire):
    """Where the readings were taken: gauge pressures count from the local air pressure."""

    altitude: Length | None = Field(None, description="Height above sea level; the standard atmosphere gives the air.")
    barometer: AirPressure | None = Field(
        None, description="Read on the spot. Weather services state it reduced to sea level: then give the altitude."
    )

    @model_validator(mode="after")
    def _one_of_them(self) -> Self:
        if (self.altitude is None) == (self.barometer is None):
            raise ValueError("give either altitude or barometer")
        return self

    def air_pressure(self) -> float:
        """Local air pressure, Pa."""
        if self.altitude is not None:
            return pressure_at_altitude(self.altitude.to_si().value)
        assert self.barometer is not None  # noqa: S101 - the validator says so
        pressure = self.barometer.to_si().value
        if not BAROMETER_RANGE[0] <= pressure <= BAROMETER_RANGE[1]:
            raise OutOfRangeError("site.barometer", pressure, *BAROMETER_RANGE, "air_pressure")
        return pressure


class CautionNote(Wire):
    """A warning that belongs to the work at hand."""

    id: str
    text: str


class SourceNote(Wire):
    """Where a figure or formula comes from, and how far to trust it."""

    id: str
    citation: str
    trust: str
    note: str


class ModelVersion(Wire):
    """What decides the numbers: the same three give the same answer."""

    service: str
    property_library: str
    knowledge: str


class Request(Wire):
    """Base of every calculation request."""

    site: Site | None = Field(None, description="Altitude or barometer; without it sea-level air is assumed, and said.")
    report_in: System = Field("SI", description="Units of the answer.")


class Answer(Wire):
    """Base of every answer: the result stands in `result`."""

    assumptions: list[str] = Field(description="What the service assumed because the request did not say.")
    cautions: list[CautionNote] = Field(description="What to be careful about.")
    sources: list[SourceNote] = Field(description="Where formulas and limits come from.")
    model_version: ModelVersion


class Notes(TypedDict):
    """What stands beside the result of every answer."""

    assumptions: list[str]
    cautions: list[CautionNote]
    sources: list[SourceNote]
    model_version: ModelVersion


@cache
def model_version() -> ModelVersion:
    """The versions that decide the numbers."""
    return ModelVersion(service=__version__, property_library=PROPERTY_LIBRARY, knowledge=data.version())


@dataclass(slots=True)
class RequestContext:
    """Turns quantities into readings and back for one request, and keeps the list of assumptions."""

    system: System = "SI"
    site: Site | None = None
    assumptions: list[str] = field(default_factory=list)
    _sources: dict[str, None] = field(default_factory=dict)
    _cautions: dict[str, None] = field(default_factory=dict)

    @classmethod
    def of(cls, request: Request) -> RequestContext:
        """The context for a request."""
        return cls(request.report_in, request.site)

    def assume(self, text: str) -> None:
        """Note an assumption once."""
        if text not in self.assumptions:
            self.assumptions.append(text)

    def cite(self, *ids: str) -> None:
        """Quote sources by id."""
        self._sources.update(dict.fromkeys(ids))

    def warn(self, *ids: str) -> None:
        """Quote cautions by id."""
        self._cautions.update(dict.fromkeys(ids))

    def air_pressure(self) -> float:
        """Local air pressure, Pa; sea level if the request does not say, which is noted."""
        if self.site is not None:
            self.cite("iso-2533")
            return self.site.air_pressure()
        self.assume("Air pressure: standard sea level, 101.325 kPa (no altitude or barometer given).")
        self.cite("iso-2533")
        return SEA_LEVEL_PRESSURE

    def read(self, quantity: Quantity, field: str, low: float, high: float, instrument: str | None = None) -> Measured:
        """The SI reading of a quantity that must lie in [low, high] (SI).

        Where no uncertainty was given and an instrument is named, that instrument's default stands in, which is noted.
        Raises OutOfRangeError naming `field`, TooUncertainError where its uncertainty is wider than the range.
        """
        air = self.air_pressure() if quantity.scale.gauge else 0.0
        reading = quantity.to_si(air)
        within(field, reading, (low, high), quantity.dimension)
        if instrument is None:
            return reading
        own = reading.uncertainty if quantity.uncertainty is not None else self._default(quantity, field, instrument)
        return Measured(reading.value, math.hypot(own, self._air_uncertainty(quantity)))

    def _air_uncertainty(self, quantity: Quantity) -> float:
        """What not knowing the weather adds to a gauge reading, Pa; nothing where the barometer was read."""
        if not quantity.scale.gauge or (self.site is not None and self.site.barometer is not None):
            return 0.0
        return default_uncertainty("standard-atmosphere", SEA_LEVEL_PRESSURE)

    def _default(self, quantity: Quantity, field: str, instrument: str) -> float:
        air = self.air_pressure() if quantity.scale.gauge else 0.0
        default = default_uncertainty(instrument, quantity.to_si(air).value)
        shown = quantity.scale.width_from_si(default)
        self.assume(
            f"{field}: standard uncertainty {shown:.3g} {difference_name(quantity)} taken for its instrument "
            f"({instrument.replace('-', ' ')})."
        )
        return default

    def read_optional(
        self, quantity: Quantity | None, field: str, low: float, high: float, instrument: str | None = None
    ) -> Measured | None:
        """As `read`; None stays None."""
        return None if quantity is None else self.read(quantity, field, low, high, instrument)

    def show(self, kind: type[Q], reading: Measured | float, unit: str | None = None) -> Q:
        """The quantity for an SI reading in the caller's system of units, or in a named unit."""
        air = self.air_pressure() if unit and kind.table().units[unit].gauge else 0.0
        return kind.of(reading, self.system, unit, air)

    def show_optional(self, kind: type[Q], reading: Measured | float | None, unit: str | None = None) -> Q | None:
        """As `show`; None stays None."""
        return None if reading is None else self.show(kind, reading, unit)

    def show_gauge(self, reading: Measured | float) -> Pressure:
        """An absolute pressure as a gauge would show it at the site."""
        return self.show(Pressure, reading, "psig" if self.system == "IP" else "kPag")

    def notes(self) -> Notes:
        """What goes beside the result of every answer."""
        return Notes(
            assumptions=self.assumptions,
            cautions=[_caution_note(key) for key in self._cautions],
            sources=[_source_note(key) for key in self._sources],
            model_version=model_version(),
        )


# Notes cannot be changed, so every answer may hold the same ones.
@cache
def _caution_note(key: str) -> CautionNote:
    found = caution(key)
    return CautionNote(id=found.id, text=found.text)


@cache
def _source_note(key: str) -> SourceNote:
    found = source(key)
    return SourceNote(id=found.id, citation=found.citation, trust=found.trust, note=found.note)


def difference_name(quantity: Quantity) -> str:
    """The unit in which a width of this quantity is spoken of: neither gauge nor absolute."""
    return quantity.scale.width_name
