"""The kinds of quantity on the wire: each a value, its unit and, if known, its standard uncertainty."""

from __future__ import annotations

from typing import Annotated

from witnessmark.api.units import InUnit, Quantity, Real, Shown, Wire, rounded

__all__ = ["InUnit", "Quantity", "Real", "Shown", "Wire", "rounded"]


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
