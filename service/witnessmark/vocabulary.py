"""The words of the trade that more than one part of the service takes: each list is written here and nowhere else.

A list that belongs to one calculation stands in its module. Both kinds are type aliases with a name, so that the
OpenAPI document names each of them once. A value that a caller does not know is left out (None), never a word.
"""

from __future__ import annotations

from functools import cache
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BeforeValidator
from typing_extensions import TypeAliasType

Compressor = TypeAliasType("Compressor", Literal["scroll", "reciprocating", "rotary", "screw", "centrifugal"])
"""How the compressor compresses."""
Construction = TypeAliasType("Construction", Literal["hermetic", "semi-hermetic", "open-drive"])
"""How motor and compressor are enclosed: welded shell, bolted shell, motor outside."""
ShellSide = TypeAliasType("ShellSide", Literal["low-side", "high-side"])
"""Which pressure fills the shell."""
Drive = TypeAliasType("Drive", Literal["fixed-speed", "soft-starter", "inverter"])
"""How the motor is fed. A soft starter runs at fixed speed once it has started."""
Phases = TypeAliasType("Phases", Literal["single-phase", "three-phase"])
"""Phases of the motor's supply."""
Condenser = TypeAliasType("Condenser", Literal["air-cooled", "water-cooled", "evaporative"])
"""What takes the heat of the condenser: air, water, or air over wetted tubes."""
LinesReadAt = TypeAliasType("LinesReadAt", Literal["supply", "motor"])
"""On which side of a drive the three lines were read."""
Application = TypeAliasType("Application", Literal["air-conditioning", "medium-temperature", "low-temperature"])
"""At which evaporating temperatures the machine works: comfort, above freezing goods, frozen goods."""
Plant = TypeAliasType("Plant", Literal["cooling-only", "heat-pump", "branch-controlled"])
"""How the circuit can run: one way, reversed, or cooling and heating at once through branch selectors."""
Oil = TypeAliasType("Oil", Literal["mineral", "alkylbenzene", "POE", "PVE", "PAG", "PAO"])
"""Base of the oil: mineral, alkylbenzene, polyolester, polyvinyl ether, polyalkylene glycol, polyalphaolefin."""
Cooling = TypeAliasType("Cooling", Literal["none", "oil", "liquid", "vapour"])
"""What cools the gas while it is compressed: nothing, oil sprayed in (oil-flooded), liquid or vapour injected."""
Line = TypeAliasType("Line", Literal["suction", "discharge", "liquid"])
"""A line of the circuit."""
AcidTest = TypeAliasType("AcidTest", Literal["negative", "positive"])
"""What an acid test kit shows."""
BurnoutGrade = TypeAliasType("BurnoutGrade", Literal[0, 1, 2, 3])
"""Contamination: 0 mechanical only, 1 mild, 2 severe, 3 severe with sludge or repeated."""
Country = TypeAliasType("Country", Literal["united-states", "european-union"])
"""Whose rules count."""


def spelled(name: Any) -> Any:
    """A system of units without case, blanks and underscores; what is none as it is.

    >>> spelled("as sent"), spelled("si"), spelled("metric")
    ('as-sent', 'SI', 'metric')
    """
    return (
        _SYSTEMS.get(name.strip().lower().replace("_", "-").replace(" ", "-"), name) if isinstance(name, str) else name
    )


_SYSTEMS = {"si": "SI", "ip": "IP", "bar": "bar", "as-sent": "as-sent"}
SystemOfUnits = TypeAliasType(
    "SystemOfUnits", Annotated[Literal["SI", "IP", "bar", "as-sent"], BeforeValidator(spelled)]
)
"""Units of an answer: SI (kPa, °C), inch-pound (psi, °F), SI with pressures in bar, or each as its like was sent."""


@cache
def words(alias: Any) -> tuple[Any, ...]:
    """The members of a closed list, in its order: `words(Compressor)[0]` is "scroll"."""
    members = alias.__value__
    return get_args(get_args(members)[0] if get_origin(members) is Annotated else members)
