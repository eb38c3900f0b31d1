"""Low lift and small superheat of sound machines. Worst: one that pumps nothing, or swallows liquid, passes.

Pressures at saturation are the property library's; what such plants stand at is common practice (memory).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.diagnosis.evidence.read import Told, barg, celsius, psig, told

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Case, Fluid, Machine, Reading, Report
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.duty import condenses_nowhere, low_lift, pressure_difference, row_of, stalled
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings

PISTONS = Machine("reciprocating", phases="three-phase")
SCREW = Machine("screw", phases="three-phase")
SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")


def read(suction: float, gas: float, discharge: float, hot: float, **more: Any) -> FieldReadings:
    """Pressures in bar over the air, temperatures in °C."""
    return FieldReadings(
        running=True,
        suction_pressure=barg(suction),
        suction_temperature=celsius(gas),
        discharge_pressure=barg(discharge),
        discharge_temperature=celsius(hot),
        **more,
    )


def judged(
    refrigerant: str, readings: FieldReadings, machine: Machine, findings: tuple[str, ...] = (), **duty: Any
) -> Told:
    derived = derive(refrigerant, readings, machine=machine, **duty)
    case = Case(
        machine,
        tuple(Report(key, "present") for key in findings),
        derived.readings,
        ran=derived.running is True,
        stood=readings.running is False,
        values=derived.values,
        refrigerant=refrigerant,
        doubts=derived.doubts,
        fluid=Fluid.of(refrigerant),
    )
    return told(case)


WATER: dict[str, Any] = {"condenser": "water-cooled", "chiller": True}
COLD: dict[str, Any] = {"low_temperature": True}
SOUND = [
    ("R-744", read(13.0, -18.0, 28.0, 70.0), PISTONS, COLD),  # booster, -30/-8 °C
    ("R-744", read(11.0, -22.0, 31.0, 75.0), PISTONS, COLD),  # cascade, -35/-4 °C
    ("R-744", read(15.0, -15.0, 27.0, 60.0), PISTONS, COLD),
    ("R-744", read(27.0, 3.0, 85.0, 110.0), PISTONS, {}),
    ("R-404A", read(0.65, -22.0, 2.6, 50.0), PISTONS, COLD),  # low stage, -35/-15 °C
    ("R-717", read(-0.28, -32.0, 1.9, 70.0), PISTONS, COLD),  # low stage, -40/-10 °C
    ("R-134a", read(2.6, 12.0, 4.7, 40.0), SCREW, WATER),  # chiller in spring, 6/20 °C
    ("R-134a", read(2.6, 12.0, 4.7, 40.0, outdoor_temperature=celsius(15.0)), SCREW, WATER),
    ("R-123", read(-0.62, 12.0, 0.1, 50.0), SCREW, WATER),
    ("R-410A", read(9.5, 18.0, 15.5, 55.0, outdoor_temperature=celsius(12.0)), SCROLL, {}),
]


@pytest.mark.parametrize(("refrigerant", "readings", "machine", "duty"), SOUND)
def test_a_sound_machine_of_low_lift_keeps_running(
    refrigerant: str, readings: FieldReadings, machine: Machine, duty: dict[str, Any]
) -> None:
    found = judged(refrigerant, readings, machine, **duty)
    assert found.operation.advice == "keep-running", found.operation
    assert found.contradictions == ()


PUMPING_NOTHING = [
    ("R-744", read(26.0, 0.0, 28.0, 20.0), PISTONS, COLD),
    ("R-744", read(24.5, 0.0, 28.0, 20.0), PISTONS, COLD),
    ("R-744", read(36.0, 8.0, 44.0, 40.0), PISTONS, {}),
    ("R-404A", read(5.0, 5.0, 6.0, 20.0), PISTONS, COLD),
    ("R-404A", read(3.0, -5.0, 8.0, 50.0), PISTONS, COLD),  # one stage that should stand at 6 and more
    ("R-134a", read(3.8, 12.0, 4.7, 20.0), SCREW, WATER),
    ("R-134a", read(2.6, 12.0, 4.7, 40.0, outdoor_temperature=celsius(20.0)), SCREW, WATER),  # no heat leaves it
    ("R-410A", read(9.5, 18.0, 15.5, 55.0, outdoor_temperature=celsius(22.0)), SCROLL, {}),
    ("R-410A", read(9.5, 18.0, 15.5, 55.0), SCROLL, {}),
]


@pytest.mark.parametrize(("refrigerant", "readings", "machine", "duty"), PUMPING_NOTHING)
def test_a_machine_that_pumps_nothing_is_not_taken_for_one_of_low_lift(
    refrigerant: str, readings: FieldReadings, machine: Machine, duty: dict[str, Any]
) -> None:
    found = judged(refrigerant, readings, machine, **duty)
    assert found.operation.advice != "keep-running"
    assert {"no-pressure-difference", "reverse-rotation"} & {*found.operation.because}


@pytest.mark.parametrize("hot", [54.0, 60.0])
@pytest.mark.parametrize("gas", [7.0, 8.9])
def test_a_chiller_with_small_superheat_and_dry_discharge_keeps_running(gas: float, hot: float) -> None:
    found = judged("R-134a", read(2.41, gas, 7.93, hot), SCREW, **WATER)
    assert found.operation.advice == "keep-running", found.operation


@pytest.mark.parametrize(
    ("gas", "hot", "machine", "duty"),
    [
        (6.0, 36.0, SCREW, WATER),  # the discharge is as wet as the suction
        (7.0, 42.0, SCREW, WATER),
        (2.0, 54.0, SCREW, WATER),  # below saturation
        (7.0, 44.0, SCROLL, {}),  # no chiller, and a discharge that does not prove dry gas
    ],
)
def test_liquid_that_comes_back_is_not_passed_as_a_chillers_way(
    gas: float, hot: float, machine: Machine, duty: dict[str, Any]
) -> None:
    found = judged("R-134a", read(2.41, gas, 7.93, hot), machine, **duty)
    assert found.operation.advice != "keep-running"


def test_a_small_superheat_without_a_discharge_is_no_proof_of_dry_gas() -> None:
    wet = replace(read(2.41, 7.0, 7.93, 54.0), discharge_temperature=None)
    facts = Facts("R-134a", condenser="water-cooled", chiller=True)
    assert row_of("suction-superheat", facts, wet) == "suction-superheat"
    assert row_of("suction-superheat", facts, replace(wet, discharge_superheat=Measured(20.0, 1.0))) == (
        "suction-superheat-chiller"
    )
    hotter_than_any = replace(wet, discharge_temperature=celsius(60.0), discharge_pressure=barg(90.0))
    assert row_of("suction-superheat", facts, hotter_than_any) == "suction-superheat"


@pytest.mark.parametrize(
    ("quantity", "facts", "row"),
    [
        ("suction-superheat", Facts("R-717"), "suction-superheat-ammonia"),
        ("suction-superheat", Facts("R-410A", drive="inverter"), "suction-superheat-inverter"),
        ("compression-ratio", Facts("R-404A"), "compression-ratio"),
        ("compression-ratio", Facts("R-404A", low_temperature=True), "compression-ratio-low-temperature"),
        ("condensing-over-ambient", Facts("R-22", condenser="evaporative"), "condensing-over-wet-bulb"),
        ("discharge-temperature", Facts("R-717"), "discharge-temperature-ammonia"),
        ("subcooling", Facts("R-22"), "subcooling"),
    ],
)
def test_which_row_judges_a_machine(quantity: str, facts: Facts, row: str) -> None:
    assert row_of(quantity, facts, FieldReadings()) == row


@pytest.mark.parametrize(("ratio", "row"), [(2.0, "-low-lift"), (2.6, "-low-temperature")])
def test_a_stated_ratio_of_carbon_dioxide_is_judged_alike(ratio: float, row: str) -> None:
    stated = FieldReadings(running=True, compression_ratio=Measured(ratio, 0.02))
    assert row_of("compression-ratio", Facts("R-744", low_temperature=True), stated) == f"compression-ratio{row}"


def test_what_cannot_be_looked_up_is_no_low_lift() -> None:
    beyond = read(2.6, 12.0, 90.0, 40.0)
    assert not low_lift(Facts("R-134a", condenser="water-cooled"), beyond)
    assert not low_lift(Facts(None, condenser="water-cooled"), beyond)
    assert not stalled(Facts("R-744"), FieldReadings(running=False))


def test_few_bars_of_a_thin_gas_tell_nothing_once_it_is_lifted() -> None:
    """R-134a that condenses at the freezing point stands so in no sound machine: there the bars still tell."""
    assert pressure_difference(Facts("R-123", condenser="water-cooled"), read(-0.62, 12.0, 0.1, 50.0)) is None
    weak = FieldReadings(running=True, suction_pressure=psig(7.0), discharge_pressure=psig(30.0))
    assert pressure_difference(Facts("R-134a"), weak) is not None


@pytest.mark.parametrize(("suction", "discharge"), [(0.0, 20.0), (10.0, 35.0), (11.0, 34.8), (25.0, 45.0)])
def test_a_nearly_empty_circuit_is_not_left_to_run(suction: float, discharge: float) -> None:
    """R-410A at 45 psig boils at -16 degC: nothing condenses there (property library)."""
    found = judged(
        "R-410A",
        FieldReadings(running=True, suction_pressure=psig(suction), discharge_pressure=psig(discharge)),
        SCROLL,
    )
    assert found.operation.advice != "keep-running"
    assert any("discharge_pressure" in clash.readings for clash in found.contradictions)


def test_a_machine_in_the_frost_condenses_above_its_air() -> None:
    frost = read(1.0, 0.0, 3.6, 50.0, outdoor_temperature=celsius(-20.0))
    assert not condenses_nowhere(Facts("R-404A"), frost)
    assert condenses_nowhere(Facts("R-404A"), replace(frost, outdoor_temperature=celsius(10.0)))
    assert not condenses_nowhere(Facts("R-744"), frost)


TRIPS = ("breaker-trips-at-once",)


def grounded(megohm: float, findings: tuple[str, ...]) -> Told:
    readings = FieldReadings(insulation_resistance=Measured(megohm * 1e6, megohm * 5e4))
    return judged("R-410A", readings, SCROLL, findings, trips_at_once="breaker-trips-at-once" in findings)


@pytest.mark.parametrize("megohm", [0.0005, 0.005, 0.02, 0.04])
def test_a_dead_ground_beside_a_breaker_that_opens_at_once_is_no_contradiction(megohm: float) -> None:
    found = grounded(megohm, TRIPS)
    assert found.operation.advice == "stop"
    assert found.contradictions == ()
    assert found.probability("ground-fault") > 0.8


@pytest.mark.parametrize(("megohm", "findings"), [(0.02, ()), (0.2, TRIPS), (0.4, TRIPS), (0.06, TRIPS)])
def test_what_cold_refrigerant_may_explain_is_still_warmed_first(megohm: float, findings: tuple[str, ...]) -> None:
    found = grounded(megohm, findings)
    assert found.operation.advice == "stop"
    assert any("insulation_resistance" in clash.readings for clash in found.contradictions)
    assert found.state != "diagnosed"


@pytest.mark.parametrize(
    ("refrigerant", "suction", "discharge", "air", "duty"),
    [
        ("R-410A", 10.6, 17.5, 34.0, {}),  # 12/28 °C in air of 34 °C
        ("R-22", 5.2, 8.6, 30.0, {}),  # 7/22 °C
        ("R-404A", 2.6, 5.4, 25.0, COLD),  # -15/4 °C
    ],
)
def test_suction_that_stays_up_beside_a_fallen_head_is_no_lack_of_refrigerant(
    refrigerant: str, suction: float, discharge: float, air: float, duty: dict[str, Any]
) -> None:
    """Wrong answer: a leak is looked for, and refrigerant added, where the gas is there and is not moved."""
    readings = read(suction, air - 12.0, discharge, air + 25.0, outdoor_temperature=celsius(air))
    derived = derive(refrigerant, readings, machine=SCROLL, **duty)
    case = Case(SCROLL, (), derived.readings, ran=True, doubts=derived.doubts, fluid=Fluid.of(refrigerant))
    answer, sent = diagnose(case), dispatch_call(case)
    names = [mode.id for mode in answer.modes[:2]]
    assert "loss-of-charge" not in names
    assert {"internal-bypass", "reverse-rotation", "valve-failure", "relief-valve-open"} & {*names}
    for advised in (answer.dispatch, sent.advice):
        assert {"leak-repair", "refrigerant"}.isdisjoint(part.id for part in advised.parts)
        assert not [step for step in advised.for_technician if "leak before" in step or "into vacuum" in step]
        assert advised.operation.advice != "keep-running"


def test_suction_that_falls_with_the_head_stays_a_lack_of_refrigerant() -> None:
    short = read(4.3, 15.0, 17.0, 80.0, outdoor_temperature=celsius(34.0))  # R-410A -12/26 °C in air of 34 °C
    assert not [n for n in derive("R-410A", short, machine=SCROLL).readings if n.quantity == "evaporating-unmoved"]


def test_a_machine_that_rejects_its_heat_at_a_low_lift_does_its_work() -> None:
    """Wrong answer: a sound screw on cool water called out of action; and one that pumps nothing let run."""
    bara = Measured(3.5e5, 1.5e4), Measured(5.25e5, 1.5e4)
    cool = FieldReadings(
        running=True, suction_pressure=bara[0], discharge_pressure=bara[1], suction_temperature=celsius(10.0),
        discharge_temperature=celsius(31.0), outdoor_temperature=celsius(11.0), liquid_temperature=celsius(16.0),
    )  # fmt: skip
    derived = derive("R-134a", cool, machine=SCREW, condenser="water-cooled")
    case = Case(SCREW, (), derived.readings, ran=True, doubts=derived.doubts)
    assert "no-pressure-difference" not in diagnose(case).dispatch.operation.because
    assert dispatch_call(case).advice.operation.advice == "keep-running"
    dead = replace(cool, discharge_pressure=Measured(3.7e5, 1e4), outdoor_temperature=celsius(7.0))
    derived = derive("R-134a", dead, machine=SCREW, condenser="water-cooled")
    assert dispatch_call(Case(SCREW, (), derived.readings, ran=True)).advice.operation.advice != "keep-running"


@pytest.mark.parametrize(
    ("ratio", "uncertainty", "high"), [(11.0, 1.2, False), (12.5, 0.6, False), (14.5, 0.6, True), (13.0, 0.1, True)]
)
def test_a_ratio_within_its_doubt_is_not_called_outside(ratio: float, uncertainty: float, high: bool) -> None:  # noqa: FBT001
    case = Case(SCROLL, (), (Reading("compression-ratio-low-temperature", ratio, uncertainty),), ran=True)
    assert ("compression-ratio-high" in diagnose(case).dispatch.operation.because) is high


def over_duty(**more: Any) -> Told:
    """R-410A at 16/36 °C in air of 30 °C: it pumps half of what it should."""
    told_of = {"outdoor_temperature": celsius(30.0), "liquid_temperature": celsius(31.0)} | more
    return judged(
        "R-410A",
        read(12.0, 34.0, 21.0, 82.0, **told_of),
        Machine("scroll", "low-side", "fixed-speed", "hermetic", "single-phase"),
        application="air-conditioning",
    )


HALF = {"running_current": Measured(5.5, 0.2), "expected_current": Measured(10.0, 0.2)}


def test_a_machine_that_pumps_half_is_not_short_of_refrigerant() -> None:
    found = over_duty(**HALF)
    assert found.probability("internal-bypass") > found.probability("loss-of-charge")
    assert found.probability("undercharge") < 0.3


def numbers_of(refrigerant: str, application: str, machine: Machine = SCROLL, **read_at: Any) -> set[str]:
    derived = derive(refrigerant, FieldReadings(running=True, **read_at), machine=machine, application=application)  # type: ignore[arg-type]
    return {number.quantity for number in derived.readings}


WARM: dict[str, Any] = {"suction_pressure": barg(12.0), "discharge_pressure": barg(21.0)}
IDLE: dict[str, Any] = WARM | {"outdoor_temperature": celsius(31.0)}


@pytest.mark.parametrize(
    ("duty", "told_of", "over"),
    [
        ("air-conditioning", IDLE, True),
        ("air-conditioning", WARM | HALF, True),
        ("air-conditioning", WARM, False),  # nobody knows what is rejected
        ("air-conditioning", WARM | {"outdoor_temperature": celsius(20.0)}, False),  # a warm room: it rejects its heat
        ("air-conditioning", IDLE | {"running_current": Measured(13.0), "expected_current": Measured(10.0)}, False),
        ("air-conditioning", IDLE | {"running_current": Measured(9.8), "expected_current": Measured(10.0)}, True),
        ("air-conditioning", IDLE | {"suction_pressure": barg(8.0)}, False),
        (None, IDLE, False),
    ],
)
def test_a_warm_coil_is_a_sign_where_little_heat_is_rejected(
    duty: str | None, told_of: dict[str, Any], *, over: bool
) -> None:
    assert ("evaporating-over-duty" in numbers_of("R-410A", duty or "", **told_of)) is over


def test_a_drive_at_its_lowest_speed_has_a_warm_coil_and_no_fault() -> None:
    slow = Machine("rotary", "high-side", "inverter")
    assert "evaporating-over-duty" not in numbers_of("R-410A", "air-conditioning", slow, **IDLE)


@pytest.mark.parametrize(
    ("refrigerant", "duty", "row"),
    [
        ("R-717", "air-conditioning", "subcooling-receiver"),
        ("R-404A", "low-temperature", "subcooling-receiver"),
        ("R-404A", "air-conditioning", "subcooling"),
    ],
)
def test_liquid_that_drains_into_a_receiver_is_hardly_subcooled(refrigerant: str, duty: str, row: str) -> None:
    found = numbers_of(refrigerant, duty, discharge_pressure=barg(14.0), liquid_temperature=celsius(28.0))
    assert row in found
