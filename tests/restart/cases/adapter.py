"""From the facts of a case to a request of POST /v1/restart, as a technician would fill it in from the sheet.

Only `facts` is read. Numbers go into the fields of the request. What the sheet says in words becomes a stated check:
passed where every word of it is one that says so, failed where it says something else, not named where it is silent.
No sheet has a line for the checks of `SILENT`: they are stated alike for every case, good or bad.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

Facts = dict[str, Any]
HERE = Path(__file__).parent
UNITS = {
    "bar g": "barg",
    "MOhm": "megohm",
    "Ohm": "ohm",
}
DECIMALS, GRAM = 3, 0.001
"""A charge written to the gram was weighed to the gram."""
SILENT = ("cause-corrected", "terminal-cover", "vacuum-broken")
GOOD = (
    "new",
    "replaced",
    "cleaned",
    "inspected, clean",
    "inspected, contacts clean",
    "inspected, good",
    "inspected, DC bus and output checked",
    "inspected, ramp and bypass checked",
    "measured, within 5 % of label",
    "suction strainer cleaned",
    "taken out, inlet strainer cleaned",
    "drained",
    "none",
    "none left in",
    "fitted",
    "fitted and tight",
    "open",
    "right",
    "area ventilated, no ignition source",
    "plant room fan running, gas detector in service",
    "winding preheat",
    "welded and flanged, no brazing",
)
"""Words of the sheets that say that a point is in order: the entry begins with one of them."""
SPOILS = ("open-contact",)
"""Words that take it back."""


def load(name: str) -> list[dict[str, Any]]:
    """All cases of one file: "good" or "bad"."""
    cases: list[dict[str, Any]] = json.loads((HERE / f"{name}.json").read_text("utf-8"))
    return cases


def quantity(pair: list[Any], unit: str | None = None) -> dict[str, Any]:
    """`[number, "unit"]` as a quantity of the wire."""
    return {"value": pair[0], "unit": unit or UNITS.get(pair[1], pair[1])}


def in_order(word: Any) -> bool:
    """Whether an entry of the sheet says that its point is in order."""
    if isinstance(word, bool):
        return word
    return str(word).startswith(GOOD) and not any(spoil in word for spoil in SPOILS)


def request(facts: Facts) -> dict[str, Any]:
    """The request; an entry that is null is one that is missing."""
    facts = _filled(facts)
    body = {
        "machine": _machine(facts),
        "stated": [{"check": c, "outcome": o} for c, o in _stated(facts).items()],
        "tests": _tests(facts),
        "measured": _measured(facts),
    }
    return body if "after_start" not in facts else body | {"after_run": _after_run(facts)}


def _filled(part: Any) -> Any:
    if isinstance(part, dict):
        return {key: _filled(value) for key, value in part.items() if value is not None}
    return [_filled(value) for value in part] if isinstance(part, list) else part


def base(oil: str) -> str:
    """Base of an oil by its name on the sheet: "POE 32" is POE."""
    return oil.split(maxsplit=1)[0]


def _machine(facts: Facts) -> Facts:
    machine, filters = facts["machine"], facts.get("filters", {})
    lock = facts.get("mode_lock", {}).get("locked_in")
    flow = str(filters.get("liquid_drier_flow", ""))
    mode = next((m for m in ("cooling", "heating") if m in flow), None) if flow.startswith("one-way") else None
    kept: tuple[str, ...] = (
        "compressor",
        "construction",
        "shell",
        "drive",
        "phases",
        "application",
        "refrigerant",
        "burnout_grade",
    )
    kept += ("suction_core_fitted", "liquid_drier_fitted", "crankcase_heater_fitted", "oil_safety_fitted")
    shown = {key: machine[key] for key in kept if key in machine} | {"oil": base(machine["oil"])}
    if machine.get("heat_pump"):
        shown |= {"plant": "heat-pump", "one_way_cores_fitted": flow.startswith("one-way"), "core_mode": mode}
        shown["locked_mode"] = lock if lock in ("cooling", "heating") else None
    return shown


def _entries(facts: Facts) -> dict[str, list[Any]]:
    """What the sheet says to each check, in its words; None where a line is missing that the check needs."""

    def part(key: str) -> Facts:
        return dict(facts.get(key, {}))

    cleanup, filters, controls, parts = (part(k) for k in ("cleanup", "filters", "controls", "electrical_parts"))
    valves, lock = part("valves"), part("mode_lock")
    machine, new = facts["machine"], _sample(facts, "new charge")
    single, drive = machine["phases"] == "single-phase", machine["drive"]
    gear = ["contactor"] + ["run_capacitor", "start_relay"] * (single and drive == "fixed-speed")
    gear += ["soft_starter"] * (drive == "soft-starter")
    return {
        "brazing": [cleanup.get("nitrogen_while_brazing", cleanup.get("joints"))],
        "strainers": [cleanup.get("strainers"), cleanup.get("expansion_valve", "cleaned")],
        "oil-changed": [cleanup.get("old_oil_removed"), cleanup.get("accumulator_or_low_points", "drained")],
        "phase-sequence": [part("rotation").get("result", "").removeprefix("L1-L2-L3 ") or None],
        "drive": [parts.get("drive")],
        "starting-gear": [parts.get(name) for name in gear],
        "protections": [controls.get("jumpers"), *_switch_words(controls)],
        "oil-safety": [_safety(controls.get("oil_safety"))],
        "leak-check": [part("leak_check").get("finding")],
        "oil-charge": [new and new.get("condition") == "clear" and new.get("type") == machine["oil"]],
        "liquid-drier": [filters.get("liquid_drier")],
        "suction-filter": [filters.get("suction_core")],
        "valves-open": [valves.get(name) for name in ("suction", "discharge", "liquid")],
        "sump-warm": [part("sump").get("heater_state", "none")],
        "start-timer": ["none" if "anti_short_cycle_timer" in controls else None],
        "mode-locked": [lock.get("position_checked")],
        "coupling": [part("open_drive").get("guard"), _dry(part("open_drive").get("shaft_seal"))],
        "flammable-precautions": [_ventilation(facts), parts.get("start_relay", "new")],
        "toxic-precautions": [_ventilation(facts)],
    }


def _switch_words(controls: Facts) -> list[Any]:
    return [controls.get(f"{side}_pressure_switch", {}).get("state", "none") for side in ("high", "low")]


def _safety(safety: Facts | None) -> Any:
    return safety and (safety.get("state") or safety.get("tripped_in_test"))


def _dry(seal: str | None) -> Any:
    return seal and ("no drip" in seal or "dry" in seal)


def _ventilation(facts: Facts) -> Any:
    """The room: no reading of gas worth an alarm: nothing of a flammable one, 25 ppm of ammonia."""
    room = facts.get("ventilation")
    if not room or "area" not in room:
        return None
    level, unit = room.get("reading", [0, "ppm"])
    return in_order(room["area"]) and level <= (25 if unit == "ppm" else 0)


def _stated(facts: Facts) -> dict[str, str]:
    stated = dict.fromkeys(SILENT, "passed")
    for check, entries in _entries(facts).items():
        if any(e is not None and not in_order(e) for e in entries):
            stated[check] = "failed"
        elif None not in entries:
            stated[check] = "passed"
    for claim in facts.get("claims", []):
        for check in CLAIMS.get(claim["check"], ()):
            stated.setdefault(check, "passed" if claim["result"] == "passed" else "failed")
    return stated


CLAIMS = {
    "pressure test": ("pressure-test-high", "pressure-test-low"),
    "vacuum": ("vacuum",),
    "valve positions": ("valves-open",),
    "insulation to ground": ("insulation",),
    "suction core pressure drop": ("suction-filter",),
    "winding resistance": ("windings",),
    "supply voltage": ("supply",),
    "acid": ("circuit-acid",),
}


def _tests(facts: Facts) -> Facts:
    tests: Facts = {
        "pressure_tests": [t for t in map(_side, facts.get("pressure_test", [])) if t],
        "oil_samples": [_oil(s, facts) for s in facts.get("oil_sample", []) if len(s) > 1],
    }
    for name, (part, needed) in READINGS.items():
        sheet = facts.get(name, {})
        if needed <= sheet.keys() and len(sheet.get("readings", ())) != 1:
            tests[name] = part(facts)
    return tests | _supply(facts)


def _side(test: Facts) -> Facts | None:
    """A stage needs its temperatures and its duration: without them it cannot be sent."""
    start, end = test.get("start", {}), test.get("end", {})
    if "hours" not in test or not all("temperature" in at and "pressure" in at for at in (start, end)):
        return None
    stage = {
        f"{name}_{kind}": quantity(at[kind])
        for name, at in (("start", start), ("end", end))
        for kind in ("pressure", "temperature")
    }
    gases = {"nitrogen": "dry-nitrogen", "air": "air", "oxygen": "oxygen", "refrigerant": "refrigerant"}
    shown: Facts = {
        "side": test["side"],
        "stages": [stage | {"duration": {"value": test["hours"], "unit": "h"}}],
        "gas": next((g for word, g in gases.items() if word in test.get("gas", "refrigerant")), "other-inert-gas"),
    }
    return shown | ({"design_pressure": quantity(test["design_pressure"])} if "design_pressure" in test else {})


OIL_SAMPLES = {"new charge": "new-charge", "failed compressor": "old-compressor", "circuit": "circuit"}


def _sample(facts: Facts, which: str) -> Facts | None:
    return next((s for s in facts.get("oil_sample", []) if s["which"] == which), None)


def _oil(sample: Facts, facts: Facts) -> Facts:
    new = _sample(facts, "new charge") or {}
    shown: Facts = {
        "sample": OIL_SAMPLES[sample["which"]],
        "oil": base(sample.get("type", new.get("type", facts["machine"]["oil"]))),
    }
    if "acid_number_mgKOH_g" in sample:
        shown["acid_number"] = {"value": sample["acid_number_mgKOH_g"], "unit": "mgKOH/g"}
    if "moisture_ppm" in sample:
        shown["water"] = {"value": sample["moisture_ppm"], "unit": "mg/kg"}
    return shown


def _decay(facts: Facts) -> Facts:
    vacuum = facts["evacuation"]
    place = vacuum.get("gauge_at")
    shown: Facts = {
        "readings": [
            {"time": {"value": t, "unit": "min"}, "pressure": {"value": p, "unit": vacuum["unit"]}}
            for t, p in vacuum["readings"]
        ],
        "coldest": quantity(vacuum["coldest_part"]),
        "oil": base(facts["machine"]["oil"]),
        "pump_valved_off": vacuum.get("pump_valved_off"),
        "gauge_at_pump": None if place is None else place.startswith("at the pump"),
    }
    if "volume" in vacuum:
        shown["volume"] = quantity(vacuum["volume"])
    return shown


def _insulation(facts: Facts) -> Facts:
    machine, test = facts["machine"], facts["insulation"]
    conditions: Facts = {
        "power_locked_out": test.get("power_locked_out"),
        "under_vacuum": test.get("under_vacuum", None) or "circuit_pressure" in test,
        "through_drive": False,
    }
    if machine["drive"] == "inverter":
        off = test.get("drive_leads_off")
        conditions["through_drive"] = None if off is None else not off
    motor = "hermetic-inverter" if machine["drive"] == "inverter" else "hermetic"
    motor = "open-random-wound" if machine["construction"] == "open-drive" else motor
    shown: Facts = {
        "resistance": quantity(test["value"]),
        "temperature": quantity(test["winding_temperature"]),
        "motor": motor,
        "conditions": conditions,
    }
    return shown | ({"test_voltage": quantity(test["test_voltage"], "V")} if "test_voltage" in test else {})


def _windings(facts: Facts) -> Facts:
    """The readings have the meter's leads taken off already; each may be off by one of the last digit shown.

    A meter shows as many digits in each range; the file drops zeros, so the longest of the three tells how many.
    """
    windings, three = facts["windings"], any(name.startswith("T") for name in facts["windings"])
    names = ("T1-T2", "T2-T3", "T3-T1") if three else ("common-start", "common-run", "run-start")
    read = {n: windings[n] for n in names if isinstance(windings.get(n), int | float)}  # a word is over the range
    digits = max((len(repr(r).replace(".", "").lstrip("0")) for r in read.values()), default=1)
    return {
        "phases": "three-phase" if three else "single-phase",
        "lead": {"value": 0, "unit": "ohm"},
        "meter": "four-wire",
        "terminals": [_ohms(read[n], digits) if n in read else None for n in names],
    }


def _ohms(value: float, digits: int) -> Facts:
    step = 10.0 ** (math.floor(math.log10(value)) + 1 - digits)
    return {"value": value, "unit": "ohm", "uncertainty": step / math.sqrt(3)}


def _supply(facts: Facts) -> Facts:
    supply, rated = facts.get("supply") or {}, quantity(facts["machine"]["rated_voltage"])
    if "line_to_line" in supply:
        volts = [{"value": v, "unit": "V"} for v in supply["line_to_line"]]
        return {"supply_unbalance": {"voltages": volts, "rated_voltage": rated}}
    if "line" in supply:
        return {"line_voltage": {"voltage": {"value": supply["line"], "unit": "V"}, "rated_voltage": rated}}
    return {}


READINGS = {
    "evacuation": (_decay, {"readings", "coldest_part"}),
    "insulation": (_insulation, {"value", "winding_temperature"}),
    "windings": (_windings, {"temperature"}),
}
"""A test is sent where the sheet has what its fields need; one reading of a decay is none."""


def _apart(warm: list[Any], cold: list[Any]) -> Facts:
    return {"value": round(warm[0] - cold[0], 3), "unit": "K" if warm[1] == "degC" else "delta_degF"}


def _measured(facts: Facts) -> Facts:
    sump, controls, charge = (facts.get(k) or {} for k in ("sump", "controls", "charge"))
    shown: Facts = {}
    if "heater_on_hours" in sump:
        shown["heater_on"] = {"value": sump["heater_on_hours"], "unit": "h"}
    if {"sump_temperature", "surroundings_temperature"} <= sump.keys():
        shown["sump_superheat_at_rest"] = _apart(sump["sump_temperature"], sump["surroundings_temperature"])
    level = str(sump.get("oil_level", ""))
    if "glass" in level:
        shown["oil_level"] = next((v for k, v in LEVELS.items() if level.startswith(k)), "in-glass")
    if charge.get("weighed_in") and charge.get("nameplate"):
        shown["charge"] = {"weighed": quantity(charge["weighed_in"]), "wanted": quantity(charge["nameplate"])}
        if charge["weighed_in"][1] == "kg" and len(repr(charge["weighed_in"][0]).partition(".")[2]) >= DECIMALS:
            shown["charge"]["weighed"]["uncertainty"] = GRAM / math.sqrt(3)
        shown["charge"]["refrigerant"] = charge.get("refrigerant")
        shown["charge"]["taken_as"] = {"liquid": "liquid", "vapour": "vapour"}.get(charge.get("charged_as", ""))
    if "anti_short_cycle_timer" in controls:
        shown["off_time"] = quantity(controls["anti_short_cycle_timer"])
    for side in ("high", "low"):
        switch = controls.get(f"{side}_pressure_switch") or {}
        if "set" in switch:
            opened = switch.get("tripped_at")
            shown[f"{side}_pressure_switch"] = {
                "setting": quantity(switch["set"]),
                "opened_at": None if opened is None else quantity(opened),
            }
    offset = (facts.get("open_drive") or {}).get("coupling_alignment")
    return shown | ({"coupling_offset": quantity(offset)} if offset else {})


LEVELS = {"below": "below-glass", "top": "above-glass", "above": "above-glass", "full": "above-glass"}


def _after_run(facts: Facts) -> Facts:
    run, machine = facts["after_start"], facts["machine"]
    at = {"value": run["minutes"], "unit": "min"}
    reading: Facts = {"at": at, "proofs": {}}
    currents = run.get("line_currents") or [c for c in [run.get("current")] if c is not None]
    if currents:
        reading["current_share"] = {"value": max(currents) / machine["rated_current"][0]}
    for key, field in (("suction", "suction_pressure"), ("discharge", "discharge_pressure")):
        if key in run:
            reading[field] = quantity(run[key])
    if "suction_superheat" in run:
        value, unit = run["suction_superheat"]
        reading["suction_superheat"] = {"value": value, "unit": "delta_degF" if unit == "degF" else "K"}
    if "discharge_temperature" in run:
        reading["discharge_temperature"] = quantity(run["discharge_temperature"])
    if {"sump_temperature", "suction_saturation"} <= run.keys():
        reading["sump_superheat"] = _apart(run["sump_temperature"], run["suction_saturation"])
    if "net_oil_pressure" in run:
        reading["net_oil_pressure"] = quantity(run["net_oil_pressure"])
    if "leaks" in run:
        reading["proofs"]["no_leak"] = in_order(run["leaks"])
    if "noise" in run or "oil_level" in run:
        quiet = run.get("noise", "none") in ("none", "normal")
        reading["proofs"]["oil_and_sound_good"] = quiet and not str(run.get("oil_level", "")).startswith("below")
    return {"elapsed": at, "readings": [reading]}
