"""What was measured once and is asked for in two places: readings of the failed machine and its tests fill each other.

Whoever typed a reading in one place is not asked for it in the other. What stands in both is left as it is; of one
look, known by the same reading, what one place leaves out the other tells.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from witnessmark.casework.document import Json, at

OPEN: Json = {"value": 1, "unit": "megohm"}
"""How readings tell of a winding that a test of the windings shows open."""
_INSULATION = (
    ("now.insulation_resistance", "resistance"),
    ("now.winding_temperature", "temperature"),
    ("now.liquid_refrigerant", "conditions.liquid_refrigerant"),
    ("now.heater_on", "conditions.heater_on"),
)
_SUPPLY = (
    ("now.line_voltages", "voltages"),
    ("now.line_currents", "currents"),
    ("now.rated_voltage", "rated_voltage"),
)
_SAMPLE = (("now.oil_acid_number", "acid_number"), ("now.oil_water", "water"), ("now.oil_colour", "colour"))
Places = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Told:
    """The view with what was filled in. moved: by place that was filled, the place in which it was told."""

    seen: Json
    moved: Mapping[str, str]


def told_once(seen: Json) -> Told:
    """Readings and tests of insulation, windings, supply and oil, each in both places; the application by equipment."""
    moved: dict[str, str] = {}
    for fill in (_insulation, _windings, _supply, _oil, _application):
        for place, (origin, value) in fill(seen).items():
            if at(seen, place) is None:
                seen = _with(seen, place, value)
                moved[place] = origin
    return Told(seen, moved)


Filled = dict[str, tuple[str, Any]]
"""By place: the place where it was told, and the value for it."""


def _insulation(seen: Json) -> Filled:
    """One look at one winding: told in one place only, or with the same resistance in both."""
    test, read = (at(seen, path) for path in (f"{INSULATION}.resistance", "now.insulation_resistance"))
    if test is None and read is not None:
        return _to_test(seen)
    if test is not None and (read is None or _alike(test, read)):
        pairs = ((f"{INSULATION}.{name}", place) for place, name in _INSULATION)
        filled = {place: (origin, at(seen, origin)) for origin, place in pairs}
        if read is not None:
            filled |= {f"{INSULATION}.{name}": (place, at(seen, place)) for place, name in _INSULATION}
        return _known(filled)
    return {}


INSULATION, WINDINGS, SUPPLY = (f"tests_of_failure.{name}" for name in ("insulation", "windings", "supply"))


def _to_test(seen: Json) -> Filled:
    """The test that the readings amount to, where the kind of motor is known too; else nothing is begun."""
    motor = _motor(seen)
    if motor is None or at(seen, "now.winding_temperature") is None:
        return {}
    filled = {f"{INSULATION}.{name}": (place, at(seen, place)) for place, name in _INSULATION}
    return _known(filled) | {f"{INSULATION}.motor": ("machine.construction", motor)}


def _motor(seen: Json) -> str | None:
    """The kind of motor in a hermetic shell; which one stands in an open drive nobody told."""
    if at(seen, "machine.construction") not in ("hermetic", "semi-hermetic"):
        return None
    if at(seen, "machine.compressor") == "centrifugal":
        return "hermetic-centrifugal"
    return "hermetic-inverter" if at(seen, "machine.drive") == "inverter" else "hermetic"


def _windings(seen: Json) -> Filled:
    """Three readings between terminals; test leads that were read apart are not taken off elsewhere."""
    test, read = at(seen, f"{WINDINGS}.terminals"), at(seen, "now.winding_resistances")
    phases = at(seen, f"{WINDINGS}.phases") or at(seen, "machine.phases")
    single = phases == "single-phase"
    if test is None and read is not None and phases is not None:
        known = at(seen, "now.windings_labelled") is True
        filled: Filled = {f"{WINDINGS}.terminals": ("now.winding_resistances", read)}
        filled[f"{WINDINGS}.phases"] = ("machine.phases", phases)
        return filled | ({f"{WINDINGS}.terminals_known": ("now.windings_labelled", known)} if single else {})
    if test is not None and read is None and not at(seen, f"{WINDINGS}.lead.value"):
        whole = [OPEN if reading is None else reading for reading in test]
        labelled = at(seen, f"{WINDINGS}.terminals_known") is not False
        filled = {"now.winding_resistances": (f"{WINDINGS}.terminals", whole)}
        return filled | ({"now.windings_labelled": (f"{WINDINGS}.terminals_known", labelled)} if single else {})
    return {}


def _supply(seen: Json) -> Filled:
    """Voltages from line to line of a three-phase machine, on the side of the supply."""
    test, read = at(seen, f"{SUPPLY}.voltages"), at(seen, "now.line_voltages")
    before_the_drive = at(seen, "now.lines_read_at") in (None, "supply")
    if test is None and read is not None and before_the_drive and at(seen, "machine.phases") != "single-phase":
        return _known({f"{SUPPLY}.{name}": (place, at(seen, place)) for place, name in _SUPPLY})
    between_lines = at(seen, f"{SUPPLY}.measured_between") in (None, "line-to-line")
    if test is not None and read is None and between_lines:
        return _known({place: (f"{SUPPLY}.{name}", at(seen, f"{SUPPLY}.{name}")) for place, name in _SUPPLY})
    return {}


def _oil(seen: Json) -> Filled:
    """What readings tell of the oil is a sample of the failed compressor's where there is no other."""
    if seen.get("oil_sample"):
        return {}
    parts = ("oil_sample", "old_oil") if {"signs", "start"} & seen.keys() else ("oil_sample",)
    return _known({f"{part}.{name}": (place, at(seen, place)) for part in parts for place, name in _SAMPLE})


APPLICATIONS = {
    "comfort-cooling": "air-conditioning",
    "multi-split": "air-conditioning",
    "rooftop": "air-conditioning",
    "medium-temperature": "medium-temperature",
    "low-temperature": "low-temperature",
}
"""By kind of equipment the application that it has in any event; a rack, a chiller or a heat pump may have any."""


def _application(seen: Json) -> Filled:
    """At which temperatures the machine works, where the kind of equipment says it."""
    told = APPLICATIONS.get(str(at(seen, "circumstances.equipment")))
    return {} if told is None else {"machine.application": ("circumstances.equipment", told)}


def _known(filled: Filled) -> Filled:
    return {place: told for place, told in filled.items() if told[1] is not None}


def _alike(one: Any, other: Any) -> bool:
    return (one["value"], one["unit"]) == (other["value"], other["unit"])


def _with(seen: Json, place: str, value: Any) -> Json:
    """The view with a value at a dotted place; nothing of the old one is changed."""
    head, dot, rest = place.partition(".")
    if not dot:
        return {**seen, head: value}
    return {**seen, head: _with(dict(seen.get(head) or {}), rest, value)}
