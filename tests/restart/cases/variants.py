"""Bad requests made from good ones: each of their checks removed, failed, or contradicted, one at a time.

`removed` takes out everything that speaks for a check. `contradicted` leaves the claim as it is, or makes it, and
changes what was measured or fitted so that a technician would not start.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from typing import Any

Body = dict[str, Any]
READINGS: dict[str, tuple[str, ...]] = {
    "insulation": ("tests.insulation",),
    "windings": ("tests.windings",),
    "supply": ("tests.supply_unbalance", "tests.line_voltage"),
    "vacuum": ("tests.evacuation",),
    "charge": ("measured.charge",),
    "sump-warm": ("measured.heater_on", "measured.sump_superheat_at_rest"),
    "start-timer": ("measured.off_time",),
    "coupling": ("measured.coupling_offset",),
    "protections": ("measured.high_pressure_switch", "measured.low_pressure_switch"),
}
"""Fields whose readings count for a check, beside those in lists."""
SAMPLES = {"oil-charge": "new-charge", "circuit-acid": "circuit"}
SIDES = {"pressure-test-high": "high", "pressure-test-low": "low"}


def removed(body: Body, check: str) -> Body:
    """The request without all that speaks for the check."""
    changed = copy.deepcopy(body)
    changed["stated"] = [s for s in changed["stated"] if s["check"] != check]
    for path in READINGS.get(check, ()):
        part, name = path.split(".")
        changed[part].pop(name, None)
    tests, side = changed["tests"], SIDES.get(check)
    tests["pressure_tests"] = [t for t in tests["pressure_tests"] if side is None or t["side"] not in (side, "whole")]
    tests["oil_samples"] = [s for s in tests["oil_samples"] if s["sample"] != SAMPLES.get(check)]
    if check == "oil-charge":
        changed["measured"].pop("oil_level", None)
    return changed


def contradicted(body: Body) -> Iterator[tuple[str, str, Body]]:
    """Name, check and request: something else of it speaks against a check that is said to be passed."""
    for name, (check, spoil) in SPOILERS.items():
        changed = copy.deepcopy(body)
        changed["stated"] = [s for s in changed["stated"] if s["check"] != check]
        changed["stated"].append({"check": check, "outcome": "passed"})
        if spoil(changed) is not False:
            yield name, check, changed


def _set(path: str, value: Any) -> Callable[[Body], bool]:
    """Sets a field; where what it belongs to is not in the request there is nothing to spoil."""

    def spoil(body: Body) -> bool:
        *steps, last = path.split(".")
        at: Any = body
        for step in steps:
            at = at.get(step)
            if at is None:
                return False
        if last not in at and last in ("off_time", "coupling_offset"):
            return False
        at[last] = value
        return True

    return spoil


def _scale(path: str, factor: float) -> Callable[[Body], bool]:
    def spoil(body: Body) -> bool:
        at: Any = body
        for step in path.split("."):
            at = at.get(step) if isinstance(at, dict) else at[int(step)] if int(step) < len(at) else None
            if at is None:
                return False
        at["value"] *= factor
        return True

    return spoil


def _sides(change: Callable[[Body], None], *sides: str) -> Callable[[Body], bool]:
    def spoil(body: Body) -> bool:
        tests = [t for t in body["tests"]["pressure_tests"] if t["side"] in (*sides, "whole")]
        for test in tests:
            change(test)
        return bool(tests)

    return spoil


def _leak(test: Body) -> None:
    test["stages"][-1]["end_pressure"]["value"] *= 0.9


def _half(test: Body) -> None:
    for name in ("start_pressure", "end_pressure"):
        test["stages"][-1][name]["value"] *= 0.5


def _ten_minutes(test: Body) -> None:
    test["stages"][-1]["duration"] = {"value": 10, "unit": "min"}


def _air(test: Body) -> None:
    test |= {"gas": "air", "model": "ideal-gas"}


def _low_only(body: Body) -> bool:
    """A whole circuit tested at what its low side is designed for."""
    tests = body["tests"]["pressure_tests"]
    low = next((t for t in tests if t["side"] == "low"), None)
    if low is None:
        return False
    body["tests"]["pressure_tests"] = [low]
    return True


def _leak_in_vacuum(body: Body) -> bool:
    """A steady climb of 60 micron a minute behind the last outgassing."""
    for reading in body["tests"]["evacuation"]["readings"]:
        reading["pressure"]["value"] += 60 * reading["time"]["value"]
    return True


def _wet(body: Body) -> bool:
    """Levels off at 2000 micron."""
    for reading in body["tests"]["evacuation"]["readings"]:
        reading["pressure"]["value"] += 1700 * (1 - 0.5 ** (reading["time"]["value"] / 3))
    return True


def _acid(sample: str) -> Callable[[Body], bool]:
    def spoil(body: Body) -> bool:
        for taken in (samples := [s for s in body["tests"]["oil_samples"] if s["sample"] == sample]):
            taken["acid_number"] = {"value": 0.5, "unit": "mgKOH/g"}
        return bool(samples)

    return spoil


def _old_oil_acid(body: Body) -> bool:
    return body["machine"]["burnout_grade"] == 0 and _acid("old-compressor")(body)


def _other_oil(body: Body) -> bool:
    """New oil of another base than the nameplate's."""
    body["machine"]["oil"] = "mineral" if body["machine"]["oil"] != "mineral" else "POE"
    return any(s["sample"] == "new-charge" for s in body["tests"]["oil_samples"])


def _other_refrigerant(body: Body) -> bool:
    body["measured"]["charge"]["refrigerant"] = "R-134a" if body["machine"]["refrigerant"] != "R-134a" else "R-22"
    return True


def _wrong_mode(body: Body) -> bool:
    machine = body["machine"]
    if machine.get("locked_mode") is None or machine.get("core_mode") is None:
        return False
    machine["locked_mode"] = "heating" if machine["core_mode"] == "cooling" else "cooling"
    return True


def _unlocked(body: Body) -> bool:
    body["stated"].append({"check": "mode-lock-released", "outcome": "passed"})
    return bool(body["machine"].get("one_way_cores_fitted"))


def _lost_phase(body: Body) -> bool:
    supply = body["tests"].get("supply_unbalance")
    if supply is None:
        return False
    supply["voltages"][1]["value"] *= 0.05
    supply["voltages"][2]["value"] *= 0.05
    return True


def _other_winding(body: Body) -> bool:
    body["tests"]["windings"]["terminals"][0]["value"] *= 1.5
    return True


def _unfit(field: str) -> Callable[[Body], bool]:
    """The part is said not to be fitted, on machines where the check is required."""

    def spoil(body: Body) -> bool:
        if body["machine"].get(field) is not True:
            return False
        body["machine"][field] = False
        return True

    return spoil


SPOILERS: dict[str, tuple[str, Callable[[Body], Any]]] = {
    "core claimed, none fitted": ("suction-filter", _unfit("suction_core_fitted")),
    "drier claimed, none fitted": ("liquid-drier", _unfit("liquid_drier_fitted")),
    "oil safety claimed, none fitted": ("oil-safety", _unfit("oil_safety_fitted")),
    "liquid known in the shell": ("sump-warm", _set("measured.liquid_in_shell", True)),  # noqa: FBT003
    "liquid in the shell at the insulation test": (
        "sump-warm",
        _set("tests.insulation.conditions.liquid_refrigerant", True),  # noqa: FBT003
    ),
    "glass full of refrigerant": ("sump-warm", _set("measured.oil_level", "above-glass")),
    "no oil in the glass": ("oil-charge", _set("measured.oil_level", "below-glass")),
    "sump as cold as the air": ("sump-warm", _set("measured.sump_superheat_at_rest", {"value": -1, "unit": "K"})),
    "grounded": ("insulation", _scale("tests.insulation.resistance", 1e-6)),
    "insulation under vacuum": ("insulation", _set("tests.insulation.conditions.under_vacuum", True)),  # noqa: FBT003
    "insulation without lock-out": ("insulation", _set("tests.insulation.conditions.power_locked_out", False)),  # noqa: FBT003
    "insulation through the drive": ("insulation", _set("tests.insulation.conditions.through_drive", True)),  # noqa: FBT003
    "one winding off": ("windings", _other_winding),
    "lost phase": ("supply", _lost_phase),
    "wrong voltage": ("supply", _scale("tests.supply_unbalance.rated_voltage", 0.6)),
    "wrong line voltage": ("supply", _scale("tests.line_voltage.rated_voltage", 0.6)),
    "high side leaks": ("pressure-test-high", _sides(_leak, "high")),
    "low side leaks": ("pressure-test-low", _sides(_leak, "low")),
    "high side at half its pressure": ("pressure-test-high", _sides(_half, "high")),
    "low side at half its pressure": ("pressure-test-low", _sides(_half, "low")),
    "ten minutes only": ("pressure-test-high", _sides(_ten_minutes, "high")),
    "tested with air": ("pressure-test-high", _sides(_air, "high")),
    "only the low side tested": ("pressure-test-high", _low_only),
    "leak behind the outgassing": ("vacuum", _leak_in_vacuum),
    "wet": ("vacuum", _wet),
    "pump still on": ("vacuum", _set("tests.evacuation.pump_valved_off", False)),  # noqa: FBT003
    "gauge at the pump": ("vacuum", _set("tests.evacuation.gauge_at_pump", True)),  # noqa: FBT003
    "a third undercharged": ("charge", _scale("measured.charge.weighed", 0.67)),
    "overcharged": ("charge", _scale("measured.charge.weighed", 1.25)),
    "another refrigerant": ("charge", _other_refrigerant),
    "another oil": ("oil-charge", _other_oil),
    "new oil acid": ("oil-charge", _acid("new-charge")),
    "circuit still acid": ("circuit-acid", _acid("circuit")),
    "old oil acid, graded 0": ("circuit-acid", _old_oil_acid),
    "timer of ten seconds": ("start-timer", _set("measured.off_time", {"value": 10, "unit": "s"})),
    "coupling a millimetre off": ("coupling", _set("measured.coupling_offset", {"value": 1, "unit": "mm"})),
    "high-pressure switch opens far off": ("protections", _scale("measured.high_pressure_switch.opened_at", 1.4)),
    "high-pressure switch untried": ("protections", _set("measured.high_pressure_switch.opened_at", None)),
    "locked against the cores": ("mode-locked", _wrong_mode),
    "locked and released": ("mode-locked", _unlocked),
}
