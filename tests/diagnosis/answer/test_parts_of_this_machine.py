"""Parts by what the machine is. Worst would be a compressor ordered for a valve plate, a capacitor for three phases."""

from typing import Any

import pytest

from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.diagnose import diagnose

MENDED = {"valve-plate", "gaskets"}
LEAKING = ("valves-leak-on-test", "pump-down-fails", "bleeds-down-fast")


def sent(machine: Machine, *findings: str, **more: Any) -> tuple[set[str], set[str], str]:
    found = tuple(Report(key, "present") for key in findings)
    advice = diagnose(Case(machine=machine, findings=found, **more)).dispatch
    return {p.id for p in advice.parts}, {t.id for t in advice.tools}, advice.parts_note


@pytest.mark.parametrize(
    ("construction", "parts"),
    [
        ("semi-hermetic", {"valve-plate", "gaskets"}),
        ("open-drive", {"valve-plate", "gaskets"}),
        ("hermetic", {"compressor"}),
    ],
)
def test_the_shell_decides_whether_valves_are_mended(construction: Any, parts: set[str]) -> None:
    machine = Machine(compressor="reciprocating", construction=construction)
    found, _, note = sent(machine, *LEAKING)
    assert {"valve-plate", "gaskets", "compressor"} & found == parts
    assert "where it is welded" not in note


def test_an_unknown_shell_leaves_both_open() -> None:
    found, _, note = sent(Machine(compressor="reciprocating"), *LEAKING)
    assert {"valve-plate", "compressor"} <= found
    assert "where it is welded" in note


@pytest.mark.parametrize(
    ("machine", "fitting"),
    [
        (Machine(compressor="scroll", phases="three-phase"), False),
        (Machine(compressor="rotary", drive="inverter", phases="single-phase"), False),
        (Machine(compressor="reciprocating", phases="single-phase"), True),
        (Machine(compressor="reciprocating"), True),
    ],
)
@pytest.mark.parametrize("finding", ["locked-rotor-current", "shaft-seized"])
def test_three_phases_need_no_start_gear_of_one(machine: Machine, fitting: object, finding: str) -> None:
    parts, tools, _ = sent(machine, finding)
    assert ("capacitor" in parts and "start-relay" in parts) is fitting
    assert ("capacitance-meter" in tools) is fitting


def test_a_chiller_is_not_asked_for_ice_on_a_coil() -> None:
    machine = Machine(compressor="screw", construction="semi-hermetic")
    case = Case(machine=machine, findings=(Report("capacity-low", "present"),), condenser="water-cooled",
                circumstances=(("equipment", "chiller"),))  # fmt: skip
    asked = diagnose(case).next_checks
    assert asked is not None
    checks = {check.finding: check.text for check in asked.checks}
    assert "coil-iced" not in checks
    assert "Water flow" in checks["condenser-fouled"]
    assert "lamp" not in checks["condenser-fouled"]
