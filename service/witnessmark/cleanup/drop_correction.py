"""A drop read at part flow, brought to full flow as an interval.

drop ~ (mass flow)^n / density, n in the band of `sizing.toml`; a speed share moves a mass flow that goes with density.
Pressures in Pa, densities in kg/m³.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.cleanup.sizing_rules import SIZING

ShareOf = TypeAliasType("ShareOf", Literal["mass-flow", "speed"])
"""What a share of full flow is a share of."""
SHARES = (0.0, 1.5)
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


def flow_state(flow_share: float, share_of: ShareOf, density_ratio: float) -> FlowState:
    """The state of flow, 0 below a millionth; OutOfRangeError (flow_share) for a share outside 0 … 1.5.

    >>> flow_state(0.5, "speed", density_ratio=0.9).share
    0.45
    """
    within("flow_share", flow_share, SHARES)
    moved = flow_share * density_ratio if share_of == "speed" else flow_share
    return FlowState(moved if moved >= STANDSTILL else 0.0, density_ratio)


def factor(state: FlowState, exponent: float) -> float:
    """What a drop read in this state is multiplied with to stand for full flow; the share must be above 0.

    >>> factor(FlowState(0.5), exponent=2.0)
    4.0
    """
    return float(state.density_ratio / state.share**exponent)


def scaled(drop: Measured, state: FlowState, exponent: float) -> Measured:
    """The drop at full flow by one exponent, with its uncertainty; the share must be above 0.

    >>> scaled(Measured(10e3, 500.0), FlowState(0.5), exponent=2.0)
    Measured(value=40000.0, uncertainty=2000.0)
    """
    scale = factor(state, exponent)
    return Measured(drop.value * scale, drop.uncertainty * scale)


def at_full_flow(drop: Measured, state: FlowState) -> FullFlowDrop:
    """The drop at full flow; the share must be above 0.

    >>> found = at_full_flow(Measured(10e3, 500.0), FlowState(0.5))
    >>> round(found.low), round(found.middle.value), round(found.high)
    (25456, 33636, 44000)
    """
    exponent = SIZING().flow_exponent
    reach = COVERAGE * drop.uncertainty
    ends = [(drop.value + sign * reach) * factor(state, n) for sign in (-1, 1) for n in exponent.ends]
    return FullFlowDrop(scaled(drop, state, exponent.middle), min(ends), max(ends))
