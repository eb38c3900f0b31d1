"""Whether windings can be those of the motor that takes this current at this voltage.

A winding turns I²R of what it takes into heat. Between two terminals of three there are two phases in series (the same
for a delta, seen as a star), so I·R/2 is the part of the voltage to neutral that drops in the resistance alone.
Voltages in V, currents in A, resistances in ohm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.calculations.electrical.winding_rules import TABLE, Three
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import COVERAGE
from witnessmark.vocabulary import Phases

CURRENTS = (0.01, 1e4)
VOLTAGES = (1.0, 15e3)


@dataclass(frozen=True, slots=True)
class Feed:
    """What the motor takes. rated: by its nameplate; else as read, at whatever load. inverter: a drive feeds it."""

    voltage: float
    current: float
    rated: bool = True
    inverter: bool = False


def no_such_motor(net: Three, phases: Phases, feed: Feed) -> str:
    """Why these windings (less the leads) are none of a motor with this feed; empty where they may be.

    Three-phase windings are held by their least and greatest reading, of a single-phase motor its run winding, which
    is the least. Errors: OutOfRangeError (rated_voltage, rated_current).
    Example: three times 40 ohm on 400 V and 16 A: all of the voltage would drop in 28.9 ohm, and 0.3 of it in 8.7.
    """
    within("rated_voltage", feed.voltage, VOLTAGES, "voltage")
    within("rated_current", feed.current, CURRENTS, "current")
    bounds = TABLE().by_current
    whole = feed.voltage / feed.current * (2 / math.sqrt(3) if phases == "three-phase" else 1.0)
    most = bounds.most * whole * (bounds.inverter if feed.inverter else 1.0)
    least = bounds.least * whole if feed.rated and not feed.inverter else 0.0
    low = min(net, key=lambda r: r.value)
    high = low if phases == "single-phase" else max(net, key=lambda r: r.value)
    takes = f"a motor that takes {feed.current:.3g} A at {feed.voltage:.4g} V"
    if low.value - COVERAGE * low.uncertainty > most:
        return (
            f"{low.value:.3g} ohm and more between the terminals, where {takes} has {most:.2g} ohm at most (it would "
            "turn to heat in its windings what it takes): another motor, a slip of the unit, or a bad contact"
        )
    if high.value + COVERAGE * high.uncertainty < least:
        return (
            f"{high.value:.2g} ohm and less between the terminals, where {takes} has {least:.2g} ohm at least: shorted "
            "turns in all windings, another motor, or a slip of the unit"
        )
    return ""
