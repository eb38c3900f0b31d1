"""The readings of a note: every number with the quantity, the unit and the condition that the words around it give."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from witnessmark.diagnosis.notes.numbers.conditions import conditions, of_gas, when
from witnessmark.diagnosis.notes.numbers.conversion import as_written, system_of, units_of, value_beside, values_of
from witnessmark.diagnosis.notes.numbers.labelling import labelled
from witnessmark.diagnosis.notes.numbers.number import Number
from witnessmark.diagnosis.notes.numbers.other_parts import of_compressor
from witnessmark.diagnosis.notes.numbers.quantities import quantities
from witnessmark.diagnosis.notes.numbers.words.amounts import PAIR, THREE, Amount, Segment
from witnessmark.diagnosis.notes.numbers.words.lexer import lexemes, worded
from witnessmark.diagnosis.notes.numbers.words.roles import Taken, at_rest, locked_rotor, partner, roles
from witnessmark.diagnosis.notes.numbers.words.rows import QuantityRow
from witnessmark.diagnosis.notes.numbers.words.segments import segments
from witnessmark.diagnosis.notes.numbers.words.sides import far_apart
from witnessmark.diagnosis.notes.numbers.words.terms import terms

_ONLY_BESIDE = frozenset({"recovered-charge", "oil-drained"})
"""A weight or a volume without a label is one of these only where another stands beside it."""
_NO_READINGS = frozenset({"switch-setting", "locked-rotor-plate"})
"""What is told though nothing was measured: words beside it are easily taken for a finding."""
_SINGLE = frozenset({"run-capacitor", "start-capacitor"})
_THOUSAND = 1e3
_HOUR = 3600.0
_SOON = 600.0
_NEAR = 4
_BETWEEN_GAUGES = {"psi gauge": "psi", "bar gauge": "bar"}
"""Units of a difference by that of the gauges."""


@dataclass(frozen=True, slots=True)
class _Line:
    """A segment with its number in the note, the units of the note, and whether the note tells of now further on."""

    segment: Segment
    number: int
    system: str
    now_later: bool


@dataclass(frozen=True, slots=True)
class _Reading:
    """An amount with its quantity, the characters of its label, and what stands beside it."""

    amount: Amount
    row: QuantityRow
    words: tuple[int, int] | None = None
    beside: Amount | None = None
    limit: Amount | None = None


def numbers_in(text: str) -> tuple[Number, ...]:
    """Every reading of a note of at most 20,000 characters in the order of the text; linear in its length.

    A text of more than `lexer.MOST` numbers is read up to there: no note of a technician has so many.
    """
    parts = list(segments(lexemes(text), terms(), text)) if worded(text) else []
    system = system_of(parts)
    numbers = _numbers(parts, system)
    if not system and (shown := _shown(numbers)):
        numbers = _numbers(parts, shown)
    return tuple(sorted(of_compressor(numbers, text), key=lambda number: (number.start, number.end)))


def _numbers(parts: list[Segment], system: str) -> list[Number]:
    now = max((k for k, part in enumerate(parts) if part.has("now")), default=-1)
    lines = (_Line(part, k, system, k < now) for k, part in enumerate(parts))
    return [number for line in lines for number in _of_line(line) if number.possible]


def _shown(numbers: list[Number]) -> str:
    """The system of a note without units in which a pressure can only be of one: `LP 3.4 HP 19.2 SH 26`."""
    units = {n.assumed.partition(",")[0] for n in numbers if n.quantity == "discharge-pressure" and n.assumed}
    systems = {terms().units[unit].system for unit in units}
    return systems.pop() if len(systems) == 1 else ""


def _of_line(line: _Line) -> Iterator[Number]:
    read = [*_readings(line.segment)]
    for reading in read:
        yield from _as_numbers(line, reading)
    yield from _net_oil(line, read)
    yield from _pumped_down(line)
    yield from _cycles(line)
    yield from _across_drier(line)


def _readings(segment: Segment) -> Iterator[_Reading]:
    """What was measured, with the values beside it."""
    choices = labelled(segment)
    taken = Taken(segment, quantities(segment, choices), [choice.label is not None for choice in choices])
    found = roles(taken)
    for k, (amount, choice) in enumerate(zip(segment.amounts, choices, strict=True)):
        quantity = taken.quantities[k]
        counted = quantity == "starts-per-hour" and (
            found[k + 1 : k + 2] == ["expected"]
            or (not amount.units and segment.says("per", amount.end, amount.end + 4))
        )
        measured = found[k] == "measured" or quantity in _NO_READINGS
        if not quantity or not taken.row(k).dimension or not measured or counted:
            continue
        row, beside = taken.row(k), partner(taken, found, k, "expected")
        if quantity == "terminal-voltage-at-start" and beside is None:
            beside = at_rest(taken, k)
        if (locked := locked_rotor(taken, found, k)) is not None:
            row, beside = segment.terms.quantities["locked-rotor-current"], locked
        if choice.label is None and beside is None and quantity in _ONLY_BESIDE:
            continue
        label = choice.label
        words = label and (segment.lexemes[label.start].start, segment.lexemes[label.end - 1].end)
        limit = partner(taken, found, k, "limit")
        yield _Reading(amount, row, words, beside or (limit if row.off_bands else None), limit)


def _as_numbers(line: _Line, reading: _Reading) -> Iterator[Number]:
    """One number, two pressures, or one before and one after a change."""
    amount, row, known = reading.amount, reading.row, line.segment.terms.quantities
    if row.id == "run-hours" and len(amount.values) == PAIR and amount.values[1] < _THOUSAND:
        whole = amount.values[0] * _THOUSAND + amount.values[1]  # `81 460`
        reading = replace(reading, amount=replace(amount, values=(whole,), form="one"))
    if row.three and len(amount.values) == THREE and amount.form == "list":
        reading = replace(reading, row=known[row.three])
    if row.id in _SINGLE and amount.form == "list":
        yield from _dual(line, reading)
        return
    number = _number(line, reading)
    if row.pair and len(amount.values) == PAIR:
        span = number.span and not far_apart(*amount.values)
        for place, name in enumerate(row.pair):
            yield replace(_only(number, place), quantity=name, field=known[name].field, span=span)
    elif row.id == "supply-voltage" and len(amount.values) == PAIR and amount.form == "list":
        yield replace(_only(number, 1), beside=tuple(values[0] for values in number.possible))
    elif _is_change(amount, row):
        yield replace(_only(number, 0), when="before", span=False)
        yield _after_change(number, row)
    else:
        yield number


def _dual(line: _Line, reading: _Reading) -> Iterator[Number]:
    """`45/5 reads 44.8 and 4.9`: each part against its own mark; the larger one is the compressor's."""
    amount, marked = reading.amount, reading.beside
    if marked is None or not len(amount.values) == len(marked.values) == PAIR:
        return
    both = [(replace(amount, values=(v,), form="one"), replace(marked, values=(m,), form="one"))
            for v, m in zip(amount.values, marked.values, strict=True)]  # fmt: skip
    for value, mark in both:
        number = _number(line, replace(reading, amount=value, beside=mark))
        yield number if mark.values[0] == max(marked.values) else replace(number, field="")


def _is_change(amount: Amount, row: QuantityRow) -> bool:
    falls = amount.form == "range" and row.id == "terminal-voltage-at-start" and amount.values[0] > amount.values[-1]
    return len(amount.values) == PAIR and (amount.form == "change" or falls)


def _after_change(number: Number, row: QuantityRow) -> Number:
    """What it came to; a voltage during a start stands beside what it fell from."""
    after = replace(_only(number, 1), span=False)
    if row.id != "terminal-voltage-at-start" or number.beside:
        return after
    return replace(after, beside=tuple(values[0] for values in number.possible))


def _only(number: Number, place: int) -> Number:
    possible = tuple(values[place : place + 1] for values in number.possible)
    return replace(number, values=number.values[place : place + 1], possible=possible)


def _number(line: _Line, reading: _Reading) -> Number:
    """The number in SI under every unit that it may have."""
    segment, amount, row = line.segment, reading.amount, reading.row
    units, assumed = units_of(segment, amount, row, reading.beside or reading.limit, line.system)
    possible = values_of(segment, amount, units)
    return Number(
        quantity=row.id,
        values=possible[0] if len(possible) == 1 else (),
        possible=possible,
        unit=as_written(segment, amount),
        assumed=assumed,
        start=segment.lexemes[amount.start].start,
        end=segment.lexemes[amount.end - 1].end,
        words=reading.words,
        conditions=conditions(segment, amount) | of_gas(segment, row.id),
        side=amount.side,
        about=amount.about,
        span=amount.form == "range",
        tags=amount.tags,
        beside=value_beside(segment, reading.beside, row, units),
        limit=value_beside(segment, reading.limit, row, units),
        when=when(segment, amount, now_later=line.now_later),
        line=line.number,
        field=row.field,
        step=_step(segment, amount) * _scale(segment, units),
    )


def _step(segment: Segment, amount: Amount) -> float:
    """One step of the last digit of the number that is written with the fewest."""
    written = [segment.text(k) for k in range(amount.start, amount.end) if segment.is_number(k)]
    decimals = [len(text.replace(",", ".").partition(".")[2]) for text in written]
    return 10.0 ** -min(decimals, default=0)


def _scale(segment: Segment, units: Sequence[str]) -> float:
    return segment.terms.units[units[0]].factor if units else 1.0


def _cycles(line: _Line) -> Iterator[Number]:
    """Starts an hour from times: `runs 2 minutes off 1`, `starts every 100 s`."""
    segment = line.segment
    for k, amount in enumerate(segment.amounts):
        seconds = _seconds(segment, amount, amount)
        if seconds is None or amount.form != "one":
            continue
        after = segment.amounts[k + 1] if k + 1 < len(segment.amounts) else amount
        rest = _seconds(segment, after, amount)
        off = any(segment.text(j) == "off" for j in range(amount.end, min(after.start, amount.end + _NEAR)))
        if segment.text(amount.start - 1) == "every" and segment.says("starts"):
            yield from _rate(line, amount, amount, _HOUR / seconds)
        elif rest is not None and off and segment.says("on_for", amount.start - 2, amount.start):
            yield from _rate(line, amount, after, _HOUR / (seconds + rest))


def _seconds(segment: Segment, amount: Amount, like: Amount) -> float | None:
    """A time in seconds; one without unit has that of another. None where it is none."""
    units = [segment.terms.units[name] for name in amount.units or like.units]
    factors = [unit.factor for unit in units if unit.dimension == "time"]
    return amount.values[0] * factors[0] if factors and amount.values[0] > 0 else None


def _rate(line: _Line, first: Amount, last: Amount, starts: float) -> Iterator[Number]:
    """`starts` an hour, told by the times from `first` to `last`."""
    row = line.segment.terms.quantities["starts-per-hour"]
    number = _number(line, _Reading(replace(first, values=(starts,), units=("per hour",), end=last.end), row))
    yield replace(number, unit=as_written(line.segment, first), words=(number.start, number.end))


def _net_oil(line: _Line, read: Sequence[_Reading]) -> Iterator[Number]:
    """`oil psi 55 suction 30`: what the bearings have lies between the two gauges."""
    by = {reading.row.id: reading for reading in read}
    oil, suction = by.get("oil-gauge-pressure"), by.get("suction-pressure")
    if oil is None or suction is None or "net-oil-pressure" in by:
        return
    gauges, units = {*oil.amount.units, *suction.amount.units}, _BETWEEN_GAUGES
    named = tuple(units[name] for name in gauges if name in units)
    if len(named) > 1 or any(name not in units and name not in units.values() and name != "pound" for name in gauges):
        return
    first, last = sorted((oil.amount, suction.amount), key=lambda amount: amount.start)
    net = replace(first, values=(oil.amount.values[0] - suction.amount.values[0],), units=named, end=last.end)
    number = _number(line, _Reading(net, line.segment.terms.quantities["net-oil-pressure"]))
    yield replace(number, words=(number.start, number.end))


def _pumped_down(line: _Line) -> Iterator[Number]:
    """`pumped to 2 psi, back to 40 in 30 seconds`: what it rose by in a time too short for a tight valve."""
    segment = line.segment
    for low, high, time in zip(segment.amounts, segment.amounts[1:], segment.amounts[2:], strict=False):
        seconds = _seconds(segment, time, time)
        told = segment.says("pumped_to", low.start - _NEAR, low.start) and segment.says("back_to", low.end, high.start)
        gauges = {*low.units, *high.units} & _BETWEEN_GAUGES.keys()
        if told and seconds is not None and seconds <= _SOON and len(gauges) == 1 and len(high.values) == 1:
            rise = replace(
                low, values=(high.values[0] - low.values[0],), units=(_BETWEEN_GAUGES[gauges.pop()],), end=time.end
            )
            number = _number(line, _Reading(rise, segment.terms.quantities["pump-down-rise"]))
            yield replace(number, words=(number.start, number.end), conditions=frozenset())


def _across_drier(line: _Line) -> Iterator[Number]:
    """`drier 34 in, 22 out`: the drop between the two."""
    segment, ends = line.segment, dict[str, Amount]()
    for amount in segment.amounts:
        beside = {segment.text(amount.end), segment.text(amount.start - 1)} & {"in", "out"}
        if len(beside) == 1 and len(amount.values) == 1:
            ends.setdefault(beside.pop(), amount)
    if len(ends) != PAIR or not segment.says("of_drier"):
        return
    first, last = sorted(ends.values(), key=lambda amount: amount.start)
    drop = replace(first, values=(ends["in"].values[0] - ends["out"].values[0],), units=(), end=last.end)
    number = _number(line, _Reading(drop, segment.terms.quantities["liquid-line-drop"]))
    yield replace(number, words=(number.start, number.end))
