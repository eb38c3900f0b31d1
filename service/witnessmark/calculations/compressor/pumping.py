"""Does the compressor pump? A verdict from lift, flow and heat, silent where the uncertainty covers both sides.

Order of trust: a flow (volumetric efficiency, share of the maker's map) decides; without one the heat of the discharge
gas decides (isentropic efficiency); pressures alone can prove that nothing is pumped, never that all is pumped.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.compressor.compressor_types import LIMITS, CompressorType
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured

PumpingVerdict = TypeAliasType("PumpingVerdict", Literal["pumping", "weak", "not pumping", "cannot tell"])
"""Does the compressor pump? `weak`: less than a sound machine of its type."""
MOST = 1.05
"""A share of what is possible above this is not a sign of health but of a wrong reading."""
Sign = Literal["good", "weak", "unknown"]


@dataclass(frozen=True, slots=True)
class FlowEvidence:
    """Evidence from flow: volumetric efficiency and measured mass flow over the map's, as fractions."""

    volumetric_efficiency: Measured | None = None
    map_share: Measured | None = None


@dataclass(frozen=True, slots=True)
class HeatEvidence:
    """Evidence from the temperatures: isentropic efficiency, discharge K above ideal and K above expected.

    suction_above_bubble: K of the suction line above the boiling temperature of liquid at its pressure; shell_loss:
    share of the power; discharge_superheat: K above dew, without which the discharge may be wet; cooled: oil or
    injection cools the gas, so that temperatures tell nothing of the pump; unsaid: nobody said so, but the heads of
    such machines mostly are.
    """

    isentropic_efficiency: Measured | None = None
    above_ideal: Measured | None = None
    above_expected: Measured | None = None
    suction_above_bubble: Measured | None = None
    shell_loss: Measured | None = None
    discharge_superheat: Measured | None = None
    cooled: bool = False
    unsaid: bool = False


@dataclass(frozen=True, slots=True)
class PumpingEvidence:
    """Everything the verdict rests on; running None where nobody said whether it runs; suction_pressure Pa absolute."""

    pressure_ratio: Measured
    flow: FlowEvidence = FlowEvidence()
    heat: HeatEvidence = HeatEvidence()
    running: bool | None = None
    suction_pressure: Measured | None = None


@dataclass(frozen=True, slots=True)
class PumpingReason:
    """One reason: its id (see `wording`), what it speaks for, the number behind it and the limit beside it."""

    id: str
    favours: PumpingVerdict
    value: Measured | None = None
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class PumpingJudgement:
    """The verdict and its reasons, the deciding one first."""

    verdict: PumpingVerdict
    reasons: tuple[PumpingReason, ...]


def judge(evidence: PumpingEvidence, kind: CompressorType) -> PumpingJudgement:
    """Judge whether a compressor of this type pumps; thresholds from compression.toml.

    >>> from witnessmark.calculations.compressor.compressor_types import compressor_type
    >>> judge(PumpingEvidence(Measured(1.05, 0.01), running=True), compressor_type("scroll")).verdict
    'not pumping'
    """
    ratio = evidence.pressure_ratio
    if evidence.running is False:
        return _unsure(PumpingReason("stopped", "cannot tell", ratio))
    if _ratio_below(ratio, 1.0):
        return _unsure(PumpingReason("discharge-below-suction", "cannot tell", ratio, 1.0))
    flow, flow_reasons = _flow(evidence.flow, kind)
    if _ratio_below(ratio, LIMITS().no_lift.ratio):
        return _no_lift(evidence, flow, flow_reasons)
    suction = evidence.heat.suction_above_bubble
    if suction is not None and _below(suction, 0.0):
        return _unsure(PumpingReason("suction-below-bubble", "cannot tell", suction, 0.0), *flow_reasons, _lift(ratio))
    return _lifting(evidence, kind, flow, flow_reasons)


def thresholds(kind: CompressorType) -> dict[str, tuple[float, ...]]:
    """Every figure that `judge` holds a number against, by the number's name in `compression`, for columns of them.

    >>> from witnessmark.calculations.compressor.compressor_types import compressor_type
    >>> thresholds(compressor_type("scroll"))["suction_above_bubble"]
    (0.0,)
    """
    limits = LIMITS()
    low = limits.weak.volumetric_share * kind.volumetric[0]
    return {
        "pressure_ratio": (1.0, limits.no_lift.ratio, limits.small_lift.ratio, limits.deep_vacuum.ratio),
        "pressure_difference": (0.0,),
        "suction_pressure": (limits.deep_vacuum.pressure,),
        "suction_above_bubble": (0.0,),
        "volumetric_efficiency": (low, MOST, 1.0, limits.weak.least_volumetric),
        "isentropic_efficiency": (limits.weak.isentropic, MOST, 1.0, kind.isentropic[1]),
        "discharge_superheat": (0.0,),
        "discharge_above_isentropic": (0.0,),
        "discharge_above_expected": (0.0,),
        "shell_loss": (0.0, limits.shell_loss.most),
    }


def _lifting(
    evidence: PumpingEvidence, kind: CompressorType, flow: Sign, flow_reasons: tuple[PumpingReason, ...]
) -> PumpingJudgement:
    """The verdict on a machine whose pressures stand apart and whose suction reading can be true."""
    ratio = evidence.pressure_ratio
    heat, heat_reasons = _heat(evidence.heat, kind)
    impossible = _impossible(evidence)
    reasons = (*impossible, *flow_reasons, *heat_reasons, _lift(ratio), *_doubtful(evidence))
    deciding = flow if flow != "unknown" else heat
    by_heat_alone = deciding == "good" and flow == "unknown" and not _ratio_above(ratio, LIMITS().small_lift.ratio)
    slip = _slip(evidence, flow, heat)
    if impossible or slip or any(r.id == "more-than-possible" for r in reasons):
        return _unsure(*slip, *reasons)
    if deciding == "unknown" and (vacuum := _deep_vacuum(evidence)):
        return PumpingJudgement("pumping", (*vacuum, *reasons))
    if deciding == "unknown" or by_heat_alone:
        return _unsure(*reasons, *_missing(evidence))
    return PumpingJudgement("pumping" if deciding == "good" else "weak", reasons)


def _no_lift(evidence: PumpingEvidence, flow: Sign, flow_reasons: tuple[PumpingReason, ...]) -> PumpingJudgement:
    limit = LIMITS().no_lift.ratio
    if evidence.running is None:
        return _unsure(PumpingReason("not-known-to-run", "cannot tell", evidence.pressure_ratio, limit))
    if flow == "good":
        return _unsure(PumpingReason("flow-without-lift", "cannot tell", evidence.pressure_ratio, limit), *flow_reasons)
    return PumpingJudgement(
        "not pumping", (PumpingReason("no-lift", "not pumping", evidence.pressure_ratio, limit), *flow_reasons)
    )


def _impossible(evidence: PumpingEvidence) -> tuple[PumpingReason, ...]:
    """A shell that loses more than any shell can, or less than nothing: power, flow or a temperature is wrong."""
    loss, most = evidence.heat.shell_loss, LIMITS().shell_loss.most
    if loss is None or evidence.heat.cooled or not (_above(loss, most) or _below(loss, 0.0)):
        return ()
    return (PumpingReason("shell-loss-impossible", "cannot tell", loss, most if loss.value > 0 else 0.0),)


def _slip(evidence: PumpingEvidence, flow: Sign, heat: Sign) -> tuple[PumpingReason, ...]:
    """Efficiencies that point to a unit and not to the machine.

    Hardly any gas moved, and yet the gas leaves as cool as from a sound machine and the pressures stand apart:
    displacement or speed is in another unit. Both efficiencies above one: gauge readings were sent as absolute ones.
    """
    volumetric, isentropic = evidence.flow.volumetric_efficiency, evidence.heat.isentropic_efficiency
    if volumetric is None or isentropic is None:
        return ()
    lifted = _ratio_above(evidence.pressure_ratio, LIMITS().small_lift.ratio)
    least = LIMITS().weak.least_volumetric
    cool = heat == "good" or isentropic.value > 1
    if flow == "weak" and cool and lifted and _below(volumetric, least):
        return (PumpingReason("hardly-any-gas", "cannot tell", volumetric, least),)
    if min(volumetric.value, isentropic.value) > 1:
        return (PumpingReason("both-over-one", "cannot tell", isentropic, 1.0),)
    return ()


def _doubtful(evidence: PumpingEvidence) -> tuple[PumpingReason, ...]:
    """What lies beyond the possible by less than its uncertainty: said beside the verdict."""
    volumetric, loss = evidence.flow.volumetric_efficiency, evidence.heat.shell_loss
    doubts = []
    if volumetric is not None and volumetric.value > 1 and not _above(volumetric, MOST):
        doubts.append(PumpingReason("efficiency-over-one", "cannot tell", volumetric, 1.0))
    most = LIMITS().shell_loss.most
    if loss is not None and not evidence.heat.cooled and not 0 <= loss.value <= most and not _impossible(evidence):
        doubts.append(PumpingReason("shell-loss-doubtful", "cannot tell", loss, most if loss.value > 0 else 0.0))
    return tuple(doubts)


def _deep_vacuum(evidence: PumpingEvidence) -> tuple[PumpingReason, ...]:
    """Only a running machine that pumps can hold its suction so deep against so much."""
    rule, suction, ratio = LIMITS().deep_vacuum, evidence.suction_pressure, evidence.pressure_ratio
    holds = evidence.running and suction is not None and _below(suction, rule.pressure)
    if not holds or not _ratio_above(ratio, rule.ratio):
        return ()
    return (PumpingReason("draws-deep-vacuum", "pumping", ratio, rule.ratio),)


def _flow(flow: FlowEvidence, kind: CompressorType) -> tuple[Sign, tuple[PumpingReason, ...]]:
    low = LIMITS().weak.volumetric_share * kind.volumetric[0]
    volumetric = _reason("volumetric-efficiency", flow.volumetric_efficiency, low)
    share = _reason("map-share", flow.map_share, LIMITS().weak.map_share)
    return _agreed(tuple(r for r in (volumetric, share) if r is not None))


def _heat(heat: HeatEvidence, kind: CompressorType) -> tuple[Sign, tuple[PumpingReason, ...]]:
    if heat.cooled:
        why = "heads-perhaps-cooled" if heat.unsaid else "cooled-compression"
        return "unknown", (PumpingReason(why, "cannot tell"),)
    if heat.above_ideal is not None and _below(heat.above_ideal, 0.0):
        return "unknown", (PumpingReason("colder-than-ideal", "cannot tell", heat.above_ideal, 0.0),)
    superheat = heat.discharge_superheat
    if superheat is not None and not _above(superheat, 0.0):
        near = PumpingReason("discharge-at-dew", "cannot tell", superheat, 0.0)
        return "unknown", (near, *_colder(heat, kind))
    efficiency = _reason("isentropic-efficiency", heat.isentropic_efficiency, LIMITS().weak.isentropic)
    hotter = heat.above_expected is not None and _above(heat.above_expected, 0.0)
    extra = (PumpingReason("hotter-than-expected", "weak", heat.above_expected, 0.0),) if hotter else ()
    if efficiency is not None and efficiency.favours == "pumping" and _no_machine(efficiency.value):
        efficiency = PumpingReason("better-than-any-machine", "cannot tell", efficiency.value, 1.0)
    sign, reasons = _agreed(tuple(r for r in (efficiency,) if r is not None))
    return sign, (*reasons, *extra, *_colder(heat, kind))


def _no_machine(efficiency: Measured | None) -> bool:
    """Whether an isentropic efficiency is that of no machine: liquid, a false reading or cooling made it."""
    return efficiency is not None and efficiency.value > 1.0


def _colder(heat: HeatEvidence, kind: CompressorType) -> tuple[PumpingReason, ...]:
    """Said beside the verdict and never changing it: liquid cools the discharge of a machine that pumps."""
    excess, efficiency = heat.above_expected, heat.isentropic_efficiency
    colder = excess is not None and _below(excess, 0.0)
    better = efficiency is not None and _above(efficiency, kind.isentropic[1])
    if not colder and not better:
        return ()
    return (PumpingReason("colder-than-expected", "cannot tell", excess, None if excess is None else 0.0),)


def _agreed(reasons: tuple[PumpingReason, ...]) -> tuple[Sign, tuple[PumpingReason, ...]]:
    """The sign on which all telling reasons agree; unknown where they contradict each other or none tells."""
    signs = {r.favours for r in reasons} - {"cannot tell"}
    if len(signs) != 1:
        return "unknown", reasons
    return ("good" if signs == {"pumping"} else "weak"), reasons


def _reason(name: str, value: Measured | None, limit: float) -> PumpingReason | None:
    if value is None:
        return None
    if _below(value, limit):
        return PumpingReason(name, "weak", value, limit)
    if _above(value, MOST):
        return PumpingReason("more-than-possible", "cannot tell", value, MOST)
    return PumpingReason(name, "pumping" if _above(value, limit) else "cannot tell", value, limit)


def _lift(ratio: Measured) -> PumpingReason:
    limit = LIMITS().small_lift.ratio
    if _ratio_above(ratio, limit):
        return PumpingReason("lift", "pumping", ratio, limit)
    name = "small-lift" if ratio.value <= limit else "lift-not-sure"
    return PumpingReason(name, "cannot tell", ratio, limit)


def _missing(evidence: PumpingEvidence) -> tuple[PumpingReason, ...]:
    heat, flow = evidence.heat, evidence.flow
    bare = (
        heat.above_ideal is None and not heat.cooled and flow.volumetric_efficiency is None and flow.map_share is None
    )
    return (PumpingReason("pressures-only", "cannot tell"),) if bare else ()


def _unsure(*reasons: PumpingReason) -> PumpingJudgement:
    return PumpingJudgement("cannot tell", reasons)


def _below(value: Measured, limit: float) -> bool:
    return value.value + COVERAGE * value.uncertainty < limit


def _ratio_below(ratio: Measured, limit: float) -> bool:
    """As `_below`, in the logarithm: a ratio over a small pressure is uncertain by factors, not by parts of itself."""
    return math.log(ratio.value) + COVERAGE * ratio.uncertainty / ratio.value < math.log(limit)


def _ratio_above(ratio: Measured, limit: float) -> bool:
    return math.log(ratio.value) - COVERAGE * ratio.uncertainty / ratio.value > math.log(limit)


def _above(value: Measured, limit: float) -> bool:
    return value.value - COVERAGE * value.uncertainty > limit
