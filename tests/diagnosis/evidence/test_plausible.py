"""Readings that cannot be right together. Worst: a machine runs on on swapped gauges, or on a clamp that reads none.

What saturation allows is the property library's; that a running machine draws current and has the higher pressure ahead
is common practice.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from tests.diagnosis.evidence.read import Told, barg, case_of, celsius, fahrenheit, psig, told
from tests.diagnosis.evidence.sound_machines import sound_machines

from witnessmark.calculations.compressor.operating_limits import LIMITS, OperatingMachine, ruling_for
from witnessmark.calculations.electrical.insulation import InsulationReading, insulation
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.answer.next_checks import next_checks
from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.evidence.baseline import Baseline
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.vocabulary import Condenser

SCROLL = Machine("scroll", "low-side", "fixed-speed")
PISTONS = Machine("reciprocating", None, "fixed-speed", "semi-hermetic", "three-phase")
INVERTER = Machine("rotary", "high-side", "inverter")
SOUND = tuple(sound_machines())


def running(**read: Any) -> FieldReadings:
    return FieldReadings(running=True, **read)


def fields_of(answer: Told) -> set[tuple[str, ...]]:
    return {clash.readings for clash in answer.contradictions if clash.readings}


def amps(value: float) -> Measured:
    return Measured(value, 0.3)


@cache
def _judged(number: int) -> Told:
    sound = SOUND[number]
    return told(case_of(sound.refrigerant, sound.readings, sound.machine, low_temperature=sound.low_temperature))


def test_there_are_many_sound_machines() -> None:
    assert len(SOUND) >= 60
    assert len({sound.refrigerant for sound in SOUND}) >= 12


@pytest.mark.parametrize("number", range(len(SOUND)), ids=[sound.name.replace(" ", "-") for sound in SOUND])
def test_a_sound_machine_is_neither_stopped_nor_contradicted(number: int) -> None:
    answer = _judged(number)
    assert answer.operation.advice != "stop", answer.operation
    assert answer.contradictions == ()
    assert answer.safety == ()


SWAPPED = [
    ("R-410A", psig(380), psig(130)),
    ("R-134a", barg(9), barg(1.5)),
    ("R-404A", psig(250), psig(40)),
    ("R-22", psig(210), psig(70)),
    ("R-290", barg(14), barg(4)),
    ("R-717", barg(12), barg(2)),
    ("R-744", barg(85), barg(28)),
    (None, psig(300), psig(60)),
]


@pytest.mark.parametrize(("refrigerant", "low", "high"), SWAPPED)
def test_the_high_side_below_the_low_side_of_a_running_machine(
    refrigerant: str | None, low: Measured, high: Measured
) -> None:
    read = running(
        suction_pressure=low,
        discharge_pressure=high,
        suction_temperature=celsius(14),
        discharge_temperature=celsius(74),
    )
    answer = told(case_of(refrigerant, read, SCROLL))
    assert ("suction_pressure", "discharge_pressure") in fields_of(answer)
    assert answer.operation.advice == "unknown"
    assert answer.state == "contradictory-evidence"
    assert {reading.quantity.split("-")[0] for reading in answer.inquiry.case.readings} == {"discharge"}


@pytest.mark.parametrize("state", [False, None])
def test_at_rest_the_warmer_side_may_be_either(state: bool | None) -> None:  # noqa: FBT001 - a parameter of the table
    """A condenser in frost beside a warm room: the check valve holds, and the high side lies below."""
    read = FieldReadings(running=state, suction_pressure=psig(200), discharge_pressure=psig(120))
    assert told(case_of("R-410A", read, SCROLL)).contradictions == ()


NOTHING: list[dict[str, Any]] = [
    {"running_current": amps(0.0), "expected_current": Measured(18.0)},
    {"running_current": amps(0.2), "rated_current": Measured(30.0)},
    {"running_current": Measured(0.0)},
    {"line_currents": (amps(0.0),) * 3},
    {"line_currents": (amps(0.1), amps(0.0), amps(0.2)), "rated_current": Measured(52.0)},
    {"line_voltages": (Measured(0.0),) * 3, "rated_voltage": Measured(400.0)},
    {"supply_voltage": Measured(1.0), "rated_voltage": Measured(230.0)},
    {"supply_voltage": Measured(0.0)},
]


@pytest.mark.parametrize("read", NOTHING)
def test_a_machine_that_runs_on_nothing(read: dict[str, Any]) -> None:
    answer = told(case_of("R-410A", running(**read), SCROLL))
    (clash,) = answer.contradictions
    assert "running" in clash.readings
    assert answer.operation.advice == "unknown"
    assert not answer.inquiry.case.ran
    assert answer.inquiry.case.readings == ()


@pytest.mark.parametrize("read", NOTHING)
def test_where_the_pressures_show_that_it_pumps_the_meter_is_wrong(read: dict[str, Any]) -> None:
    pumping = running(**read, suction_pressure=psig(130), discharge_pressure=psig(380))
    answer = told(case_of("R-410A", pumping, SCROLL))
    assert answer.inquiry.case.ran
    assert answer.operation.advice == "unknown"
    assert {reading.quantity for reading in answer.inquiry.case.readings} >= {"compression-ratio"}


@pytest.mark.parametrize(
    "read",
    [
        {"running_current": amps(0.6)},
        {"running_current": amps(0.62), "rated_current": Measured(0.8)},
        {"running_current": amps(4.0), "rated_current": Measured(40.0)},
        {"line_currents": (amps(0.0), amps(21.0), amps(21.0)), "rated_current": Measured(18.0)},
        {"supply_voltage": Measured(11.8), "rated_voltage": Measured(12.0)},
    ],
)
def test_a_little_current_is_some_and_a_dead_leg_is_another_thing(read: dict[str, Any]) -> None:
    assert told(case_of("R-134a", running(**read))).contradictions == ()


def test_at_rest_it_draws_nothing() -> None:
    read = FieldReadings(running=False, running_current=Measured(0.0), rated_current=Measured(18.0))
    assert told(case_of("R-134a", read)).contradictions == ()


BESIDE = [
    ("R-134a", {"suction_pressure": barg(2), "suction_temperature": celsius(-15)}),
    ("R-22", {"suction_pressure": psig(60), "suction_temperature": fahrenheit(20)}),
    ("R-290", {"suction_pressure": barg(4), "suction_temperature": celsius(-20)}),
    ("R-407C", {"suction_pressure": barg(4.5), "suction_temperature": celsius(-14)}),
    ("R-717", {"suction_pressure": barg(2.0), "suction_temperature": celsius(-18)}),
    ("R-744", {"suction_pressure": barg(28), "suction_temperature": celsius(-14)}),
    ("R-410A", {"discharge_pressure": psig(380), "liquid_temperature": fahrenheit(150)}),
    ("R-404A", {"discharge_pressure": barg(16), "liquid_temperature": celsius(48)}),
    ("R-32", {"discharge_pressure": barg(27), "liquid_temperature": celsius(56)}),
    ("R-410A", {"discharge_pressure": psig(380), "discharge_temperature": fahrenheit(62)}),
    ("R-448A", {"discharge_pressure": barg(17), "discharge_temperature": celsius(20)}),
    ("R-600a", {"discharge_pressure": barg(5.5), "discharge_temperature": celsius(30)}),
]


@pytest.mark.parametrize(("refrigerant", "read"), BESIDE)
def test_a_line_on_the_wrong_side_of_saturation(refrigerant: str, read: dict[str, Measured]) -> None:
    """What `/v1/superheat` calls `cannot both be right` is evidence of nothing here either."""
    answer = told(case_of(refrigerant, running(**read), PISTONS))
    assert fields_of(answer) == {tuple(read)}
    assert answer.inquiry.case.readings == ()
    assert answer.operation.advice == "unknown"
    assert "liquid-floodback" not in answer.operation.because


@pytest.mark.parametrize(
    ("refrigerant", "read"),
    [
        ("R-134a", {"suction_pressure": barg(2), "suction_temperature": celsius(0)}),
        ("R-407C", {"suction_pressure": barg(4.5), "suction_temperature": celsius(-1)}),
        ("R-410A", {"discharge_pressure": psig(380), "liquid_temperature": fahrenheit(112)}),
        ("R-744", {"discharge_pressure": barg(95), "discharge_temperature": celsius(30)}),
        ("R-134a", {"suction_pressure": Measured(10.0), "suction_temperature": celsius(0)}),
        (None, {"suction_pressure": barg(2), "suction_temperature": celsius(-15)}),
    ],
)
def test_wet_gas_is_no_contradiction(refrigerant: str | None, read: dict[str, Measured]) -> None:
    assert told(case_of(refrigerant, running(**read), PISTONS)).contradictions == ()


def test_a_pressure_that_another_line_agrees_with_is_kept() -> None:
    read = running(
        suction_pressure=psig(130),
        discharge_pressure=psig(380),
        liquid_temperature=fahrenheit(100),
        discharge_temperature=fahrenheit(62),
    )
    found = derive("R-410A", read, machine=SCROLL)
    assert {reading.quantity for reading in found.readings} >= {"subcooling", "compression-ratio"}
    assert [aside.readings for aside in found.set_aside] == [("discharge_temperature",)]


COLD_CONDENSERS: list[tuple[str, Measured, Measured, Condenser | None, bool]] = [
    ("R-410A", psig(200), fahrenheit(95), None, True),
    ("R-134a", barg(4.5), celsius(35), "air-cooled", True),
    ("R-22", psig(150), fahrenheit(98), "air-cooled", True),
    ("R-404A", barg(11), celsius(38), None, True),
    ("R-290", barg(7), celsius(33), "air-cooled", True),
    ("R-134a", barg(4.9), celsius(30), "water-cooled", True),
    ("R-410A", psig(380), fahrenheit(95), None, False),
    ("R-717", barg(10), celsius(36), None, False),
    ("R-717", barg(9), celsius(38), "evaporative", False),
    ("R-744", barg(90), celsius(40), "air-cooled", False),
]


@pytest.mark.parametrize(("refrigerant", "head", "entering", "condenser", "wrong"), COLD_CONDENSERS)
def test_nothing_condenses_below_what_cools_it(
    refrigerant: str,
    head: Measured,
    entering: Measured,
    condenser: Condenser | None,
    wrong: bool,  # noqa: FBT001 - a parameter of the table
) -> None:
    """An empty circuit shows it truly, so the readings stay evidence of that; nothing runs on on them."""
    read = running(suction_pressure=barg(1.2), discharge_pressure=head, outdoor_temperature=entering)
    answer = told(case_of(refrigerant, read, PISTONS, condenser=condenser))
    assert (("discharge_pressure", "outdoor_temperature") in fields_of(answer)) == wrong
    assert not (wrong and answer.operation.advice == "keep-running")


def test_liquid_far_below_the_air_says_nothing_of_the_charge_and_stops_nothing() -> None:
    read = running(
        suction_pressure=psig(130),
        discharge_pressure=psig(380),
        liquid_temperature=fahrenheit(60),
        outdoor_temperature=fahrenheit(95),
    )
    answer = told(case_of("R-410A", read, SCROLL))
    assert answer.contradictions == ()
    assert "subcooling" not in {reading.quantity for reading in answer.inquiry.case.readings}
    assert answer.probability("overcharge") < 0.1
    on_water = derive("R-410A", read, machine=SCROLL, condenser="water-cooled")
    assert "subcooling" in {reading.quantity for reading in on_water.readings}


@pytest.mark.parametrize(
    ("name", "read", "marked", "slip"),
    [
        ("run", 40e-9, 40e-6, True),
        ("run", 38e-9, 40e-6, True),
        ("run", 35e-3, 35e-6, True),
        ("start", 110e-9, 108e-6, True),
        ("start", 88.0e-12, 88e-6, True),
        ("run", 4.4e-9, 5e-6, True),
        ("run", 3e-6, 35e-6, False),
        ("run", 0.0, 35e-6, False),
        ("run", 2e-9, 45e-6, False),
        ("start", 100e-6, 108e-6, False),
    ],
)
def test_a_thousandth_of_the_marking_is_a_slip_of_the_unit(
    name: str,
    read: float,
    marked: float,
    slip: bool,  # noqa: FBT001 - a parameter of the table
) -> None:
    stated = {f"{name}_capacitor": Measured(read), f"{name}_capacitor_marked": Measured(marked)}
    single = Machine("reciprocating", phases="single-phase")
    answer = told(case_of(None, FieldReadings(**stated), single))  # type: ignore[arg-type]
    assert (fields_of(answer) == {(f"{name}_capacitor",)}) == slip
    assert not (slip and answer.probability("capacitor-failed") > 0.3)


MEGOHM = 1e6


@pytest.mark.parametrize("machine", [Machine(), SCROLL, PISTONS, INVERTER])
@pytest.mark.parametrize("resistance", [0.01, 0.09, 0.3, 1.0, 1.5, 5.0, 300.0])
@pytest.mark.parametrize("temperature", [None, -5.0, 5.0, 20.0, 80.0])
def test_a_cold_low_winding_is_warmed_first_as_the_insulation_test_says(
    machine: Machine, resistance: float, temperature: float | None
) -> None:
    """Wrong answer that costs a compressor: a winding wet with refrigerant condemned, `wetness ruled out`."""
    read = Measured(resistance * MEGOHM, 0.0)
    motor = "hermetic-inverter" if machine.drive == "inverter" else "hermetic"
    said = insulation(InsulationReading(read, celsius(20.0 if temperature is None else temperature), motor)).verdict
    stated = FieldReadings(
        insulation_resistance=read, winding_temperature=None if temperature is None else celsius(temperature)
    )
    case = case_of(None, stated, machine)
    assert bool(case.doubts) == (said == "warm up and repeat")
    assert bool(case.doubts) != ("insulation-resistance" in {r.quantity for r in case.readings})


@pytest.mark.parametrize(("resistance", "stopped"), [(0.01, True), (0.3, True), (1.0, False), (1.5, False)])
def test_until_it_is_warm_the_rules_for_a_grounded_winding_hold(
    resistance: float,
    stopped: bool,  # noqa: FBT001 - a parameter of the table
) -> None:
    read = FieldReadings(insulation_resistance=Measured(resistance * MEGOHM), winding_temperature=celsius(5.0))
    answer = told(case_of(None, read, SCROLL))
    assert ("do-not-re-energise" in {notice.rule for notice in answer.safety}) == stopped
    assert answer.operation.advice == ("stop" if stopped else "unknown")
    assert answer.priority.level == (2 if stopped else 7)
    assert "ruled out" not in answer.operation.reason + answer.priority.reason
    assert answer.probability("ground-fault") < 0.2


@pytest.mark.parametrize("resistance", [0.01, 0.05, 0.2])
@pytest.mark.parametrize(
    "conditions",
    [{"liquid_refrigerant": False}, {"heater_on": Measured(43200.0)}, {"heater_on": Measured(20000.0)}],
)
def test_where_wetness_is_ruled_out_a_low_reading_is_a_ground_fault(
    resistance: float, conditions: dict[str, Any]
) -> None:
    read = FieldReadings(insulation_resistance=Measured(resistance * MEGOHM), **conditions)
    answer = told(case_of(None, read, SCROLL))
    assert answer.contradictions == ()
    assert answer.probability("ground-fault") > 0.5
    hardly = replace(read, liquid_refrigerant=None, heater_on=Measured(600.0))
    assert told(case_of(None, hardly, SCROLL)).contradictions


def test_a_reading_that_nobody_knows_well_refuses_nothing() -> None:
    read = FieldReadings(insulation_resistance=Measured(3e5, 1e15), winding_temperature=Measured(280.0, 900.0))
    assert case_of(None, read, SCROLL).doubts


def test_a_dead_ground_is_one_however_cold() -> None:
    answer = told(case_of(None, FieldReadings(insulation_resistance=Measured(200.0)), SCROLL))
    assert answer.contradictions == ()
    assert answer.probability("ground-fault") > 0.8


@pytest.mark.parametrize(
    ("cold", "at", "hot", "warm"),
    [(0.3, 5, 50, 45), (0.5, 10, 200, 40), (0.1, 0, 20, 60), (0.02, -3, 15, 50), (0.9, 12, 80, 38), (0.05, 2, 400, 55)],
)
@pytest.mark.parametrize("machine", [SCROLL, INVERTER])
def test_the_reading_of_the_hot_winding_counts(
    cold: float, at: float, hot: float, warm: float, machine: Machine
) -> None:
    read = FieldReadings(
        insulation_resistance=Measured(cold * MEGOHM),
        winding_temperature=celsius(at),
        insulation_resistance_hot=Measured(hot * MEGOHM),
        winding_temperature_hot=celsius(warm),
    )
    answer = told(case_of(None, read, machine))
    assert answer.contradictions == ()
    assert answer.inquiry.evidence.states["insulation-low"] == "absent"
    still_low = replace(read, insulation_resistance_hot=Measured(cold * MEGOHM / 2))
    assert told(case_of(None, still_low, machine)).inquiry.evidence.states["insulation-low"] == "present"


def test_each_winding_to_ground_is_judged_so_too_and_an_open_drive_holds_no_refrigerant() -> None:
    phases = (Measured(0.2 * MEGOHM), Measured(90 * MEGOHM), Measured(80 * MEGOHM))
    assert case_of(None, FieldReadings(insulation_by_phase=phases), SCROLL).doubts
    open_drive = Machine("reciprocating", None, "fixed-speed", "open-drive", "three-phase")
    assert not case_of(None, FieldReadings(insulation_by_phase=phases), open_drive).doubts
    assert not case_of(None, FieldReadings(insulation_resistance=Measured(5e13)), SCROLL).doubts


@pytest.mark.parametrize(
    ("given", "read", "wrong"),
    [
        ({"suction_superheat": 20.0}, {"suction_pressure": psig(130), "suction_temperature": fahrenheit(45)}, True),
        ({"suction_superheat": 2.0}, {"suction_pressure": psig(110), "suction_temperature": fahrenheit(70)}, True),
        ({"compression_ratio": 9.0}, {"suction_pressure": psig(130), "discharge_pressure": psig(380)}, True),
        ({"compression_ratio": 1.1}, {"suction_pressure": psig(130), "discharge_pressure": psig(380)}, True),
        ({"subcooling": 20.0}, {"discharge_pressure": psig(380), "liquid_temperature": fahrenheit(106)}, True),
        ({"discharge_superheat": 8.0}, {"discharge_pressure": psig(380), "discharge_temperature": celsius(85)}, True),
        ({"suction_superheat": 5.0}, {"suction_pressure": psig(130), "suction_temperature": fahrenheit(54)}, False),
        ({"compression_ratio": 2.7}, {"suction_pressure": psig(130), "discharge_pressure": psig(380)}, False),
    ],
)
def test_a_figure_told_against_what_the_readings_make(
    given: dict[str, float],
    read: dict[str, Measured],
    wrong: bool,  # noqa: FBT001 - a parameter of the table
) -> None:
    (field,) = given
    stated = {name: Measured(value, 0.3 if "ratio" not in name else 0.0) for name, value in given.items()}
    answer = told(case_of("R-410A", running(**read, **stated), SCROLL))
    assert any(field in names for names in fields_of(answer)) == wrong
    assert not (wrong and answer.operation.advice == "keep-running")


def test_a_baseline_in_doubt_is_no_contradiction_of_today() -> None:
    sound = SOUND[0]
    before = replace(sound.readings, running_current=Measured(0.0))
    found = derive(sound.refrigerant, sound.readings, machine=sound.machine, baseline=Baseline(before))
    assert found.doubts == ()
    assert any("of the baseline" in aside.why for aside in found.set_aside)


@pytest.mark.parametrize(
    ("findings", "machine"),
    [
        (("reed-broken", "wraps-shattered", "vane-broken", "screw-rotors-touched"), Machine()),
        (("wraps-shattered", "vane-broken"), Machine()),
        (("rod-or-crank-broken", "screw-rotors-touched"), Machine()),
        (("wraps-shattered", "rod-or-crank-broken", "oil-burnt"), Machine()),
        (("tips-galled", "vane-broken"), Machine(drive="inverter")),
        (("start-relay-bad", "phase-missing"), Machine("reciprocating")),
    ],
)
def test_parts_of_unlike_machines_are_not_one_machine(findings: tuple[str, ...], machine: Machine) -> None:
    """Wrong answer: slugging at 99 % from a reed, wraps, a vane and screw rotors in one shell."""
    answer = told(case_of(None, FieldReadings(), machine, findings))
    assert answer.state == "contradictory-evidence"
    (clash,) = [clash for clash in answer.contradictions if clash.text.startswith("No one machine")]
    assert {*clash.findings} <= {*findings}
    assert "nameplate" in clash.ask


def test_parts_of_one_machine_are() -> None:
    answer = told(case_of(None, FieldReadings(), Machine(), ("wraps-shattered", "tips-galled")))
    assert not [clash for clash in answer.contradictions if clash.text.startswith("No one machine")]


PUMPS = {"suction_pressure": psig(120), "discharge_pressure": psig(380)}


@pytest.mark.parametrize(
    "finding", ["shaft-seized", "locked-rotor-current", "will-not-start", "breaker-trips-at-once", "winding-open"]
)
def test_what_cannot_turn_builds_no_pressure(finding: str) -> None:
    answer = told(case_of("R-410A", running(**PUMPS), SCROLL, (finding,)))
    assert any({*clash.findings} == {finding, "no-pressure-difference"} for clash in answer.contradictions)
    assert answer.operation.advice != "keep-running"
    equal = FieldReadings(running=False, suction_pressure=psig(200), discharge_pressure=psig(200))
    assert told(case_of("R-410A", equal, SCROLL, (finding,))).contradictions == ()


WITH_POWER = re.compile(r"\b(clamp|at one start|while running|reset to see)\b")


def test_no_advice_asks_for_power_that_a_rule_forbids() -> None:
    """Wrong answer that burns a motor: `clamp all legs at one start` beside `no further start attempts`."""
    known = knowledge()
    forbidding = {key for rule in known.safety if {"energise", "start"} & {*rule.forbids} for key in rule.when.any_of}
    asked = [pair for pair in known.conflicts if {pair.a, pair.b} & forbidding]
    assert len(asked) >= 15
    wrong = [pair.ask for pair in asked if WITH_POWER.search(pair.ask.replace("no reset to see", ""))]
    assert wrong == []


@pytest.mark.parametrize(
    ("refrigerant", "machine"),
    [
        ("R-744", PISTONS),
        ("R-717", PISTONS),
        ("R-410A", SCROLL),
        ("R-22", Machine()),
        ("R-404A", Machine("screw")),
        (None, SCROLL),
    ],
)
def test_the_discharge_is_judged_by_the_limit_of_the_compression_service(
    refrigerant: str | None, machine: Machine
) -> None:
    """One table for both: a sound carbon dioxide or ammonia machine is not ordered off by the limit of another gas."""
    limit = ruling_for(OperatingMachine(refrigerant or "", machine.compressor), "discharge_temperature")
    assert limit is not None
    for over, high in ((-12.0, False), (22.0, True)):
        read = running(discharge_temperature=Measured(limit.value + over, 1.0))
        states = told(case_of(refrigerant, read, machine)).inquiry.evidence.states
        assert (states.get("discharge-temperature-high") == "present") == high


def test_each_limit_of_the_discharge_has_its_row() -> None:
    """A new limit of operating_limits.toml without a row in readings.toml would be judged by a neighbour's."""
    plateaus = [row.normal[1] for row in catalogue().values() if row.id.startswith("discharge-temperature")]
    stated = [row.value for row in LIMITS().limit if row.quantity == "discharge_temperature" and not row.cooling]
    assert all(min(abs(end - value) for end in plateaus) < 0.5 for value in stated)


@pytest.mark.parametrize(
    ("refrigerant", "superheat_of", "subcooled"),
    [
        ("R-22", 27.0, 14.0),
        ("R-410A", 24.0, 13.0),
        ("R-134a", 26.0, 15.0),
        ("R-404A", 25.0, 13.0),
        ("R-407C", 28.0, 15.0),
        ("R-290", 24.0, 14.0),
    ],
)
def test_high_superheat_with_high_subcooling_is_a_starved_evaporator(
    refrigerant: str, superheat_of: float, subcooled: float
) -> None:
    """Rossi and Braun 1997: a restricted liquid line raises superheat and subcooling; with a short charge it falls."""
    stated = running(suction_superheat=Measured(superheat_of, 1.0), subcooling=Measured(subcooled, 1.0))
    answer = told(case_of(refrigerant, stated, PISTONS))
    causes = {key: answer.probability(key) for key in knowledge().causes}
    assert max(causes, key=lambda key: causes[key]) == "expansion-starved"
    assert causes["expansion-starved"] > 2 * causes["undercharge"]
    short = running(suction_superheat=Measured(superheat_of, 1.0), subcooling=Measured(0.5, 0.5))
    answer = told(case_of(refrigerant, short, PISTONS))
    assert answer.probability("undercharge") > 2 * answer.probability("expansion-starved")


@pytest.mark.parametrize("number", range(0, len(SOUND), 9))
def test_nothing_opens_the_circuit_of_a_sound_machine(number: int) -> None:
    """Silly: the first check of a machine that runs is to take the compressor out."""
    checks = next_checks(_judged(number).inquiry, ()).checks
    assert all(check.step not in ("open", "recover") and not check.opens_circuit for check in checks)


@pytest.mark.parametrize(
    ("lines", "heard"),
    [((22, 0, 38), ["phase-missing"]), ((40, 15, 15), [""]), ((22, 0, 22), []), ((20, 18, 19), []), ((0, 0, 0), [])],
)
def test_line_currents_that_do_not_close(lines: tuple[float, float, float], heard: list[str]) -> None:
    """Currents in three wires add up to nothing (Kirchhoff): what is left over goes to ground, or was misread."""
    read = FieldReadings(line_currents=tuple(map(amps, lines)))  # type: ignore[arg-type] # three of them
    assert [doubt.heard for doubt in case_of(None, read, SCROLL).doubts] == heard


def test_a_single_phase_motor_has_no_three_lines() -> None:
    single = Machine("rotary", "high-side", "fixed-speed", "hermetic", "single-phase")
    read = FieldReadings(line_currents=(amps(22), amps(0), amps(38)))
    assert not [d for d in case_of(None, read, single).doubts if "line_currents" in d.readings]


@pytest.mark.parametrize("hot", [125.0, 132.0, 150.0])
def test_a_discharge_that_is_too_hot_is_evidence_and_no_contradiction(hot: float) -> None:
    """Worst: the hotter the line, the surer it is set aside, and what cooks its oil is to be measured again."""
    read = running(
        suction_pressure=barg(0.42),
        suction_temperature=celsius(-16),
        discharge_pressure=barg(26.01),
        discharge_temperature=celsius(hot),
    )
    answer = told(case_of("R-404A", read, PISTONS, low_temperature=True))
    assert ("discharge_pressure", "discharge_temperature") not in fields_of(answer)
    assert answer.operation.advice == "stop"
    cold = told(case_of("R-404A", replace(read, discharge_temperature=celsius(20)), PISTONS, low_temperature=True))
    assert ("discharge_pressure", "discharge_temperature") in fields_of(cold)


def test_a_single_reading_in_doubt_is_taken_again_first() -> None:
    """It contradicts no other, and the answer does not say so."""
    cold = FieldReadings(
        running=False,
        insulation_resistance=Measured(3e6, 1e5),
        winding_temperature=celsius(8),
        liquid_refrigerant=True,
    )
    case = replace(case_of("R-22", cold, PISTONS), conditions=("power-off",), read=("insulation_resistance",))
    answer = told(case)
    assert answer.operation.reason.startswith("A reading proves nothing as it was taken")
    checks = next_checks(answer.inquiry, answer.safety, answer.contradictions)
    assert checks.checks[0].finding == "insulation-low"
    assert checks.reason == "A reading proves nothing as it was taken: measure again first."


THREE_FORTY = (Measured(40.0, 0.1), Measured(40.0, 0.1), Measured(40.0, 0.1))


@pytest.mark.parametrize(
    ("read", "set_aside"),
    [
        ({"rated_current": amps(16), "rated_voltage": Measured(400.0)}, True),
        ({"running_current": amps(15), "supply_voltage": Measured(400.0)}, True),
        ({"line_currents": (amps(15),) * 3, "line_voltages": (Measured(400.0, 1.0),) * 3}, True),
        ({"rated_current": amps(16)}, True),  # at which voltage is not known: at none up to 690 V
        ({"rated_current": Measured(3.0, 0.01)}, False),
        ({"rated_current": Measured(1.0, 0.01), "rated_voltage": Measured(400.0)}, False),
        (
            {"winding_resistances": (Measured(1.2, 0.05),) * 3}
            | {"rated_current": amps(16), "rated_voltage": Measured(400.0)},
            False,
        ),
        (
            {"winding_resistances": (*THREE_FORTY[:2], Measured(1e7, 1.0))}
            | {"rated_current": amps(16), "rated_voltage": Measured(400.0)},
            False,
        ),
    ],
)
def test_windings_of_another_motor_are_no_evidence(read: dict[str, Any], *, set_aside: bool) -> None:
    """Worst: a motor is condemned or passed by windings that are not its own. 400 V / 16 A leave 28.9 ohm at most."""
    readings = FieldReadings(**({"winding_resistances": THREE_FORTY} | read))
    answer = told(case_of("R-410A", readings, PISTONS))
    assert (("winding_resistances",) in fields_of(answer)) is set_aside


def test_a_reading_that_may_be_of_start_and_run_or_not_is_held_against_no_current() -> None:
    """Which windings they are is asked first."""
    machine = Machine("scroll", "low-side", "fixed-speed")
    windings = (Measured(40.0, 0.1), Measured(90.0, 0.1), Measured(130.0, 0.1))
    read = FieldReadings(winding_resistances=windings, running_current=amps(16), supply_voltage=Measured(400.0))
    assert ("winding_resistances",) not in fields_of(told(case_of("R-410A", read, machine)))
