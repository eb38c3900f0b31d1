"""What a column of a log may stand for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from typing_extensions import TypeAliasType

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

LogChannel = TypeAliasType(
    "LogChannel",
    Literal[
        "suction_pressure",
        "discharge_pressure",
        "suction_temperature",
        "discharge_temperature",
        "liquid_temperature",
        "ambient_temperature",
        "evaporating_temperature",
        "condensing_temperature",
        "current",
        "speed",
        "running",
        "defrost",
    ],
)
"""What a column of a log stands for; ambient: of the air that cools the condenser, condensing and evaporating: dew."""
PRESSURES: tuple[LogChannel, ...] = ("suction_pressure", "discharge_pressure")
TEMPERATURES: tuple[LogChannel, ...] = (
    "suction_temperature",
    "discharge_temperature",
    "liquid_temperature",
    "ambient_temperature",
    "evaporating_temperature",
    "condensing_temperature",
)
SENSORS: tuple[LogChannel, ...] = (*PRESSURES, *TEMPERATURES, "current")
"""Channels that an instrument reads, as against words of a controller."""
SPANS: Mapping[LogChannel, tuple[float, float]] = {
    **dict.fromkeys(PRESSURES, (1e3, 2e7)),
    **dict.fromkeys(TEMPERATURES, (173.15, 523.15)),
    "current": (0.0, 5e3),
    "speed": (0.0, 1e6),
    "running": (-1.0, 1e6),
    "defrost": (-1.0, 1e6),
}
"""SI; what lies outside was read by no sound sensor and counts as missing."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the log: SI = value * factor + offset. compressor: whose, 0 where it is of the whole machine.

    in_vacuum: whether its unit is one of vacuum gauges.
    """

    header: str
    channel: LogChannel
    factor: float = 1.0
    offset: float = 0.0
    compressor: int = 0
    in_vacuum: bool = False
