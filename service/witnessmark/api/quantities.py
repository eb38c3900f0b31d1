"""The kinds of quantity on the wire: each a value, its unit and, if known, its standard uncertainty."""

from __future__ import annotations

from typing import Annotated

from witnessmark.api.units import InUnit, Quantity, Real, Shown, Wire, rounded

__all__ = [
    "AcidNumber",
    "AirPressure",
    "Area",
    "Capacity",
    "Current",
    "Density",
    "Frequency",
    "GaugePressure",
    "InUnit",
    "Length",
    "LinearDensity",
    "Mass",
    "MassFlow",
    "MassFraction",
    "Power",
    "Pressure",
    "PressureDifference",
    "Quantity",
    "Real",
    "Resistance",
    "Shown",
    "SpecificEnergy",
    "SpecificEntropy",
    "Temperature",
    "TemperatureDifference",
    "Time",
    "Vacuum",
    "Velocity",
    "Voltage",
    "Volume",
    "VolumeFlow",
    "VolumetricCapacity",
    "Wire",
    "rounded",
]


class Pressure(Quantity):
    """Pressure; gauge (psig, barg, kPag, MPag, inHg_vac) and absolute (psia, bara, kPaa, MPaa, Pa) are kept apart."""

    dimension = "pressure"


GaugePressure = Annotated[Pressure, InUnit("kPag", "psig")]
"""An absolute pressure of the core, answered as a gauge at the site would show it."""


class AirPressure(Quantity):
    """Absolute air pressure, as a barometer on the spot shows it (not reduced to sea level)."""

    dimension = "air_pressure"


class PressureDifference(Quantity):
    """A difference between two pressures."""

    dimension = "pressure_difference"


class Vacuum(Quantity):
    """A small absolute pressure."""

    dimension = "vacuum"


class Temperature(Quantity):
    """A temperature."""

    dimension = "temperature"


class TemperatureDifference(Quantity):
    """A difference between two temperatures, such as superheat."""

    dimension = "temperature_difference"


class Length(Quantity):
    """A length."""

    dimension = "length"


class Area(Quantity):
    """An area."""

    dimension = "area"


class Volume(Quantity):
    """A volume."""

    dimension = "volume"


class Mass(Quantity):
    """A mass."""

    dimension = "mass"


class LinearDensity(Quantity):
    """Mass per length of pipe."""

    dimension = "linear_density"


class MassFlow(Quantity):
    """Mass per time."""

    dimension = "mass_flow"


class VolumeFlow(Quantity):
    """Volume per time."""

    dimension = "volume_flow"


class Velocity(Quantity):
    """A velocity."""

    dimension = "velocity"


class Density(Quantity):
    """Mass per volume."""

    dimension = "density"


class Power(Quantity):
    """Power, such as the electrical power into a compressor."""

    dimension = "power"


class Capacity(Quantity):
    """Cooling or heating capacity of a circuit."""

    dimension = "capacity"


class SpecificEnergy(Quantity):
    """Energy per mass, such as specific enthalpy."""

    dimension = "specific_energy"


class SpecificEntropy(Quantity):
    """Specific entropy."""

    dimension = "specific_entropy"


class VolumetricCapacity(Quantity):
    """Cooling per volume of gas taken in."""

    dimension = "volumetric_capacity"


class Voltage(Quantity):
    """A voltage."""

    dimension = "voltage"


class Current(Quantity):
    """A current."""

    dimension = "current"


class Resistance(Quantity):
    """An electrical resistance."""

    dimension = "resistance"


class Frequency(Quantity):
    """A frequency or a speed of rotation."""

    dimension = "frequency"


class Time(Quantity):
    """A duration."""

    dimension = "time"


class MassFraction(Quantity):
    """Mass of a trace in a mass of the whole, such as water in oil."""

    dimension = "mass_fraction"


class AcidNumber(Quantity):
    """Acid number: milligrams of KOH that neutralise one gram of oil."""

    dimension = "acid_number"
