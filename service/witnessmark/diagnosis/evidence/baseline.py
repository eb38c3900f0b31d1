"""The same machine when it was sound: at like load the deviation from it is the evidence, not the usual range.

Between machines a sound superheat or condensing temperature lies some kelvin to either side; of one machine it scatters
far less (same-machine-scatter), so that less can be told from it. Where load or entering temperature differ the scatter
grows; where the baseline itself shows a fault it is not believed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from witnessmark.calculations.metrology.ratios import difference, ratio
from witnessmark.calculations.metrology.uncertainty import Measured, figures
from witnessmark.diagnosis.case import Reading
from witnessmark.diagnosis.catalogue.readings import catalogue, likelihood
from witnessmark.diagnosis.evidence.circuit_numbers import evaporating
from witnessmark.diagnosis.evidence.derivation import Number, Numbers, numbers
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, SetAside, known
from witnessmark.diagnosis.evidence.reading_rules import RULES
from witnessmark.errors import InputError

_CONDENSING = "condensing-against-baseline"
_OVER_ENTERING = ("condensing-over-ambient", "condensing-over-entering-water", "condensing-over-wet-bulb")
DEVIATIONS = {
    "suction-superheat": "superheat-against-baseline",
    "subcooling": "subcooling-against-baseline",
    "condensing-over-ambient": _CONDENSING,
    "condensing-over-entering-water": _CONDENSING,
    "condensing-over-leaving-water": _CONDENSING,
    "condensing-over-wet-bulb": _CONDENSING,
    "net-oil-pressure": "oil-pressure-against-baseline",
    "winding-spread": "winding-spread-against-baseline",
}
"""Numbers whose deviation from the sound machine is the finer evidence, and the row that judges it."""
_OF_LOAD = {"superheat-against-baseline", "subcooling-against-baseline", _CONDENSING}
_GROSS = 0.02
_DB = 10.0


def against(facts: Facts, sound: FieldReadings, found: Numbers) -> None:
    """Replace numbers in `found` by their deviation from the sound machine, and add those that only it allows."""
    now = found.readings
    base = numbers(facts, replace(sound, running=True if sound.running is None else sound.running))
    found.set_aside += [SetAside(s.readings, f"of the baseline: {s.why}") for s in base.set_aside]
    alike, apart = _conditions(now, sound)
    if not alike:
        found.remarks.append(
            "The baseline was taken at another load: superheat, subcooling, pressures and current are held against the "
            "usual range instead."
        )
    reference, measured = base.by_quantity(), found.by_quantity()
    for k, number in enumerate(found.numbers):
        row = DEVIATIONS.get(number.reading.quantity, "")
        before = reference.get(number.reading.quantity)
        if not row or before is None or (row in _OF_LOAD and not alike):
            continue
        if _unsound(before.reading):
            found.remarks.append(_not_believed(before))
        else:
            found.numbers[k] = _deviation(row, number, before, apart if row in _OF_LOAD else 0.0)
    if alike:
        found.numbers += _evaporating(facts, found, base, apart)
        found.numbers += _head_over_liquid(found, base, measured, reference, apart)
        found.numbers += _current(now, sound)
    found.remarks += _trend(now, sound)


def _conditions(now: FieldReadings, sound: FieldReadings) -> tuple[bool, float]:
    """Whether the load is alike, and how far apart the temperatures are that the condenser takes in, K."""
    rules = RULES().baseline
    loads = (now.load, sound.load)
    alike = None in loads or abs(loads[0].value - loads[1].value) <= rules.load  # type: ignore[union-attr]
    entering = (now.outdoor_temperature, sound.outdoor_temperature)
    if None in entering:
        return alike, 0.0
    return alike, abs(entering[0].value - entering[1].value)  # type: ignore[union-attr]


def _deviation(row: str, now: Number, sound: Number, apart: float) -> Number:
    change = difference(now.measured, sound.measured)
    spread = math.hypot(change.uncertainty, RULES().baseline.per_kelvin * apart)
    text = (
        f"{now.reading.derivation}: {figures(now.reading.value, now.reading.uncertainty)} against "
        f"{figures(sound.reading.value, sound.reading.uncertainty)} when sound"
    )
    return Number(Reading(row, change.value, spread, text), now.fields)


def _unsound(reading: Reading) -> bool:
    """Whether the baseline clearly shows a fault itself."""
    normal, low, high = likelihood(catalogue()[reading.quantity], reading.value, reading.uncertainty, _GROSS)
    return _DB * math.log10(max(low, high) / normal) >= RULES().baseline.unsound


def _not_believed(before: Number) -> str:
    row = catalogue()[before.reading.quantity]
    return (
        f"{row.text} of the baseline is not that of a sound machine: the present one is held against the usual range."
    )


def _evaporating(facts: Facts, found: Numbers, base: Numbers, apart: float) -> Iterator[Number]:
    """Evaporating temperature less that of the sound machine, both of them pumping."""
    both = (found.readings, base.readings)
    pumping = found.pumps and base.pumps and all(g.running is not False and g.suction_pressure for g in both)
    if facts.refrigerant is None or not pumping:
        return
    try:
        change = difference(evaporating(facts, found.readings), evaporating(facts, base.readings))
    except InputError as fault:
        found.set_aside.append(SetAside(("suction_pressure",), f"{fault.fault}; take {fault.accepted}"))
        return
    spread = math.hypot(change.uncertainty, RULES().baseline.per_kelvin * apart)
    text = "from suction pressure, against that of the sound machine"
    yield Number(Reading("evaporating-against-baseline", change.value, spread, text), ("suction_pressure",))


def _head_over_liquid(
    found: Numbers, base: Numbers, now: Mapping[str, Number], before: Mapping[str, Number], apart: float
) -> Iterator[Number]:
    """How far the condensing temperature rose beyond any change of the liquid's, K, both over what cools them."""
    key = next((quantity for quantity in _OVER_ENTERING if quantity in now and quantity in before), None)
    pair = (found.readings, base.readings)
    if key is None or any(g.liquid_temperature is None for g in pair):
        return
    rise = difference(now[key].measured, before[key].measured)
    after, sound = (difference(known(g.liquid_temperature), known(g.outdoor_temperature)) for g in pair)
    liquid = difference(after, sound)
    spread = math.hypot(rise.uncertainty, liquid.uncertainty, RULES().baseline.per_kelvin * apart)
    text = "from condensing and liquid temperature, against the sound machine"
    reading = Reading("head-over-liquid-against-baseline", rise.value - abs(liquid.value), spread, text)
    yield Number(reading, ("discharge_pressure", "liquid_temperature", "outdoor_temperature"))


def _current(now: FieldReadings, sound: FieldReadings) -> Iterator[Number]:
    """The running current over that of the sound machine, where nobody said what it should be."""
    if now.expected_current or now.running_current is None or sound.running_current is None:
        return
    if sound.running_current.value > 0:
        share = ratio(now.running_current, sound.running_current)
        text = "from running current, over that of the sound machine"
        yield Number(Reading("current-against-baseline", share.value, share.uncertainty, text), ("running_current",))


def _trend(now: FieldReadings, sound: FieldReadings) -> Iterator[str]:
    """Insulation that has fallen far is worth a word even where it still is above any limit."""
    pair: tuple[Measured | None, Measured | None] = (now.insulation_resistance, sound.insulation_resistance)
    if pair[0] is None or pair[1] is None or pair[1].value <= 0:
        return
    left = pair[0].value / pair[1].value
    if left < RULES().baseline.insulation_left:
        yield (
            f"Insulation has fallen to {left:.2g} of what the sound machine had: at one temperature that is moisture "
            "or damage on its way, whatever the limit; dry it and measure again."
        )
