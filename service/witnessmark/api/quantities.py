"""Quantities on the wire: a value, its unit and, if known, its standard uncertainty. The only place that converts."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    ModelWrapValidatorHandler,
    PlainSerializer,
    Strict,
    ValidationInfo,
    model_validator,
)
from pydantic_core import CoreSchema

from witnessmark.api.units import Dimension, System, Unit, dimensions
from witnessmark.calculations.metrology.uncertainty import Measured

LARGEST = 1e15
SMALLEST = 1e-30
"""Below this magnitude in SI a quantity is zero: no instrument reads it, and its powers would underflow."""


def rounded(value: float) -> float:
    """Ten significant digits: enough for any calculation, free of binary dust."""
    return float(f"{value:.10g}")


# A number that is no quantity is dimensionless unless its field says otherwise (json_schema_extra={"x-unit": "dB"}).
_Bare = Annotated[float, Strict(), Field(json_schema_extra={"x-unit": "1"})]
Real = Annotated[_Bare, PlainSerializer(rounded, float)]
"""Rounded where it is answered; a quantity is rounded already where it is made."""
_BESIDE = {"x-unit": "as in `unit`"}


class Wire(BaseModel):
    """Base of everything on the wire: no unknown fields, nothing coerced, no NaN, no infinity, bounded strings."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, strict=True, str_max_length=2000)


class Shown(Wire):
    """Base of results read from what a calculation returns (attributes, tuples): these need no strictness."""

    model_config = ConfigDict(from_attributes=True, strict=False)


class Quantity(Wire):
    """A value with its unit; `uncertainty` is one standard uncertainty in the same unit."""

    dimension: ClassVar[str]

    value: Annotated[
        _Bare,
        Field(ge=-LARGEST, le=LARGEST, description="The number, in the unit beside it.", json_schema_extra=_BESIDE),
    ]
    unit: str
    uncertainty: Annotated[
        Annotated[_Bare, Field(ge=0, le=LARGEST, json_schema_extra=_BESIDE)] | None,
        Field(description="One standard uncertainty, in the same unit."),
    ] = None

    @classmethod
    def table(cls) -> Dimension:
        """The row of the unit table that this quantity uses."""
        return dimensions()[cls.dimension]

    @property
    def scale(self) -> Unit:
        """The unit of this quantity."""
        return self.table().units[self.unit]

    def to_si(self, air_pressure: float = 0.0) -> Measured:
        """The SI reading; an uncertainty that was not given is 0."""
        value = self.scale.to_si(self.value, air_pressure)
        return Measured(_or_zero(value), _or_zero(self.scale.width_to_si(self.uncertainty or 0.0)))

    @classmethod
    def of(cls, reading: Measured | float, system: System = "SI", unit: str | None = None, air: float = 0.0) -> Self:
        """The quantity that shows an SI reading, in `unit` or the system's usual one."""
        measured = reading if isinstance(reading, Measured) else Measured(reading)
        scale = cls.table().units[unit or cls.table().show[system]]
        width = scale.width_from_si(measured.uncertainty)
        value = rounded(scale.from_si(measured.value, air))
        return cls(value=value, unit=scale.name, uncertainty=rounded(width) if width else None)

    @model_validator(mode="wrap")
    @classmethod
    def _shown(cls, value: Any, handler: ModelWrapValidatorHandler[Self], info: ValidationInfo) -> Self:
        """What a calculation returns (SI) is shown as the request context, which the validation carries, shows it."""
        if isinstance(value, Measured | float) and info.context is not None:
            return info.context.show(cls, value)  # type: ignore[no-any-return]
        return handler(value)

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        schema = handler(core_schema)
        if hasattr(cls, "dimension"):
            handler.resolve_ref_schema(schema)["x-ucum"] = {name: u.ucum for name, u in cls.table().units.items()}
        return schema


def _or_zero(value: float) -> float:
    return value if abs(value) >= SMALLEST else 0.0


class Pressure(Quantity):
    """Pressure; gauge (psig, barg, kPag, MPag, inHg_vac) and absolute (psia, bara, kPaa, MPaa, Pa) are kept apart."""

    dimension = "pressure"
    unit: Literal["psig", "psia", "inHg_vac", "barg", "bara", "kPag", "kPaa", "MPag", "MPaa", "Pa"]


class AirPressure(Quantity):
    """Absolute air pressure, as a barometer on the spot shows it (not reduced to sea level)."""

    dimension = "air_pressure"
    unit: Literal["hPa", "mbar", "kPaa", "inHg", "mmHg", "psia", "bara", "MPaa", "Pa"]


class PressureDifference(Quantity):
    """A difference between two pressures."""

    dimension = "pressure_difference"
    unit: Literal["psi", "kPa", "bar", "MPa", "Pa", "inH2O"]


class Vacuum(Quantity):
    """A small absolute pressure."""

    dimension = "vacuum"
    unit: Literal["micron", "Pa", "mbar", "Torr"]


class Temperature(Quantity):
    """A temperature."""

    dimension = "temperature"
    unit: Literal["degC", "degF", "K"]


class TemperatureDifference(Quantity):
    """A difference between two temperatures, such as superheat."""

    dimension = "temperature_difference"
    unit: Literal["K", "degF"]


class Length(Quantity):
    """A length."""

    dimension = "length"
    unit: Literal["m", "mm", "um", "ft", "in"]


class Area(Quantity):
    """An area."""

    dimension = "area"
    unit: Literal["m2", "mm2", "ft2", "in2"]


class Volume(Quantity):
    """A volume."""

    dimension = "volume"
    unit: Literal["m3", "L", "mL", "cm3", "ft3", "in3", "fl_oz"]


class Mass(Quantity):
    """A mass."""

    dimension = "mass"
    unit: Literal["kg", "g", "mg", "lb", "oz"]


class LinearDensity(Quantity):
    """Mass per length of pipe."""

    dimension = "linear_density"
    unit: Literal["kg/m", "g/m", "lb/ft", "oz/ft"]


class MassFlow(Quantity):
    """Mass per time."""

    dimension = "mass_flow"
    unit: Literal["kg/s", "kg/h", "g/s", "lb/h", "lb/min"]


class VolumeFlow(Quantity):
    """Volume per time."""

    dimension = "volume_flow"
    unit: Literal["m3/s", "m3/h", "L/s", "ft3/min"]


class Velocity(Quantity):
    """A velocity."""

    dimension = "velocity"
    unit: Literal["m/s", "ft/min"]


class Density(Quantity):
    """Mass per volume."""

    dimension = "density"
    unit: Literal["kg/m3", "lb/ft3"]


class Power(Quantity):
    """Power, such as the electrical power into a compressor."""

    dimension = "power"
    unit: Literal["W", "kW", "Btu/h", "ton"]


class Capacity(Quantity):
    """Cooling or heating capacity of a circuit."""

    dimension = "capacity"
    unit: Literal["W", "kW", "Btu/h", "ton"]


class SpecificEnergy(Quantity):
    """Energy per mass, such as specific enthalpy."""

    dimension = "specific_energy"
    unit: Literal["J/kg", "kJ/kg", "Btu/lb"]


class SpecificEntropy(Quantity):
    """Specific entropy."""

    dimension = "specific_entropy"
    unit: Literal["J/(kg.K)", "kJ/(kg.K)", "Btu/(lb.degF)"]


class VolumetricCapacity(Quantity):
    """Cooling per volume of gas taken in."""

    dimension = "volumetric_capacity"
    unit: Literal["J/m3", "kJ/m3", "Btu/ft3"]


class Voltage(Quantity):
    """A voltage."""

    dimension = "voltage"
    unit: Literal["V", "kV"]


class Current(Quantity):
    """A current."""

    dimension = "current"
    unit: Literal["A", "mA"]


class Resistance(Quantity):
    """An electrical resistance."""

    dimension = "resistance"
    unit: Literal["Ohm", "mOhm", "kOhm", "MOhm", "GOhm"]


class Frequency(Quantity):
    """A frequency or a speed of rotation."""

    dimension = "frequency"
    unit: Literal["Hz", "rpm"]


class Time(Quantity):
    """A duration."""

    dimension = "time"
    unit: Literal["s", "min", "h", "d"]


class MassFraction(Quantity):
    """Mass of a trace in a mass of the whole, such as water in oil."""

    dimension = "mass_fraction"
    unit: Literal["kg/kg", "mg/kg", "%"]


class AcidNumber(Quantity):
    """Acid number: milligrams of KOH that neutralise one gram of oil."""

    dimension = "acid_number"
    unit: Literal["mgKOH/g"]
