"""Which label each amount belongs to: the one that its own side and punctuation give it, in one order through a text.

Every amount may go to the nearest label that can take it on its left, to the one on its right, or to none. Each choice
has a cost (words and marks between, labels passed over, a change of order from the amount before, a label taken from
both sides), and the cheapest row of choices wins: the method of Viterbi (1967), linear in the number of amounts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from witnessmark.diagnosis.notes.numbers.words.amounts import Amount, Label, Segment
from witnessmark.diagnosis.notes.numbers.words.rows import QuantityRow
from witnessmark.diagnosis.notes.numbers.words.terms import WITH_UNIT

_FARTHEST, _BARE_LEFT, _BARE_RIGHT = 7.0, 3.5, 2.5
_NONE = 8.0
_PER_WORD, _PER_COMMA, _PER_MARK, _PER_AMOUNT, _PER_LABEL = 1.0, 2.0, 2.5, 1.0, 3.0
_RIGHT, _TURN, _TURN_AT_COMMA, _TURN_TOUCHING, _BOTH_SIDES, _COUNTED = 0.3, 3.0, 1.0, 0.4, 12.0, 6.0
_SURE = 0.6
"""A unit that fits makes words between matter less."""
_BESIDE = 1.0
"""Farthest label of a value that was not measured."""
_COMPRESSOR = frozenset({"comp", "compressor", "compresor", "cmpr", "compr"})
_AHEAD = 3
"""Labels that are looked at on either side."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A label for an amount: `order` -1 where the label stands before it, 1 behind, 0 where there is none."""

    label: Label | None
    quantity: str
    order: int
    cost: float


def labelled(segment: Segment) -> list[Choice]:
    """One choice for each amount of the segment; what was not measured takes its label without a say in the others."""
    options = [_options(segment, amount) for amount in segment.amounts]
    chosen = [min((c for c in row if c.cost <= _BESIDE or not c.order), key=lambda c: c.cost) for row in options]
    measured = [k for k, amount in enumerate(segment.amounts) if amount.role == "measured" or amount.weak]
    touching = {id(c.label) for k, c in enumerate(chosen) if k not in measured and c.label and not c.cost}
    for k in measured:
        options[k] = [c for c in options[k] if c.order < 1 or id(c.label) not in touching]  # `now 25 RLA 15`
    for k, choice in zip(measured, _cheapest(segment, measured, options), strict=True):
        chosen[k] = choice
    return _of_one_kind(segment, _one_sided(chosen))


def _of_one_kind(segment: Segment, chosen: list[Choice]) -> list[Choice]:
    """`discharge 235 F at 6`: a bare number takes no label that one with a unit made a name of something else."""
    named = {id(c.label): c.quantity for a, c in zip(segment.amounts, chosen, strict=True) if c.label and a.units}
    return [
        Choice(None, "", 0, _NONE) if not a.units and named.get(id(c.label), c.quantity) != c.quantity else c
        for a, c in zip(segment.amounts, chosen, strict=True)
    ]


def _one_sided(chosen: list[Choice]) -> list[Choice]:
    """A label that amounts on both sides took, with others between, keeps the nearer side."""
    best: dict[int, Choice] = {}
    for choice in chosen:
        if choice.label is not None and (id(choice.label) not in best or choice.cost < best[id(choice.label)].cost):
            best[id(choice.label)] = choice
    return [
        choice if choice.label is None or best[id(choice.label)].order == choice.order else Choice(None, "", 0, _NONE)
        for choice in chosen
    ]


def _cheapest(segment: Segment, order: Sequence[int], options: Sequence[Sequence[Choice]]) -> list[Choice]:
    """The cheapest row of choices for these amounts."""
    if not order:
        return []
    totals = [choice.cost for choice in options[order[0]]]
    ways: list[list[int]] = []
    for last, k in pairwise(order):
        row, way = [], []
        for choice in options[k]:
            costs = [
                total + _step(segment, segment.amounts[last], segment.amounts[k], before, choice)
                for total, before in zip(totals, options[last], strict=True)
            ]
            least = min(range(len(costs)), key=costs.__getitem__)
            row.append(costs[least] + choice.cost)
            way.append(least)
        totals = row
        ways.append(way)
    at = min(range(len(totals)), key=totals.__getitem__)
    places = [at]
    for way in reversed(ways):
        at = way[at]
        places.append(at)
    return [options[k][at] for k, at in zip(order, reversed(places), strict=True)]


def _step(segment: Segment, before: Amount, amount: Amount, first: Choice, then: Choice) -> float:
    if not first.order or not then.order:
        return 0.0
    cost = 0.0
    if first.label is then.label and first.order > then.order:
        cost += _BOTH_SIDES
    if first.order != then.order:
        comma = any(one.text in {",", "(", ")", "|"} for one in segment.lexemes[before.end : amount.start])
        cost += _TURN_AT_COMMA if comma else _TURN_TOUCHING if _touch(before, first, amount, then) else _TURN
    return cost


def _touch(before: Amount, first: Choice, amount: Amount, then: Choice) -> bool:
    """`head 380 at 95 outside`: the first label stands right before its amount, the other right behind its own."""
    left, right = first.label, then.label
    return bool(left and right and left.end == before.start and right.start == amount.end)


def _options(segment: Segment, amount: Amount) -> list[Choice]:
    left = [label for label in segment.labels if label.end <= amount.start][-_AHEAD:][::-1]
    right = [label for label in segment.labels if label.start >= amount.end][:_AHEAD]
    inside = [label for label in segment.labels if amount.start <= label.start < amount.end][:1]
    found = [Choice(None, "", 0, _NONE)]
    for order, side in ((-1, left), (1, right), (-1, inside)):
        passed = 0.0
        for label in side:
            quantity = _fitting(segment, amount, label)
            elsewhere = _of_another_part if order > 0 else _beyond
            if quantity and (elsewhere(segment, amount, label) or _of_another(segment, amount, label, quantity)):
                break
            if quantity and not _another_preferred(segment, amount, quantity):
                gap = (label.end, amount.start) if order < 0 else (amount.end, label.start)
                cost = passed + _gap(segment, *gap) * (_SURE if amount.units else 1.0) + (_RIGHT if order > 0 else 0.0)
                adjacent = order < 0 and label.end == amount.start
                cost += _COUNTED if amount.counted and not adjacent else 0.0
                if cost <= (_FARTHEST if amount.units else _BARE_LEFT if order < 0 else _BARE_RIGHT):
                    found.append(Choice(label, quantity, order, cost))
                break
            passed += _PER_LABEL
    return found


def _of_another(segment: Segment, amount: Amount, label: Label, quantity: str) -> bool:
    """`suction 28 bar, drain pan 10 C`: behind its pressure a label names no temperature that has words of its own."""
    pressed = segment.terms.quantities[label.quantities[0].removesuffix(WITH_UNIT)].dimension == "pressure"
    if not pressed or segment.terms.quantities[quantity].dimension != "temperature" or label.end > amount.start:
        return False
    ends = [other.end for other in segment.amounts if label.end <= other.start and other.end <= amount.start]
    words = (k for k in range(ends[-1], amount.start) if segment.lexemes[k].kind == "w") if ends else ()
    return any(not ({"joints", "about", "of_pipe", "running", "now"} & segment.at(k).keys()) for k in words)


def _beyond(segment: Segment, amount: Amount, label: Label) -> bool:
    """`cond fan 1.2 amps, comp 14 amps`: what another part draws ends where the compressor is named behind a number."""
    if segment.terms.quantities[label.quantities[0].removesuffix(WITH_UNIT)].dimension:
        return False
    before = [other.end for other in segment.amounts if label.end <= other.start and other.end <= amount.start]
    return bool(before) and any(segment.text(k) in _COMPRESSOR for k in range(before[-1], amount.start))


def _of_another_part(segment: Segment, amount: Amount, label: Label) -> bool:
    """`comp body 120 F, suction cold`: words of its own stand before the number, and a comma before the label."""
    if not any(segment.text(k) == "," for k in range(amount.end, label.start)) or segment.is_number(label.end):
        return False
    k = amount.start - 1
    while k >= 0 and segment.lexemes[k].kind == "w" and segment.found[k].keys() & {"joints", "label", "about"}:
        k -= 1
    return k >= 0 and segment.lexemes[k].kind == "w"


def _another_preferred(segment: Segment, amount: Amount, quantity: str) -> bool:
    """`0.41 ohm, 80 M to earth`: where one is in a unit that the quantity is mostly told in, the other is another's."""
    preferred = set(segment.terms.quantities[quantity].prefers)
    usual = [other for other in segment.amounts if preferred & set(other.units)]
    return bool(usual and amount.units and not preferred & set(amount.units))


def _gap(segment: Segment, start: int, end: int) -> float:
    """Cost of what stands between: nothing for words that join, more for a comma, most for a mark or another number."""
    cost, k = 0.0, start
    amounts = {a.start: a.end for a in segment.amounts if start <= a.start < end}
    while k < end:
        if k in amounts:
            cost += _PER_AMOUNT
            k = max(amounts[k], k + 1)
            continue
        one, at = segment.lexemes[k], segment.found[k]
        if one.kind == "m":
            cost += 0.0 if one.text in "-:=~°(\"'" else _PER_COMMA if one.text in ",)" else _PER_MARK
        elif not ({"joints", "label", "about", "below", "above", "running", "cold", "hot", "expected"} & at.keys()):
            cost += _PER_WORD
        elif one.text in {"and", "but", "then"}:
            cost += 1.0
        k += 1
    return cost


def _set(segment: Segment, amount: Amount, row: QuantityRow) -> bool:
    """`house 84 set 72`, `freezer reads 31`: a bare number is a temperature beside what it is set to, or read out."""
    return bool(row.off_bands) and (amount.read_out or segment.says("set_to"))


def _fitting(segment: Segment, amount: Amount, label: Label) -> str:
    """The quantity of the label that the amount can be a value of, by its unit; "" if none."""
    terms = segment.terms
    for told in label.quantities:
        name = told.removesuffix(WITH_UNIT)
        row = terms.quantities[name]
        if not row.dimension:
            return name
        if amount.units:
            named = [unit for unit in amount.units if terms.units[unit].dimension == row.dimension]
            if named and max(terms.units[named[0]].least, row.least) <= max(amount.values):
                return name
        elif row.bare and (name == told or _set(segment, amount, row)) and row.least <= max(amount.values) <= row.most:
            return name
    return ""
