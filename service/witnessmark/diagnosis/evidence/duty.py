"""What a sound machine of this duty shows: which row of readings.toml judges it, and how close its pressures may be.

A low stage, of a booster or a cascade, condenses into the next stage and not into the air; a condenser on cool water
stands a few kelvin above it. Both run soundly at ratios at which others have stopped pumping. A chiller that is
flooded, or whose valve is held finely, has next to no superheat, and its discharge tells whether the gas is dry all
the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from witnessmark.calculations.circuit.superheat import saturation_temperature
from witnessmark.calculations.compressor.operating_limits import OperatingMachine, ruling_for
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured, propagate
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.evidence import circuit_numbers as circuit
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, Outcome, known
from witnessmark.diagnosis.evidence.reading_rules import RULES
from witnessmark.errors import InputError
from witnessmark.refrigerants import saturation

_AMMONIA, _CARBON_DIOXIDE = "R-717", "R-744"
_DISCHARGE = "discharge-temperature"
_BY_CONDENSER = {"water-cooled": "condensing-over-entering-water", "evaporative": "condensing-over-wet-bulb"}
_UNMOVED = "evaporating-unmoved"
_ON_WATER = ("water-cooled", "evaporative")


def row_of(quantity: str, facts: Facts, g: FieldReadings) -> str:
    """The row by which this number of this machine is judged."""
    if of_machine := _ROWS.get(quantity):
        return of_machine(facts, g)
    if quantity == "condensing-over-ambient":
        return _BY_CONDENSER.get(facts.condenser or "", quantity)
    if quantity == "liquid-fraction" and circuit.shows_liquid(facts, g):
        return "liquid-fraction-shown"
    return f"{quantity}-low-temperature" if quantity == _UNMOVED and facts.low_temperature else quantity


def stalled(facts: Facts, g: FieldReadings) -> bool:
    """The pressures are so close that nothing is pumped, whatever the gauges' error."""
    if g.running is False:
        return False
    over = _ratio(facts, g)
    least = catalogue()["compression-ratio-low-lift" if low_lift(facts, g) else "compression-ratio"].normal[0]
    return over is not None and over.value + COVERAGE * over.uncertainty < least


def low_lift(facts: Facts, g: FieldReadings) -> bool:
    """Whether small ratios are usual for such a machine: a low stage, a condenser on cool water or in mild air.

    In mild air only where it stands as far above that air as a sound one: what pumps nothing stands at it.
    """
    if facts.low_temperature or facts.refrigerant == _CARBON_DIOXIDE:
        return _low_stage(facts, g)
    rejects = _rejects(facts, g)
    usual = facts.condenser in _ON_WATER if rejects is None else rejects
    return usual and _condenses_outside(facts, g)


def condenses_nowhere(facts: Facts, g: FieldReadings) -> bool:
    """Whether it condenses colder than any condenser outside, and is no low stage: nearly empty, or pumping nothing."""
    condensing, rule = _condensing(facts, g), RULES().lifted
    if condensing is None or facts.low_temperature or facts.refrigerant in rule.stages or _rejects(facts, g):
        return False
    return condensing < rule.inside


def pressure_difference(facts: Facts, g: FieldReadings) -> Outcome:
    """High less low side, Pa; none where the ratio shows the lift and the few bars are those of a thin gas.

    R-134a at 5/25 °C stands 3 bar apart, R-123 less than one, ammonia at -40/-10 °C two.
    """
    apart, over, rule = circuit.pressure_difference(facts, g), circuit.pressure_ratio(facts, g), RULES().lifted
    assert isinstance(apart, Measured)  # noqa: S101 - both pressures are there, else no rule asks
    if over.value < rule.small and _rejects(facts, g) and not stalled(facts, g) and low_lift(facts, g):
        return None  # its heat goes into cool water or air: so small a lift is its design
    lifted = over.value - COVERAGE * over.uncertainty > rule.ratio
    usual = low_lift(facts, g) or _condenses_outside(facts, g)
    return None if lifted and usual and apart.value < rule.few else apart


def evaporating_unmoved(facts: Facts, g: FieldReadings) -> Outcome:
    """Evaporating temperature, K, of a machine that condenses no warmer than what cools it, at a small ratio.

    For want of refrigerant the suction falls with the head; where it stays up the gas is not moved: it turns backwards,
    leaks inside, or a valve sends the gas round. None where heat is rejected, or nobody knows.
    """
    condensing, cold, rule = _condensing(facts, g), g.outdoor_temperature, RULES().lifted
    if condensing is None or cold is None or facts.refrigerant in rule.stages or low_lift(facts, g):
        return None
    rejects_none = condensing <= cold.value + rule.no_heat
    small = circuit.pressure_ratio(facts, g).value < rule.unmoved
    return circuit.evaporating(facts, g) if rejects_none and small else None


def evaporating_under_duty(facts: Facts, g: FieldReadings) -> Outcome:
    """Evaporating temperature over the coldest that such a duty asks for, K; None where it is no colder.

    Comfort cooling holds water and coils above freezing; a machine that may heat takes its heat from any cold. Where
    the refrigerant is made for more cold, it is one of a low stage.
    """
    rule, assumed = RULES().duty, facts.refrigerant or ""
    floors = {"air-conditioning": rule.comfort, "medium-temperature": rule.cool, "low-temperature": rule.frozen}
    floor = floors.get(facts.application or "")
    heats = facts.application == "air-conditioning" and not _cools(facts, g)
    if floor is None or heats or not _single_stage(assumed):
        return None
    over = propagate(lambda t: t - floor, circuit.evaporating(facts, g))
    return over if over.value < 0 else None


def evaporating_over_duty(facts: Facts, g: FieldReadings) -> Outcome:
    """Evaporating temperature over the warmest that such a duty asks for, K, of a machine that rejects little heat.

    In a warm room a sound machine evaporates warm too, and rejects the more heat for it. Where little is rejected the
    gas is not moved: it leaks back inside, or a valve sends it round. What lacks refrigerant evaporates cold.
    None where it is no warmer, at a drive's lowest speed, and where nobody knows what is rejected.
    """
    rule = RULES().duty
    tops = {
        "air-conditioning": rule.comfort_top,
        "medium-temperature": rule.cool_top,
        "low-temperature": rule.frozen_top,
    }
    top = tops.get(facts.application or "")
    if top is None or facts.drive == "inverter" or facts.refrigerant in RULES().lifted.stages or low_lift(facts, g):
        return None
    if not _idles(facts, g):
        return None
    over = propagate(lambda t: t - top, circuit.evaporating(facts, g))
    return over if over.value > 0 else None


def _idles(facts: Facts, g: FieldReadings) -> bool:
    """Whether it draws less than it should, or no more and condenses nearer to what cools it than a sound one."""
    few, many = catalogue()["current-fraction"].normal
    share = _share_drawn(g)
    if share is not None and not few <= share <= many:
        return share < few
    condensing, cold = _condensing(facts, g), g.outdoor_temperature
    if condensing is None or cold is None:
        return False
    least = catalogue()[_BY_CONDENSER.get(facts.condenser or "", "condensing-over-ambient")].normal[0]
    return condensing - cold.value < least


def _share_drawn(g: FieldReadings) -> float | None:
    """The running current over what it should be; None where that is not known."""
    drawn, due = g.running_current, g.expected_current
    return None if drawn is None or due is None or due.value <= 0 else drawn.value / due.value


def _cools(facts: Facts, g: FieldReadings) -> bool:
    """Whether it cools and does not heat: by its kind, or its condenser takes in air warmer than a room."""
    return facts.cooling_only or (g.outdoor_temperature is not None and g.outdoor_temperature.value > RULES().duty.room)


def _single_stage(refrigerant: str) -> bool:
    """Whether it is none of those of low stages, which stand at some bar where others boil in vacuum."""
    coldest, rule = saturation.temperature_range(refrigerant)[0], RULES().duty
    low = coldest <= rule.frozen and float(saturation.dew_pressure(refrigerant, rule.frozen)) >= rule.dense
    return not low and refrigerant not in RULES().lifted.stages


def _low_stage(facts: Facts, g: FieldReadings) -> bool:
    """Carbon dioxide, or a cold duty whose discharge condenses colder than any condenser outside."""
    if facts.refrigerant == _CARBON_DIOXIDE:
        return True
    condensing = _condensing(facts, g)
    return condensing is not None and condensing < RULES().lifted.inside


def _condenses_outside(facts: Facts, g: FieldReadings) -> bool:
    """Whether it condenses as warm as condensers in air or water do."""
    condensing = _condensing(facts, g)
    return condensing is not None and condensing > RULES().lifted.outside


def _rejects(facts: Facts, g: FieldReadings) -> bool | None:
    """Whether it condenses as far above what cools it as a sound one, by the thermometer; None: unknown."""
    condensing, cold = _condensing(facts, g), g.outdoor_temperature
    if condensing is None or cold is None:
        return None
    least = catalogue()[_BY_CONDENSER.get(facts.condenser or "", "condensing-over-ambient")].normal[0]
    return condensing - cold.value - COVERAGE * cold.uncertainty >= least


def _condensing(facts: Facts, g: FieldReadings) -> float | None:
    """Dew temperature at the discharge pressure, K; None where that is not known."""
    if facts.refrigerant is None or g.discharge_pressure is None:
        return None
    try:
        return saturation_temperature(facts.refrigerant, known(g.discharge_pressure), "dew").value
    except InputError:
        return None


def _ratio(facts: Facts, g: FieldReadings) -> Measured | None:
    return circuit.pressure_ratio(facts, g) if g.present() >= {*circuit.PRESSURES} else g.compression_ratio


def _ratio_row(facts: Facts, g: FieldReadings) -> str:
    over = _ratio(facts, g)
    if over is not None and over.value < RULES().lifted.small and low_lift(facts, g):
        return "compression-ratio-low-lift"
    return "compression-ratio-low-temperature" if facts.low_temperature else "compression-ratio"


def _superheat_row(facts: Facts, g: FieldReadings) -> str:
    """Separators feed a sound ammonia machine gas without superheat; so do chillers whose discharge proves it dry."""
    if facts.refrigerant == _AMMONIA:
        return "suction-superheat-ammonia"
    if facts.chiller and _dry(facts, g):
        return "suction-superheat-chiller"
    return "suction-superheat-inverter" if facts.drive == "inverter" else "suction-superheat"


def _dry(facts: Facts, g: FieldReadings) -> bool:
    """Whether the discharge lies so far above saturation, beyond its uncertainty, that the gas came in dry."""
    over = g.discharge_superheat
    if facts.refrigerant is not None and g.discharge_pressure is not None and g.discharge_temperature is not None:
        try:
            made = circuit.discharge_superheat(facts, g)
        except InputError:
            return False
        over = made if isinstance(made, Measured) else None
    least = catalogue()["discharge-superheat"].normal[0]
    return over is not None and over.value - COVERAGE * over.uncertainty >= least


def _subcooling_row(facts: Facts, _g: FieldReadings) -> str:
    """Ammonia plants and those that hold goods drain their condensers into a receiver, which leaves hardly any."""
    receiver = facts.refrigerant == _AMMONIA or facts.application in ("medium-temperature", "low-temperature")
    return "subcooling-receiver" if receiver else "subcooling"


def _discharge_row(facts: Facts) -> str:
    """The row whose plateau ends at the limit that `/v1/compression` holds against such a machine.

    An ammonia compressor of an unknown kind is taken for one with pistons: what those run at stops no machine.
    """
    compressor = facts.compressor or ("reciprocating" if facts.refrigerant == _AMMONIA else None)
    ruling = ruling_for(OperatingMachine(facts.refrigerant or "", compressor), "discharge_temperature")
    rows = [row for row in catalogue().values() if row.id.startswith(_DISCHARGE)]
    return min(rows, key=lambda row: abs(row.normal[1] - ruling.value)).id if ruling else _DISCHARGE


_ROWS: Mapping[str, Callable[[Facts, FieldReadings], str]] = {
    _DISCHARGE: lambda facts, _g: _discharge_row(facts),
    "suction-superheat": _superheat_row,
    "compression-ratio": _ratio_row,
    "subcooling": _subcooling_row,
}
"""Numbers that are judged by one of several rows."""
