"""What an amount is a reading of: what its label says, or what its unit can only mean."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from witnessmark.diagnosis.notes.numbers.conditions import conditions
from witnessmark.diagnosis.notes.numbers.labelling import Choice
from witnessmark.diagnosis.notes.numbers.to_ground import VOLTAGE, legs, volts_to_ground
from witnessmark.diagnosis.notes.numbers.words.amounts import INFINITE, PAIR, THREE, Amount, Label, Segment
from witnessmark.diagnosis.notes.numbers.words.sides import of_both_sides

_KILOHM, _LARGE = 1e3, 1e5
_LIVE = 80.0
_LEAST_LEG = 2.0
_MAINS = (90.0, 700.0)
_THREE_LINES = 190.0
_SPREAD = 1.12
_NEAR = 4
_NEUTRAL = "line-to-neutral"
_STANDING = "standing-test-pressure"
_SET = "box-temperature"
_CHARGE = "recovered-charge"
_LOCKED, _PLATE = "locked-rotor-current", "locked-rotor-plate"
_RESISTANCES = frozenset({"winding-resistances", "insulation-resistance"})
_CAPACITORS = frozenset({"run-capacitor", "start-capacitor"})
_LETTERS = frozenset({"other", "kelvin", "gram", "kelvin absolute"})
"""Units whose letter stands for a resistance as well."""
_HOURS = {"hour": 20_000.0, "thousand hours": 20.0}
"""Hours, from which they can only be those that it has run."""
_BY_UNIT = {
    "mass": "recovered-charge",
    "oil": "oil-drained",
    "capacitance": "run-capacitor",
    "vacuum": "vacuum",
    "depth_of_vacuum": "vacuum-in-inches",
    "age": "age",
    "rate": "starts-per-hour",
    "acid_number": "oil-acid-number",
}
_AT_PLACES = {
    "line": "line-currents",
    "lead": "line-currents",
    "terminal pair": "winding-resistances",
    "winding pair": "winding-resistances",
    "phase pair": "winding-resistances",
}
_SIDES = frozenset({"low", "lo", "high", "hi", "baja", "alta", "suction", "head", "discharge"})
_OF_LINES = frozenset({"running-current", "line-currents"})
_VACUUM = (50.0, 760_000.0)
"""Microns that a note tells without the word."""
_TRIP_AHEAD, _TRIP_BEHIND, _LED = 8, 6, 3


def quantities(segment: Segment, choices: Sequence[Choice]) -> list[str]:
    """The quantity of each amount of the segment, "" where it is none that is known."""
    found = [_quantity(segment, a, c) for a, c in zip(segment.amounts, choices, strict=True)]
    for k, amount in enumerate(segment.amounts):
        if segment.text(amount.start - 1) == "not" and segment.text(amount.end) == "but":
            found[k] = ""  # `not 2 F but 12 F`
    warmed = segment.has("cold") and segment.has("hot")
    for k in range(1, len(found)):
        bare = not found[k] and not segment.amounts[k].units
        if warmed and bare and found[k - 1] == "insulation-resistance":
            found[k] = found[k - 1]  # `1.2 megohm cold, .5 hot`
    for k in legs(segment, found):
        found[k] = VOLTAGE
    _carried(segment, found)
    _of_plate(segment, found)
    _fitted(segment, found)
    return _of_vacuum(segment, _under_test(segment, found))


def _carried(segment: Segment, found: list[str]) -> None:
    """A bare number that the one beside it names.

    `head used to be 250, now 480`; `max head 600, reads 310`; `11 of 9 lb in it`; `38 oz of 40 charge`.
    """
    if not segment.labels and len(found) == PAIR and segment.says("set_to") and not any(found):
        found[:] = [_SET if a.role == "measured" and a.read_out else "" for a in segment.amounts]  # `set 36 reads 51`
    for k in range(1, len(found)):
        before, amount = segment.amounts[k - 1], segment.amounts[k]
        if not found[k] and not amount.units and _goes_on(segment, before, amount):
            found[k] = found[k - 1]
            segment.amounts[k] = replace(amount, units=before.units)  # `suction temp was 45 F now 60`
        elif found[k] == _CHARGE:
            _of_whole(segment, found, k)


def _of_whole(segment: Segment, found: list[str], k: int) -> None:
    """`11 of 9 lb in it`, `38 oz of 40 charge`: what there is and what there should be are of one kind."""
    before, amount = segment.amounts[k - 1], segment.amounts[k]
    of = segment.text(amount.start - 1) == "of" and amount.start - before.end == 1
    if amount.units and of and not before.units and not found[k - 1]:
        found[k - 1] = _CHARGE
    elif not amount.units and amount.weak and found[k - 1] == "oil-drained":
        found[k] = found[k - 1]


def _of_plate(segment: Segment, found: list[str]) -> None:
    """`RLA 18 LRA 130 replaced like for like`: both stand on the plate, and nothing was measured."""
    currents = [k for k, name in enumerate(found) if name in {"running-current", _LOCKED}]
    if len({found[k] for k in currents}) < PAIR or any(segment.amounts[k].role == "measured" for k in currents):
        return
    for k in currents:
        found[k] = _PLATE if found[k] == _LOCKED else found[k]


def _fitted(segment: Segment, found: list[str]) -> None:
    """`reads 1.3, installed 5 uF`: what is marked on the part that was put in is no reading of the old one."""
    for k, amount in enumerate(segment.amounts):
        last = k + 1 == len(found) or found[k + 1] != found[k] or not segment.amounts[k + 1].read_out
        led = any("put_in" in segment.at(j) for j in range(max(0, amount.start - _LED), amount.start))
        read = k > 0 and segment.amounts[k - 1].read_out and found[k - 1] in _CAPACITORS
        if (read or found[k] in _CAPACITORS) and led and last and not amount.read_out:
            found[k], segment.amounts[k] = "", replace(amount, role="measured", weak=False)


def _goes_on(segment: Segment, before: Amount, amount: Amount) -> bool:
    """Whether the number tells of now what the one before it told of earlier, or reads what that one limits."""
    led = amount.start - _LED
    ahead = segment.has("before", before.start - _LED, before.start) and segment.has("now", led, amount.start)
    behind = segment.has("before", before.end, before.end + 2) and segment.has("now", amount.end, amount.end + 2)
    return (ahead or behind or (amount.read_out and before.role == "limit")) and amount.start - before.end <= _LED


def _under_test(segment: Segment, found: list[str]) -> list[str]:
    """`nitrogen 600 psi on high side`: a pressure of a test is none of the machine."""
    if not segment.says("test_gas"):
        return found
    return [_STANDING if name in {"suction-pressure", "discharge-pressure", "pressures"} else name for name in found]


def _of_vacuum(segment: Segment, found: list[str]) -> list[str]:
    """`400 microns, climbed to 1800 in 10 minutes`: what it rose to is one too; what it started at is none of now."""
    for k, amount in enumerate(segment.amounts):
        if found[k] == "vacuum" and segment.says("started", amount.start - _LED, amount.start):
            found[k] = ""
        elif not found[k] and not amount.units and _VACUUM[0] <= max(amount.values) <= _VACUUM[1]:
            spoken = "vacuum" in found or segment.says("valved")
            found[k] = "vacuum" if spoken and _has_risen(segment, amount) else ""
    return found


def _has_risen(segment: Segment, amount: Amount) -> bool:
    """Whether the words before say that it went up to this, or a time that passed stands behind."""
    if segment.says("rises_to", amount.start - _LED, amount.start):
        return True
    time = next((a for a in segment.amounts if a.start >= amount.end), None)
    timed = time is not None and {"second", "minute", "hour"} & set(time.units) and time.start - amount.end <= 1
    return bool(timed) and segment.says("time_behind", amount.end, amount.end + 1)


def _quantity(segment: Segment, amount: Amount, choice: Choice) -> str:
    return _by_place(segment, amount, choice) or _by_label(segment, amount, choice)


def _by_place(segment: Segment, amount: Amount, choice: Choice) -> str:
    """What the place of the measurement decides, whatever the label is: a leg to the neutral, to ground, a dead one."""
    place = amount.tags[0] if amount.tags else ""
    if place.startswith("line to neutral"):
        return _NEUTRAL
    if place.startswith("terminal pair") and not amount.units and choice.quantity in _OF_LINES:
        return "winding-resistances"  # `all legs good, C-S 4.2 C-R 1.1 S-R 5.3`
    if volts_to_ground(segment, amount, choice.label):
        return VOLTAGE
    dead = choice.quantity == "running-current" and amount.values == (0.0,)
    return "leg-current" if dead and _at_leg(segment, amount) else ""


def _by_label(segment: Segment, amount: Amount, choice: Choice) -> str:
    named = choice.quantity
    if named in _DROPS:
        return _place_of_drop(segment, named)
    if named in _RESISTANCES:
        return _resistance(segment, amount, named)
    if named in {"", "recovered-charge"} and (off := _off_charge(segment, amount)):
        return off
    if named:
        return _as_told(segment, amount, named, choice.label)
    return "trip-delay" if _before_trip(segment, amount) else _by_unit(segment, amount)


def _at_leg(segment: Segment, amount: Amount) -> bool:
    """Whether the name of one line stands beside it, and it is not told of a machine that stands."""
    near = (place for place in segment.places if amount.start - _LED <= place.start <= amount.end + _LED)
    return any(name.startswith("line:") for place in near for name in place.names) and not segment.has("at_rest")


def _off_charge(segment: Segment, amount: Amount) -> str:
    """`1.2 kg over`, `9 lb light`: by how much the charge is off."""
    gauge = segment.text(amount.start - 1) in _SIDES  # `low 4 kg high 18 kg` are pressures
    if gauge or "mass" not in segment.dimensions(amount) or segment.says("of_oil"):
        return ""
    at = segment.at(amount.end)
    return "charge-excess" if "more" in at else "charge-lack" if "fewer" in at else ""


def _as_told(segment: Segment, amount: Amount, named: str, label: Label | None) -> str:
    """The quantity of a label as the words around the number narrow it."""
    if named == "recovered-charge" and _put_in(segment, amount):
        return ""
    if named == "suction-superheat" and segment.has("evaporator", amount.end, amount.end + 2):
        return ""
    if named == "sump-superheat-running" and "at_rest" in conditions(segment, amount):
        return "sump-superheat-at-rest"
    if named == "suction-pressure" and len(amount.values) == PAIR and amount.form == "list":
        return "pressures"
    if named == "discharge-pressure" and _goes_on_of_hot(segment, amount, label):
        return "discharge-temperature"
    return named


_HOT_TOLD = re.compile(
    r"\b(?:disch?\w*|dsch\w*|dlt|descarga)\s+(?:(?:line|pipe|gas)\s+)?t(?:emp\w*)?\b|\bdlt\b|\btemp\w*\s+(?:de\s+)?descarga\b"
)
_HOTTEST = 300.0
"""No discharge is hotter in any unit and has a number without one."""


def _goes_on_of_hot(segment: Segment, amount: Amount, label: Label | None) -> bool:
    """`disch temp 188. Comp 3 disch 231`: the same of another machine, where no low side stands beside it."""
    if label is None or amount.units or len(label.quantities) < PAIR or max(amount.values) > _HOTTEST:
        return False
    if any("suction-pressure" in other.quantities for other in segment.labels) or segment.says("pressed"):
        return False
    numbered = any("names" in segment.at(k) and segment.is_number(k + 1) for k in range(label.start))
    before = segment.note[: segment.lexemes[label.start].start].lower()
    return (numbered or segment.says("another", 0, label.start)) and _HOT_TOLD.search(before) is not None


def _put_in(segment: Segment, amount: Amount) -> bool:
    """`added 3 lb`, `3 lb put in`: an amount that went in; `recovered 3 lb put in 5` has one of its own behind."""
    if segment.says("added_charge", amount.start - _LED, amount.start):
        return True
    behind = segment.at(amount.end).get("added_charge")
    return behind is not None and not any(behind.end <= a.start <= behind.end + 1 for a in segment.amounts)


_DROPS = {
    "drop-of-pressure": (("of_suction", "suction-line-drop"),),
    "drop-of-temperature": (("of_valve", "valve-drop"), ("of_drier", "liquid-line-drop")),
}


def _place_of_drop(segment: Segment, named: str) -> str:
    """Where a drop was read, by the other words of the segment."""
    return next((quantity for kind, quantity in _DROPS[named] if segment.says(kind)), "")


def _resistance(segment: Segment, amount: Amount, named: str) -> str:
    """Three plain ohms are the windings among themselves; a megohm, or one value to the shell, is insulation."""
    units = [segment.terms.units[name] for name in amount.units]
    factors = [unit.factor for unit in units if unit.dimension == "resistance"]
    finite = [value for value in amount.values if value < INFINITE]
    three = len(amount.values) >= THREE or len(amount.tags) > 1
    small = three and named != "insulation-resistance"  # `mohm` of three windings is a milliohm
    factor = (min if small else max)(factors, default=None)
    if factor is None:
        return named if named == "insulation-resistance" or three else ""
    alike = factor == 1 and segment.says("even")
    if any(value > 0 for value in finite) and (alike or (three and factor < _LARGE)):
        return "winding-resistances" if three else ""
    if factor >= _KILOHM and len(finite) == len(amount.values):
        return "insulation-resistance"
    return named if named == "insulation-resistance" or three else ""


def _by_unit(segment: Segment, amount: Amount) -> str:
    """The one quantity that such numbers can be without a label."""
    if not amount.units:
        return _bare(segment, amount)
    dimensions = segment.dimensions(amount)
    if dimensions & {"current", "voltage"}:
        return _of_lines(segment, amount, dimensions)
    if "resistance" in dimensions and (not _LETTERS & set(amount.units) or _of_resistances(segment)):
        return _resistance(segment, amount, "")
    if "pressure" in dimensions and len(amount.values) == PAIR and amount.form in {"change", "list"}:
        return _of_two_pressures(segment, amount)
    if any(name in amount.units and amount.values[0] >= least for name, least in _HOURS.items()):
        return "" if segment.text(amount.start - 1) in {"at", "after", "every", "in"} else "run-hours"
    known = next((quantity for dimension, quantity in _BY_UNIT.items() if dimension in dimensions), "")
    told = {"vacuum": "evacuated", "vacuum-in-inches": "standing"}  # `pulls 28 inches` may be a test of the valves
    open_to_doubt = {"mass", "oil"} <= dimensions or (known in told and not segment.says(told[known]))
    return "" if open_to_doubt else known


def _bare(segment: Segment, amount: Amount) -> str:
    """Numbers without unit and label: at named places, three with a lost leg, volts of a machine."""
    of = amount.tags[0].partition(":")[0] if amount.tags else ""
    if of == "line pair":
        return "line-voltages" if min(amount.values) >= _LIVE or 0 in amount.values else "winding-resistances"
    if of:
        return _AT_PLACES.get(of, "")
    if of_both_sides(segment, amount):
        return "pressures"
    three = len(amount.values) == THREE and amount.form == "list"
    if three and _like_mains(amount):
        return "line-voltages"
    if three and 0 in amount.values and max(amount.values) > _LEAST_LEG and segment.says("lost_leg"):
        return "line-currents"
    volts = amount.form == "one" and _of_machine(segment, amount) and not segment.says("ordered")
    return "supply-voltage" if volts else ""


def _like_mains(amount: Amount) -> bool:
    """`480/482/460` alone: nothing else of a machine comes in three such numbers so near each other."""
    least, most = min(amount.values), max(amount.values)
    return least >= _THREE_LINES and most <= _MAINS[1] and most <= _SPREAD * least


def _of_lines(segment: Segment, amount: Amount, dimensions: set[str]) -> str:
    """Amps and volts of nothing in particular are those of the machine; of what is ordered they are none."""
    three = len(amount.values) == THREE and amount.form == "list"
    if "current" in dimensions:
        single = len(amount.values) == 1 or amount.form in {"range", "change"}
        return "line-currents" if three else "running-current" if single else ""
    live = max(amount.values) >= _LIVE and (three or amount.form == "one" or _under_load(segment, amount))
    if segment.says("ordered") or not live:
        return ""
    return "line-voltages" if three else "supply-voltage"


def _under_load(segment: Segment, amount: Amount) -> bool:
    """`115 V 103 V running`: the second is what is left of the first once it runs."""
    stroke = any(segment.text(k) == "/" for k in range(amount.start, amount.end))
    falls = len(amount.values) == PAIR and amount.values[0] > amount.values[1] >= _LIVE
    return falls and not stroke and segment.has("running", amount.end, amount.end + PAIR)


def _of_two_pressures(segment: Segment, amount: Amount) -> str:
    """`68/260`, `68 over 260`: both sides; one that fell while it was left standing is a test."""
    if amount.form == "change":
        return _STANDING if segment.says("standing") else ""
    return "pressures" if any(segment.text(k) in {"/", "over"} for k in range(amount.start, amount.end)) else ""


def _of_resistances(segment: Segment) -> bool:
    """Whether something else in the segment is a resistance."""
    labels = {name for label in segment.labels for name in label.quantities}
    plain = [amount for amount in segment.amounts if not _LETTERS & set(amount.units)]
    return bool(_RESISTANCES & labels) or any("resistance" in segment.dimensions(amount) for amount in plain)


def _of_machine(segment: Segment, amount: Amount) -> bool:
    """`446 on a 400 machine`: volts, since nothing else of a machine has such numbers."""
    after = next((a for a in segment.amounts if a.start >= amount.end), None)
    if after is None or after.start - amount.end > _NEAR or after.role != "expected":
        return False
    both = all(_MAINS[0] <= a.values[0] <= _MAINS[1] for a in (amount, after))
    return both and "a_machine" in segment.at(after.end)


def _before_trip(segment: Segment, amount: Amount) -> bool:
    """A time that it ran before something opened."""
    timed = {"second", "minute", "hour"} & set(amount.units)
    if not timed or not segment.has("trips", amount.start - _TRIP_AHEAD, amount.end + _TRIP_BEHIND):
        return False
    then = any(segment.text(k) == "then" for k in range(amount.end, amount.end + _TRIP_BEHIND))
    led = then or segment.says("ran_for", amount.start - _LED, amount.start)
    return led and not segment.says("no_trip")
