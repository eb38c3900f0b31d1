"""What a picture of a cycle is told about itself; apart from what draws it, which takes long to load."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE

PictureFormat = TypeAliasType("PictureFormat", Literal["svg", "png"])
"""How a picture is written."""


@dataclass(frozen=True, slots=True)
class About:
    """What a picture says of itself in its metadata: assumptions and cautions, and the sources behind it.

    air_pressure: local, Pa, from which gauge pressures count. word: a text of the picture in its language; number: a
    number as that language writes it.
    """

    description: str = ""
    source: str = ""
    air_pressure: float = SEA_LEVEL_PRESSURE
    word: Callable[[str], str] = str
    number: Callable[[str], str] = str


NOTHING = About()
