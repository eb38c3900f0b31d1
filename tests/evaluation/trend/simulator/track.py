"""What the minute loops record, and the codes they share."""

from __future__ import annotations

import numpy as np

from .compiled import compiled
from .weather import Array

MODE: dict[str, int] = {
    "off": 0, "cool": 1, "pump_down": 2, "defrost": 3, "drip": 4, "heat": 5, "reverse_defrost": 6, "oil_return": 7,
}

CODE_NONE = 0
CODE_STAT_CYCLE = 1
CODE_LP_CYCLE = 2
CODE_NO_CUT_OUT = 3
CODE_VALVE_SHUT = 4
CODE_NO_TURN_DOWN = 5


class Track:
    """Per-minute series of the loop: saturation temperatures, room, coil, mode, speed, capacity."""

    names = ("te", "tc", "room", "coil", "mode", "speed", "q")

    def __init__(self, n: int) -> None:
        self.n = n
        self.te = self.tc = self.room = self.coil = self.speed = self.q = np.zeros(0)
        self.mode = np.zeros(0, int)

    @classmethod
    def of(cls, table: Array) -> Track:
        """The series from the rows of a loop."""
        track = cls(len(table))
        for k, name in enumerate(cls.names):
            setattr(track, name, table[:, k].copy())
        track.mode = cls.mode_from(table[:, 4])
        return track

    @staticmethod
    def mode_from(column: Array) -> Array:
        """Modes as integers."""
        return column.astype(int)

    @property
    def on(self) -> Array:
        """True while the compressor is commanded to run."""
        return self.speed > 0.0


def minutes_since_change(on: Array) -> Array:
    """Minutes since the on/off state last changed (0 on the first minute of a state)."""
    idx = np.arange(len(on))
    change = np.r_[True, on[1:] != on[:-1]]
    return idx - np.maximum.accumulate(np.where(change, idx, 0))


@compiled
def equalised(te: float, tc: float, room: float, air: float, pump: float) -> tuple[float, float]:
    """Both sides drawn together when a running compressor hardly pumps: a small residual difference [K] is left."""
    middle = 0.5 * (room + air)
    rest = 0.4 + 22.0 * pump
    return te + 0.9 * (middle - 0.5 * rest - te), tc + 0.9 * (middle + 0.5 * rest - tc)
