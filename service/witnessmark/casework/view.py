"""What of a case counts now: readings of the failed machine by group, the last samples, the last tests.

A set of readings is one look at one moment: pressures of one moment are never put beside temperatures of another. So
each group of fields is taken whole from the last set of its kind that holds any of it. The circuit of the failed
machine is read from the last set in which it ran: pressures at rest say nothing of how it pumps and is fed. What is
the last is told by the moments, not by the order of the list.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from witnessmark.casework.document import Json, at
from witnessmark.casework.moments import in_time, order_of

CIRCUIT = (
    "running", "load", "suction_pressure", "suction_temperature", "suction_superheat", "discharge_pressure",
    "discharge_temperature", "discharge_superheat", "compression_ratio", "liquid_temperature", "subcooling",
    "sump_temperature", "net_oil_pressure", "outdoor_temperature", "condenser_leaving_temperature", "running_current",
    "expected_current", "line_voltages", "line_currents", "lines_read_at", "supply_voltage",
)  # fmt: skip
"""Read in one go at a machine as it stands or runs."""
GROUPS: tuple[tuple[str, ...], ...] = (
    CIRCUIT,
    ("insulation_resistance", "winding_temperature", "insulation_by_phase", "liquid_refrigerant", "heater_on"),
    ("insulation_resistance_hot", "winding_temperature_hot"),
    ("winding_resistances", "windings_labelled"),
    ("oil_acid_number", "oil_water", "oil_colour"),
    ("oil_drained", "oil_due"),
    ("recovered_charge", "due_charge"),
    ("run_capacitor", "run_capacitor_marked"),
    ("start_capacitor", "start_capacitor_marked"),
    ("control_voltage", "rated_control_voltage"),
    ("terminal_voltage_at_start",),
    ("starts_per_hour", "restart_interval"),
    ("rated_current", "rated_voltage"),
)
VIEWED = ("now", "sound", "oil_sample", "old_oil", "refrigerant_sample", "pressure_test", "concluded", "gate_owed")
"""Parts of a view that stand for entries of lists of the document, and `gate_owed`: it was read after a repair that
has to be proved before a start."""


def view(case: Mapping[str, Any]) -> Json:
    """The case with what counts now beside it, under the names of `VIEWED`."""
    readings = in_time(case, "readings")
    samples = in_time(case, "oil_samples")
    seen: Json = dict(case)
    seen["now"] = merged(readings, "found")
    seen["sound"] = merged(readings, "sound")
    seen["oil_sample"] = _last(samples)
    seen["old_oil"] = old_oil(case)
    seen["refrigerant_sample"] = _last(in_time(case, "refrigerant_samples"))
    seen["pressure_test"] = _last(at(case, "before_start.pressure_tests") or [])
    gate = _for_gate(samples, at(case, "machine.oil"))
    seen["concluded"] = {"oil_samples": gate} if gate else {}
    return {key: value for key, value in seen.items() if value not in (None, {}, [])}


def unview(seen: Mapping[str, Any]) -> Json:
    """The document that has this view: what counts now goes back as one entry of its list."""
    case: Json = {key: value for key, value in seen.items() if key not in VIEWED}
    sets = [{"of": of, "values": seen[key]} for key, of in (("sound", "sound"), ("now", "found")) if seen.get(key)]
    if sets:
        case["readings"] = sets
    if "oil_sample" in seen:
        case["oil_samples"] = [{"sample": "old-compressor", **seen["oil_sample"]}]
    if "refrigerant_sample" in seen:
        case["refrigerant_samples"] = [seen["refrigerant_sample"]]
    if gate := at(seen, "concluded.oil_samples"):
        case["oil_samples"] = [{key: value for key, value in sample.items() if key != "oil"} for sample in gate]
    if "pressure_test" in seen:
        case.setdefault("before_start", {})["pressure_tests"] = [{"side": "whole", **seen["pressure_test"]}]
    return case


def merged(sets: Sequence[Mapping[str, Any]], of: str) -> Json:
    """The readings of one kind, each group from the last set that holds any of it."""
    values = [dict(entry["values"]) for entry in sets if entry.get("of", "found") == of]
    if of == "found":
        values = _without_rest(values)
    whole: Json = {}
    for group in _groups(values):
        holder = next((look for look in reversed(values) if look.keys() & set(group)), {})
        whole |= {field: holder[field] for field in group if field in holder}
    return whole


def _without_rest(values: Sequence[Json]) -> list[Json]:
    """The sets without the circuit of those at rest after one in which the machine ran.

    A current says that somebody tried to start it: then it stands for a reason, and that set counts.
    """
    ran, kept = False, []
    for look in values:
        ran = ran or _ran(look)
        rested = ran and look.get("running") is False and not look.keys() & _TRIED
        kept.append({key: value for key, value in look.items() if key not in CIRCUIT} if rested else look)
    return kept


_TRIED = {"running_current", "line_currents", "line_voltages", "supply_voltage", "load"}
DIFFERENT = 1.2
"""Ratio of gauge or absolute pressures, the higher to the lower, that no machine at rest shows."""


def _ran(look: Mapping[str, Any]) -> bool:
    """Whether the machine ran: somebody says so, or nobody says otherwise and the pressures lie apart."""
    if (said := look.get("running")) is not None:
        return said is True
    low, high = (look.get(name) for name in ("suction_pressure", "discharge_pressure"))
    if not (isinstance(low, Mapping) and isinstance(high, Mapping)) or low.get("unit") != high.get("unit"):
        return False
    return _apart(low, high)


def _apart(low: Mapping[str, Any], high: Mapping[str, Any]) -> bool:
    """Whether two pressures in one unit lie farther apart than they do at rest."""
    return float(high["value"]) > DIFFERENT * max(float(low["value"]), 0.0)


def several(case: Mapping[str, Any]) -> str:
    """What to say where the circuit of the failed machine was read more than once; empty where it was not."""
    sets, numbers = _looks(case)
    read = [place for place, look in enumerate(sets) if look.keys() & _CIRCUIT_READ]
    left = [place for place in read if _without_rest(sets)[place].keys() & _CIRCUIT_READ]
    if len(read) < 2:  # noqa: PLR2004 - of one there is no choice
        return ""
    count, number = len(read), sorted(numbers[place] for place in read).index(numbers[left[-1]]) + 1
    why = "the last in which the machine ran" if left != read else "the last one"
    return f"Of {count} sets of readings of the circuit number {number} counts: {why}."


def changed(case: Mapping[str, Any]) -> str:
    """What to say where the failed machine pumped at one look and does not at a later one; empty where it is not so."""
    sets, numbers = _looks(case)
    looks = [(numbers[place], pumped) for place, look in enumerate(sets) if (pumped := _pumped(look)) is not None]
    if len(looks) < 2 or looks[-1][1]:  # noqa: PLR2004 - of one there is no change
        return ""
    before = [number for number, pumped in looks if pumped]
    return CHANGED.format(before=before[-1] + 1, after=looks[-1][0] + 1) if before else ""


CHANGED = (
    "By set {before} of the readings the compressor pumped, by set {after}, read later, it does not: ask what changed "
    "between the two, or whether it was switched off."
)


def _pumped(look: Mapping[str, Any]) -> bool | None:
    """Whether a set shows that the machine pumped; None where it does not tell."""
    if look.get("running") is False:
        return False
    low, high = (look.get(name) for name in ("suction_pressure", "discharge_pressure"))
    if not (isinstance(low, Mapping) and isinstance(high, Mapping)) or low.get("unit") != high.get("unit"):
        return None
    return _apart(low, high)


def _looks(case: Mapping[str, Any]) -> tuple[list[Json], list[int]]:
    """The sets of the failed machine in the order of time, and the position of each in the document."""
    order = [(place, case["readings"][place]) for place in order_of(case, "readings")]
    mine = [(place, dict(entry["values"])) for place, entry in order if entry.get("of", "found") == "found"]
    return [values for _, values in mine], [place for place, _ in mine]


_CIRCUIT_READ = frozenset(CIRCUIT) - {"running", "load"}


def _for_gate(samples: Sequence[Mapping[str, Any]], oil: str | None) -> list[Json]:
    """The samples as the gate takes them: with the base of the oil, without their time; none where it is not known."""
    return [{"oil": oil, **{k: v for k, v in sample.items() if k != "at"}} for sample in samples] if oil else []


def _groups(values: Iterable[Mapping[str, Any]]) -> Iterable[tuple[str, ...]]:
    """The groups, and each field that stands in none as one of its own."""
    grouped = {field for group in GROUPS for field in group}
    rest = dict.fromkeys(field for look in values for field in look if field not in grouped)
    return (*GROUPS, *((field,) for field in rest))


def old_oil(case: Mapping[str, Any]) -> Json:
    """What the samples of the failed compressor's oil tell, each value from the last that tells it."""
    samples = (entry for entry in in_time(case, "oil_samples") if entry.get("sample") == "old-compressor")
    return {key: value for sample in samples for key, value in sample.items() if value is not None}


def _last(entries: Sequence[Any]) -> Any:
    return entries[-1] if entries else None
