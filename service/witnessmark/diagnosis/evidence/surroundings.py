"""Lines that nothing around the machine can have made so warm, and numbers that no gas or liquid can have.

A suction line is warmed by the air, by the liquid line in an exchanger, by nothing else: what reads warmer was not read
at it, or hot gas comes back into it. Neither tells that the machine is short of refrigerant.
"""

from __future__ import annotations

from witnessmark.calculations.circuit.superheat import bands
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.evidence.circuit_numbers import PRESSURES, evaporating
from witnessmark.diagnosis.evidence.duty import stalled
from witnessmark.diagnosis.evidence.field_readings import Clash, Facts, FieldReadings, known
from witnessmark.diagnosis.evidence.reading_rules import RULES
from witnessmark.errors import InputError

_LINES = ("suction_temperature", "discharge_temperature")
_WORKED_OUT = ("suction_superheat", "discharge_superheat", "subcooling")


def swapped_lines(facts: Facts, g: FieldReadings) -> Clash | None:
    """Of a machine that pumps the discharge line is the warmer one."""
    if g.running is not True or not g.present() >= {*_LINES, *PRESSURES} or stalled(facts, g):
        return None
    cold, hot = known(g.suction_temperature), known(g.discharge_temperature)
    if cold.value - hot.value <= COVERAGE * (cold.uncertainty + hot.uncertainty):
        return None
    why = (
        "the discharge line of a compressor that pumps is warmer than its suction line; check which thermometer is on "
        "which line"
    )
    return Clash(_LINES, why, "both lines at one moment, with insulated thermometers close to the shell", _LINES)


def hot_suction(facts: Facts, g: FieldReadings) -> Clash | None:
    """A suction line warmer than all that could have warmed it."""
    around = _warmest(facts, g)
    if around is None or not _beyond(known(g.suction_temperature), around):
        return None
    why = (
        "the line reads warmer than the air, the liquid line and any room around it: the thermometer or its unit is "
        "wrong, or hot gas comes back into the line"
    )
    ask = (
        "the suction line close to the shell with an insulated thermometer; where it is as hot again, feel for hot gas "
        "through the reversing valve, a bypass or the suction valves"
    )
    return Clash(("suction_temperature",), why, ask, ("suction_temperature",))


def below_saturation(_facts: Facts, g: FieldReadings) -> Clash | None:
    """A superheat or subcooling far below nothing, as somebody worked it out."""
    for name in _WORKED_OUT:
        told: Measured | None = getattr(g, name)
        if told is not None and told.value + COVERAGE * told.uncertainty < -bands().beyond.far_end:
            why = "it lies below zero, where wet gas and liquid that boils stand at zero: a slip in working it out"
            ask = "pressure and line temperature at one place and moment, and the refrigerant's table"
            return Clash((name,), why, ask, (name,))
    return None


def _warmest(facts: Facts, g: FieldReadings) -> float | None:
    """The warmest that a suction line can have become, K; None where nobody knows what it started from."""
    if facts.refrigerant is None or g.running is False or not g.present() >= {*_LINES[:1], PRESSURES[0]}:
        return None
    if stalled(facts, g):
        return None
    try:
        coil = evaporating(facts, g).value + catalogue()["suction-superheat"].normal[1]
    except InputError:
        return None
    read = (g.outdoor_temperature, g.liquid_temperature)
    return max(coil, RULES().warm_place.room, *(r.value for r in read if r is not None))


def _beyond(read: Measured, warmest: float) -> bool:
    return read.value - COVERAGE * read.uncertainty > warmest + RULES().warm_place.beyond
