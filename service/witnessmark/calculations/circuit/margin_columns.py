"""Superheat and subcooling over columns of readings: the same formulas and limits as `superheat`, to the last bit.

All readings of a call are of one refrigerant at one place of one kind of machine. Temperatures in K, pressures in Pa
absolute. Source: as for `superheat`.

>>> import numpy as np
>>> one = Readings(*(np.array([x]) for x in (350e3, 5e3, 288.15, 0.5)))
>>> suction = superheat("R-134a", one, "suction", MarginMachine("scroll"))
>>> round(float(suction.margin[0]), 2), VERDICTS[suction.verdict[0]]
(9.97, 'within')
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from witnessmark.arithmetic import Array, root_sum_square
from witnessmark.calculations.circuit.superheat import (
    ANY_MACHINE,
    HOT,
    Band,
    FlowPhase,
    MarginMachine,
    MarginVerdict,
    bands,
    basis_uncertainty,
    hottest,
    limits_for,
    of_refrigerant,
    why_differ,
)
from witnessmark.calculations.metrology.limits import Ruling
from witnessmark.calculations.metrology.uncertainty import COVERAGE
from witnessmark.refrigerants import saturation
from witnessmark.vocabulary import words

Codes = NDArray[np.int32]
Flags = NDArray[np.bool_]
VERDICTS: tuple[str, ...] = words(MarginVerdict)
PHASES: tuple[str, ...] = words(FlowPhase)
_BELOW, _WITHIN, _ABOVE, _UNSURE = (VERDICTS.index(word) for word in ("below", "within", "above", "cannot tell"))
_NO_LIMIT, _IMPOSSIBLE = (VERDICTS.index(word) for word in ("no limit known", "cannot both be right"))
_SINGLE, _WET, _EITHER, _NEITHER = (
    PHASES.index(word) for word in ("single phase", "saturated or wet", "cannot tell", "cannot both be right")
)


@dataclass(frozen=True, slots=True)
class Readings:
    """A pressure and the temperature beside it, row by row, each with its standard uncertainty. Pa, K."""

    pressure: Array
    pressure_uncertainty: Array
    temperature: Array
    temperature_uncertainty: Array


@dataclass(frozen=True, slots=True)
class Margins:
    """As `superheat.Margin`, row by row. verdict, phase: indices into VERDICTS and PHASES.

    likely_reasons: of the rows whose verdict is "cannot both be right". too_hot: rows of a discharge line that is.
    to_vacuum: rows whose pressure may be none. hot, differ: keys of what is said of rows too hot, and of those whose
    limits disagree (`superheat.why_differ`).
    """

    saturation_temperature: Array
    saturation_uncertainty: Array
    margin: Array
    margin_uncertainty: Array
    phase: Codes
    verdict: Codes
    limits: tuple[Band, ...]
    likely_reasons: tuple[str, ...]
    too_hot: Flags
    to_vacuum: Flags
    differ: tuple[str, str]
    hot: str = "hot"

    @property
    def lower_limit(self) -> float | None:
        """The highest of the lower limits, K; None where none is known."""
        return max((band.low for band in self.limits), default=None)

    @property
    def upper_limit(self) -> float | None:
        """The lowest of the upper limits, K; None where none is known."""
        return min((band.high for band in self.limits if band.high is not None), default=None)


def why_unsure(found: Margins) -> Codes:
    """Why a row cannot be told: 0 it can, 1 it is at a limit, 2 limits differ, 3 one of those is in question itself."""
    reach = COVERAGE * found.margin_uncertainty
    ends = found.margin - reach, found.margin + reach
    standings = [_standing(*ends, band) for band in found.limits]
    unsure: Flags = found.verdict == _UNSURE
    if not standings:
        return unsure.astype(np.int32)
    differ = np.logical_or.reduce([standing != standings[0] for standing in standings])
    open_ = np.logical_or.reduce([standing == _UNSURE for standing in standings])
    return np.where(unsure, np.where(differ, np.where(open_, 3, 2), 1), 0).astype(np.int32)


def superheat(
    designation: str, readings: Readings, place: str = "suction", machine: MarginMachine = ANY_MACHINE
) -> Margins:
    """Superheat over the dew temperature; errors as `superheat.superheat` where any row has them."""
    machine = of_refrigerant(machine, designation)
    limits = limits_for(place, machine)
    near, width = _saturated(designation, readings, "dew")
    margin = readings.temperature - near
    spread = root_sum_square(readings.temperature_uncertainty, width)
    possible = np.ones(margin.size, dtype=np.bool_)
    if place != "sump":
        apart = (margin, spread, bands().beyond.gas)
        possible = _possible(designation, readings.pressure, apart, "bubble", near)
    reasons = bands().reasons["discharge" if place == "discharge" else "suction"]
    differ = why_differ(place, machine)
    judged = _doubted(_judged((near, width), (margin, spread), possible, limits, (reasons, differ)), readings)
    if place == "suction" or not limits:
        return judged
    return replace(_with_hot(judged, readings, hottest(designation, machine, place).rule()), hot=HOT[place])


def _with_hot(margins: Margins, readings: Readings, limit: Ruling) -> Margins:
    """As `superheat` has it, row by row."""
    verdict, reach = margins.verdict.copy(), COVERAGE * readings.temperature_uncertainty
    open_ = (verdict != _BELOW) & (verdict != _IMPOSSIBLE)
    within = (limit.value - readings.temperature) - reach >= 0
    outside = open_ & ~within & ((limit.laxest - readings.temperature) + reach < 0)
    verdict[open_ & ~within & ~outside & (verdict == _WITHIN)] = _UNSURE
    verdict[outside] = _ABOVE
    return replace(margins, verdict=verdict, too_hot=outside)


def subcooling(designation: str, readings: Readings, machine: MarginMachine = ANY_MACHINE) -> Margins:
    """Subcooling under the bubble temperature; errors as `superheat.subcooling` where any row has them."""
    near, width = _saturated(designation, readings, "bubble")
    margin = near - readings.temperature
    spread = root_sum_square(readings.temperature_uncertainty, width)
    apart = (margin, spread, bands().beyond.far_end)
    possible = _possible(designation, readings.pressure, apart, "dew", near)
    limits = limits_for("liquid", machine)
    said = bands().reasons["liquid"], why_differ("liquid", machine)
    return _doubted(_judged((near, width), (margin, spread), possible, limits, said), readings)


def _doubted(margins: Margins, readings: Readings) -> Margins:
    """As `superheat` has it, row by row."""
    none = readings.pressure <= COVERAGE * readings.pressure_uncertainty
    phase = np.where(none, np.int32(_EITHER), margins.phase)
    verdict = np.where(none, np.int32(_UNSURE if margins.limits else _NO_LIMIT), margins.verdict)
    return replace(margins, phase=phase, verdict=verdict, to_vacuum=none)


def _saturated(designation: str, readings: Readings, side: saturation.Side) -> tuple[Array, Array]:
    value, slope = saturation.curve(designation, side).temperature_and_slope(readings.pressure)
    basis = np.full_like(value, basis_uncertainty(designation))
    return value, root_sum_square(slope * readings.pressure_uncertainty, basis)


def _possible(
    designation: str, pressure: Array, margin: tuple[Array, Array, float], far: saturation.Side, near: Array
) -> Flags:
    """Where a temperature may lie on this side of the far end of evaporation; allowed where that is not known."""
    possible = np.ones(near.size, dtype=np.bool_)
    low, high = saturation.pressure_range(designation, far)
    rows = np.flatnonzero((margin[0] < 0) & (pressure >= low) & (pressure <= high))
    if rows.size:
        end, _ = saturation.curve(designation, far).temperature_and_slope(pressure[rows])
        short = margin[0][rows] + COVERAGE * margin[1][rows] + margin[2]
        possible[rows] = short >= -np.abs(end - near[rows])
    return possible


def _judged(
    saturated: tuple[Array, Array],
    margin: tuple[Array, Array],
    possible: Flags,
    limits: tuple[Band, ...],
    said: tuple[tuple[str, ...], tuple[str, str]],
) -> Margins:
    verdict, phase = _agreed(*margin, limits), _phase(*margin)
    verdict[~possible], phase[~possible] = _IMPOSSIBLE, _NEITHER
    none = np.zeros(verdict.size, dtype=np.bool_)
    return Margins(*saturated, *margin, phase, verdict, limits, said[0], none, none, said[1])


def _agreed(value: Array, spread: Array, limits: tuple[Band, ...]) -> Codes:
    """What all limits that may hold agree on; one without an upper limit silences none that states one."""
    if not limits:
        return np.full(value.size, _NO_LIMIT, dtype=np.int32)
    reach = COVERAGE * spread
    lowest, highest = value - reach, value + reach
    standings = [_standing(lowest, highest, band) for band in limits]
    agreed = standings[0].copy()
    for standing in standings[1:]:
        agreed[standing != agreed] = _UNSURE
    ends = [band.surely for band in limits if band.surely is not None]
    if ends:
        fits = [(standing == _ABOVE) | (standing == _WITHIN) for standing in standings]
        agreed[np.logical_and.reduce([*fits, *(lowest > end for end in ends)])] = _ABOVE
    return agreed


def _standing(lowest: Array, highest: Array, limits: Band) -> Codes:
    high = math.inf if limits.high is None else limits.high
    standing = np.full(lowest.size, _UNSURE, dtype=np.int32)
    standing[(limits.low <= lowest) & (highest <= high)] = _WITHIN
    standing[lowest > high] = _ABOVE
    standing[highest < limits.low] = _BELOW
    return standing


def _phase(value: Array, spread: Array) -> Codes:
    reach = COVERAGE * spread
    phase = np.full(value.size, _EITHER, dtype=np.int32)
    phase[value + reach <= 0] = _WET
    phase[value - reach > 0] = _SINGLE
    return phase
