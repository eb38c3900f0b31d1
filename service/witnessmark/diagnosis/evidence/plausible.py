"""Readings that cannot be right together: named, and set aside before anything is worked out of them.

Which of two is wrong nobody can say from here, so neither is evidence and nothing runs on on them. What merely is
strange (a liquid line colder than the air, behind a subcooler) is set aside and no more made of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from witnessmark.calculations.circuit.superheat import Margin, bands, saturation_temperature, subcooling, superheat
from witnessmark.calculations.electrical.insulation import (
    HIGHEST,
    InsulationConditions,
    InsulationReading,
    InsulationVerdict,
    insulation,
)
from witnessmark.calculations.electrical.motors import TABLE
from witnessmark.calculations.electrical.single_phasing import by_currents
from witnessmark.calculations.electrical.supply_unbalance import TABLE as SUPPLY
from witnessmark.calculations.metrology.ratios import mean, ratio
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.diagnosis.evidence.circuit_numbers import PRESSURES, pressure_ratio, too_cold_for_pistons
from witnessmark.diagnosis.evidence.duty import condenses_nowhere, stalled
from witnessmark.diagnosis.evidence.field_readings import Clash, Facts, FieldReadings, known, three
from witnessmark.diagnosis.evidence.motor_numbers import WINDINGS, protector_open
from witnessmark.diagnosis.evidence.other_windings import windings_of_another
from witnessmark.diagnosis.evidence.reading_rules import RULES
from witnessmark.diagnosis.evidence.surroundings import below_saturation, hot_suction, swapped_lines
from witnessmark.errors import InputError, OutOfRangeError

Check = Callable[[Facts, FieldReadings], Clash | None]
SWAPPED = 3
"""Standard uncertainties from which the hoses must have been swapped."""


def clashes(facts: Facts, readings: FieldReadings) -> Iterator[Clash]:
    """What cannot be, one after the other, each without what those before it dropped."""
    for check in CHECKS:
        if clash := check(facts, readings):
            readings = without(readings, clash)
            yield clash


def without(readings: FieldReadings, clash: Clash) -> FieldReadings:
    """The readings without those that a clash drops; nobody knows whether it runs where that is what is in doubt."""
    gone: dict[str, None] = dict.fromkeys((*clash.dropped, *(("running",) if clash.idle else ())))
    return replace(readings, **gone)


def _hoses(_facts: Facts, g: FieldReadings) -> Clash | None:
    """A running machine has the higher pressure ahead of it."""
    if not g.running or not g.present() >= {*PRESSURES}:
        return None
    over = pressure_ratio(Facts(), g)
    if over.value + SWAPPED * over.uncertainty >= 1:
        return None
    why = (
        "the discharge pressure lies below the suction pressure of a running compressor; check which hose is on which "
        "port"
    )
    return Clash(PRESSURES, why, "both gauges at one moment, zeroed, each on its own port", PRESSURES)


def _nothing_drawn(facts: Facts, g: FieldReadings) -> Clash | None:
    """A machine that runs draws current; where the pressures do not show that it pumps, it may not run at all."""
    for names, whole, read in _supplied(g):
        if g.running and _as_good_as_none(read, whole):
            unit = "current" if "current" in names[0] else "voltage"
            why = f"a compressor that runs has {unit}, and this reads none"
            ask = f"whether it runs (listen, feel), then the {unit} again with the meter proved on a live line"
            return Clash(("running", *names), why, ask, names, idle=not _pumps(facts, g))
    return None


def _supplied(g: FieldReadings) -> Iterator[tuple[tuple[str, ...], Measured | None, Measured]]:
    """Current and voltage as read, with what they should be; of three the greatest, since one leg may be dead."""
    should = g.expected_current or g.rated_current
    one = (("running_current", should), ("supply_voltage", g.rated_voltage))
    for name, whole in one:
        if (read := getattr(g, name)) is not None:
            yield (name,), whole, read
    for name, whole in (("line_currents", should), ("line_voltages", g.rated_voltage)):
        if lines := getattr(g, name):
            yield (name,), whole, max(lines, key=lambda r: r.value)


def _as_good_as_none(read: Measured, whole: Measured | None) -> bool:
    rule = RULES().nothing
    return read.value <= (rule.share * whole.value if whole is not None and whole.value > 0 else rule.alone)


def _pumps(facts: Facts, g: FieldReadings) -> bool:
    """Whether both pressures are there and say that something is pumped."""
    return g.present() >= {*PRESSURES} and not stalled(facts, g) and pressure_ratio(facts, g).value > 1


def _line_currents(facts: Facts, g: FieldReadings) -> Clash | None:
    """Three line currents that do not close: one goes to ground, or a clamp was misread; a dead leg is heard."""
    read = g.line_currents
    three_wire = facts.phases != "single-phase" and read is not None and any(r.value for r in read)
    found = by_currents(SUPPLY().lost_phase, read) if three_wire and read else None
    if found is None or found.fault != "readings contradict":
        return None
    dead = min(r.value for r in three(read)) < SUPPLY().lost_phase.current * mean(three(read)).value
    why = "one line carries more than the other two together: current goes to ground, or a clamp was misread"
    ask = "lock out, look for a ground and at each pole of the contactor; then each line again, with the clamp closed"
    return Clash(("line_currents",), why, ask, ("line_currents",), heard="phase-missing" if dead else "")


Fields = tuple[str, str]
_SUCTION: Fields = ("suction_pressure", "suction_temperature")
_DISCHARGE: Fields = ("discharge_pressure", "discharge_temperature")
_LIQUID: Fields = ("discharge_pressure", "liquid_temperature")


def _margin(facts: Facts, g: FieldReadings, fields: Fields) -> Margin | None:
    """How far a line lies from saturation at the pressure beside it; None where that cannot be said.

    A line a few kelvin below saturation stays evidence of liquid: what is set aside stops no machine.
    """
    if facts.refrigerant is None or g.running is False or stalled(facts, g) or not g.present() >= {*fields}:
        return None
    pressure, temperature = (known(getattr(g, name)) for name in fields)
    try:
        if fields == _LIQUID:
            return subcooling(facts.refrigerant, pressure, temperature)
        place = "suction" if fields == _SUCTION else "discharge"
        return superheat(facts.refrigerant, pressure, temperature, place, beyond=bands().beyond.far_end)
    except InputError:
        return None


def _beside(facts: Facts, g: FieldReadings, fields: Fields, witness: Fields | None = None) -> Clash | None:
    """A line that can hold neither gas nor liquid at the pressure beside it.

    witness: another line at that pressure. Where that one agrees with it the pressure is believed.
    """
    found = _margin(facts, g, fields)
    if found is None or not _impossible(found):
        return None
    other = witness and _margin(facts, g, witness)
    dropped = fields[1:] if other and not _impossible(other) else fields
    far = abs(found.margin.value)
    why = f"they cannot both be right: the line lies {far:.0f} K on the wrong side of {facts.refrigerant} saturation"
    ask = f"{_names(fields)} at one place and moment. {' '.join(found.likely_reasons[:2])}"
    return Clash(fields, why, ask, dropped)


def _impossible(margin: Margin) -> bool:
    """Whether it lies on the wrong side; a line that is merely too hot has likely reasons too, and is evidence."""
    return margin.verdict == "cannot both be right"


def _suction(facts: Facts, g: FieldReadings) -> Clash | None:
    return _beside(facts, g, _SUCTION)


def _discharge(facts: Facts, g: FieldReadings) -> Clash | None:
    return _beside(facts, g, _DISCHARGE, _LIQUID)


def _liquid(facts: Facts, g: FieldReadings) -> Clash | None:
    return _beside(facts, g, _LIQUID, _DISCHARGE)


def _cold_condenser(facts: Facts, g: FieldReadings) -> Clash | None:
    """Nothing condenses below what cools it. The readings stay: an empty circuit shows them truly."""
    fields, rule = ("discharge_pressure", "outdoor_temperature"), RULES().below_what_cools
    if facts.refrigerant is None or facts.condenser == "evaporative" or not _runs_with(facts, g, fields):
        return None
    try:
        condensing = saturation_temperature(facts.refrigerant, known(g.discharge_pressure), "dew", "pressure")
    except OutOfRangeError:
        return None
    far = rule.not_told if facts.condenser is None else rule.told
    if _above(known(g.outdoor_temperature), condensing, far) is None:
        return None
    why = (
        f"{facts.refrigerant} would condense below what cools it: next to nothing is left to condense, the condenser "
        "is cooled by something else, or a reading or the refrigerant is wrong"
    )
    return Clash(fields, why, "what the condenser takes in, and the head pressure with another gauge")


def _cold_discharge(facts: Facts, g: FieldReadings) -> Clash | None:
    """A running machine whose discharge condenses where no condenser stands. The readings stay: they may be true."""
    if g.running is not True or not condenses_nowhere(facts, g):
        return None
    why = (
        "it would condense far below the freezing point, where no condenser stands: the circuit is nearly empty, "
        "nothing is pumped, or a unit is wrong"
    )
    read = tuple(name for name in PRESSURES if getattr(g, name) is not None)
    return Clash(read, why, "both gauges with their units, and the charge; it is not left to run so")


def _cold_for_its_kind(facts: Facts, g: FieldReadings) -> Clash | None:
    """An ammonia machine of an unknown type, colder at its discharge than any with pistons: oil, or liquid."""
    fields = (*PRESSURES, "discharge_temperature")
    if facts.refrigerant is None or not _runs_with(facts, g, fields) or not too_cold_for_pistons(facts, g):
        return None
    why = (
        "no machine with pistons leaves dry gas so cold, its heads cooled or not: oil cools it, as in a screw, or "
        "liquid comes in with the suction gas"
    )
    ask = "what compressor it is and what cools its gas; then the discharge line again, insulated, close to the shell"
    return Clash(fields, why, ask, fields[2:])


def _cold_liquid(facts: Facts, g: FieldReadings) -> Clash | None:
    """Liquid far below the air: behind a subcooler, or read wrong; either way it says nothing of the charge."""
    fields = ("liquid_temperature", "outdoor_temperature")
    if facts.condenser in ("evaporative", "water-cooled") or not _runs_with(facts, g, fields):
        return None
    if _above(known(g.outdoor_temperature), known(g.liquid_temperature), RULES().below_what_cools.liquid) is None:
        return None
    why = "liquid that much colder than the air of its condenser comes from a subcooler or a wrong reading"
    return Clash(fields, why, dropped=fields[:1])


def _runs_with(facts: Facts, g: FieldReadings, fields: tuple[str, ...]) -> bool:
    return g.running is True and not stalled(facts, g) and g.present() >= {*fields}


def _above(warm: Measured, cold: Measured, far: float) -> float | None:
    """How many kelvin the one lies above the other, where that is more than `far` and the errors of both."""
    apart = warm.value - cold.value
    reach = far + COVERAGE * (warm.uncertainty + cold.uncertainty)
    return apart if apart > reach else None


def _capacitors(_facts: Facts, g: FieldReadings) -> Clash | None:
    """A thousandth or a thousand times the marking is a slip of the unit; a dead one reads next to nothing."""
    for name in ("run_capacitor", "start_capacitor"):
        read, marked = getattr(g, name), getattr(g, f"{name}_marked")
        if read is not None and marked is not None and marked.value > 0 and _slip(ratio(read, marked).value):
            why = "it reads a thousand times too much or too little: the unit was mistaken, or it is dead"
            return Clash((name,), why, "the capacitance again, discharged, with the range of the meter noted", (name,))
    return None


def _slip(share: float) -> bool:
    off = RULES().unit_slip.off
    return any(1 - off <= share * factor <= 1 + off for factor in (1e3, 1e-3, 1e6, 1e-6))


def _protector(facts: Facts, g: FieldReadings) -> Clash | None:
    """Open as an internal protector opens, and nobody says that the winding is cold: no winding is open yet."""
    cold = g.winding_temperature is not None and g.winding_temperature.value <= RULES().protector.cold
    if cold or facts.construction == "open-drive" or not g.winding_resistances or not protector_open(facts, g):
        return None
    why = "open as an internal protector opens on a hot shell, which is no open winding yet"
    ask = (
        "locked out, let the shell cool until it is hand-cold, for hours if need be, then each pair of pins again; "
        "never bridge the protector; then find what heated it"
    )
    return Clash(WINDINGS, why, ask, WINDINGS, heard="protector-open-hot")


def _wet_winding(facts: Facts, g: FieldReadings) -> Clash | None:
    """A reading of a winding that is cold or may lie in cold refrigerant, judged as `/v1/insulation` judges it."""
    cold = {name: getattr(g, name) for name in COLD if getattr(g, name) is not None}
    if not cold or facts.construction == "open-drive":
        return None
    worst = min((r for read in cold.values() for r in _each(read)), key=lambda r: r.value)
    found = _tested(facts, g, worst)
    if found.verdict != "warm up and repeat" or (facts.trips_at_once and _dead(worst)):
        return None
    if g.insulation_resistance_hot is not None:
        return Clash(tuple(cold), "read while cold; the reading of the hot winding counts", dropped=tuple(cold))
    low = all(minimum.standing == "outside" for minimum in found.minima)
    why = "a winding that is cold or may hold liquid refrigerant proves neither good nor grounded before it is warm"
    ask = (
        "warm the shell for hours, by its heater where that works, else by warm air and never by a flame, clean the "
        "pins, and measure again; no power before that"
    )
    return Clash(tuple(cold), why, ask, tuple(cold), heard="insulation-low" if low else "")


def _dead(worst: Measured) -> bool:
    """Whether it is so low that cold refrigerant does not explain it: beside a breaker that opens at once, a ground."""
    return worst.value + COVERAGE * worst.uncertainty < RULES().dead_with_trip.ohm


def _tested(facts: Facts, g: FieldReadings, worst: Measured) -> InsulationVerdict:
    """The insulation test of the worst reading, with what is known of the winding and of liquid in the shell."""
    motor, reference = "hermetic-inverter" if facts.drive == "inverter" else "hermetic", TABLE().reference
    at = g.winding_temperature or Measured(reference.temperature)
    temperature = Measured(min(max(at.value, reference.coldest), reference.hottest), min(at.uncertainty, _VAGUE))
    heated = None if g.heater_on is None else g.heater_on.value
    conditions = InsulationConditions(liquid_refrigerant=g.liquid_refrigerant, heater_on=heated)
    read = Measured(min(worst.value, HIGHEST), min(worst.uncertainty, HIGHEST))
    return insulation(InsulationReading(read, temperature, motor, conditions=conditions))


_VAGUE = 50.0
"""K. A temperature known no better than that says nothing, and no worse one says less."""
COLD = ("insulation_resistance", "insulation_by_phase")
"""Readings to the shell that nobody says were taken on a hot winding."""


def _each(read: Measured | tuple[Measured, ...]) -> tuple[Measured, ...]:
    return (read,) if isinstance(read, Measured) else read


def _names(fields: tuple[str, ...]) -> str:
    return " and ".join(name.replace("_", " ") for name in fields)


CHECKS: tuple[Check, ...] = (
    _hoses,
    _nothing_drawn,
    _line_currents,
    swapped_lines,
    _suction,
    hot_suction,
    below_saturation,
    _discharge,
    _liquid,
    _cold_condenser,
    _cold_discharge,
    _cold_for_its_kind,
    _cold_liquid,
    _capacitors,
    _protector,
    windings_of_another,
    _wet_winding,
)
