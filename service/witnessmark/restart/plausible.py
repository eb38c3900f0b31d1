"""Readings and claims that cannot be right together: oil and refrigerant, switches, charge, heater, vacuum gauge.

Pressures in Pa absolute, temperatures in K, masses in kg, volumes in m³, times in s.
"""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark import data
from witnessmark.calculations.tightness.decay_fit import DecayReading
from witnessmark.calculations.tightness.evacuation import stands_still
from witnessmark.calculations.tightness.evacuation_table import TABLE as EVACUATION
from witnessmark.calculations.tightness.vacuum_levels import MICRON
from witnessmark.errors import OutOfRangeError
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.refrigerants.oils import oils
from witnessmark.restart.context import Machine
from witnessmark.restart.cutouts import Cutout
from witnessmark.restart.design_pressure import kept_cold, low_critical, standstill_pressure
from witnessmark.restart.evidence import Evidence, Side
from witnessmark.vocabulary import Oil


class OilRules(data.Row):
    """Oils that never go with a refrigerant whose table lacks them."""

    never: frozenset[Oil]
    by_refrigerant: dict[str, frozenset[Oil]]
    source: SourceId


class SwitchRules(data.Row):
    """Saturation temperatures, K, between whose pressures switches open."""

    condensing: float
    cascade: float
    coldest: float
    warmest: float
    source: SourceId


class ChargeRule(data.Row):
    """Temperature, K, at which the charge as liquid must find room."""

    temperature: float
    source: SourceId


class GaugeRules(data.Row):
    """What a vacuum gauge that lives, and has the step that is stated, may show."""

    off_step: float
    off_reading: float
    coarse: float
    hold: float
    readings: int
    source: SourceId


class Plausible(data.Row):
    """The data file."""

    oils: OilRules
    switches: SwitchRules
    charge: ChargeRule
    gauge: GaugeRules


TABLE = data.table(__package__, "plausible.toml", Plausible)


def of_oil(refrigerant: str, oil: Oil, *, claimed: bool) -> Evidence | None:
    """What speaks against an oil with a refrigerant; None where it is usual, or nothing is known of the refrigerant.

    claimed: the oil charge is said to be in order, as it must be for an odd oil. Example: mineral oil with R-410A
    conflicts; PAG with R-410A passes on the maker's word. Errors: UnknownNameError (refrigerant).
    """
    usual, rules = oils(refrigerant), TABLE().oils
    if oil in usual or not usual:
        return None
    detail = f"{oil} is no oil for {refrigerant}, which goes with {', '.join(usual)}"
    if oil in rules.by_refrigerant.get(refrigerant, rules.never):
        return Evidence("oil and refrigerant", "conflicting", f"{detail}: read both nameplates again")
    word = f"{detail}: only with the maker's word"
    return Evidence("oil and refrigerant", "passed" if claimed else "missing", detail, word)


def of_vacuum_oil(told: Oil | None, machine: Oil | None) -> Iterator[Evidence]:
    """A contradiction where the vacuum was judged by the levels of another oil than the machine's; None is not said.

    >>> [len(list(of_vacuum_oil(*oils))) for oils in (("mineral", "POE"), ("POE", "POE"), (None, "POE"))]
    [1, 0, 0]
    """
    if told is not None and machine is not None and told != machine:
        detail = f"evacuated as a circuit with {told}, though the machine asks for {machine}: one circuit has one oil"
        yield Evidence("oil of the vacuum", "conflicting", detail)


def of_switch(machine: Machine, switch: Cutout) -> Evidence | None:
    """A contradiction where a switch opens at what no such plant is protected by; None where it may.

    Example: on R-410A a high-pressure switch of 6 bar, below the pressure at 40 degC, would never let it run.
    """
    if machine.refrigerant is None:
        return None
    low, high = _span(machine, machine.refrigerant, switch.side)
    for pressure in (switch.setting, switch.opened):
        if pressure is not None and ((low is not None and pressure < low) or (high is not None and pressure > high)):
            detail = (
                f"{pressure / 1e6:.3g} MPa absolute is nothing that a {switch.side}-pressure switch on "
                f"{machine.refrigerant} opens at: another unit, another switch, or a slip"
            )
            return Evidence(f"{switch.side}-pressure switch", "conflicting", detail)
    return None


def _span(machine: Machine, refrigerant: str, side: Side) -> tuple[float | None, float | None]:
    rules = TABLE().switches
    if side == "low":
        return _bubble(refrigerant, rules.coldest), _bubble(refrigerant, rules.warmest)
    if not low_critical(refrigerant):
        return _bubble(refrigerant, rules.condensing), None
    if kept_cold(machine.application):
        return _bubble(refrigerant, rules.cascade), None
    return standstill_pressure(refrigerant), None


def _bubble(refrigerant: str, temperature: float) -> float | None:
    try:
        return float(saturation.bubble_pressure(refrigerant, temperature))
    except OutOfRangeError:
        return None


def of_charge(refrigerant: str, mass: float, volume: float) -> Evidence | None:
    """A contradiction where the charge does not find room in the circuit even as liquid; None where it does.

    Example: 300 kg of R-410A in 24 litres, which hold 26 kg of it as liquid at 20 degC.
    """
    most = _liquid_density(refrigerant) * volume
    if mass <= most:
        return None
    detail = f"{mass:.3g} kg find no room in {volume * 1e3:.3g} litres, which hold {most:.3g} kg as liquid"
    return Evidence("charge and volume", "conflicting", detail)


def largest_volume(refrigerant: str, charge: float) -> float:
    """What a circuit may hold, m³, by the room that its charge (kg) takes as liquid: so many times that.

    Example: 60 kg of R-410A take 56 litres as liquid at 20 degC; ten times that is 0.56 m³.
    """
    return EVACUATION().largest_volume.times_liquid * charge / _liquid_density(refrigerant)


def _liquid_density(refrigerant: str) -> float:
    temperature = min(TABLE().charge.temperature, 0.95 * catalogue.get(refrigerant).critical_temperature)
    return float(saturation.liquid_density(refrigerant, temperature))


def of_heater(machine: Machine, heater_on: float) -> Evidence | None:
    """What speaks against a heater that was on where none is fitted: an inverter may warm the winding instead."""
    if machine.crankcase_heater_fitted is not False or heater_on <= 0:
        return None
    if machine.drive == "inverter":
        warmed = "no sump heater is fitted: make sure that the drive warmed the winding for so long"
        return Evidence("sump heater", "passed", "none fitted; an inverter can warm the winding", warmed)
    return Evidence("sump heater", "conflicting", "none is fitted, and yet one is said to have been on")


def of_gauge(readings: tuple[DecayReading, ...], step: float | None) -> Iterator[Evidence]:
    """What speaks against a vacuum gauge: readings between its steps, or one that does not move. step: Pa, stated."""
    rules, values = TABLE().gauge, [r.pressure.value for r in readings]
    usual = EVACUATION().gauge.step
    if step is not None and step > 2 * usual:
        off = [abs(v - step * round(v / step)) - rules.off_reading * v for v in values]
        if max(off) > rules.off_step * step:
            detail = f"readings lie between the steps of {step / MICRON:.3g} micron that its display is said to have"
            yield Evidence("vacuum gauge", "conflicting", detail)
    span = readings[-1].time - readings[0].time
    detail = f"it shows {values[0] / MICRON:.3g} micron without a move for {span / 60:.0f} min"
    if stands_still(readings, usual if step is None else step):
        said = f"{detail}: no circuit stands so; make sure that it lives and is open"
        yield Evidence("vacuum gauge", "missing", said)
    elif _unmoved(values, span, max(step or usual, usual)):
        said = f"{detail}: make sure that the gauge lives and sees the circuit"
        yield Evidence("vacuum gauge", "passed", detail, said)


def _unmoved(values: list[float], span: float, step: float) -> bool:
    """Whether several readings are the same for so long that the display does not explain it. span: s; step: Pa."""
    rules = TABLE().gauge
    same = len(values) >= rules.readings and max(values) == min(values)
    return same and span >= rules.hold and step < rules.coarse * values[0]
