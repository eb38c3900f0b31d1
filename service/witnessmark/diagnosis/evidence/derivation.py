"""From what a technician reads at the machine to the derived numbers that the diagnosis understands.

Every number comes from the calculation modules, with its uncertainty. One that presupposes steady pumping (superheat,
subcooling, discharge temperature …) is left out where the machine runs without building pressure: it would describe a
machine that does not pump, not the circuit that killed it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from typing import Literal

from witnessmark.calculations.circuit.superheat import saturation_temperature, subcooling, superheat
from witnessmark.calculations.compressor import compression, wet_suction
from witnessmark.calculations.electrical import insulation, supply_unbalance, windings
from witnessmark.calculations.metrology.uncertainty import Measured, propagate
from witnessmark.diagnosis.case import Reading
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.errors import ConflictError, InputError, located

Three = tuple[Measured, Measured, Measured]
When = Literal["pumping", "running", "at rest", "any time"]


@dataclass(frozen=True, slots=True)
class FieldReadings:
    """Readings at one machine, SI, each may be missing. running: whether the pressures were read while it ran."""

    running: bool | None = None
    suction_pressure: Measured | None = None
    suction_temperature: Measured | None = None
    discharge_pressure: Measured | None = None
    discharge_temperature: Measured | None = None
    liquid_temperature: Measured | None = None
    sump_temperature: Measured | None = None
    outdoor_temperature: Measured | None = None
    running_current: Measured | None = None
    expected_current: Measured | None = None
    line_voltages: Three | None = None
    rated_voltage: Measured | None = None
    line_currents: Three | None = None
    insulation_resistance: Measured | None = None
    winding_temperature: Measured | None = None
    winding_resistances: Three | None = None
    oil_acid_number: Measured | None = None
    oil_water: Measured | None = None
    oil_colour: Measured | None = None
    recovered_charge: Measured | None = None
    due_charge: Measured | None = None
    starts_per_hour: Measured | None = None

    def present(self) -> frozenset[str]:
        """Names of the readings that there are."""
        return frozenset(f.name for f in fields(self) if getattr(self, f.name) is not None)


@dataclass(frozen=True, slots=True)
class Derived:
    """The derived numbers, the fields that each came from, and what was assumed or left out, in words."""

    readings: tuple[Reading, ...]
    derived_from: tuple[tuple[str, ...], ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Rule:
    """One derived number: the fields it needs, when it tells something, and how it is had."""

    quantity: str
    needs: tuple[str, ...]
    when: When
    compute: Callable[[str, FieldReadings], Measured | None]


def derive(designation: str | None, readings: FieldReadings, *, low_temperature: bool = False) -> Derived:
    """Every number that the readings allow. Raises InputError and its kinds, fields named `readings.<field>`.

    designation: refrigerant, None where no number needs it. low_temperature: take the ratio limits of such machines.
    """
    remarks = list(_remarks(readings))
    with located("readings"):
        pumps = not _stalled(readings)
        if not pumps:
            remarks.append(
                "The pressures are so close that nothing is pumped: superheat, subcooling and temperatures were not "
                "taken as evidence, since they describe a machine that does not pump."
            )
        numbers = [
            (_reading(rule, value, low_temperature=low_temperature), rule.needs)
            for rule in _RULES
            if readings.present().issuperset(rule.needs) and _tells(rule.when, running=readings.running, pumps=pumps)
            if (value := rule.compute(designation or "", readings)) is not None
        ]
    return Derived(tuple(number for number, _ in numbers), tuple(needs for _, needs in numbers), tuple(remarks))


def _remarks(readings: FieldReadings) -> Iterator[str]:
    if readings.running is None and readings.suction_pressure is not None:
        yield (
            "Not said whether the compressor was running: superheat and the like are taken as read while running; the "
            "pressure difference is not judged."
        )
    if readings.insulation_resistance is not None and readings.winding_temperature is None:
        yield "Insulation resistance: taken as read, since the winding temperature is not known."


def _stalled(readings: FieldReadings) -> bool:
    """The pressures are so close that nothing is pumped, whatever the gauges' error."""
    low, high = readings.suction_pressure, readings.discharge_pressure
    if readings.running is False or low is None or high is None:
        return False
    ratio = propagate(lambda p1, p2: p2 / p1, low, high)
    if readings.running and ratio.value + 3 * ratio.uncertainty < 1:
        raise ConflictError(
            ("discharge_pressure", "suction_pressure"),
            "the discharge pressure lies below the suction pressure of a running compressor",
            "the higher pressure as discharge; check which hose is on which port",
        )
    least = catalogue()["compression-ratio"].normal[0]
    return ratio.value + 2 * ratio.uncertainty < least


def _tells(when: When, *, running: bool | None, pumps: bool) -> bool:
    """Steady numbers count unless it stood still or does not pump; pressure ratio and difference only while running."""
    if when == "pumping":
        return pumps and running is not False
    return when == "any time" or (running is True if when == "running" else running is False)


def _reading(rule: _Rule, value: Measured, *, low_temperature: bool) -> Reading:
    quantity = rule.quantity
    if low_temperature and quantity == "compression-ratio":
        quantity = "compression-ratio-low-temperature"
    row = catalogue()[quantity]
    if not row.limits[0] <= value.value <= row.limits[1]:
        raise ConflictError(
            rule.needs,
            f"together they give a {row.text[0].lower()}{row.text[1:]} that no machine has",
            "readings taken at the same machine and time",
        )
    words = " and ".join(name.replace("_", " ") for name in rule.needs)
    return Reading(quantity, value.value, value.uncertainty, f"from {words}")


def _known(reading: Measured | None) -> Measured:
    assert reading is not None  # noqa: S101 - a rule is used only where its needs are met
    return reading


def _suction_superheat(designation: str, g: FieldReadings) -> Measured:
    with located(pressure="suction_pressure", temperature="suction_temperature"):
        return superheat(designation, _known(g.suction_pressure), _known(g.suction_temperature)).margin


def _discharge_superheat(designation: str, g: FieldReadings) -> Measured:
    with located(pressure="discharge_pressure", temperature="discharge_temperature"):
        return superheat(designation, _known(g.discharge_pressure), _known(g.discharge_temperature), "discharge").margin


def _sump_superheat(designation: str, g: FieldReadings) -> Measured:
    with located(pressure="suction_pressure", temperature="sump_temperature"):
        return superheat(designation, _known(g.suction_pressure), _known(g.sump_temperature), "sump").margin


def _subcooling(designation: str, g: FieldReadings) -> Measured:
    with located(pressure="discharge_pressure", temperature="liquid_temperature"):
        return subcooling(designation, _known(g.discharge_pressure), _known(g.liquid_temperature)).margin


def _over_ambient(designation: str, g: FieldReadings) -> Measured:
    condensing = saturation_temperature(designation, _known(g.discharge_pressure), "bubble", "discharge_pressure")
    return propagate(lambda t, air: t - air, condensing, _known(g.outdoor_temperature))


def _ratio(_designation: str, g: FieldReadings) -> Measured:
    return propagate(lambda p1, p2: p2 / p1, _known(g.suction_pressure), _known(g.discharge_pressure))


def _difference(_designation: str, g: FieldReadings) -> Measured:
    return propagate(lambda p1, p2: p2 - p1, _known(g.suction_pressure), _known(g.discharge_pressure))


def _efficiency(designation: str, g: FieldReadings) -> Measured | None:
    readings = compression.CompressorReadings(
        _known(g.suction_pressure), _known(g.discharge_pressure), g.suction_temperature, g.discharge_temperature
    )
    return compression.assess(designation, readings).numbers.isentropic_efficiency


def _liquid(designation: str, g: FieldReadings) -> Measured:
    readings = wet_suction.WetSuctionReadings(
        _known(g.suction_pressure), _known(g.discharge_pressure), _known(g.discharge_temperature)
    )
    quality = wet_suction.infer(designation, readings).quality
    # the interval covers the efficiency band and about 95 % of the readings' error; within it nothing is preferred
    return Measured(1 - (quality.low + quality.high) / 2, (quality.high - quality.low) / 2 / math.sqrt(3))


def _share(part: str, whole: str) -> Callable[[str, FieldReadings], Measured | None]:
    def share(_designation: str, g: FieldReadings) -> Measured:
        base = _known(getattr(g, whole))
        if base.value <= 0:
            raise InputError(whole, "not above zero", "a value above zero")
        return propagate(lambda a, b: a / b, _known(getattr(g, part)), base)

    return share


def _voltage_share(_designation: str, g: FieldReadings) -> Measured:
    assert g.line_voltages is not None  # noqa: S101 - a rule is used only where its needs are met
    rated = _known(g.rated_voltage)
    if rated.value <= 0:
        raise InputError("rated_voltage", "not above zero", "a value above zero")
    return propagate(lambda a, b, c, r: (a + b + c) / 3 / r, *g.line_voltages, rated)


def _unbalance(name: str, highest: float) -> Callable[[str, FieldReadings], Measured | None]:
    def unbalance(_designation: str, g: FieldReadings) -> Measured:
        return supply_unbalance.unbalance(getattr(g, name), name, highest).fraction

    return unbalance


def _insulation(_designation: str, g: FieldReadings) -> Measured:
    resistance = _known(g.insulation_resistance)
    if g.winding_temperature is None:
        return resistance
    with located(resistance="insulation_resistance", temperature="winding_temperature"):
        corrected = insulation.corrections(resistance, g.winding_temperature)
    return min((c.resistance for c in corrected), key=lambda r: r.value)


def _spread(_designation: str, g: FieldReadings) -> Measured | None:
    assert g.winding_resistances is not None  # noqa: S101 - a rule is used only where its needs are met
    with located(terminals="winding_resistances"):
        balance = windings.three_phase(windings.ThreePhaseReadings(g.winding_resistances)).balance
    return balance.unbalance if balance else None


def _as_read(name: str) -> Callable[[str, FieldReadings], Measured | None]:
    return lambda _designation, g: getattr(g, name)


_PRESSURES = ("suction_pressure", "discharge_pressure")
_RULES = (
    _Rule("suction-superheat", ("suction_pressure", "suction_temperature"), "pumping", _suction_superheat),
    _Rule("discharge-superheat", ("discharge_pressure", "discharge_temperature"), "pumping", _discharge_superheat),
    _Rule("discharge-temperature", ("discharge_temperature",), "pumping", _as_read("discharge_temperature")),
    _Rule("sump-superheat-running", ("suction_pressure", "sump_temperature"), "pumping", _sump_superheat),
    _Rule("sump-superheat-at-rest", ("suction_pressure", "sump_temperature"), "at rest", _sump_superheat),
    _Rule("subcooling", ("discharge_pressure", "liquid_temperature"), "pumping", _subcooling),
    _Rule("condensing-over-ambient", ("discharge_pressure", "outdoor_temperature"), "pumping", _over_ambient),
    _Rule("compression-ratio", _PRESSURES, "running", _ratio),
    _Rule("pressure-difference-running", _PRESSURES, "running", _difference),
    _Rule(
        "isentropic-efficiency", (*_PRESSURES, "suction_temperature", "discharge_temperature"), "pumping", _efficiency
    ),
    _Rule("liquid-fraction", (*_PRESSURES, "discharge_temperature"), "pumping", _liquid),
    _Rule(
        "current-fraction",
        ("running_current", "expected_current"),
        "any time",
        _share("running_current", "expected_current"),
    ),
    _Rule("voltage-fraction", ("line_voltages", "rated_voltage"), "any time", _voltage_share),
    _Rule(
        "voltage-unbalance",
        ("line_voltages",),
        "any time",
        _unbalance("line_voltages", supply_unbalance.HIGHEST_VOLTAGE),
    ),
    _Rule(
        "current-unbalance",
        ("line_currents",),
        "any time",
        _unbalance("line_currents", supply_unbalance.HIGHEST_CURRENT),
    ),
    _Rule("insulation-resistance", ("insulation_resistance",), "any time", _insulation),
    _Rule("winding-spread", ("winding_resistances",), "any time", _spread),
    _Rule("oil-acid-number", ("oil_acid_number",), "any time", _as_read("oil_acid_number")),
    _Rule("oil-water", ("oil_water",), "any time", _as_read("oil_water")),
    _Rule("oil-colour", ("oil_colour",), "any time", _as_read("oil_colour")),
    _Rule("charge-fraction", ("recovered_charge", "due_charge"), "any time", _share("recovered_charge", "due_charge")),
    _Rule("starts-per-hour", ("starts_per_hour",), "any time", _as_read("starts_per_hour")),
)
