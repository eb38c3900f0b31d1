"""What must stop a machine and what must not, by class, findings given as ids; and what an answer may not say together.

Worst: a grounded, locked or oil-less machine is kept running because something else about it is good. Next: a planned
call, a sound machine or a mild finding gets a lock-out, after which nobody heeds the next one. Common practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

import numpy as np
import pytest
from fastapi.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.diagnosis.case import MACHINE_WORDS, Case, Fluid, Machine, Report
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.dispatching import Dispatched, dispatch_call

HARMLESS, BURNS = Fluid(flammable=False, toxic=False), Fluid(flammable=True, toxic=False)
PEOPLE = """refrigerant-smell people-unwell smoke-seen fire-seen sparks-seen burning-smell electric-shock
    terminal-vented ammonia-released gas-alarm water-on-live-parts person-hurt burst-with-release"""
GROUND_OR_BURNT = """insulation-low breaker-trips-at-once terminal-burnt winding-open winding-resistances-unequal
    winding-burnt-pattern-unknown start-winding-open start-winding-burnt windings-burnt-evenly
    windings-one-or-two-phases-burnt spot-burn-in-winding rotor-bars-melted winding-one-phase-darker oil-burnt"""
LOCKED = "locked-rotor-current relay-clicks shaft-seized terminal-voltage-low-at-start trips-after-minutes"
LEG_OR_CONTACT = "phase-missing contactor-bad contactor-chatter phase-rotation-wrong loud-from-start"
NO_OIL = "oil-safety-trips net-oil-pressure:low oil-quantity:low oil-pump-failed"
LIQUID = "sump-cold-running discharge-superheat-low accumulator-overfull"
BREAKING = """knock-while-running bang-then-dead wraps-shattered reed-broken rod-or-crank-broken vane-broken
    coupling-keys-broken discharge-temperature-high suction-valve-shut"""
CIRCUIT = "protection-bridged refrigerant-mixed water-in-circuit"
DRIVE = "module-fails-diode-check trips-with-motor-disconnected dc-bus-wrong back-emf-low magnets-weak-or-cracked"
MUST = f"{PEOPLE} {GROUND_OR_BURNT} {LOCKED} {LEG_OR_CONTACT} {NO_OIL} {LIQUID} {BREAKING} {CIRCUIT} {DRIVE}".split()
MILD = """condenser-fouled airflow-low coil-iced charge-short charge-over capacity-low capacity-lost-slowly
    capacity-lost-suddenly frost-on-suction high-hours oil-added charge-added-repeatedly
    failed-soon-after-work earlier-compressor-failed no-cleanup-last-time storm-or-outage supply-work-done
    trouble-at-defrost long-low-load-running vacuum-not-proven suction-superheat:high suction-superheat:low
    suction-pressure:low suction-pressure:high condensing-pressure:high condensing-pressure:low
    subcooling:high subcooling:low running-current:high running-current:low supply-voltage:low
    supply-voltage:high superheat-hunting superheat-dips voltage-unbalance current-unbalance unloader-stuck
    net-oil-pressure:high oil-quantity:high protector-open-hot high-pressure-trips low-pressure-trips
    short-cycling bearing-whine start-noise liquid-line-temperature-drop suction-drop-high
    standing-pressure-high oil-return-piping-poor oil-stain-outside bulb-loose core-left-in
    brazed-without-nitrogen sensor-or-command-wrong outside-envelope-by-design head-pressure-control-bad
    reversing-or-bypass-valve-leaks shaft-seal-leaking capacitor-bad moisture-high metal-fines-in-oil
    acid-test-positive control-voltage-low power-blinked surge-marks bonding-missing drive-cooling-bad
    drive-overcurrent-code replacement-model-wrong valves-leak-on-test injection-fault"""
MUST_NOT = tuple(MILD.split())
RUNS_WELL = ("pumps-and-holds", "quiet-running", "running-current-in-range")
FORBIDS_POWER = "Do not energise"


@cache
def fitting(key: str) -> Machine:
    """A machine that can have the finding."""
    applies = knowledge().findings[key].applies
    for drive in ("fixed-speed", "inverter"):
        for phases in ("three-phase", "single-phase"):
            for compressor in ("scroll", "reciprocating", "screw", "rotary"):
                for construction in ("hermetic", "semi-hermetic", "open-drive"):
                    for shell in MACHINE_WORDS["shell"]:
                        words: dict[str, Any] = {"drive": drive, "phases": phases, "construction": construction}
                        machine = Machine(compressor, shell=shell, **words)  # type: ignore[arg-type]
                        if applies.to(machine):
                            return machine
    raise AssertionError(key)


def reported(word: str) -> Report:
    key, _, state = word.partition(":")
    return Report(key, state or "present")  # type: ignore[arg-type]


def called(*words: str, machine: Machine | None = None, **more: Any) -> Dispatched:
    reports = tuple(map(reported, words))
    first = machine if machine is not None else fitting(words[0].partition(":")[0])
    return dispatch_call(Case(first, reports, **more))


def test_the_lists_are_long_and_say_nothing_twice() -> None:
    assert len(set(MUST)) == len(MUST) >= 60
    assert len(set(MUST_NOT)) == len(MUST_NOT) >= 60
    assert not set(MUST) & set(MUST_NOT)


@pytest.mark.parametrize("word", MUST)
def test_what_must_stop_stops_whatever_else_is_good_and_whoever_waits(word: str) -> None:
    well = [key for key in RUNS_WELL if key in knowledge().normals]
    reports = (reported(word), *(Report(key, "present") for key in well[:1]))
    case = Case(fitting(word.partition(":")[0]), reports, urgency="none", fluid=HARMLESS)
    for said in (called(word), dispatch_call(case)):
        assert said.advice.operation.advice == "stop"


@pytest.mark.parametrize("word", ["sump-cold-at-rest", "heater-dead"])
def test_a_cold_shell_is_not_started_and_what_runs_is_not_stopped_for_it(word: str) -> None:
    assert called(word).advice.operation.advice == "stop"
    assert called(word, ran=True).advice.operation.advice != "stop"


@pytest.mark.parametrize(("words", "most"), [(PEOPLE, 1), (NO_OIL, 3), (LEG_OR_CONTACT, 3), (CIRCUIT, 3)])
def test_how_soon_it_goes_by_what_is_at_stake_whoever_waits(words: str, most: int) -> None:
    for word in words.split():
        assert called(word, urgency="none").advice.priority.level <= most
        assert called(word, urgency="medical").advice.priority.level <= most


@pytest.mark.parametrize("word", MUST_NOT)
def test_a_mild_finding_alone_never_locks_out(word: str) -> None:
    for machine in (fitting(word.partition(":")[0]), Machine()):
        said = called(word, machine=machine, urgency="medical")
        assert said.advice.operation.advice != "stop"
        assert not [notice.rule for notice in said.safety if "energise" in notice.forbids]
        assert not [step for step in said.advice.for_technician if FORBIDS_POWER in step or "re-energise" in step]


def test_nothing_told_and_nothing_found_alarm_nobody() -> None:
    assert dispatch_call(Case()).advice.operation.advice == "unknown"
    for key, finding in knowledge().findings.items():
        said = dispatch_call(Case(fitting(key), (Report(key, finding.healthy),)))
        assert said.advice.operation.advice != "stop"
        assert said.safety == ()


def test_no_good_condition_alarms() -> None:
    for key in knowledge().normals:
        said = dispatch_call(Case(Machine(), (Report(key, "present"),)))
        assert said.advice.operation.advice != "stop"
        assert said.safety == ()


NOTES = (
    "Please send the invoice for the last visit once more.",
    "Could you come for the yearly service in spring?",
    "We would like a quote for a second unit.",
    "The maintenance contract renewal is due.",
)


@pytest.mark.parametrize("note", NOTES)
def test_planned_work_waits(note: str) -> None:
    said = dispatch_call(Case(), note)
    assert said.advice.operation.advice != "stop"
    assert said.advice.priority.kind == "planned-work"


SOUND: dict[str, Any] = {
    "suction_pressure": {"value": 9.0, "unit": "barg"},
    "discharge_pressure": {"value": 24.0, "unit": "barg"},
    "suction_temperature": {"value": 14.0, "unit": "degC"},
    "liquid_temperature": {"value": 35.0, "unit": "degC"},
    "discharge_temperature": {"value": 70.0, "unit": "degC"},
    "outdoor_temperature": {"value": 30.0, "unit": "degC"},
    "running_current": {"value": 10.0, "unit": "A"},
    "expected_current": {"value": 10.2, "unit": "A"},
    "running": True,
}


def answered(readings: dict[str, Any], **machine: str) -> dict[str, Any]:
    body = {"machine": {"compressor": "scroll", **machine}, "refrigerant": "R-410A", "readings": readings}
    answer = TestClient(app).post("/v1/dispatch", json=body).json()
    outcome: dict[str, Any] = answer["result"]["calls"][0]["outcome"]
    return outcome


@pytest.mark.parametrize("current", [7.0, 10.0, 12.0, 15.0])
def test_sound_readings_and_some_overload_stop_nothing(current: float) -> None:
    said = answered({**SOUND, "running_current": {"value": current, "unit": "A"}})
    assert said["operation"]["advice"] == "keep-running"
    assert said["safety"] == []


@pytest.mark.parametrize(
    "read",
    [
        {"running_current": {"value": 16.0, "unit": "A"}},
        {"running_current": {"value": 19.0, "unit": "A"}},
        {"supply_voltage": {"value": 480.0, "unit": "V"}, "rated_voltage": {"value": 230.0, "unit": "V"}},
        {"supply_voltage": {"value": 265.0, "unit": "V"}, "rated_voltage": {"value": 230.0, "unit": "V"}},
        {"supply_voltage": {"value": 170.0, "unit": "V"}, "rated_voltage": {"value": 230.0, "unit": "V"}},
        {"line_voltages": [{"value": 300.0, "unit": "V"}] * 3, "rated_voltage": {"value": 230.0, "unit": "V"}},
    ],
)
def test_a_motor_far_off_its_voltage_or_its_due_current_is_stopped(read: dict[str, Any]) -> None:
    """Half as much again as it should draw here, or a supply 15 % above or 20 % below (NEMA MG 1: within 10 %)."""
    assert answered({**SOUND, **read})["operation"]["advice"] == "stop"


@pytest.mark.parametrize(("volts", "rated"), [(208.0, 230.0), (252.0, 230.0), (380.0, 460.0), (480.0, 460.0)])
def test_a_usual_supply_stops_nothing(volts: float, rated: float) -> None:
    read = {"supply_voltage": {"value": volts, "unit": "V"}, "rated_voltage": {"value": rated, "unit": "V"}}
    assert answered({**SOUND, **read})["operation"]["advice"] != "stop"


@pytest.mark.parametrize(
    ("readings", "machine"),
    [
        ({"running_current": {"value": 60.0, "unit": "A"}, "rated_current": {"value": 11.0, "unit": "A"}}, {}),
        ({**SOUND, "running_current": {"value": 58.0, "unit": "A"}}, {"phases": "three-phase"}),
        ({"insulation_resistance": {"value": 10.0, "unit": "ohm"}}, {}),
        ({"line_currents": [{"value": a, "unit": "A"} for a in (0.0, 40.0, 40.0)]}, {"phases": "three-phase"}),
        ({"line_voltages": [{"value": v, "unit": "V"} for v in (480.0, 0.0, 240.0)]}, {"phases": "three-phase"}),
        ({"winding_resistances": [{"value": r, "unit": "ohm"} for r in (1.0, 1.6, 1.0)]}, {"phases": "three-phase"}),
    ],
)
def test_readings_of_a_locked_grounded_or_single_phased_motor_stop_it(
    readings: dict[str, Any], machine: dict[str, str]
) -> None:
    assert answered(readings, **machine)["operation"]["advice"] == "stop"


def test_a_drive_that_limits_the_current_shows_no_locked_rotor() -> None:
    readings = {"running_current": {"value": 60.0, "unit": "A"}, "rated_current": {"value": 11.0, "unit": "A"}}
    assert answered(readings, drive="inverter")["operation"]["advice"] != "stop"


def test_a_good_single_phase_motor_is_not_stopped_for_its_windings() -> None:
    readings = {"winding_resistances": [{"value": r, "unit": "ohm"} for r in (2.5, 1.7, 4.2)]}
    said = answered(readings, phases="single-phase")
    assert said["operation"]["advice"] != "stop"
    assert said["safety"] == []


def pairs(seed: int, number: int) -> Iterator[tuple[str, str]]:
    """So many pairs of abnormal findings that one machine can have."""
    words = [
        f"{key}:{state}" if finding.kind == "three-way" else key
        for key, finding in knowledge().findings.items()
        for state in (("low", "high") if finding.kind == "three-way" else ("present",))
    ]
    rng = np.random.default_rng(seed)
    found = 0
    while found < number:
        one, other = (words[k] for k in rng.choice(len(words), 2, replace=False))
        first, second = one.partition(":")[0], other.partition(":")[0]
        if first != second and knowledge().findings[second].applies.to(fitting(first)):
            found += 1
            yield one, other


def consistent(said: Dispatched) -> None:
    """Nothing to do now contradicts stop or go on, and what forbids power stops."""
    advice = said.advice
    forbidden = {word for notice in said.safety for word in notice.forbids}
    assert advice.operation.advice == "stop" or "energise" not in forbidden
    assert advice.operation.reason
    steps = " | ".join(advice.for_technician)
    if advice.operation.advice == "stop":
        assert "Let it run" not in " ".join(advice.for_caller)
        assert advice.priority.level <= 7
    else:
        assert FORBIDS_POWER not in steps
        assert "re-energise" not in steps
        assert "leave it off" not in " ".join(advice.for_caller).lower()


@pytest.mark.parametrize("seed", range(5))
def test_no_pair_of_findings_gives_an_answer_that_contradicts_itself(seed: int) -> None:
    for one, other in pairs(seed, 30):
        both = called(one, other, fluid=HARMLESS)
        consistent(both)
        assert not [n for n in both.safety if "flammable-refrigerant" in n.cautions]
        alone = called(one, fluid=HARMLESS)
        assert both.advice.priority.level <= alone.advice.priority.level


@pytest.mark.parametrize("seed", range(5))
def test_one_finding_more_never_lets_a_dangerous_machine_run(seed: int) -> None:
    rng = np.random.default_rng(seed)
    for one, other in pairs(seed + 100, 25):
        worst = MUST[int(rng.integers(len(MUST)))]
        key = worst.partition(":")[0]
        if key not in {one.partition(":")[0], other.partition(":")[0]}:
            rest = [w for w in (one, other) if knowledge().findings[w.partition(":")[0]].applies.to(fitting(key))]
            assert called(worst, *rest).advice.operation.advice == "stop"


def test_a_flame_is_warned_of_where_the_refrigerant_burns() -> None:
    assert [n for n in called("refrigerant-smell", fluid=BURNS).safety if "flammable-refrigerant" in n.cautions]
    assert not [n for n in called("refrigerant-smell", fluid=HARMLESS).safety if "flammable-refrigerant" in n.cautions]
