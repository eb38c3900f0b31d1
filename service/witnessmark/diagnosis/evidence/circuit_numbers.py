"""Numbers of the refrigerant circuit from readings at the compressor: margins, ratio, condensing over what cools."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

from witnessmark.calculations.circuit.superheat import saturation_temperature, subcooling, superheat
from witnessmark.calculations.compressor import compression, wet_suction
from witnessmark.calculations.compressor.cold_discharge import colder_than_cooled_heads
from witnessmark.calculations.compressor.compressor_types import heads_may_be_cooled
from witnessmark.calculations.metrology.uncertainty import Measured, propagate
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, Outcome, SetAside, known
from witnessmark.diagnosis.evidence.reading_rules import RULES
from witnessmark.diagnosis.evidence.season import heats
from witnessmark.errors import InputError, located
from witnessmark.vocabulary import Compressor

_HEATS = "a heat pump heats in such air, so its condenser takes in the air of the room: give that, or read it cooling"
_USUAL_THERE = SetAside(
    ("discharge_temperature",),
    "so little superheat is what dry gas of this refrigerant leaves at these pressures, and tells nothing of liquid",
)
_LIMIT = 11.0
"""K, as the row `discharge-superheat` has it: below it the gas is held to have come in wet."""
_OPEN_END = 0.1
"""Mass fraction up to which the interval of a discharge that may hold liquid itself is taken, above its lower end: two
of the usual distances of machines that are wet (readings.toml)."""
_GOOD = wet_suction.Interval(0.75, 0.75)
"""Overall isentropic efficiency of a good compressor near its best point (expert estimate)."""
PRESSURES = ("suction_pressure", "discharge_pressure")


def suction_superheat(facts: Facts, g: FieldReadings) -> Outcome:
    """Suction line less dew temperature, K."""
    with located(pressure="suction_pressure", temperature="suction_temperature"):
        return superheat(_fluid(facts), known(g.suction_pressure), known(g.suction_temperature)).margin


def discharge_superheat(facts: Facts, g: FieldReadings) -> Outcome:
    """Discharge line less dew temperature, K."""
    with located(pressure="discharge_pressure", temperature="discharge_temperature"):
        return superheat(_fluid(facts), known(g.discharge_pressure), known(g.discharge_temperature), "discharge").margin


def telling_discharge_superheat(facts: Facts, g: FieldReadings) -> Outcome:
    """The discharge superheat where the limit for it tells wet gas from dry.

    Refrigerants of little lift leave dry gas less than that over saturation: R-1234ze(E), R-1234yf or R-1233zd(E) in a
    chiller some 5 K. What lies between the two says nothing of liquid; less than dry gas can have does.
    """
    over = discharge_superheat(facts, g)
    return _USUAL_THERE if isinstance(over, Measured) and _as_dry_gas(facts, g, over) else over


def stated_discharge_superheat(facts: Facts, g: FieldReadings) -> Outcome:
    """The same of a superheat that somebody worked out."""
    over = known(g.discharge_superheat)
    if facts.refrigerant is None or g.discharge_pressure is None:
        return over
    try:
        dew = saturation_temperature(facts.refrigerant, g.discharge_pressure, "dew", "discharge_pressure")
    except InputError:
        return over
    hot = replace(g, discharge_temperature=propagate(lambda t, more: t + more, dew, over))
    return _USUAL_THERE if _as_dry_gas(facts, hot, over) else over


def _as_dry_gas(facts: Facts, g: FieldReadings, over: Measured) -> bool:
    """Whether it lies below the limit, and not below what dry gas without superheat leaves a good compressor with."""
    if g.suction_pressure is None or over.value >= _LIMIT:
        return False
    good = wet_suction.WetSuctionMachine(_GOOD, facts.compressor, "none")
    try:
        dry = wet_suction.infer(_fluid(facts), _at_discharge(g), good).dry_discharge_temperature
    except InputError:
        return False
    return dry is not None and dry.low <= known(g.discharge_temperature).value


def sump_superheat(facts: Facts, g: FieldReadings) -> Outcome:
    """Oil sump less dew temperature, K."""
    with located(pressure="suction_pressure", temperature="sump_temperature"):
        return superheat(_fluid(facts), known(g.suction_pressure), known(g.sump_temperature), "sump").margin


def liquid_subcooling(facts: Facts, g: FieldReadings) -> Outcome:
    """Bubble temperature less liquid line, K."""
    with located(pressure="discharge_pressure", temperature="liquid_temperature"):
        return subcooling(_fluid(facts), known(g.discharge_pressure), known(g.liquid_temperature)).margin


def over_entering(facts: Facts, g: FieldReadings) -> Outcome:
    """Condensing temperature over what the condenser takes in, K; of a heat pump that heats that is no outdoor air."""
    if heats(facts, g):
        return SetAside(("outdoor_temperature",), _HEATS)
    over = propagate(lambda t, cold: t - cold, _condensing(facts, g), known(g.outdoor_temperature))
    if regulated(facts, g):
        return None  # the water that leaves tells
    why = usual_head(facts, g, over.value)
    return SetAside(("outdoor_temperature",), why) if why else over


def over_leaving(facts: Facts, g: FieldReadings) -> Outcome:
    """Condensing temperature over the water that leaves a water-cooled condenser, K, where that is all one knows of it.

    Over the entering water it holds both a dirty condenser and too little water, so that one is taken where it can be;
    a valve that throttles cold water to hold the head leaves only this one.
    """
    if facts.condenser != "water-cooled" or (g.outdoor_temperature is not None and not regulated(facts, g)):
        return None
    return propagate(lambda t, warm: t - warm, _condensing(facts, g), known(g.condenser_leaving_temperature))


def regulated(facts: Facts, g: FieldReadings) -> bool:
    """Whether a valve throttles cold water to hold the head: it leaves much warmer, at a head no higher than usual."""
    cold, warm, rule = g.outdoor_temperature, g.condenser_leaving_temperature, RULES().season
    if facts.condenser != "water-cooled" or cold is None or warm is None:
        return False
    throttled = warm.value - cold.value > rule.throttled
    return throttled and cold.value < rule.cold_water and _condensing(facts, g).value < rule.held_on_water


def usual_head(facts: Facts, g: FieldReadings, over: float) -> str:
    """Why it condenses so far over the air that its condenser takes in, where a sound one does; else nothing."""
    rule, air = RULES().season, known(g.outdoor_temperature).value
    if over <= rule.above or facts.condenser in ("water-cooled", "evaporative"):
        return ""
    condensing = air + over
    if air < rule.cold and condensing < rule.held:
        return "in such cold a control of the head holds it up, so its distance from the air tells nothing"
    low = facts.heat_pump and g.suction_pressure is not None and evaporating(facts, g).value < rule.heating
    if low and air >= rule.room_from and over < rule.in_a_room:
        return "a heat pump that heats condenses so far over the air of its room"
    return ""


def evaporating(facts: Facts, g: FieldReadings) -> Measured:
    """Dew temperature at the suction pressure, K."""
    return saturation_temperature(_fluid(facts), known(g.suction_pressure), "dew", "suction_pressure")


def pressure_ratio(_facts: Facts, g: FieldReadings) -> Measured:
    """Ratio of the absolute pressures."""
    return propagate(lambda p1, p2: p2 / p1, known(g.suction_pressure), known(g.discharge_pressure))


def pressure_difference(_facts: Facts, g: FieldReadings) -> Outcome:
    """High less low side, Pa."""
    return propagate(lambda p1, p2: p2 - p1, known(g.suction_pressure), known(g.discharge_pressure))


def efficiency(facts: Facts, g: FieldReadings) -> Outcome:
    """Apparent isentropic efficiency; none where the heads may be cooled."""
    if _cooled(facts):
        return None
    readings = compression.CompressorReadings(
        known(g.suction_pressure), known(g.discharge_pressure), g.suction_temperature, g.discharge_temperature
    )
    return compression.apparent_efficiency(_fluid(facts), readings)


def liquid_fraction(facts: Facts, g: FieldReadings) -> Outcome:
    """Mass fraction of liquid at the suction, from the discharge state.

    None where something cools the gas or may, unless liquid is shown all the same.
    """
    found = wetness(facts, g)
    unsure = found.heads or found.cooling not in (None, "none") or _cooled(facts)
    if unsure and found.verdict != "wet":
        return None
    # the interval covers the efficiency band and about 95 % of the readings' error; within it nothing is preferred
    low, high = found.liquid_fraction.low, found.liquid_fraction.high
    if found.verdict == "wet" and found.discharge_may_be_wet:  # no upper end: the wettest gas would tell least
        high = min(high, low + _OPEN_END)
    return Measured((low + high) / 2, (high - low) / 2 / math.sqrt(3))


def wetness(facts: Facts, g: FieldReadings) -> wet_suction.WetSuction:
    """What `/v1/wet-suction` says of these readings; the suction line is evidence of its own and left out here."""
    return _balance(_fluid(facts), _at_discharge(g), facts.compressor)


def shows_liquid(facts: Facts, g: FieldReadings) -> bool:
    """Whether liquid comes in whatever efficiency the compressor has. InputError where the readings do not fit."""
    return wetness(facts, g).verdict == "wet"


def too_cold_for_pistons(facts: Facts, g: FieldReadings) -> bool:
    """Of a type that nobody named: whether no pistons, their heads cooled, leave dry gas so cold. Oil would."""
    return facts.compressor is None and colder_than_cooled_heads(_fluid(facts), _at_discharge(g), None)


def _at_discharge(g: FieldReadings) -> wet_suction.WetSuctionReadings:
    return wet_suction.WetSuctionReadings(
        known(g.suction_pressure), known(g.discharge_pressure), known(g.discharge_temperature)
    )


@lru_cache(256)
def _balance(
    designation: str, readings: wet_suction.WetSuctionReadings, compressor: Compressor | None
) -> wet_suction.WetSuction:
    """Kept, since it is asked for as a number, for its row and for what is in doubt."""
    return wet_suction.infer(designation, readings, wet_suction.WetSuctionMachine(compressor=compressor))


def _cooled(facts: Facts) -> bool:
    return heads_may_be_cooled(_fluid(facts), facts.compressor, None)


def _condensing(facts: Facts, g: FieldReadings) -> Measured:
    return saturation_temperature(_fluid(facts), known(g.discharge_pressure), "dew", "discharge_pressure")


def _fluid(facts: Facts) -> str:
    assert facts.refrigerant is not None  # noqa: S101 - a rule that needs saturation is not asked without
    return facts.refrigerant
