"""What the numbers of a note imply: findings with their state, by the limits that the engine holds readings against."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.diagnosis.notes.numbers.judging import Implied, of_value, stated
from witnessmark.diagnosis.notes.numbers.number import Number
from witnessmark.diagnosis.notes.numbers.scales import of_bands, of_catalogue
from witnessmark.diagnosis.notes.numbers.to_ground import INSULATION
from witnessmark.diagnosis.notes.numbers.together import (
    of_legs,
    of_neutral,
    of_standing,
    of_uneven,
    of_vacuum,
    within_a_step,
)
from witnessmark.diagnosis.notes.numbers.words.amounts import THREE
from witnessmark.diagnosis.notes.numbers.words.terms import terms

_OPEN = 1e4
"""No winding of a motor has so many ohm."""
_WHILE_HOT = ("protector-open-hot", "start-winding-open", "winding-open")
_UNLABELLED = ("start-winding-open", "winding-open", "winding-resistances-unequal")
"""What nobody can say while it is not known which terminal is which."""
_UNEQUAL = "winding-resistances-unequal"
_PROPORTION = 0.2
"""How far start to run may be off the sum of both: two readings of a tenth of an ohm each (expert estimate)."""
_HIGHEST, _NO_GAUGE = 4.0e6, 6.0e6
"""Pa absolute: R-410A condenses there at 62 °C, R-32 at 61 °C (triage.toml stops it). Beyond: no reading."""
_SWING = 6.0
"""Kelvin between two ends from which a swing is no steady reading."""
_STEADY = frozenset(
    {"suction-superheat", "discharge-superheat", "subcooling", "suction-pressure", "discharge-pressure"}
)
"""What a passing state (defrost, pump-down, a valve moved on purpose) says nothing of."""
_SECOND = frozenset({"phase-missing", "winding-open", "start-winding-open"})
"""What a row of good readings says beside what it was taken for."""
_CAPACITORS = frozenset({"run-capacitor", "start-capacitor"})
_LINES = frozenset({"line-currents", "line-voltages"})
_DIFFERENCE = "pressure-difference-running"


def implied(numbers: Sequence[Number], machine: Machine | None = None) -> tuple[Implied, ...]:
    """Findings with state that the numbers of a note imply, in the order of the text.

    machine: its phases and drive decide how motor and supply are judged.
    """
    known = machine or Machine()
    found = [one for number in numbers for one in _of_number(number, known)]
    lines: dict[int, list[Number]] = {}
    for number in numbers:
        lines.setdefault(number.line, []).append(number)
    for together in lines.values():
        found += [*_of_pressures(together), *_of_sump(together), *of_legs(together), *of_standing(together)]
        found += of_uneven(together)
    found += [*of_vacuum(numbers), *of_neutral(numbers)]
    return tuple(sorted(_worst(found), key=lambda one: (one.numbers[0].start, one.finding, one.state)))


def _worst(found: Sequence[Implied]) -> list[Implied]:
    """Of several readings to ground, and of the parts of a capacitor, the worst counts."""
    low = {one.before for one in found if (one.finding, one.state) == ("insulation-low", "present")}
    dead = {one.numbers[0].line for one in found if (one.finding, one.state) == ("capacitor-bad", "present")}

    def outdone(one: Implied) -> bool:
        to_ground = one.finding == "insulation-low" and one.before in low
        return one.state == "absent" and (to_ground or (one.finding == "capacitor-bad" and one.numbers[0].line in dead))

    return [one for one in found if not outdone(one)]


def _of_number(number: Number, machine: Machine) -> Iterator[Implied]:
    if number.quantity == "winding-resistances":
        yield from _of_windings(number, machine)
    elif number.quantity in _LINES:
        yield from _of_lines(number, machine)
    elif number.quantity in _CAPACITORS:
        yield from _of_capacitor(number, machine)
    elif number.quantity == "suction-superheat" and "swing" in number.conditions:
        yield from _of_swing(number)
    elif number.quantity in {"vacuum", "vacuum-in-inches"}:
        return
    elif number.quantity == INSULATION and len(number.values) > 1:
        yield from of_value(_lowest(number))
    elif number.quantity == "discharge-pressure" and _beyond_any(number):
        yield from stated([("condensing-pressure", "high")], (number,))
    elif number.quantity not in _STEADY or "moving" not in number.conditions:
        yield from of_value(number)


def _lowest(number: Number) -> Number:
    """Of a row of readings to ground the lowest: one grounded leg among good ones grounds the motor."""
    possible = tuple((min(values),) for values in number.possible if values)
    return replace(number, values=(min(number.values),), possible=possible, tags=())


def _beyond_any(number: Number) -> bool:
    """Whether no refrigerant in common use condenses there, whichever it is: above what any of them has at 60 °C."""
    known = number.possible and "high_gas" not in number.conditions and not number.limit
    return bool(known) and number.side >= 0 and all(_HIGHEST <= min(values) <= _NO_GAUGE for values in number.possible)


def _of_swing(number: Number) -> Iterator[Implied]:
    """`swings 2 to 19 K`: it hunts; the mean says nothing."""
    if all(max(values) - min(values) >= _SWING for values in number.possible):
        yield from stated([("superheat-hunting", "present")], (number,))


def _of_capacitor(number: Number, machine: Machine) -> Iterator[Implied]:
    row = terms().quantities[number.quantity]
    if number.beside and number.values:
        given = {row.field: Measured(number.values[0]), row.beside: Measured(number.beside[0])}
        yield from _derived(number, machine, given)


def _of_lines(number: Number, machine: Machine) -> Iterator[Implied]:
    """Three currents or voltages: balance, a lost leg, and where a rating stands beside them the level."""
    if len(number.values) != THREE:
        return
    given: dict[str, object] = {number.field: tuple(map(Measured, number.values))}
    rated = number.beside[0] if number.beside else 0.0
    if rated > 0 and number.quantity == "line-voltages":
        given["rated_voltage"] = Measured(rated)
    yield from _derived(number, machine, given)
    if rated > 0 and number.quantity == "line-currents":
        share = sum(number.values) / THREE / rated
        bands = of_bands(terms().quantities["running-current"].share_bands)
        yield from stated(bands.says(share, share), (number,))


def _of_windings(number: Number, machine: Machine) -> Iterator[Implied]:
    """Windings among themselves; of a single-phase motor by its terminals."""
    if number.tags and number.tags[0].startswith("terminal pair"):
        yield from _of_terminals(number, machine)
    elif len(number.values) == THREE:
        told = [*_derived(number, machine, _three(number, labelled=False))]
        yield from told if not within_a_step(number) else _of_one_step(number, told)


def _of_one_step(number: Number, told: Sequence[Implied]) -> Iterator[Implied]:
    """`1.1/1.1/1.2 ohm`: what a meter's last digit makes unequal may be alike, and is where a word says so."""
    yield from (one for one in told if one.finding != _UNEQUAL or one.state == "absent")
    if "alike" in number.conditions and all((one.finding, one.state) != (_UNEQUAL, "absent") for one in told):
        yield from stated([(_UNEQUAL, "absent")], (number,))


def _three(number: Number, *, labelled: bool) -> Mapping[str, object]:
    return {"winding_resistances": tuple(map(Measured, number.values)), "windings_labelled": labelled or None}


def _of_terminals(number: Number, machine: Machine) -> Iterator[Implied]:
    """Common, start and run. Both pairs of the common terminal open are the protector, not a winding."""
    is_open = {tag[-1]: value >= _OPEN for tag, value in zip(number.tags, number.values, strict=True)}
    start, run = is_open.get("0"), is_open.get("1")
    if start and run:
        if is_open.get("2") is False:
            yield from _protector(number)
    elif start and run is False:
        yield from stated([("start-winding-open", "present")], (number,))
    elif run and start is False:
        yield from stated([("winding-open", "present")], (number,))
    elif len(number.values) == THREE and not any(is_open.values()):
        known = machine if machine.phases else Machine(phases="single-phase")
        if not _in_proportion(number.values):
            yield from stated([(name, "unknown") for name in _UNLABELLED], (number,))
            return
        yield from _derived(number, known, _three(number, labelled=True), _SECOND - {"start-winding-open"})


def _in_proportion(values: Sequence[float]) -> bool:
    """Start to run is both windings in a row; where it is not, the terminals are not as they are labelled."""
    both = values[0] + values[1]
    return abs(values[2] - both) <= _PROPORTION * max(values[2], both)


def _protector(number: Number) -> Iterator[Implied]:
    """Cold or hot as it was told; else no winding is called open: it may close when it has cooled."""
    told = [c for c in ("cold", "hot") if c in number.conditions]
    yield from stated([(f"protector-open-{condition}", "present") for condition in told], (number,))
    if not told:
        yield from stated([(name, "unknown") for name in _WHILE_HOT], (number,))


def _derived(
    number: Number, machine: Machine, given: Mapping[str, object], second: frozenset[str] = _SECOND
) -> Iterator[Implied]:
    """What the engine derives from the fields, held against its catalogue. A lost leg outweighs all else."""
    said: list[Implied] = []
    for reading in derive(None, FieldReadings(**given), machine=machine).readings:  # type: ignore[arg-type]
        scale = of_catalogue(reading.quantity)
        targets, close = scale.says(reading.value, reading.value), scale.close(reading.value)
        said += stated(targets, (number,), reading.quantity, reading.value, close=close)
    lost = any((one.finding, one.state) == ("phase-missing", "present") for one in said)
    for one in said:
        if one.finding == "phase-missing" if lost else one.finding not in second or one.state != "absent":
            yield one


def _of_pressures(together: Sequence[Number]) -> Iterator[Implied]:
    """Low and high side read together: whether it pumps."""
    low, high = (_single(together, name) for name in ("suction-pressure", "discharge-pressure"))
    if low is None or high is None or {"at_rest", "moving"} & low.conditions or len(low.possible) != len(high.possible):
        return
    differences = [p2[0] - p1[0] for p1, p2 in zip(low.possible, high.possible, strict=True)]
    told = {of_catalogue(_DIFFERENCE).says(difference, difference) for difference in differences}
    # that it pumps is said by a number of its own only where it does not
    targets = [t for t in (told.pop() if len(told) == 1 else ()) if t[1] == "present"]
    certain = len(differences) == 1
    yield from stated(targets, (low, high), _DIFFERENCE if certain else None, differences[0] if certain else None)


def _of_sump(together: Sequence[Number]) -> Iterator[Implied]:
    """Sump and evaporating temperature read together: the superheat of the oil."""
    sump, evaporating = (_single(together, name) for name in ("sump-temperature", "evaporating-temperature"))
    if sump is None or evaporating is None or len(sump.possible) != len(evaporating.possible):
        return
    name = "sump-superheat-at-rest" if "at_rest" in sump.conditions else "sump-superheat-running"
    over = [a[0] - b[0] for a, b in zip(sump.possible, evaporating.possible, strict=True)]
    told = {of_catalogue(name).says(value, value) for value in over}
    if len(told) == 1:
        certain = len(over) == 1
        yield from stated(told.pop(), (sump, evaporating), name if certain else None, over[0] if certain else None)


def _single(together: Sequence[Number], quantity: str) -> Number | None:
    """The one reading of a quantity, of one value and of now; None where there are several or none."""
    found = [n for n in together if n.quantity == quantity and n.when == "now"]
    return found[0] if len(found) == 1 and len(found[0].possible[0]) == 1 else None
