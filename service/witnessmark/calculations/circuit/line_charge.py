"""What a run of pipe holds: charge per metre by bore and state, velocity, and what a rise costs in subcooling.

Liquid and vapour by density; two phases by a void fraction with slip between gas and liquid (Zivi), whose exponent
carries an uncertainty that reaches towards a homogeneous mixture. Temperatures K, pressures Pa absolute, SI masses and
lengths. Published adders stand beside the result as data (charge_rules.py).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from scipy.constants import g as GRAVITY  # noqa: N812 - m/s2, standard acceleration of gravity
from typing_extensions import TypeAliasType

from witnessmark.calculations.circuit.charge_rules import RULES
from witnessmark.calculations.circuit.tubes import area
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Estimate, Measured, estimate
from witnessmark.errors import ConflictError, InputError, located
from witnessmark.refrigerants import saturation, states

PipeContent = TypeAliasType("PipeContent", Literal["liquid", "vapour", "two-phase"])
"""What stands in a run of pipe."""
BORES, LENGTHS, RISES, FLOWS = (5e-4, 1.0), (0.0, 1e4), (-1e3, 1e3), (0.0, 1e4)
LEVEL = Measured(0.0)
Density = Callable[..., float]


@dataclass(frozen=True, slots=True)
class Content:
    """What stands in a pipe.

    liquid, vapour: the temperature, and the pressure where it is known (saturated at the temperature otherwise).
    two-phase: the pressure, or the bubble temperature, and the quality (mass of vapour per mass).
    """

    phase: PipeContent
    temperature: Measured | None = None
    pressure: Measured | None = None
    quality: Measured | None = None


@dataclass(frozen=True, slots=True)
class Segment:
    """A run of pipe: bore m, length m, rise m (upwards in the direction of flow)."""

    bore: Measured
    length: Measured
    content: Content
    rise: Measured = LEVEL


@dataclass(frozen=True, slots=True)
class SegmentCharge:
    """Charge of one run.

    density kg/m3, per_length kg/m, charge kg; velocity m/s (None without a flow; homogeneous in two phases);
    static_pressure Pa lost on the rise, subcooling_lost K (liquid only).
    """

    density: Estimate
    per_length: Estimate
    charge: Estimate
    velocity: Estimate | None
    static_pressure: Estimate | None
    subcooling_lost: Estimate | None


@dataclass(frozen=True, slots=True)
class LineCharge:
    """Charge of all runs, and their sum, kg."""

    segments: tuple[SegmentCharge, ...]
    total: Measured


def void_fraction(quality: float, density_ratio: float, exponent: float = 2 / 3) -> float:
    """Share of the cross-section that gas fills.

    density_ratio: gas over liquid, below 1. exponent 2/3: Zivi 1964 (slip by least entropy production); 1: homogeneous.

    >>> round(void_fraction(0.2, 0.05), 3)
    0.648
    """
    if quality <= 0:
        return 0.0
    return 1 / (1 + (1 - quality) / quality * math.pow(density_ratio, exponent))


def mixture_density(quality: float, liquid: float, gas: float, exponent: float = 2 / 3) -> float:
    """Density [kg/m3] of what stands in the pipe: void fraction times gas plus the rest times liquid.

    >>> round(mixture_density(0.2, 1000.0, 50.0), 1)
    384.3
    """
    void = void_fraction(quality, gas / liquid, exponent)
    return void * gas + (1 - void) * liquid


def line_charge(designation: str, segments: Sequence[Segment], mass_flow: Measured | None = None) -> LineCharge:
    """Charge, velocity and static loss of runs of pipe; all of them carry `mass_flow` [kg/s] where it is given.

    Errors: UnknownNameError (`refrigerant`); InputError and OutOfRangeError with fields `segments.N.…`, `mass_flow`.

    >>> run = Segment(Measured(0.01994), Measured(10.0), Content("liquid", Measured(313.15)))
    >>> (charge,) = line_charge("R-410A", [run]).segments
    >>> round(charge.density.value), round(charge.per_length.value, 3), round(charge.charge.value, 2)
    (976, 0.305, 3.05)
    """
    if not segments:
        raise InputError("segments", "empty", "at least one run of pipe")
    within("mass_flow", mass_flow, FLOWS, "mass_flow")
    charges = tuple(_segment(designation, segment, f"segments.{k}", mass_flow) for k, segment in enumerate(segments))
    spread = math.hypot(*(s.charge.uncertainty for s in charges))
    return LineCharge(charges, Measured(math.fsum(s.charge.value for s in charges), spread))


def longest_line(segments: Sequence[Segment]) -> float:
    """Length, m, of the longer of the two lines, suction and liquid, which run side by side.

    >>> pipe = Measured(0.01)
    >>> gas = Segment(pipe, Measured(12.0), Content("vapour"))
    >>> longest_line([gas, Segment(pipe, Measured(15.0), Content("liquid"))])
    15.0
    """
    vapour = sum(s.length.value for s in segments if s.content.phase == "vapour")
    return max(vapour, sum(s.length.value for s in segments) - vapour)


def gas_temperature(segment: Segment) -> float | None:
    """Temperature, K, of the gas in a run; None where it holds none, or its temperature is not known.

    >>> gas_temperature(Segment(Measured(0.01), Measured(1.0), Content("vapour", Measured(283.15))))
    283.15
    """
    temperature = segment.content.temperature
    return temperature.value if temperature is not None and segment.content.phase == "vapour" else None


def _segment(designation: str, segment: Segment, field: str, flow: Measured | None) -> SegmentCharge:
    _check(segment, field)
    density, readings = _density(designation, segment.content, field)
    bore, length = segment.bore, segment.length
    rises = segment.content.phase == "liquid" and segment.rise.value != 0
    with located(temperature=f"{field}.temperature", pressure=f"{field}.pressure"):
        return SegmentCharge(
            density=estimate(density, *readings),
            per_length=estimate(lambda d, *r: density(*r) * area(d), bore, *readings),
            charge=estimate(lambda d, x, *r: density(*r) * area(d) * x, bore, length, *readings),
            velocity=None if flow is None else _velocity(designation, segment, field, flow),
            static_pressure=_static(segment, density, readings) if rises else None,
            subcooling_lost=_lost(designation, segment, density, readings) if rises else None,
        )


def _check(segment: Segment, field: str) -> None:
    within(f"{field}.bore", segment.bore, BORES, "length")
    within(f"{field}.length", segment.length, LENGTHS, "length")
    within(f"{field}.rise", segment.rise, RISES, "length")
    slack = COVERAGE * math.hypot(segment.rise.uncertainty, segment.length.uncertainty)
    if abs(segment.rise.value) > segment.length.value + slack:
        fields = (f"{field}.rise", f"{field}.length")
        raise ConflictError(fields, "rises or falls by more than it is long", "a rise of at most the length")
    quality = segment.content.quality
    within(f"{field}.quality", quality, (0.0, 1.0))
    if (segment.content.phase == "two-phase") == (quality is None):
        raise InputError(f"{field}.quality", "goes with two phases only", "a quality for two-phase, none otherwise")


def _density(designation: str, content: Content, field: str) -> tuple[Density, tuple[Measured, ...]]:
    """The density as a function of its readings, and the readings."""
    if content.phase == "two-phase":
        return _two_phase(designation, content, field)
    if content.temperature is None:
        raise InputError(f"{field}.temperature", "missing", f"the temperature of the {content.phase}")
    if content.pressure is None:
        saturated = saturation.liquid_density if content.phase == "liquid" else saturation.vapour_density
        return (lambda t: float(saturated(designation, t))), (content.temperature,)
    single = states.liquid if content.phase == "liquid" else states.gas
    return (lambda t, p: single(designation, p, t).density), (content.temperature, content.pressure)


def _two_phase(
    designation: str, content: Content, field: str, exponent: Measured | None = None
) -> tuple[Density, tuple[Measured, ...]]:
    assert content.quality is not None  # noqa: S101 - checked before
    slip = RULES().slip.exponent if exponent is None else exponent
    if content.pressure is not None:
        return _at_pressure(designation), (content.pressure, content.quality, slip)
    if content.temperature is None:
        raise InputError(f"{field}.pressure", "missing", "the pressure, or the bubble temperature, of two phases")
    density = _at_pressure(designation)
    return (lambda t, x, n: density(float(saturation.bubble_pressure(designation, t)), x, n)), (
        content.temperature,
        content.quality,
        slip,
    )


def _at_pressure(designation: str) -> Density:
    def density(pressure: float, quality: float, exponent: float) -> float:
        liquid = float(saturation.liquid_density(designation, saturation.bubble_temperature(designation, pressure)))
        gas = float(saturation.vapour_density(designation, saturation.dew_temperature(designation, pressure)))
        return mixture_density(min(max(quality, 0.0), 1.0), liquid, gas, exponent)

    return density


def _velocity(designation: str, segment: Segment, field: str, flow: Measured) -> Estimate:
    if segment.content.phase == "two-phase":
        density, readings = _two_phase(designation, segment.content, field, Measured(1.0))
    else:
        density, readings = _density(designation, segment.content, field)
    return estimate(lambda m, d, *r: m / (density(*r) * area(d)), flow, segment.bore, *readings)


def _static(segment: Segment, density: Density, readings: tuple[Measured, ...]) -> Estimate:
    return estimate(lambda h, *r: density(*r) * GRAVITY * h, segment.rise, *readings)


def _lost(designation: str, segment: Segment, density: Density, readings: tuple[Measured, ...]) -> Estimate:
    def kelvin(rise: float, temperature: float, *rest: float) -> float:
        slope = float(saturation.bubble_slope(designation, temperature))
        return density(temperature, *rest) * GRAVITY * rise / slope

    return estimate(kelvin, segment.rise, *readings)
