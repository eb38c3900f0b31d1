"""Units, and the one place that converts: quantities on the wire into SI readings and back. Table: units.toml."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from typing import Annotated, Any, ClassVar, Literal, Protocol, Self, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    ModelWrapValidatorHandler,
    PlainSerializer,
    Strict,
    ValidationInfo,
    model_validator,
)
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.api.described import describe
from witnessmark.api.told_units import AT_SEA_LEVEL, IN_SI, told_units
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured, figure, taken_for_instrument
from witnessmark.errors import InputError
from witnessmark.reference.instruments import LOW_SIDE, default_uncertainty, reader
from witnessmark.vocabulary import SystemOfUnits

LARGEST = 1e15
SMALLEST = 1e-30
"""Below this magnitude in SI a quantity is zero: no instrument reads it, and its powers would underflow."""
DUST = 1e-15
"""Below this magnitude in SI a result is what rounding left of equal numbers, unless its dimension says otherwise."""

THICKEST_AIR = 115e3
"""No inhabited place has a higher air pressure, Pa."""

GAUGE = "gauge pressure"
"""Beside the dimensions, in the units that a request was sent in."""


class Unit(data.Row):
    """SI = value * factor + offset; a gauge unit counts from the local air pressure; `vacuum`: of vacuum gauges."""

    name: str = ""
    """The key of its row, put in when the table is read."""
    label: Annotated[str, Field(min_length=1)]
    factor: float
    ucum: str
    offset: float = 0.0
    gauge: bool = False
    vacuum: bool = False
    width: str = ""
    """That of a standard uncertainty, where it is another one: a difference, neither gauge nor absolute."""

    def to_si(self, value: float, air_pressure: float = 0.0) -> float:
        """The value in SI; `air_pressure` in Pa counts only for gauge units."""
        return value * self.factor + (air_pressure if self.gauge else self.offset)

    def from_si(self, value: float, air_pressure: float = 0.0) -> float:
        """The SI value in this unit."""
        return (value - (air_pressure if self.gauge else self.offset)) / self.factor

    def width_to_si(self, width: float) -> float:
        """A standard uncertainty or a difference in SI: no offset, never negative."""
        return abs(width * self.factor)

    def width_from_si(self, width: float) -> float:
        """A standard uncertainty in this unit."""
        return abs(width / self.factor)

    @property
    def width_name(self) -> str:
        """The unit of a width."""
        return self.width or self.name

    @property
    def width_words(self) -> str:
        """The same in words, and as rows may have it too: degF."""
        return self.width_name.removeprefix("delta_")


def _named(units: dict[str, Unit]) -> dict[str, Unit]:
    return {key: row.model_copy(update={"name": key}) for key, row in units.items()}


class Dimension(data.Row):
    """A physical dimension with its units; `show` names the unit of answers per system (`bar`: SI where none is named).

    dust: results below this, SI, are what rounding has left, and are shown as 0.
    """

    si: str
    show: dict[SystemOfUnits, str]
    dust: float = DUST
    units: Annotated[dict[str, Unit], AfterValidator(_named)]

    @model_validator(mode="after")
    def _shown_units_exist(self) -> Self:
        if missing := sorted({self.show["SI"], self.show["IP"], self.shown("bar")} - self.units.keys()):
            raise ValueError(f"answers are shown in unknown units: {', '.join(missing)}")
        return self

    def shown(self, system: SystemOfUnits) -> str:
        """The unit of answers."""
        return self.show.get(system, self.show["SI"])


dimensions = data.table(__package__, "units.toml", dict[str, Dimension])
"""Every dimension by name: `dimensions()`."""


def rounded(value: float) -> float:
    """Ten significant digits: enough for any calculation, free of binary dust."""
    return float(f"{value:.10g}")


# A number that is no quantity is dimensionless unless its field says otherwise (json_schema_extra={"x-unit": "dB"}).
Bare = Annotated[float, Strict(), Field(json_schema_extra={"x-unit": "1"})]
Real = Annotated[Bare, PlainSerializer(rounded, float)]
"""Rounded where it is answered; a quantity is rounded already where it is made."""
_BESIDE = {"x-unit": "as in `unit`"}


class Wire(BaseModel):
    """Base of everything on the wire: no unknown fields, nothing coerced, no NaN, no infinity, bounded strings.

    The description of a field stands in `Field`, or where that would take more lines as a docstring below it.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, strict=True, str_max_length=2000)

    def __init_subclass__(cls, **more: Any) -> None:
        super().__init_subclass__(**more)
        describe(cls)


class Shown(Wire):
    """Base of results read from what a calculation returns (attributes, tuples): these need no strictness."""

    model_config = ConfigDict(from_attributes=True, strict=False)


_ALL = {"value", "unit", "uncertainty"}


class Quantity(Wire):
    """A value with its unit; `uncertainty` is one standard uncertainty in the same unit.

    A kind of quantity is named like its `dimension`; the units that it takes are those of the table, a closed list.
    """

    dimension: ClassVar[str]
    table: ClassVar[Dimension]

    value: Annotated[
        Bare,
        Field(ge=-LARGEST, le=LARGEST, description="The number, in the unit beside it.", json_schema_extra=_BESIDE),
    ]
    unit: str
    uncertainty: Annotated[
        Annotated[Bare, Field(ge=0, le=LARGEST, json_schema_extra=_BESIDE)] | None,
        Field(description="One standard uncertainty, in the same unit."),
    ] = None

    def __init_subclass__(cls, **more: Any) -> None:
        super().__init_subclass__(**more)
        cls.dimension = re.sub(r"\B(?=[A-Z])", "_", cls.__name__).lower()
        cls.table = dimensions()[cls.dimension]
        names = TypeAliasType(f"{cls.__name__}Unit", Literal[tuple(cls.table.units)])  # type: ignore[misc]
        cls.__annotations__["unit"] = Annotated[names, Field(description="The unit of value and uncertainty.")]

    @property
    def scale(self) -> Unit:
        """The unit of this quantity."""
        return self.table.units[self.unit]

    def to_si(self, air_pressure: float = 0.0) -> Measured:
        """The SI reading; an uncertainty that was not given is 0."""
        scale = self.scale
        width = scale.width_to_si(self.uncertainty or 0.0)
        return Measured(_or_zero(scale.to_si(self.value, air_pressure)), _or_zero(width))

    @classmethod
    def of(
        cls, reading: Measured | float, system: SystemOfUnits = "SI", unit: str | None = None, air: float = 0.0
    ) -> Self:
        """The quantity that shows an SI reading, in `unit` or the system's usual one."""
        table = cls.table
        scale = table.units[unit or table.shown(system)]
        value, width = (reading.value, reading.uncertainty) if isinstance(reading, Measured) else (reading, 0.0)
        value = value if abs(value) >= table.dust else 0.0
        shown_width = rounded(scale.width_from_si(width)) if width else None
        return cls._made(rounded(scale.from_si(value, air)), scale.name, shown_width or None)

    @classmethod
    def _made(cls, value: float, unit: str, uncertainty: float | None) -> Self:
        """One of our own numbers in a unit of the table: what a validation would find is found by two comparisons."""
        if not (abs(value) <= LARGEST and 0.0 <= (uncertainty or 0.0) <= LARGEST):
            return cls(value=value, unit=unit, uncertainty=uncertainty)  # which refuses it
        made = cls.__new__(cls)
        object.__setattr__(made, "__dict__", {"value": value, "unit": unit, "uncertainty": uncertainty})
        object.__setattr__(made, "__pydantic_fields_set__", _ALL)
        object.__setattr__(made, "__pydantic_extra__", None)
        object.__setattr__(made, "__pydantic_private__", None)
        return made

    @model_validator(mode="wrap")
    @classmethod
    def _shown(cls, value: Any, handler: ModelWrapValidatorHandler[Self], info: ValidationInfo) -> Self:
        """What a calculation returns (SI) is shown as the request context, which the validation carries, shows it."""
        if isinstance(value, Measured | float) and info.context is not None:
            return info.context.show(cls, value)  # type: ignore[no-any-return]
        return handler(value)


def _or_zero(value: float) -> float:
    return value if abs(value) >= SMALLEST else 0.0


@cache
def _weather() -> float:
    """Standard uncertainty of the air pressure where nobody read a barometer, Pa."""
    return default_uncertainty("standard-atmosphere", SEA_LEVEL_PRESSURE)


@dataclass(frozen=True, slots=True)
class Beside:
    """What a calculation returned, and fields that stand beside it."""

    _source: object
    _fields: dict[str, Any]

    def __getattr__(self, name: str) -> Any:
        return self._fields[name] if name in self._fields else getattr(self._source, name)


Q = TypeVar("Q", bound=Quantity)


class Place(Protocol):
    """Where readings were taken."""

    def air_pressure(self) -> float:
        """Local air pressure, Pa."""

    @property
    def knows_weather(self) -> bool:
        """Whether that was read on the spot."""


@dataclass(slots=True)
class Conversion:
    """Quantities into readings and back for one request, with a list of what was assumed on the way.

    The air pressure is found once, and only where a gauge counts from it.
    """

    system: SystemOfUnits = "SI"
    site: Place | None = None
    assumptions: list[str] = field(default_factory=list)
    sent: Mapping[str, str] = field(default_factory=dict)
    unit: str | None = None
    """In which quantities are shown now; None for the system's usual one."""
    _air: float | None = None
    _weather_apart: bool = False

    def assume(self, text: str) -> None:
        """Note an assumption once, in the units of the answer."""
        if (told := told_units(text, self.system) if IN_SI.search(text) else text) not in self.assumptions:
            self.assumptions.append(told)

    def air_pressure(self) -> float:
        """Local air pressure, Pa; sea level if the request does not say, which is noted."""
        if self._air is None:
            if self.site is None:
                self.assume(AT_SEA_LEVEL[self.system])
            self._air = SEA_LEVEL_PRESSURE if self.site is None else self.site.air_pressure()
        return self._air

    def read(self, quantity: Quantity, field: str, low: float, high: float, instrument: str | None = None) -> Measured:
        """The SI reading of a quantity that must lie in [low, high] (SI).

        Where no uncertainty was given and an instrument is named, that instrument's default stands in, which is noted.
        Raises OutOfRangeError naming `field`, TooUncertainError where its uncertainty is wider than the range.
        """
        scale = quantity.scale
        value = _or_zero(scale.to_si(quantity.value, self.air_pressure() if scale.gauge else 0.0))
        if scale.gauge:
            self._possible(quantity, field, value)
        if instrument is None or quantity.uncertainty is not None:
            width = _or_zero(scale.width_to_si(quantity.uncertainty or 0.0))
        else:
            by = reader(instrument, in_vacuum=scale.vacuum)
            width = default_uncertainty(by, value)
            self.assume(f"{field}: {taken_for_instrument(scale.width_from_si(width), scale.width_words, by)}.")
        if instrument is not None and scale.gauge and not self._weather_apart:
            weather = self.weather()
            width = math.sqrt(width * width + weather * weather)  # as columns have it (arithmetic)
        reading = Measured(value, width)
        if not (low <= value <= high and width <= high - low):  # within allows for rounding, or says what is wrong
            within(field, reading, (low, high), quantity.dimension)
        if value < THICKEST_AIR and (instrument == LOW_SIDE or field.endswith("suction_pressure")):
            self.low_side(value)
        return reading

    def low_side(self, pressure: float) -> None:
        """Say so where a pressure of the low side, Pa, stands below the air: it draws air in, whatever is inside."""
        if pressure < THICKEST_AIR and pressure < self.air_pressure():
            self.below_air()

    def below_air(self) -> None:
        """A low side stands below the air pressure of the site: nobody is warned here."""

    def weather(self) -> float:
        """Standard uncertainty of the air pressure that gauges count from, Pa; 0 where it was read."""
        return 0.0 if self.site and self.site.knows_weather else _weather()

    @contextmanager
    def without_weather(self, *, apart: bool) -> Iterator[None]:
        """Readings within leave the weather out of their uncertainty: the calculation takes it as a shared error."""
        self._weather_apart = apart
        try:
            yield
        finally:
            self._weather_apart = False

    def _possible(self, quantity: Quantity, field: str, value: float) -> None:
        """InputError for a negative vacuum, which can be read two ways, and for one deeper than the air is."""
        scale, air = quantity.scale, self.air_pressure()
        if scale.factor < 0 and quantity.value < 0:
            number = figure(-quantity.value)
            below, above = (figure(scale.to_si(sign * quantity.value, air) / 1e3) for sign in (-1, 1))
            unit = scale.name
            fault = (
                f"a negative vacuum can mean {number} {unit} below the air pressure ({below} kPa absolute) or as much "
                f"above it ({above} kPa absolute)"
            )
            raise InputError(field, fault, f"{number} {unit} for a vacuum; for a pressure a gauge unit such as psig")
        if value < 0:
            deepest = figure(abs(air / scale.factor))
            fault = f"deeper than possible at this altitude, where the air is only {deepest} {scale.width_words}"
            raise InputError(field, fault, "another unit, sign, altitude or barometer")

    def read_optional(
        self, quantity: Quantity | None, field: str, low: float, high: float, instrument: str | None = None
    ) -> Measured | None:
        """As `read`; None stays None."""
        return None if quantity is None else self.read(quantity, field, low, high, instrument)

    @contextmanager
    def in_unit(self, unit: str | None) -> Iterator[None]:
        """Within, quantities are shown in this unit; None for the system's usual one."""
        usual, self.unit = self.unit, unit
        try:
            yield
        finally:
            self.unit = usual

    def show(self, kind: type[Q], reading: Measured | float, unit: str | None = None) -> Q:
        """The quantity for an SI reading in the caller's system of units, or in a named unit."""
        unit = self.like(kind, unit or self.unit)
        air = self.air_pressure() if unit and kind.table.units[unit].gauge else 0.0
        return kind.of(reading, self.system, unit, air)

    def like(self, kind: type[Quantity], unit: str | None = None) -> str | None:
        """The unit in which the like of it was sent, where units are shown as sent."""
        if unit is None:
            return self.sent.get(kind.dimension)
        return self.sent.get(GAUGE, unit) if kind.table.units[unit].gauge else unit

    def show_optional(self, kind: type[Q], reading: Measured | float | None, unit: str | None = None) -> Q | None:
        """As `show`; None stays None."""
        return None if reading is None else self.show(kind, reading, unit)
