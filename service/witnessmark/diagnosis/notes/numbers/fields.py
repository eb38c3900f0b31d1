"""The numbers of a note as the readings that a diagnosis takes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

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


_PRESSURES = {
    ("condensing-pressure", "low"): ("discharge_pressure", 1.4e6, 1),
    ("condensing-pressure", "high"): ("discharge_pressure", 0.6e6, -1),
    ("suction-pressure", "high"): ("suction_pressure", 0.25e6, -1),
}
"""Field of a reading, Pa absolute, and the side on which no usual plant is so (-1 below): expert estimates."""
_BEFORE = 3
"""Characters before a number in which its label stands."""
_SWITCHES = ("high-pressure-trips", "low-pressure-trips")


def belied(finding: str, outcome: str, named: Sequence[tuple[int, int]], numbers: Sequence[Number]) -> bool:
    """Whether a pressure stands as a number that belies what was learned from like words: 380 psi is no low head.

    The label of a pressure (`HP 2.6 MPa`) names no switch. named: the words of the finding, from and to a character.
    """
    labels = [any(n.start - _BEFORE <= a and b <= n.end for n in numbers) for a, b in named]
    if finding in _SWITCHES and labels and all(labels):
        return True
    field, beyond, sign = _PRESSURES.get((finding, outcome), ("", 0.0, 1))
    values = fields_of(numbers).get(field, ()) if field else ()
    return any(sign * (value - beyond) > 0 for value in values)
