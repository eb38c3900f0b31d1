"""Units of an amount, those that were written and those that the trade leaves no doubt of, and values in SI."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.diagnosis.notes.numbers.to_ground import INSULATION, plain_ohms
from witnessmark.diagnosis.notes.numbers.words.amounts import Amount, Segment
from witnessmark.diagnosis.notes.numbers.words.rows import QuantityRow
from witnessmark.diagnosis.notes.numbers.words.terms import Terms

OPEN = 1e12
"""What a meter that shows no end is taken to read, ohm."""


def system_of(parts: Sequence[Segment]) -> str:
    """The one system of units that the note is written in; "" where it mixes them or shows none."""
    seen: set[str] = set()
    for part in parts:
        for amount in part.amounts:
            systems = {part.terms.units[unit].system for unit in amount.units} - {""}
            seen |= systems if len(systems) == 1 else set()
    return seen.pop() if len(seen) == 1 else ""


def units_of(
    segment: Segment, amount: Amount, row: QuantityRow, beside: Amount | None, system: str
) -> tuple[list[str], str]:
    """Names of the units that the amount may be in, and why one that was not written is taken.

    A unit that is missing is that of the value beside it, or what the trade leaves no doubt of; else all stay possible.
    """
    known = segment.terms.units
    source = amount if amount.units or beside is None else beside
    named = [name for name in source.units if known[name].dimension == row.dimension]
    written = [name for name in named if not known[name].open]
    if written:
        return _one_of(segment, amount, written, row), ""
    if row.id == INSULATION and not named and plain_ohms(segment):
        return ["ohm"], "ohm, since ohms are spoken of and no insulation tester"
    bare = [name for unit in named for name in known[unit].open] or list(row.bare)
    certain = [name.removeprefix("~") for name in bare if name.startswith("~")]
    if certain:
        return certain, f"{certain[0]}, as the trade writes it"
    return _narrowed(segment.terms, amount, row, bare, system)


def _narrowed(terms: Terms, amount: Amount, row: QuantityRow, bare: list[str], system: str) -> tuple[list[str], str]:
    """The units that a number without one may have, by its size and by the rest of the note."""
    highest = max(amount.values)
    possible = [name for name in bare if highest <= terms.units[name].most]
    if row.split is not None:
        side = "metric" if highest <= row.split else "imperial"
        possible = [name for name in possible if terms.units[name].system == side]
    if len(possible) == 1:
        return possible, f"{possible[0]}, since no gauge shows such a number in another unit"
    of_system = [name for name in possible if terms.units[name].system == system]
    if len(of_system) == 1:
        return of_system, f"{of_system[0]}, since the note is in {system} units"
    return possible, ""


def _one_of(segment: Segment, amount: Amount, written: list[str], row: QuantityRow) -> list[str]:
    """`Mohm` in capitals, or to ground, is a megohm; `mohm` of a winding a milliohm."""
    if set(written) != {"milliohm", "megohm"}:
        return written[:1]
    large = row.id == INSULATION or "M" in as_written(segment, amount)
    return ["megohm" if large else "milliohm"]


def as_written(segment: Segment, amount: Amount) -> str:
    """The unit as it stands in the note, "" where there is none."""
    numbers = [k for k in range(amount.start, amount.end) if segment.is_number(k)]
    first = (numbers[-1] if numbers else amount.start - 1) + 1
    if not amount.units or first >= amount.end:
        return ""
    return segment.note[segment.lexemes[first].start : segment.lexemes[amount.end - 1].end]


def values_of(segment: Segment, amount: Amount, units: Sequence[str]) -> tuple[tuple[float, ...], ...]:
    """The values in SI under each unit. `15 % above` is a share of 1.15."""
    possible = [tuple(_si(segment.terms, unit, value) for value in amount.values) for unit in units]
    if amount.percent_off:
        possible = [tuple(1 + amount.percent_off * value for value in values) for values in possible]
    return tuple(possible)


def value_beside(segment: Segment, amount: Amount | None, row: QuantityRow, units: Sequence[str]) -> tuple[float, ...]:
    """The value beside a reading for each unit that the reading may have; its own unit counts where it has one."""
    if amount is None:
        return ()
    known = segment.terms.units
    own = [unit for unit in amount.units if known[unit].dimension == row.dimension and not known[unit].open]
    value = sum(amount.values) / len(amount.values)
    return tuple(_si(segment.terms, own[0] if own else unit, value) for unit in units)


def _si(terms: Terms, unit: str, value: float) -> float:
    row = terms.units[unit]
    return min(value * row.factor + row.offset, OPEN)
