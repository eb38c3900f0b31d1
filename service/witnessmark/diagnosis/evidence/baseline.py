"""The same machine when it was sound: at like load the deviation from it is the evidence, not the usual range.

Between machines a sound superheat or condensing temperature lies some kelvin to either side; of one machine it scatters
far less (same-machine-scatter), so that less can be told from it. Where load or entering temperature differ the scatter
grows; where the baseline itself shows a fault it is not believed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from witnessmark.calculations.metrology.ratios import difference, ratio
from witnessmark.calculations.metrology.uncertainty import Measured, figures
from witnessmark.diagnosis.case import Reading
from witnessmark.diagnosis.catalogue.readings import catalogue, likelihood
from witnessmark.diagnosis.evidence.circuit_numbers import evaporating, pressure_ratio
from witnessmark.diagnosis.evidence.derivation import Number, Numbers, in_words, numbers, within_limits
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, SetAside, known
from witnessmark.diagnosis.evidence.reading_rules import RULES
from witnessmark.errors import InputError

_CONDENSING = "condensing-against-baseline"
_OVER_ENTERING = ("condensing-over-ambient", "condensing-over-entering-water", "condensing-over-wet-bulb")
DEVIATIONS = {
    "suction-superheat": "superheat-against-baseline",
    "suction-superheat-ammonia": "superheat-against-baseline",
    "suction-superheat-chiller": "superheat-against-baseline",
    "suction-superheat-inverter": "superheat-against-baseline",
    "subcooling": "subcooling-against-baseline",
    "subcooling-receiver": "subcooling-against-baseline",
    "condensing-over-ambient": _CONDENSING,
    "condensing-over-entering-water": _CONDENSING,
    "condensing-over-leaving-water": _CONDENSING,
    "condensing-over-wet-bulb": _CONDENSING,
    "net-oil-pressure": "oil-pressure-against-baseline",
    "winding-spread": "winding-spread-against-baseline",
}
"""Numbers whose deviation from the sound machine is the finer evidence, and the row that judges it."""
_OF_LOAD = {"superheat-against-baseline", "subcooling-against-baseline", _CONDENSING}
_EFFICIENCY = "efficiency-against-baseline"
_OF_THE_GAS = {"discharge-superheat", "isentropic-efficiency", "liquid-fraction"}
"""Numbers of the discharge gas that are finer against the sound machine."""
_GROSS = 0.02
_DB = 10.0


@dataclass(frozen=True, slots=True)
class Baseline:
    """Readings of the machine when it was sound.

    same_instruments: the same ones at the same places took both sets, so that most of their errors cancel.
    """

    readings: FieldReadings
    same_instruments: bool = False


@dataclass(frozen=True, slots=True)
class _Pair:
    """Numbers now and when sound, and how they are held against one another.

    apart: kelvin between what the condenser took in. repeat: share of an instrument's uncertainty left in a difference.
    """

    facts: Facts
    now: Numbers
    sound: Numbers
    apart: float
    repeat: float

    def number(
        self, row: str, change: Measured, fields: tuple[str, ...], text: str, *, of_load: bool = True
    ) -> Iterator[Number]:
        """A deviation, with the scatter of unlike conditions where it goes with the load; none that no machine has."""
        unlike = RULES().baseline.per_kelvin * self.apart if of_load else 0.0
        spread = math.hypot(self.repeat * change.uncertainty, unlike)
        reading = within_limits(row, Measured(change.value, spread), fields, text)
        if isinstance(reading, SetAside):
            self.now.set_aside.append(reading)
        else:
            yield Number(reading, fields)


def against(facts: Facts, baseline: Baseline, found: Numbers) -> None:
    """Replace numbers in `found` by their deviation from the sound machine, and add those that only it allows."""
    now, sound = found.readings, baseline.readings
    base = numbers(facts, replace(sound, running=True if sound.running is None else sound.running))
    found.set_aside += [SetAside(s.readings, f"of the baseline: {s.why}") for s in base.set_aside]
    pair = _Pair(facts, found, base, _apart(now, sound), RULES().baseline.repeat if baseline.same_instruments else 1.0)
    added: list[Number] = []
    if _alike(now, sound):
        added = [*_evaporating(pair), *_head_over_liquid(pair), *_efficiency(pair), *_current(pair)]
        _replace(pair, DEVIATIONS)
    else:
        found.remarks.append(
            "The baseline was taken at another load: superheat, subcooling, pressures and current are held against the "
            "usual range instead."
        )
        _replace(pair, {quantity: row for quantity, row in DEVIATIONS.items() if row not in _OF_LOAD})
    found.numbers += added
    found.remarks += _trend(now, sound)


def _replace(pair: _Pair, rows: Mapping[str, str]) -> None:
    """Put deviations in the place of the numbers that they are of."""
    reference = pair.sound.by_quantity()
    for k, number in enumerate(pair.now.numbers):
        row, before = rows.get(number.reading.quantity), reference.get(number.reading.quantity)
        if row and before and _unsound(before.reading):
            pair.now.remarks.append(_not_believed(before))
        elif row and before:
            change = difference(number.measured, before.measured)
            text = f"{number.reading.derivation}: {_figures(number)} against {_figures(before)} when sound"
            pair.now.numbers[k] = next(pair.number(row, change, number.fields, text, of_load=row in _OF_LOAD), number)


def _figures(number: Number) -> str:
    return figures(number.reading.value, number.reading.uncertainty)


def _alike(now: FieldReadings, sound: FieldReadings) -> bool:
    """Whether the loads are alike, as far as they are known."""
    if now.load is None or sound.load is None:
        return True
    return abs(now.load.value - sound.load.value) <= RULES().baseline.load


def _apart(now: FieldReadings, sound: FieldReadings) -> float:
    """How far apart the temperatures are that the condenser takes in, K; 0 where they are not known."""
    if now.outdoor_temperature is None or sound.outdoor_temperature is None:
        return 0.0
    return abs(now.outdoor_temperature.value - sound.outdoor_temperature.value)


def _unsound(reading: Reading) -> bool:
    """Whether the baseline clearly shows a fault itself."""
    normal, low, high = likelihood(catalogue()[reading.quantity], reading.value, reading.uncertainty, _GROSS)
    return _DB * math.log10(max(low, high) / normal) >= RULES().baseline.unsound


def _not_believed(before: Number) -> str:
    row = catalogue()[before.reading.quantity]
    return (
        f"{row.text} of the baseline is not that of a sound machine: the present one is held against the usual range."
    )


def _evaporating(pair: _Pair) -> Iterator[Number]:
    """Evaporating temperature less that of the sound machine, both of them pumping."""
    both = (pair.now, pair.sound)
    pumping = all(n.pumps and n.readings.running is not False and n.readings.suction_pressure for n in both)
    if pair.facts.refrigerant is None or not pumping:
        return
    try:
        change = difference(evaporating(pair.facts, both[0].readings), evaporating(pair.facts, both[1].readings))
    except InputError as fault:
        pair.now.set_aside.append(SetAside(("suction_pressure",), in_words(fault)))
        return
    text = "from suction pressure, against that of the sound machine"
    yield from pair.number("evaporating-against-baseline", change, ("suction_pressure",), text)


def _head_over_liquid(pair: _Pair) -> Iterator[Number]:
    """How far the condensing temperature rose beyond any change of the liquid's, K, both over what cools them."""
    now, before = pair.now.by_quantity(), pair.sound.by_quantity()
    key = next((quantity for quantity in _OVER_ENTERING if quantity in now and quantity in before), None)
    both = (pair.now.readings, pair.sound.readings)
    if key is None or any(g.liquid_temperature is None for g in both):
        return
    rise = difference(now[key].measured, before[key].measured)
    after, sound = (difference(known(g.liquid_temperature), known(g.outdoor_temperature)) for g in both)
    liquid = difference(after, sound)
    beyond = difference(rise, Measured(abs(liquid.value), liquid.uncertainty))
    text = "from condensing and liquid temperature, against the sound machine"
    fields = ("discharge_pressure", "liquid_temperature", "outdoor_temperature")
    yield from pair.number("head-over-liquid-against-baseline", beyond, fields, text)


def _efficiency(pair: _Pair) -> Iterator[Number]:
    """What the compressor makes of the gas over what it made of it when sound, at a like ratio of pressures.

    Superheat and pressures are taken out by it, so that a hotter discharge tells of gas compressed again.
    """
    now, before = (numbers.by_quantity().get("isentropic-efficiency") for numbers in (pair.now, pair.sound))
    if now is None or before is None or before.reading.value <= 0 or not _like_ratio(pair):
        return
    if any(_unsound(n.reading) for n in pair.sound.numbers if n.reading.quantity in _OF_THE_GAS):
        pair.now.remarks.append(_not_believed(before))
        return
    text = f"{now.reading.derivation}, over that of the sound machine"
    share = ratio(now.measured, before.measured)
    for number in pair.number(_EFFICIENCY, share, now.fields, text, of_load=False):
        if _off(number.reading):
            pair.now.numbers[:] = [n for n in pair.now.numbers if n.reading.quantity not in _OF_THE_GAS]
        yield number


def _off(reading: Reading) -> bool:
    """Whether it lies outside of what the sound machine shows: then what machines differ by says nothing beside it."""
    low, high = catalogue()[reading.quantity].normal
    return not low <= reading.value <= high


def _like_ratio(pair: _Pair) -> bool:
    """Whether the ratios of pressure lie so close that a sound machine has one efficiency at both."""
    ratios = [pressure_ratio(pair.facts, n.readings).value for n in (pair.now, pair.sound)]
    return max(ratios) <= RULES().baseline.like_ratio * min(ratios)


def _current(pair: _Pair) -> Iterator[Number]:
    """The running current over that of the sound machine, where nobody said what it should be.

    On a warmer day a sound machine draws more: so much of it says nothing.
    """
    now, sound = pair.now.readings, pair.sound.readings.running_current
    if now.expected_current or now.running_current is None or sound is None or sound.value <= 0:
        return
    text = "from running current, over that of the sound machine"
    share = ratio(now.running_current, sound)
    warmer = RULES().baseline.current_per_kelvin * pair.apart
    share = Measured(share.value, math.hypot(share.uncertainty, warmer / pair.repeat))
    yield from pair.number("current-against-baseline", share, ("running_current",), text, of_load=False)


def _trend(now: FieldReadings, sound: FieldReadings) -> Iterator[str]:
    """Insulation that has fallen far is worth a word even where it still is above any limit."""
    present, before = now.insulation_resistance, sound.insulation_resistance
    if present is None or before is None or before.value <= 0:
        return
    left = present.value / before.value
    if left < RULES().baseline.insulation_left:
        yield (
            f"Insulation has fallen to {left:.2g} of what the sound machine had: at one temperature that is moisture "
            "or damage on its way, whatever the limit; dry it and measure again."
        )
