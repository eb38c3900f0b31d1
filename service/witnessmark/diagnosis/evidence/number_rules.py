"""Which derived number needs which readings, when it tells something, and how it is had."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.evidence import circuit_numbers as circuit
from witnessmark.diagnosis.evidence import duty
from witnessmark.diagnosis.evidence import motor_numbers as motor
from witnessmark.diagnosis.evidence import supply_numbers as supply
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, Outcome

When = Literal["pumping", "running", "not at rest", "at rest", "any time"]
Compute = Callable[[Facts, FieldReadings], Outcome]


@dataclass(frozen=True, slots=True)
class Rule:
    """One derived number: the fields it needs, all or (`any_of`) at least one, when it tells, and how it is had.

    saturation: whether it needs the refrigerant.
    """

    quantity: str
    needs: tuple[str, ...]
    when: When
    compute: Compute
    saturation: bool = False
    any_of: bool = False

    def fields(self, given: frozenset[str]) -> tuple[str, ...]:
        """The fields that it works with; none where they do not suffice."""
        found = tuple(name for name in self.needs if name in given)
        return found if found and (self.any_of or found == self.needs) else ()


def tells(when: When, *, running: bool | None, pumps: bool) -> bool:
    """Steady numbers count unless it stood still or does not pump; pressure ratio and difference only while running."""
    if when == "pumping":
        return pumps and running is not False
    asked = {"any time": True, "running": running is True, "at rest": running is False}
    return asked.get(when, running is not False)


def _as_read(name: str) -> Compute:
    return lambda _facts, g: getattr(g, name)


def _read(quantity: str, name: str, when: When = "any time") -> Rule:
    return Rule(quantity, (name,), when, _as_read(name))


def _share(quantity: str, part: str, whole: str, when: When = "any time") -> Rule:
    return Rule(quantity, (part, whole), when, supply.share(part, whole))


def _wet(quantity: str, pressure: str, temperature: str, compute: Compute, when: When = "pumping") -> Rule:
    return Rule(quantity, (pressure, temperature), when, compute, saturation=True)


def _over_rated(facts: Facts, g: FieldReadings) -> Outcome:
    """The running current over that of the nameplate, where nobody knows what it should draw at this load.

    What a drive draws at low speed is far below its nameplate and tells nothing.
    """
    if g.expected_current:
        return None
    share = supply.share("running_current", "rated_current")(facts, g)
    slow = facts.drive == "inverter" and isinstance(share, Measured) and share.value < 1
    return None if slow else share


def _interval(_facts: Facts, g: FieldReadings) -> Outcome:
    """The least time from a stop to the next start; of a machine that cycles it is its cycling, and no power blink."""
    cycles = g.starts_per_hour is not None and g.starts_per_hour.value > _MANY_STARTS
    return None if cycles else g.restart_interval


def _of_a_rotor_that_stands(facts: Facts, g: FieldReadings) -> Outcome:
    """The current over what it should draw, else over the nameplate, where that is beyond any rotor that turns.

    A drive lets no rotor draw several times its current.
    """
    whole = "expected_current" if g.expected_current else "rated_current"
    if facts.drive == "inverter" or getattr(g, whole) is None:
        return None
    share = supply.share("running_current", whole)(facts, g)
    return share if isinstance(share, Measured) and share.value >= _HARDLY_TURNS else None


_HARDLY_TURNS = 2.0
_MANY_STARTS = 12.0
"""An hour: more than that is short cycling (the row `starts-per-hour`)."""
_HOT = "discharge_temperature"
_LOW, _HIGH = circuit.PRESSURES
RULES = (
    _wet("suction-superheat", _LOW, "suction_temperature", circuit.suction_superheat),
    _wet("discharge-superheat", _HIGH, _HOT, circuit.telling_discharge_superheat),
    _read("discharge-temperature", _HOT, "pumping"),
    _wet("sump-superheat-running", _LOW, "sump_temperature", circuit.sump_superheat),
    _wet("sump-superheat-at-rest", _LOW, "sump_temperature", circuit.sump_superheat, "at rest"),
    _wet("subcooling", _HIGH, "liquid_temperature", circuit.liquid_subcooling),
    _wet("condensing-over-ambient", _HIGH, "outdoor_temperature", circuit.over_entering),
    _wet("condensing-over-leaving-water", _HIGH, "condenser_leaving_temperature", circuit.over_leaving),
    Rule("compression-ratio", circuit.PRESSURES, "running", circuit.pressure_ratio),
    Rule("pressure-difference-running", circuit.PRESSURES, "running", duty.pressure_difference),
    Rule("evaporating-under-duty", (_LOW,), "running", duty.evaporating_under_duty, saturation=True),
    Rule("evaporating-over-duty", circuit.PRESSURES, "running", duty.evaporating_over_duty, saturation=True),
    Rule("evaporating-unmoved", circuit.PRESSURES, "running", duty.evaporating_unmoved, saturation=True),
    Rule(
        "isentropic-efficiency",
        (_LOW, _HIGH, "suction_temperature", _HOT),
        "pumping",
        circuit.efficiency,
        saturation=True,
    ),
    Rule("liquid-fraction", (_LOW, _HIGH, _HOT), "pumping", circuit.liquid_fraction, saturation=True),
    _read("net-oil-pressure", "net_oil_pressure", "not at rest"),
    _share("current-fraction", "running_current", "expected_current"),
    Rule("current-over-rated", ("running_current", "rated_current"), "any time", _over_rated),
    Rule("locked-rotor-fraction", ("running_current",), "not at rest", _of_a_rotor_that_stands),
    Rule("voltage-fraction", ("line_voltages", "rated_voltage"), "any time", supply.line_share),
    _share("voltage-fraction", "supply_voltage", "rated_voltage"),
    Rule("voltage-unbalance", supply.VOLTAGES, "any time", supply.voltage_unbalance),
    Rule("lost-leg-by-voltage", supply.VOLTAGES, "any time", supply.lost_leg_by_voltage),
    Rule("current-unbalance", supply.CURRENTS, "any time", supply.current_unbalance),
    Rule("lost-leg-by-current", supply.CURRENTS, "any time", supply.lost_leg_by_current),
    Rule("unexplained-current-unbalance", (*supply.CURRENTS, *supply.VOLTAGES), "any time", supply.unexplained_share),
    _share("start-voltage-fraction", "terminal_voltage_at_start", "rated_voltage"),
    _share("control-voltage-fraction", "control_voltage", "rated_control_voltage"),
    Rule("capacitor-outside-tolerance", motor.CAPACITORS, "any time", motor.outside_tolerance, any_of=True),
    Rule("insulation-resistance", motor.INSULATION, "any time", motor.least_insulation, any_of=True),
    Rule("winding-spread", motor.WINDINGS, "any time", motor.spread),
    Rule("winding-continuity", motor.WINDINGS, "any time", motor.continuity),
    Rule("start-winding-out-of-proportion", motor.WINDINGS, "any time", motor.out_of_proportion),
    _read("oil-acid-number", "oil_acid_number"),
    _read("oil-water", "oil_water"),
    _read("oil-colour", "oil_colour"),
    _share("oil-drained-fraction", "oil_drained", "oil_due"),
    _share("charge-fraction", "recovered_charge", "due_charge"),
    _read("starts-per-hour", "starts_per_hour"),
    Rule("restart-interval", ("restart_interval",), "any time", _interval),
)
STATED = (
    _read("suction-superheat", "suction_superheat", "pumping"),
    Rule("discharge-superheat", ("discharge_superheat",), "pumping", circuit.stated_discharge_superheat),
    _read("subcooling", "subcooling", "pumping"),
    _read("compression-ratio", "compression_ratio", "not at rest"),
)
"""Numbers that somebody worked out already."""
