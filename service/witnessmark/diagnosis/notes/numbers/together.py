"""What several numbers of a note say together: a vacuum that rises, a test pressure that falls, a dead leg."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from witnessmark.diagnosis.notes.numbers.judging import Implied, of_value, stated
from witnessmark.diagnosis.notes.numbers.number import Number
from witnessmark.diagnosis.notes.numbers.to_ground import VOLTAGE
from witnessmark.diagnosis.notes.numbers.words.amounts import THREE

_DEAD, _LIVE = 0.1, 80.0
"""Share of a live leg up to which a leg is dead, and volts from which one is live (expert estimate)."""
_PUMPS = (2.0, 3e5)
"""Absolute head over suction, and Pa between them, from which there is a difference, whatever word stands beside."""
_ROUNDING = 1e-6
_ALIKE = 0.97
_POOR, _FAR_BELOW = 5e6, 50.0
"""Ohm up to which a winding is called low beside others that have fifty times as much (expert estimate)."""
_FALLEN = 0.94
"""Absolute pressure over that at the start below which no change of temperature overnight explains it: 6 % are 17 K."""


_MISHEARD = {
    "winding-resistances": frozenset({"compression-ratio-high"}),
    "charge-share": frozenset({"charge-over", "charge-short"}),
    "vacuum": frozenset({"trips-after-minutes"}),
    "voltage-to-ground": frozenset({"insulation-low"}),
    "line-voltages": frozenset({"supply-voltage"}),
    "head-temperature": frozenset({"condensing-pressure", "discharge-temperature-high"}),
    "water-temperature": frozenset({"water-in-circuit", "water-on-live-parts"}),
    "of-another-motor": frozenset({"running-current"}),
    "switch-setting": frozenset({"low-pressure-trips", "high-pressure-trips", "protection-bridged"}),
    "air-temperature": frozenset({"discharge-temperature-high"}),
    "vacuum-in-inches": frozenset({"trips-after-minutes"}),
}
"""What words beside such numbers are easily taken for."""
_OWN = {
    "charge-over": "charge-excess",
    "charge-short": "charge-lack",
    "compression-ratio-high": "compression-ratio",
    "trips-after-minutes": "trip-delay",
    "insulation-low": "insulation-resistance",
    "supply-voltage": "supply-voltage",
    "condensing-pressure": "discharge-pressure",
    "running-current": "running-current",
    "discharge-temperature-high": "discharge-temperature",
}
_OPEN_OHM = 1e4
"""No winding of a motor has so many ohm."""
_OPEN_WINDINGS = frozenset({"winding-open", "start-winding-open"})
_TURNS = {"running-current": 1.3, "locked-rotor-current": 0.35}
"""Share of what stands beside such a current up to which the motor turns, whatever the plate says of a locked one."""


def misheard(numbers: Sequence[Number]) -> frozenset[str]:
    """Findings that nothing but these numbers can have put into somebody's ear: `CR` of a winding, `valved off`."""
    read = {number.quantity for number in numbers}
    heard = frozenset(finding for quantity in read for finding in _MISHEARD.get(quantity, ()))
    whole = _OPEN_WINDINGS if any(map(_whole, numbers)) else frozenset()
    heard = frozenset(finding for finding in heard if _OWN.get(finding) not in read)
    apart = frozenset({"no-pressure-difference"}) if _pumps(numbers) else frozenset()
    unsure = any(within_a_step(n) for n in numbers)
    alike = frozenset({"winding-resistances-unequal"}) if unsure else frozenset()
    return heard | disproved(numbers) | whole | apart | alike


def _whole(number: Number) -> bool:
    """Whether it is three windings, or three pairs of terminals, none of which is open."""
    now = number.quantity == "winding-resistances" and number.when == "now"
    return now and len(number.values) == THREE and max(number.values) < _OPEN_OHM


def within_a_step(number: Number) -> bool:
    """Whether three windings differ by no more than one step of their last digit: the meter shows no difference."""
    three = number.quantity == "winding-resistances" and len(number.values) == THREE and not number.tags
    return three and max(number.values) - min(number.values) <= number.step * (1 + _ROUNDING)


def _pumps(numbers: Sequence[Number]) -> bool:
    """Whether a low and a high side of one line lie far apart while it runs."""
    read = [n for n in numbers if n.when == "now" and not n.conditions & {"at_rest", "moving"}]
    low = [n for n in read if n.quantity == "suction-pressure"]
    pairs = [(a, b) for a in low for b in read if b.quantity == "discharge-pressure" and a.line == b.line]
    return bool(pairs) and all(_far_above(a, b) for a, b in pairs)


def _far_above(low: Number, high: Number) -> bool:
    sides = [*zip(low.possible, high.possible, strict=False)]
    return bool(sides) and all(min(b) >= _PUMPS[0] * max(a) and min(b) - max(a) >= _PUMPS[1] for a, b in sides)


def disproved(numbers: Sequence[Number]) -> frozenset[str]:
    """Findings that these numbers contradict, whatever word stands beside them: the `LRA` of a plate is no reading."""
    plate = any(n.quantity == "locked-rotor-plate" for n in numbers)
    return frozenset({"locked-rotor-current"} if plate or any(map(_turns, numbers)) else ())


def _turns(number: Number) -> bool:
    """Whether it is the current of a motor that turns: `LRA 80 RLA 14 pulling 12`."""
    beside = number.beside[0] if number.beside else 0.0
    return bool(number.values) and max(number.values) < _TURNS.get(number.quantity, 0.0) * beside


def of_vacuum(numbers: Sequence[Number]) -> Iterator[Implied]:
    """The last reading counts, a rise against any before: what was pulled down to proves nothing once it has risen."""
    read = [n for n in numbers if n.quantity == "vacuum"]
    now = [n for n in read if n.when == "now"] or read
    if not now:
        for number in (n for n in numbers if n.quantity == "vacuum-in-inches"):
            yield from of_value(number)
        return
    last = now[-1]
    if len(read) == 1 and "rising" in last.conditions:
        yield from stated([("vacuum-not-proven", "present")], (last,))
    else:
        yield from of_value(last)


def of_neutral(numbers: Sequence[Number]) -> Iterator[Implied]:
    """Legs alike to the neutral are no unbalance, whatever stands between two of them."""
    for number in numbers:
        if number.quantity == "line-to-neutral" and min(number.values) > _ALIKE * max(number.values):
            yield from stated([("voltage-unbalance", "absent")], (number,))


def of_standing(together: Sequence[Number]) -> Iterator[Implied]:
    """A pressure left standing that fell: it leaks."""
    read = [n for n in together if n.quantity == "standing-test-pressure" and n.values]
    for first, last in pairwise(read):
        if first.when == "before" and last.values[0] < _FALLEN * first.values[0]:
            yield from stated([("charge-short", "present")], (first, last))


def of_uneven(together: Sequence[Number]) -> Iterator[Implied]:
    """Insulation of one winding far below that of the others: `1 meg A, 550 meg B`."""
    read = [n for n in together if n.quantity == "insulation-resistance" and n.when == "now" and len(n.values) == 1]
    low, high = (pick((n.values[0] for n in read), default=0.0) for pick in (min, max))
    if len(read) > 1 and low <= _POOR and low * _FAR_BELOW < high:
        yield from stated([("insulation-low", "present")], tuple(read))


def of_legs(together: Sequence[Number]) -> Iterator[Implied]:
    """Volts to ground of which one is nothing between live ones: a leg is lost."""
    read = [n for n in together if n.quantity == VOLTAGE and n.when == "now"]
    volts = [value for n in read for value in n.values]
    if volts and max(volts) >= _LIVE and min(volts) <= _DEAD * max(volts):
        yield from stated([("phase-missing", "present")], tuple(read))
