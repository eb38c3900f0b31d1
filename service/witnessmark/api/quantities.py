"""The kinds of quantity on the wire: each a value, its unit and, if known, its standard uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, ValidationInfo, ValidatorFunctionWrapHandler
from pydantic_core import CoreSchema, core_schema

from witnessmark.api.units import Quantity, Real, Shown, Wire, rounded

__all__ = ["Quantity", "Real", "Shown", "Wire", "rounded"]


@dataclass(frozen=True, slots=True)
class InUnit:
    """Mark on a field of a result: the unit that its quantities are shown in, instead of the system's usual one.

    ip, bar: those of the other systems. Estimates, limits and lists pass it on to their quantities.
    """

    si: str
    ip: str = ""
    bar: str = ""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """The field's own, in that unit."""
        return core_schema.with_info_wrap_validator_function(self._in_unit, handler(source))

    def _in_unit(self, value: Any, handler: ValidatorFunctionWrapHandler, info: ValidationInfo) -> Any:
        context = info.context
        if context is None:
            return handler(value)
        usual, context.unit = context.unit, {"IP": self.ip, "bar": self.bar}.get(context.system) or self.si
        try:
            return handler(value)
        finally:
            context.unit = usual


class Pressure(Quantity):
    """Pressure; gauge units (psig, barg, … and inHg_vac) and absolute ones (psia, bara, …) are kept apart."""


GaugePressure = Annotated[Pressure, InUnit("kPag", "psig", "barg")]
"""An absolute pressure of the core, answered as a gauge at the site would show it."""


class AirPressure(Quantity):
    """Absolute air pressure, as a barometer on the spot shows it (not reduced to sea level)."""


class PressureDifference(Quantity):
    """A difference between two pressures."""


class Vacuum(Quantity):
    """A small absolute pressure."""


class Temperature(Quantity):
    """A temperature."""


class TemperatureDifference(Quantity):
    """A difference between two temperatures, such as superheat."""


class Length(Quantity):
    """A length."""


class Area(Quantity):
    """An area."""


class Volume(Quantity):
    """A volume."""


class Mass(Quantity):
    """A mass."""


class LinearDensity(Quantity):
    """Mass per length of pipe."""


class MassFlow(Quantity):
    """Mass per time."""


class VolumeFlow(Quantity):
    """Volume per time."""


class Velocity(Quantity):
    """A velocity."""


class Density(Quantity):
    """Mass per volume."""


class Power(Quantity):
    """Power, such as the electrical power into a compressor."""


class Capacity(Quantity):
    """Cooling or heating capacity of a circuit."""


class SpecificEnergy(Quantity):
    """Energy per mass, such as specific enthalpy."""


class SpecificEntropy(Quantity):
    """Specific entropy."""


class VolumetricCapacity(Quantity):
    """Cooling per volume of gas taken in."""


class Voltage(Quantity):
    """A voltage."""


class Current(Quantity):
    """A current."""


class Resistance(Quantity):
    """An electrical resistance."""


class Capacitance(Quantity):
    """An electrical capacitance."""


class Frequency(Quantity):
    """A frequency or a speed of rotation."""


class Time(Quantity):
    """A duration."""


class MassFraction(Quantity):
    """Mass of a trace in a mass of the whole, such as water in oil."""


class AcidNumber(Quantity):
    """Acid number: milligrams of KOH that neutralise one gram of oil."""
