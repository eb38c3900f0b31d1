"""What a leak does to a blend, and what topping up with the blend does then.

A stopped circuit or a cylinder stands at one temperature with liquid and vapour in equilibrium (`refrigerants.vessel`).
What leaks has the composition of the phase it leaves, so a blend with glide changes: by a vapour leak toward what boils
higher. A circuit that runs leaks what flows past the hole, and changes less than this standing one as a rule.

>>> from witnessmark.calculations.circuit.fractionation import fractionation
>>> leak = fractionation("R-407C", Leak("vapour", 298.15, 0.5, 0.8))
>>> [round(100 * share) for share in leak.left.composition.values()]
[17, 20, 63]
>>> round(leak.left.dew_shift, 1), round(leak.topped_up.dew_shift, 1)
(3.6, 1.8)
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, log
from typing import Literal

import numpy as np
from typing_extensions import TypeAliasType

from witnessmark.calculations.circuit.saturation import pressure_range
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.refrigerants import catalogue, compositions, saturation
from witnessmark.refrigerants.library import Phase, coolprop
from witnessmark.refrigerants.vessel import SECONDS, TOO_LONG, Content, Vessel

CylinderPhase = TypeAliasType("CylinderPhase", Literal["liquid", "vapour"])
"""Which phase a hole or a valve lets out."""
LIQUID_SHARES = (0.02, 0.98)
REMOVED = (0.01, 0.9)
EVERY = 10  # hundredths of the charge, between two steps that are told
NEAREST_END = 0.01  # K from an end of a line, where a slope is taken for temperatures beyond it
TRACE = 1e-5  # mass fraction below which a component counts no more


@dataclass(frozen=True, slots=True)
class Leak:
    """phase that leaves, temperature [K], share of the charge removed by mass, share of the volume liquid at first."""

    phase: CylinderPhase
    temperature: float
    removed: float
    liquid_share: float


@dataclass(frozen=True, slots=True)
class Step:
    """The vessel after a share of the charge is gone: pressure [Pa], mass fractions of what is left and what leaves."""

    removed: float
    pressure: float
    composition: dict[str, float]
    leaving: dict[str, float]
    liquid: float


@dataclass(frozen=True, slots=True)
class Charge:
    """A composition and its saturation at the common pressure [Pa]: K; shifts against the blend as it was, K.

    text: the mixture as other requests take it. dew_shift: by this much superheat read with the blend's own table is
    too high; bubble_shift: by this much subcooling is too low.
    """

    text: str
    composition: dict[str, float]
    bubble: float
    dew: float
    glide: float
    bubble_shift: float
    dew_shift: float


@dataclass(frozen=True, slots=True)
class Fractionation:
    """Steps of the leak, and the charge before, after, and after topping up with the blend to the first mass.

    pressure: Pa, at which the charges are compared: the blend's dew pressure at the temperature. flammable: largest
    mass fraction of flammable components in anything that leaked or stayed. dry_from: share removed from which no
    liquid was left; None while there is some. accuracy: K, of the saturation temperatures.
    """

    steps: tuple[Step, ...]
    pressure: float
    before: Charge
    left: Charge
    topped_up: Charge
    largest_shift: float
    flammable: float
    dry_from: float | None
    accuracy: float


def deadline() -> float:
    """Processor time of this thread [s] until which a leak and what is told of it may take."""
    coolprop()  # its import counts for nobody
    return time.thread_time() + SECONDS


def fractionation(designation: str, leak: Leak, until: float = inf) -> Fractionation:
    """The leak followed from full to what is left.

    until: processor time of the thread after which it is refused. Errors: InputError, OutOfRangeError with the fields
    of `Leak`; InputError (refrigerant) where it would take longer.
    """
    row = catalogue.recipe(designation)
    if len(row.components) == 1:
        raise InputError("refrigerant", "a single substance, which no leak can change", "a blend or a mixture")
    _within("liquid_share", leak.liquid_share, LIQUID_SHARES)
    _within("removed", leak.removed, REMOVED)
    vessel = Vessel(row.components, leak.temperature, leak.liquid_share, until)
    contents = list(vessel.leak(_left_by(leak), leak.removed))
    last = contents[-1]
    refilled = {name: last.mass * x + (1.0 - last.mass) * row.components[name] for name, x in last.whole.items()}
    pressure = saturation.dew_pressure(_text(row.components), leak.temperature)
    before = _charge(row.components, pressure)
    return Fractionation(
        tuple(_step(contents[k], leak.phase) for k in _told(len(contents))),
        pressure,
        before,
        _in_time(until, last.whole, pressure, before),
        _in_time(until, refilled, pressure, before),
        max(abs(last.whole[name] - share) for name, share in row.components.items()),
        min(1.0, max(map(_flammable, contents))),
        next((1.0 - content.mass for content in contents if content.liquid is None), None),
        catalogue.recipe(_text(row.components)).accuracy,
    )


def pressure_width(designation: str, temperature: Measured) -> float:
    """Relative standard uncertainty of its standing pressure at this temperature [K]: by the slope of its bubble line.

    >>> round(pressure_width("R-407C", Measured(298.15, 0.5)), 4)
    0.0135
    """
    text, width = _text(catalogue.recipe(designation).components), temperature.uncertainty
    if width == 0.0:
        return 0.0
    coldest, hottest = saturation.temperature_range(text)
    middle = min(max(temperature.value, coldest + NEAREST_END), hottest - NEAREST_END)
    low, high = max(middle - width, coldest), min(middle + width, hottest)
    rise = saturation.bubble_pressure(text, high) / saturation.bubble_pressure(text, low)
    return float(log(rise)) * width / (high - low)


def pressure_widths(
    designation: str, leak: Leak, width: float, steps: Sequence[Step], until: float = inf
) -> list[float]:
    """The same of every step: the leak followed again, warmer by this standard uncertainty [K].

    What boils higher is left, and its pressure rises more steeply. Beyond the end of the line, and where the time for
    that is used up: that of the blend.
    """
    components = catalogue.recipe(designation).components
    try:
        warmer = Vessel(components, leak.temperature + width, leak.liquid_share, until)
        contents = list(warmer.leak(_left_by(leak), leak.removed))
    except InputError:
        return [pressure_width(designation, Measured(leak.temperature, width))] * len(steps)
    removed, pressures = [1.0 - content.mass for content in contents], [content.pressure for content in contents]
    return [abs(log(float(np.interp(step.removed, removed, pressures)) / step.pressure)) for step in steps]


def _left_by(leak: Leak) -> Phase:
    return "gas" if leak.phase == "vapour" else "liquid"


def _within(field: str, value: float, span: tuple[float, float]) -> None:
    if not span[0] <= value <= span[1]:
        raise OutOfRangeError(field, value, *span)


def _told(count: int) -> list[int]:
    """Every tenth step and the last."""
    return sorted({*range(0, count, EVERY), count - 1})


def _step(content: Content, phase: CylinderPhase) -> Step:
    liquid = content.liquid if phase == "liquid" else None
    return Step(
        max(0.0, round(1.0 - content.mass, 12)),  # nothing is gone at first, and no dust of the sum either
        content.pressure,
        content.whole,
        liquid or content.vapour,
        content.liquid_mass / content.mass,
    )


def _flammable(content: Content) -> float:
    parts = [part for part in (content.whole, content.liquid, content.vapour) if part is not None]
    return max(sum(x for name, x in part.items() if _burns(name)) for part in parts)


def _burns(name: str) -> bool:
    return not catalogue.recipe(name).safety_class.endswith("1")


def _text(composition: Mapping[str, float]) -> str:
    """The text of a mixture; of its mixture model, also where the blend has an equation of its own: both compare."""
    left = {name: share for name, share in composition.items() if share >= TRACE}
    return compositions.text({name: share / sum(left.values()) for name, share in left.items()})


def _in_time(until: float, composition: Mapping[str, float], pressure: float, before: Charge) -> Charge:
    """A charge, whose lines are not begun once the time is used up: they take a part of a second each."""
    if time.thread_time() > until:
        raise InputError("refrigerant", TOO_LONG, "fewer components, or a smaller share removed")
    return _charge(composition, pressure, before)


def _charge(composition: Mapping[str, float], pressure: float, against: Charge | None = None) -> Charge:
    text = _text(composition)
    low, high = pressure_range(text)
    if not low <= pressure <= high:
        fault = "at its pressure the changed mixture has no bubble or dew point"
        raise InputError("temperature", fault, "a higher one" if pressure < low else "a lower one")
    bubble, dew = saturation.bubble_temperature(text, pressure), saturation.dew_temperature(text, pressure)
    shifts = (0.0, 0.0) if against is None else (bubble - against.bubble, dew - against.dew)
    return Charge(text, dict(composition), bubble, dew, dew - bubble, *shifts)
