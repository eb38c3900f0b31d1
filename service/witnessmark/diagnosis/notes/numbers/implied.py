"""What the numbers of a note imply: findings with their state, by the same limits that the engine holds readings against."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Machine, ReportState
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.diagnosis.notes.numbers.number import Number
from witnessmark.diagnosis.notes.numbers.rows import QuantityRow
from witnessmark.diagnosis.notes.numbers.scales import NOTHING, Scale, Target, of_bands, of_catalogue, of_limit
from witnessmark.diagnosis.notes.numbers.terms import terms

_CERTAIN, _ASSUMED, _OPEN_UNIT, _CLOSE, _UNLABELLED = 0.95, 0.95, 0.9, 0.85, 0.9
_OHM_OPEN = 1e4
_STEADY = frozenset(
    {"suction-superheat", "discharge-superheat", "subcooling", "suction-pressure", "discharge-pressure", "pressures"}
)
"""What a passing state (defrost, pump-down, a valve moved on purpose) says nothing of."""
_FINE = frozenset({"absent", "normal"})
_SECOND = frozenset({"phase-missing", "winding-open", "start-winding-open"})
"""What a row of good readings says beside what it was taken for."""
_SWING = 6.0


@dataclass(frozen=True, slots=True)
class Implied:
    """A finding that numbers imply, with the state, a score of 0..1, and where it stands.

    numbers: what it rests on. quantity, value: reading of the engine's catalogue, SI; None where the unit is not certain.
    """

    finding: str
    state: ReportState
    score: float
    numbers: tuple[Number, ...]
    quantity: str | None = None
    value: float | None = None

    @property
    def start(self) -> int:
        """The first character."""
        return min(number.first for number in self.numbers)

    @property
    def end(self) -> int:
        """One past the last character."""
        return max(number.last for number in self.numbers)

    @property
    def before(self) -> bool:
        """Whether the note says that it was so earlier, and gives another number for now."""
        return all(n.when == "before" for n in self.numbers)


def implied(numbers: Sequence[Number], machine: Machine | None = None) -> tuple[Implied, ...]:
    """Findings with state that the numbers of a note imply, in the order of the text."""
    found = [one for number in numbers for one in _of_number(number, machine or Machine())]
    found += _of_pressures(numbers)
    found += _of_sump(numbers)
    found = _worst_insulation(found)
    return tuple(sorted(found, key=lambda one: (one.start, one.finding, one.state)))


def _worst_insulation(found: list[Implied]) -> list[Implied]:
    """Of several readings to ground the worst counts: a good one cold says nothing against a bad one hot."""
    bad = {one.before for one in found if one.finding == "insulation-low" and one.state == "present"}
    return [o for o in found if o.finding != "insulation-low" or o.state == "present" or o.before not in bad]


def _of_number(number: Number, machine: Machine) -> Iterator[Implied]:
    row = terms().quantities[number.quantity]
    if number.quantity == "winding-resistances":
        yield from _of_windings(number, machine)
    elif number.quantity in {"line-currents", "line-voltages"}:
        yield from _of_lines(number, machine)
    elif number.quantity in {"run-capacitor", "start-capacitor"}:
        yield from _of_capacitor(number, row, machine)
    elif number.quantity == "suction-superheat" and "swing" in number.conditions:
        yield from _of_swing(number)
    elif not (number.quantity in _STEADY and "moving" in number.conditions):
        yield from _of_value(number, row)


def _of_value(number: Number, row: QuantityRow) -> Iterator[Implied]:
    """One value against a limit of the note, what stands beside it, or the catalogue."""
    readings = {_said(number, row, k) for k in range(len(number.possible))}
    if len(readings) != 1:
        return
    (targets, quantity) = readings.pop()
    low, high = _interval(number, 0)
    scale = _scale(number, row, 0)
    near = scale is not None and quantity is not None and low == high and scale[0].close(scale[1](low))
    value = None
    if quantity is not None and len(number.possible) == 1 and low == high and scale is not None:
        value = scale[1](low)
    yield from _all(targets, (number,), quantity if value is not None else None, value, close=near)


def _said(number: Number, row: QuantityRow, k: int) -> tuple[frozenset[Target], str | None]:
    scale = _scale(number, row, k)
    if scale is None:
        return NOTHING, None
    low, high = _interval(number, k)
    return _worth(row, scale[0].says(scale[1](low), scale[1](high))), scale[2]


def _worth(row: QuantityRow, targets: frozenset[Target]) -> frozenset[Target]:
    """Without the findings that a good value of this reading says too little of."""
    fine = row.fine_for
    return targets if fine is None else frozenset(t for t in targets if t[1] not in _FINE or t[0] in fine)


def _interval(number: Number, k: int) -> tuple[float, float]:
    values = number.possible[k]
    low, high = min(values), max(values)
    if number.side > 0:
        return high, math.inf
    return (-math.inf, low) if number.side < 0 else (low, high)


def _scale(number: Number, row: QuantityRow, k: int):  # type: ignore[no-untyped-def]
    """Scale, how a value comes onto it, and the row of the catalogue; None where nothing judges such a value."""
    if number.limit and row.limit and row.judged_by:
        bears = [(b.finding, b.low, b.high) for b in catalogue()[row.judged_by].bears]
        wanted = [b for b in bears if b[1 if row.limit == "low" else 2]]
        return of_limit(number.limit[k], row.limit, wanted), _same, None
    whole = number.beside[k] if number.beside else row.usual if _usual(number, row, k) else None
    if whole is not None and whole > 0 and (row.share_by or row.share_bands):
        scale = of_catalogue(row.share_by) if row.share_by else of_bands(row.share_bands)
        return scale, lambda value: value / whole, row.share_by or None
    if row.judged_by:
        return _judged(row), _same, row.judged_by if not row.also_by else None
    return (of_bands(row.bands), _same, None) if row.bands else None


def _judged(row: QuantityRow) -> Scale:
    return of_catalogue(row.judged_by)


def _usual(number: Number, row: QuantityRow, k: int) -> bool:
    return row.usual is not None and all(row.usual_from <= v <= row.usual_to for v in number.possible[k])


def _same(value: float) -> float:
    return value


def _all(
    targets: Iterable[Target],
    numbers: tuple[Number, ...],
    quantity: str | None = None,
    value: float | None = None,
    *,
    close: bool = False,
) -> Iterator[Implied]:
    score = _CERTAIN * (_CLOSE if close else 1.0)
    for number in numbers[:1]:
        score *= _OPEN_UNIT if len(number.possible) > 1 else _ASSUMED if number.assumed else 1.0
        score *= 1.0 if number.words else _UNLABELLED
    for finding, state in sorted(targets):
        yield Implied(finding, state, round(score, 3), numbers, quantity, value)


def _of_swing(number: Number) -> Iterator[Implied]:
    """`swings 2 to 19 K`: it hunts; the mean says nothing."""
    spreads = {max(values) - min(values) >= _SWING for values in number.possible if len(values) > 1}
    if spreads == {True}:
        yield from _all([("superheat-hunting", "present")], (number,))


def _of_capacitor(number: Number, row: QuantityRow, machine: Machine) -> Iterator[Implied]:
    if number.beside and number.values:
        yield from _derived(number, machine, {row.field: number.values[0], row.beside: number.beside[0]})


def _of_lines(number: Number, machine: Machine) -> Iterator[Implied]:
    """Three currents or voltages: balance, a lost leg, and where a rating stands beside them the level."""
    if not number.values or len(number.values) != 3:  # noqa: PLR2004 - a three-phase supply
        return
    given: dict[str, object] = {number.field: tuple(Measured(v) for v in number.values)}
    if number.beside and number.quantity == "line-voltages":
        given["rated_voltage"] = number.beside[0]
    yield from _derived(number, machine, given)
    if number.beside and number.quantity == "line-currents":
        row = terms().quantities["running-current"]
        share = sum(number.values) / 3 / number.beside[0] if number.beside[0] > 0 else math.nan
        yield from _all(of_bands(row.share_bands).says(share, share), (number,))


def _of_windings(number: Number, machine: Machine) -> Iterator[Implied]:
    """Windings among themselves. Open pairs of the common terminal are the protector, not a winding."""
    if not number.values:
        return
    of = number.tags[0].partition(":")[0] if number.tags else ""
    is_open = [v >= _OHM_OPEN for v in number.values]
    if of == "terminal pair":
        yield from _of_terminals(number, machine, is_open)
    elif len(number.values) == 3:  # noqa: PLR2004 - three windings
        yield from _derived(number, machine, _three(number, labelled=False))


def _three(number: Number, *, labelled: bool) -> dict[str, object]:
    return {"winding_resistances": tuple(Measured(v) for v in number.values), "windings_labelled": labelled or None}


def _of_terminals(number: Number, machine: Machine, is_open: Sequence[bool]) -> Iterator[Implied]:
    at = {tag.partition(":")[2]: state for tag, state in zip(number.tags, is_open, strict=True)}
    start, run, across = at.get("0"), at.get("1"), at.get("2")
    if start and run:
        if across is False:
            yield from _protector(number)
        return
    if start and run is False:
        yield from _all([("start-winding-open", "present")], (number,))
    elif run and start is False:
        yield from _all([("winding-open", "present")], (number,))
    elif len(number.values) == 3 and not any(is_open):  # noqa: PLR2004
        known = machine if machine.phases else Machine(phases="single-phase")
        yield from _derived(number, known, _three(number, labelled=True), _SECOND - {"start-winding-open"})


def _protector(number: Number) -> Iterator[Implied]:
    for condition, finding in (("cold", "protector-open-cold"), ("hot", "protector-open-hot")):
        if condition in number.conditions:
            yield from _all([(finding, "present")], (number,))


def _derived(
    number: Number, machine: Machine, given: dict[str, object], second: frozenset[str] = _SECOND
) -> Iterator[Implied]:
    """What the engine derives from the fields, held against its catalogue. A finding out of order outweighs the rest."""
    values = {name: Measured(v) if isinstance(v, float) else v for name, v in given.items()}
    derived = derive(None, FieldReadings(**values), machine=machine)  # type: ignore[arg-type]
    said: list[Implied] = []
    for reading in derived.readings:
        scale = of_catalogue(reading.quantity)
        targets = scale.says(reading.value, reading.value)
        said += _all(targets, (number,), reading.quantity, reading.value, close=scale.close(reading.value))
    lost = any(one.finding == "phase-missing" and one.state == "present" for one in said)
    yield from (
        one
        for one in said
        if not (lost and one.finding != "phase-missing") and not (one.finding in second and one.state == "absent")
    )


def _of_pressures(numbers: Sequence[Number]) -> Iterator[Implied]:
    """Low and high side of one segment: whether it pumps."""
    for low, high in _pairs(numbers):
        states = set()
        for p1, p2 in zip(low.possible, high.possible, strict=False):
            difference = of_catalogue("pressure-difference-running").says(p2[0] - p1[0], p2[0] - p1[0])
            states.add(frozenset(t for t in difference if t[1] == "present"))
        if len(states) == 1 and len(low.possible) == len(high.possible):
            value = high.possible[0][0] - low.possible[0][0] if len(low.possible) == 1 else None
            quantity = "pressure-difference-running" if value is not None else None
            yield from _all(states.pop(), (low, high), quantity, value)


def _of_sump(numbers: Sequence[Number]) -> Iterator[Implied]:
    """Sump and evaporating temperature of one segment: the oil's superheat."""
    for sump in numbers:
        if sump.quantity != "sump-temperature" or len(sump.possible[0]) != 1:
            continue
        same = [n for n in numbers if n.quantity == "evaporating-temperature" and n.line == sump.line]
        if len(same) != 1 or len(same[0].possible) != len(sump.possible) or len(same[0].possible[0]) != 1:
            continue
        at_rest = "at_rest" in sump.conditions
        name = "sump-superheat-at-rest" if at_rest else "sump-superheat-running"
        over = [a[0] - b[0] for a, b in zip(sump.possible, same[0].possible, strict=True)]
        states = {of_catalogue(name).says(value, value) for value in over}
        if len(states) == 1:
            yield from _all(states.pop(), (sump, same[0]), *((name, over[0]) if len(over) == 1 else ()))


def _pairs(numbers: Sequence[Number]) -> Iterator[tuple[Number, Number]]:
    for one in numbers:
        if one.quantity != "suction-pressure" or one.when == "before" or {"at_rest", "moving"} & one.conditions:
            continue
        others = [n for n in numbers if n.quantity == "discharge-pressure" and n.line == one.line and n.when == "now"]
        if len(others) == 1 and len(one.possible[0]) == len(others[0].possible[0]) == 1:
            yield one, others[0]
