"""A drop read at part flow, brought to full flow as an interval.

drop ~ (mass flow)^n / density, n in the band of `sizing.toml`; a speed share moves a mass flow that goes with density.
Pressures in Pa, densities in kg/m³.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.tables import table
from witnessmark.errors import OutOfRangeError

ShareOf = Literal["mass flow", "speed"]
COVERAGE = 2.0
LARGEST_SHARE = 1.5
STANDSTILL = 1e-6
"""A smaller share is no flow: the correction would be a number without meaning."""


@dataclass(frozen=True, slots=True)
class FlowState:
    """Share of the full mass flow, and gas density there over that at full flow."""

    share: float
    density_ratio: float = 1.0


@dataclass(frozen=True, slots=True)
class FullFlowDrop:
    """The drop at full flow: by the middle exponent with its standard uncertainty, and over the whole band.

    low and high include about 95 % of the reading's uncertainty.
    """

    middle: Measured
    low: float
    high: float


def flow_state(share: float, share_of: ShareOf, density_ratio: float) -> FlowState:
    """The state of flow, 0 below a millionth; OutOfRangeError (field "flow_share") for a share outside 0 … 1.5."""
    if not 0 <= share <= LARGEST_SHARE:
        raise OutOfRangeError("flow_share", share, 0.0, LARGEST_SHARE)
    moved = share * density_ratio if share_of == "speed" else share
    return FlowState(moved if moved >= STANDSTILL else 0.0, density_ratio)


def exponents() -> tuple[float, float, float]:
    """Low end, middle and high end of the exponent band."""
    row = table("sizing")["flow_exponent"]
    return float(row["low"]), (float(row["low"]) + float(row["high"])) / 2, float(row["high"])


def factor(state: FlowState, exponent: float) -> float:
    """What a drop read in this state is multiplied with to stand for full flow."""
    return float(state.density_ratio / state.share**exponent)


def at_full_flow(drop: Measured, state: FlowState) -> FullFlowDrop:
    """The drop at full flow. The share must be above 0."""
    low_n, middle_n, high_n = exponents()
    reach = COVERAGE * drop.uncertainty
    ends = [(drop.value + sign * reach) * factor(state, n) for sign in (-1, 1) for n in (low_n, high_n)]
    scale = factor(state, middle_n)
    return FullFlowDrop(Measured(drop.value * scale, drop.uncertainty * scale), min(ends), max(ends))
