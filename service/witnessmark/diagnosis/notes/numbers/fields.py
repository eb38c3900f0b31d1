"""The numbers of a note as the readings that a diagnosis takes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from witnessmark.diagnosis.notes.numbers.number import Number, Values
from witnessmark.diagnosis.notes.numbers.words.terms import terms

_SUPPLY = "supply_voltage"
TEST_VOLTAGES = frozenset({250.0, 500.0, 1000.0, 2500.0, 5000.0})
"""Of insulation testers (IEC 61557-2), V: beside a resistance to ground these are no supply."""
_SHARE, _OVER_RATED = "current-share", "current-over-rated"
_CURRENTS = frozenset({"running-current", "line-currents"})
_INSULATION, _HOT = "insulation_resistance", "insulation_resistance_hot"


def fields_of(numbers: Iterable[Number]) -> Mapping[str, Values]:
    """SI values by field of the readings: one value, or three.

    Only what is certain and of now counts: no unit in doubt, no limit (`under 3 K`), no span, no passing state. Of two
    readings of a field the later counts, of insulation the worse; one on a hot winding has a field of its own.
    """
    found: dict[str, Values] = {}
    for number in numbers:
        passing = number.when == "before" or number.side or number.span or "moving" in number.conditions
        at_terminals = number.tags and number.tags[0].startswith("terminal pair")  # three unlike ones by design
        if not number.field or not number.values or passing or at_terminals:
            continue
        name = _HOT if number.field == _INSULATION and "hot" in number.conditions else number.field
        worse = min(number.values, found.get(name, number.values)) if name in {_INSULATION, _HOT} else number.values
        found[name] = worse
        beside = terms().quantities[number.quantity].beside
        if beside and number.beside:
            found[beside] = number.beside[:1]
    if {_INSULATION, _HOT} & found.keys() and TEST_VOLTAGES.issuperset(found.get(_SUPPLY, ())):
        found.pop(_SUPPLY, None)
    return found


def shares_of(numbers: Iterable[Number]) -> Mapping[str, Values]:
    """The highest current over its rating, by the name that it has among derived readings.

    Told as a share (`45 % over nameplate amps`), or read at any of several machines.
    """
    now = [n for n in numbers if n.values and n.when == "now"]
    told = [n.values[0] for n in now if n.quantity == _SHARE]
    told += [max(n.values) / n.beside[0] for n in now if n.quantity in _CURRENTS and n.beside and n.beside[0] > 0]
    return {_OVER_RATED: (max(told),)} if told else {}
