"""Which part of a case goes into which request: a table of moves from the view of a case to a request.

A move is two dotted paths, of the view and of the request. `same` names what is called alike in both. A group of moves
with `unless` stands in where nothing else has filled the fields of that group. Units are never touched.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from witnessmark.casework.document import Json, at, put
from witnessmark.casework.view import unview

Moves = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """How the request of one operation is cut.

    needs: paths of the request without which it is not asked. any_of: of these at least one. moves: (view, request).
    stand_ins: groups of moves for what was not moved yet; the way back leaves them out. beside: moves into a part that
    is there already.
    """

    operation: str
    moves: Moves
    needs: tuple[str, ...] = ()
    any_of: tuple[str, ...] = ()
    stand_ins: tuple[Moves, ...] = ()
    beside: Moves = ()


def same(prefix: str, *names: str, into: str = "") -> Moves:
    """Moves of fields with the same name on both sides, below `prefix` of the view and `into` of the request."""
    return tuple((f"{prefix}{name}", f"{into}{name}") for name in names)


SITE = same("site.", "altitude", "barometer", into="site.")
GAS: Moves = (("refrigerant", "refrigerant"),)
_MACHINE = ("compressor", "shell", "drive", "construction", "phases", "application", "condenser", "liquid_drier_fitted")
_PRESSURES = ("suction_pressure", "discharge_pressure", "suction_temperature", "discharge_temperature")
_INSULATION = (
    "resistance",
    "temperature",
    "motor",
    "ten_minutes",
    "same_tester",
    "rated_voltage",
    "test_voltage",
    "insulation_class",
    "maker_minimum",
    "maker_document",
    "conditions",
)
_WINDINGS = (
    "phases", "terminals", "terminals_known", "lead", "meter", "connection", "form_wound", "maker_balance",
    "maker_document", "reference", "temperature_by_resistance", "rated_current", "rated_voltage",
)  # fmt: skip
_SUPPLY = (
    "voltages",
    "measured_between",
    "currents",
    "when_rolled",
    "rated_voltage",
    "rated_voltage_to",
    "one_meter",
    "maker_limits",
)
_PRESSURE_TEST = (
    "stages",
    "gas",
    "model",
    "same_gauge",
    "same_thermometer",
    "maximum_pressure",
    "wanted_sensitivity",
    "maker_hold",
    "maker_document",
)
_DECAY = (
    "readings",
    "coldest",
    "situation",
    "oil",
    "volume",
    "earlier",
    "gauge_accuracy",
    "gauge_step",
    "maker_vacuum",
    "maker_after_hold",
    "maker_hold",
    "maker_document",
)
_SAMPLE = ("acid_number", "water", "colour", "contamination")
_OIL_LIMITS = same("maker_limits.", "acid_number", "water", "colour", "document", into="maker_limits.")
_MARGIN_MACHINE = same("machine.", "compressor", "application", "metering")
_SIGNS_OF_SAMPLE = tuple(same("old_oil.", field, into="signs.") for field in ("acid_number", "water", "colour"))
"""Each by itself: who looked at the colour has not measured the acid."""
_FAILED_INSULATION: Moves = (
    ("tests_of_failure.insulation.resistance", "readings.insulation_resistance"),
    ("tests_of_failure.insulation.temperature", "readings.winding_temperature"),
    ("tests_of_failure.insulation.conditions.liquid_refrigerant", "readings.liquid_refrigerant"),
    ("tests_of_failure.insulation.conditions.heater_on", "readings.heater_on"),
)

CUTS: dict[str, Cut] = {
    "compression": Cut(
        "compression",
        (*SITE, *GAS, *same("now.", *_PRESSURES, "running"), *same("machine.", "compressor", "cooling", "application")),
        needs=("refrigerant", "suction_pressure", "discharge_pressure"),
    ),
    "superheat": Cut(
        "superheat",
        (
            *SITE,
            *GAS,
            *_MARGIN_MACHINE,
            ("now.suction_pressure", "pressure"),
            ("now.suction_temperature", "temperature"),
        ),
        needs=("refrigerant", "pressure", "temperature"),
    ),
    "subcooling": Cut(
        "subcooling",
        (
            *SITE,
            *GAS,
            *_MARGIN_MACHINE,
            ("now.discharge_pressure", "pressure"),
            ("now.liquid_temperature", "temperature"),
        ),
        needs=("refrigerant", "pressure", "temperature"),
    ),
    "diagnosis": Cut(
        "diagnose",
        (
            *SITE,
            *GAS,
            *same("machine.", *_MACHINE, into="machine."),
            ("now", "readings"),
            ("sound", "baseline"),
            *same(
                "",
                "circumstances",
                "findings",
                "reported_by",
                "conditions",
                "compressor_fate",
                "first",
                "urgency",
                "same_instruments",
            ),
        ),
        any_of=("findings", "readings", "circumstances.history"),
        stand_ins=(_FAILED_INSULATION, same("old_oil.", "acid_number", into="readings.oil_")),
    ),
    "insulation": Cut(
        "insulation", (*SITE, *same("tests_of_failure.insulation.", *_INSULATION)), needs=("resistance",)
    ),
    "windings": Cut(
        "windings",
        (*SITE, *same("tests_of_failure.windings.", *_WINDINGS)),
        needs=("terminals",),
        stand_ins=(same("now.", "rated_current", "rated_voltage"),),
    ),
    "supply": Cut("supply_unbalance", (*SITE, *same("tests_of_failure.supply.", *_SUPPLY)), needs=("voltages",)),
    "oil": Cut(
        "oil_quality",
        (*SITE, ("machine.oil", "oil"), *same("oil_sample.", *_SAMPLE), *_OIL_LIMITS),
        needs=("oil",),
        any_of=_SAMPLE,
    ),
    "refrigerant": Cut(
        "refrigerant_quality",
        (
            *SITE,
            *GAS,
            *same(
                "refrigerant_sample.",
                "use",
                "water",
                "acidity",
                "non_condensables",
                "residue_volume",
                "residue_mass",
                "chloride",
                "particulates",
            ),
        ),
        needs=("refrigerant", "use"),
    ),
    "debris": Cut(
        "balance_debris",
        (
            *SITE,
            *same("breakage.", "parts", "fragments"),
            ("refrigerant", "circuit.refrigerant"),
            *same(
                "machine.",
                "evaporating_temperature",
                "condensing_temperature",
                "mass_flow",
                "liquid_temperature",
                "suction_superheat",
                "plant",
                into="circuit.",
            ),
            *same("breakage.", "discharge_temperature", "places", into="circuit."),
        ),
        needs=("parts",),
    ),
    "cleanup": Cut(
        "plan_cleanup",
        (
            *SITE,
            *GAS,
            *same(
                "machine.",
                "evaporating_temperature",
                "suction_superheat",
                "liquid_temperature",
                "charge",
                "mass_flow",
                "capacity",
                "plant",
                "can_lock",
                "compressor",
                "compressors",
                "construction",
                "oil_port",
                "parts",
                "oil",
                "oil_charge",
            ),
            ("refrigerant_sample.water", "refrigerant_water"),
            *same("", "signs", "filters", "installation"),
            *same("", "maker_limits", "start", "reference"),
            ("site.time_zone", "time_zone"),
            ("site.name", "site_name"),
        ),
        needs=("refrigerant", "evaporating_temperature", "oil", "start", "time_zone"),
        stand_ins=_SIGNS_OF_SAMPLE,
    ),
    "filter_log": Cut(
        "judge_filter_log",
        (
            *SITE,
            *GAS,
            *same("machine.", "evaporating_temperature", "suction_superheat", "oil", "oil_port"),
            ("installation", "installation"),
            ("site.time_zone", "time_zone"),
            *same("filter_log.", "share_of", "readings"),
            *same("maker_limits.", "suction_drop", "acid_number", "water", "colour", "document", into="maker_limits."),
        ),
        needs=("readings", "refrigerant", "evaporating_temperature", "time_zone"),
    ),
    "pressure_test": Cut("pressure_test", (*SITE, *same("pressure_test.", *_PRESSURE_TEST)), needs=("stages",)),
    "evacuation": Cut(
        "evacuation",
        (*SITE, *GAS, *same("before_start.evacuation.", *_DECAY, into="decay."), ("before_start.dilution", "dilution")),
        any_of=("decay.readings", "dilution"),
    ),
    "restart": Cut(
        "restart",
        (
            *SITE,
            ("refrigerant", "machine.refrigerant"),
            *same(
                "machine.",
                "compressor",
                "construction",
                "drive",
                "phases",
                "shell",
                "application",
                "metering",
                "cooling",
                "burnout_grade",
                "plant",
                "one_way_cores_fitted",
                "core_mode",
                "locked_mode",
                "suction_core_fitted",
                "liquid_drier_fitted",
                "crankcase_heater_fitted",
                "no_heater_because",
                "no_drier_because",
                "oil_safety_fitted",
                "oil",
                "debris_possible",
                into="machine.",
            ),
            *same("before_start.", "stated", "measured", "maker_limits", "watch_limits", "after_run"),
            ("before_start.supply", "tests.supply_unbalance"),
            *same(
                "before_start.", "line_voltage", "insulation", "windings", "pressure_tests", "evacuation", into="tests."
            ),
            ("concluded.oil_samples", "tests.oil_samples"),
        ),
        needs=("machine.compressor", "machine.drive", "machine.phases", "machine.application", "machine.refrigerant"),
        beside=same("now.", "rated_current", "rated_voltage", into="tests.windings."),
    ),
}
"""By part of the case, in the order of the job."""


def cut(part: str, seen: Mapping[str, Any]) -> Json:
    """The request of a part, from the view of a case; what the case leaves out is left out."""
    rule = CUTS[part]
    request: Json = {}
    for source, target in rule.moves:
        if (value := at(seen, source)) is not None:
            put(request, target, value)
    for group in rule.stand_ins:
        if all(at(request, target) is None for _, target in group):
            for source, target in group:
                if (value := at(seen, source)) is not None:
                    put(request, target, value)
    for source, target in rule.beside:
        there = at(request, target.rpartition(".")[0]) is not None and at(request, target) is None
        if there and (value := at(seen, source)) is not None:
            put(request, target, value)
    return request


def paste(part: str, request: Mapping[str, Any]) -> Json:
    """The case document from which this request would be cut."""
    seen: Json = {}
    for source, target in CUTS[part].moves:
        if (value := at(request, target)) is not None and at(seen, source) is None:
            put(seen, source, value)
    return unview(seen)


def missing(part: str, request: Mapping[str, Any]) -> tuple[str, ...]:
    """Paths of the view that this part still needs; empty if it can be asked."""
    rule = CUTS[part]
    lacking = [need for need in rule.needs if at(request, need) is None]
    if rule.any_of and not any(at(request, path) for path in rule.any_of):
        lacking.append(rule.any_of[0])
    return tuple(source for need in lacking for source in _sources(rule, need))


def began(part: str, seen: Mapping[str, Any]) -> bool:
    """Whether the case holds anything that is of this part alone, so that it is worth saying what it lacks."""
    return any(at(seen, path) is not None for path in OWN[part])


OWN: dict[str, tuple[str, ...]] = {
    "compression": ("now.suction_pressure", "now.discharge_pressure"),
    "superheat": ("now.suction_temperature",),
    "subcooling": ("now.liquid_temperature",),
    "diagnosis": ("findings", "now", "complaint", "notes", "circumstances"),
    "insulation": ("tests_of_failure.insulation",),
    "windings": ("tests_of_failure.windings",),
    "supply": ("tests_of_failure.supply",),
    "oil": ("oil_sample",),
    "refrigerant": ("refrigerant_sample",),
    "debris": ("breakage",),
    "cleanup": ("signs", "start", "old_oil", "filters", "filter_log"),
    "filter_log": ("filter_log",),
    "pressure_test": ("pressure_test",),
    "evacuation": ("before_start.evacuation", "before_start.dilution"),
    "restart": ("before_start", "start", "gate_owed"),
}
"""What begins a part: nobody who only asks what a noise means hears that a filter log is missing."""


def _sources(rule: Cut, target: str) -> Iterator[str]:
    """Where in the view the field of a request comes from."""
    found = next((source for source, wanted in rule.moves if wanted == target), None)
    yield found if found is not None else target


def home(part: str, path: tuple[str, ...]) -> str:
    """Where in the view a field of a request stands, as far as the moves tell; empty where they do not.

    >>> home("superheat", ("pressure", "value"))
    'now.suction_pressure.value'
    """
    rule = CUTS[part]
    moves = {target: source for source, target in (*(m for group in rule.stand_ins for m in group), *rule.moves)}
    for length in range(len(path), 0, -1):
        if (source := moves.get(".".join(path[:length]))) is not None:
            return ".".join((source, *path[length:]))
    return ""
