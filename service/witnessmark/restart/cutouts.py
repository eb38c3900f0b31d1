"""Pressure switches that were tried: where they opened, against their own setting and the design pressure."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.calculations.metrology.limits import judge
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.restart.evidence import TABLE, Evidence, Side


@dataclass(frozen=True, slots=True)
class Cutout:
    """A pressure switch: its setting and where it opened, Pa absolute; None where it did not, or was not tried."""

    side: Side
    setting: float
    opened: float | None


def from_cutout(switch: Cutout, design: float | None) -> Evidence:
    """Evidence of a tried pressure switch; design: of the high side, Pa absolute, above which it may not open."""
    origin = f"{switch.side}-pressure switch"
    if switch.opened is None:
        return Evidence(origin, "failed", "it did not open, or was not tried")
    off = Measured(abs(switch.opened - switch.setting) / switch.setting)
    if judge(off, TABLE().cutout_deviation.rule()) != "within":
        return Evidence(origin, "failed", f"it opened {off.value:.0%} off its setting")
    above = TABLE().cutout_above.rule().value
    if switch.side == "high" and switch.opened > switch.setting * (1 + above):
        return Evidence(origin, "failed", "it opened above its setting")
    if switch.side == "high" and design is not None and max(switch.opened, switch.setting) > design:
        return Evidence(origin, "failed", "it stands above the design pressure of the high side")
    return Evidence(origin, "passed", f"opened within {off.value:.0%} of its setting")
