"""A machine that destroys itself is stopped; worst: `Let it run` at twice the rated current or in a deep vacuum."""

from __future__ import annotations

import random

import pytest
from tests.diagnosis.evidence.read import Told, barg, case_of, psig, told

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.answer.extremes import extremes
from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.operation import operation
from witnessmark.diagnosis.answer.priority import priority
from witnessmark.diagnosis.answer.safety import abnormal, notices
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.evidence.field_readings import FieldReadings

PISTONS = Machine("reciprocating", None, "fixed-speed", "semi-hermetic", "three-phase")
SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")


@pytest.mark.parametrize(
    "note",
    [
        "RLA 14 pulling 28 amps and getting hot",
        "compressor amps 40, nameplate RLA 22",
        "line currents 30 31 30, RLA 14",
        "head 600 psig R410A fan dead",
        "head 550 psig and climbing",
        "head 550 and climbing, cond fan not running",
        'suction 28" vacuum, compressor hot',
        "low side 25 inHg high 200",
    ],
)
def test_it_is_stopped_and_damage_spreads(note: str) -> None:
    advice = dispatch_call(Case(), note).advice
    assert advice.operation.advice == "stop"
    assert advice.priority.kind == "spreading-damage"


@pytest.mark.parametrize(
    "note",
    [
        "RLA 14 pulling 13 amps",
        "head 1300 psig on R744",
        "head 380 psig R410A",
        "head 500 psig R410A, 115 outside",
        "R-32, head 505 psig",
        "R-23 cascade, head 560 psig",
        "R-123 chiller, suction 16 inHg",
        "",
    ],
)
def test_what_is_no_extreme_is_not_stopped(note: str) -> None:
    assert dispatch_call(Case(), note).advice.operation.advice != "stop"


def test_a_drive_holds_the_current_and_a_zero_rating_says_nothing() -> None:
    much = {"running_current": (28.0,), "rated_current": (14.0,)}
    assert [one.finding for one in extremes(much, Case())] == ["running-current"]
    assert extremes(much, Case(Machine(drive="inverter"))) == ()
    assert extremes({**much, "rated_current": (0.0,)}, Case()) == ()


def test_what_stands_is_not_ruined(shipped: Knowledge) -> None:
    case = Case(SCROLL, conditions=("power-off",))
    beyond = extremes({"suction_pressure": (2e4,)}, case)
    assert beyond
    assert priority(shipped, case, {}, beyond=beyond).kind != "spreading-damage"


def test_what_spreads_damage_or_danger_never_runs_on(shipped: Knowledge) -> None:
    """Priority and operation come from one decision: 150 machines with one to four random findings."""
    random_source, kept = random.Random(20261129), 0  # noqa: S311 - a sample, no secret
    rows = [f for f in shipped.findings.values() if f.applies.to(SCROLL)]
    for _ in range(150):
        chosen = random_source.sample(rows, random_source.randint(1, 4))
        states = [
            random_source.choice(("low", "high", "normal") if f.kind == "three-way" else ("present",)) for f in chosen
        ]
        reports = tuple(Report(f.id, state) for f, state in zip(chosen, states, strict=True))  # type: ignore[arg-type]
        inquiry = inquire(shipped, Case(SCROLL, reports, ran=True), brief=True)
        signs = abnormal(inquiry)
        said = operation(inquiry, notices(inquiry), signs)
        ranked = priority(shipped, inquiry.case, signs)
        if said.advice == "keep-running":
            kept += 1
            assert ranked.kind not in {"danger", "spreading-damage"}, (reports, ranked)
    assert kept >= 10


def read(refrigerant: str | None, **values: Measured) -> Told:
    """A machine that runs, with these readings."""
    return told(case_of(refrigerant, FieldReadings(running=True, **values), PISTONS))  # type: ignore[arg-type]


TOO_HIGH: list[tuple[str | None, str, Measured]] = [
    ("R-410A", "discharge_pressure", psig(700)),
    ("R-410A", "discharge_pressure", psig(650)),
    ("R-134a", "discharge_pressure", barg(26)),
    ("R-22", "discharge_pressure", psig(430)),
    ("R-404A", "discharge_pressure", barg(34)),
    ("R-407C", "discharge_pressure", barg(33)),
    ("R-448A", "discharge_pressure", barg(36)),
    ("R-32", "discharge_pressure", barg(47)),
    ("R-454B", "discharge_pressure", psig(640)),
    ("R-290", "discharge_pressure", barg(33)),
    ("R-600a", "discharge_pressure", barg(15)),
    ("R-717", "discharge_pressure", barg(31)),
    ("R-744", "discharge_pressure", barg(140)),
    ("R-410A", "suction_pressure", psig(900)),
    ("R-134a", "suction_pressure", barg(17)),
    ("R-717", "suction_pressure", barg(27)),
    ("R-744", "suction_pressure", barg(95)),
    (None, "suction_pressure", psig(900)),
]


@pytest.mark.parametrize(("refrigerant", "field", "pressure"), TOO_HIGH)
@pytest.mark.parametrize("running", [True, False, None])
def test_what_may_burst_is_a_danger_whether_it_runs_or_not(
    refrigerant: str | None,
    field: str,
    pressure: Measured,
    running: bool | None,  # noqa: FBT001 - a parameter of the table
) -> None:
    """Worst: `Let it run`, planned work, at 700 psig on R-410A."""
    stated = FieldReadings(running=running, **{field: pressure})  # type: ignore[arg-type]
    answer = told(case_of(refrigerant, stated, PISTONS))
    assert answer.operation.advice == "stop"
    assert "burst" in answer.operation.reason
    assert (answer.priority.level, answer.priority.kind) == (1, "danger")
    assert "keep-clear-of-what-may-burst-or-fall" in {notice.rule for notice in answer.safety}


@pytest.mark.parametrize(
    ("refrigerant", "field", "pressure"),
    [
        ("R-410A", "discharge_pressure", psig(520)),
        ("R-134a", "discharge_pressure", barg(22)),
        ("R-22", "discharge_pressure", psig(360)),
        ("R-744", "discharge_pressure", barg(118)),
        ("R-744", "suction_pressure", barg(55)),
        ("R-23", "discharge_pressure", barg(38)),
        ("R-508B", "suction_pressure", barg(20)),
        (None, "suction_pressure", psig(400)),
        ("R-245fa", "discharge_pressure", barg(20)),
        ("R-410A", "suction_pressure", psig(300)),
    ],
)
def test_what_such_a_circuit_reaches_is_no_danger(refrigerant: str | None, field: str, pressure: Measured) -> None:
    assert read(refrigerant, **{field: pressure}).priority.kind != "danger"


VACUUM = [("R-410A", psig(-5)), ("R-22", psig(-5)), ("R-32", barg(-0.2)), ("R-454B", psig(-4)), ("R-404A", barg(-0.4)),
          ("R-290", psig(-5)), ("R-134a", barg(-0.55)), ("R-717", barg(-0.6)), ("R-448A", barg(-0.3))]  # fmt: skip


@pytest.mark.parametrize(("refrigerant", "suction"), VACUUM)
def test_a_machine_drawn_into_vacuum_is_stopped(refrigerant: str, suction: Measured) -> None:
    answer = read(refrigerant, suction_pressure=suction, discharge_pressure=barg(14))
    assert answer.operation.advice == "stop"
    assert "vacuum" in answer.operation.reason
    assert answer.priority.kind == "spreading-damage"
    at_rest = FieldReadings(running=False, suction_pressure=suction)
    assert told(case_of(refrigerant, at_rest, PISTONS)).operation.advice == "unknown"


@pytest.mark.parametrize(
    ("refrigerant", "suction"),
    [
        ("R-717", barg(-0.3)),
        ("R-134a", barg(-0.2)),
        ("R-600a", barg(-0.55)),
        ("R-123", barg(-0.6)),
        ("R-404A", barg(0.1)),
        ("R-23", barg(-0.1)),
        ("R-22", barg(0.0)),
        ("R-410A", barg(-0.03)),
    ],
)
def test_what_is_drawn_into_vacuum_in_use_runs_on(refrigerant: str, suction: Measured) -> None:
    assert read(refrigerant, suction_pressure=suction).operation.advice != "stop"


def test_the_nearest_words_of_a_call() -> None:
    """A call with a note says what a call with fields says; on the phone keeping clear is told."""
    bottle = "gauge reads 900 psi on low side"
    advice = dispatch_call(Case(), bottle).advice
    assert advice.operation.advice == "stop"
    assert advice.priority.kind == "danger"
    assert any(line.startswith("Something may burst") for line in advice.for_caller)


@pytest.mark.parametrize(
    ("refrigerant", "head", "stopped"),
    [
        ("R-404A", 455.0, True),
        ("R-404A", 440.0, False),  # 65 degC is 449 psig
        ("R-410A", 615.0, True),
        ("R-410A", 535.0, False),
        ("R-134a", 360.0, False),  # heat pumps for hot water
        ("R-134a", 375.0, True),
        ("R-600a", 190.0, False),
        ("R-744", 1450.0, False),  # above its critical point there is no condensing
    ],
)
def test_nothing_condenses_so_hot(refrigerant: str, head: float, stopped: bool) -> None:  # noqa: FBT001
    made = case_of(refrigerant, FieldReadings(running=True, discharge_pressure=psig(head)), PISTONS)
    found = [one.finding for one in extremes({"discharge_pressure": (psig(head).value,)}, made, refrigerant)]
    assert ("condensing-pressure" in found) is stopped


@pytest.mark.parametrize(
    ("read", "stopped"),
    [
        ({"line_voltages": (208.0, 208.0, 172.0)}, True),
        ({"line_voltages": (480.0, 470.0, 440.0)}, False),  # 5.0 %: the motor standard still tells a load
        ({"line_currents": (14.0, 20.0, 11.0)}, True),
        ({"line_currents": (20.0, 18.0, 17.0)}, False),
    ],
)
def test_a_gross_unbalance_stops_a_motor(read: dict[str, tuple[float, ...]], stopped: bool) -> None:  # noqa: FBT001
    """NEMA MG 1, part 14.36: no motor is to run above 5 % voltage unbalance; of currents an expert estimate."""
    lines = {name: tuple(Measured(v, 0.001 * v) for v in values) for name, values in read.items()}
    found = extremes({}, case_of(None, FieldReadings(running=True, **lines), SCROLL))  # type: ignore[arg-type]
    assert bool(found) is stopped


@pytest.mark.parametrize(
    ("volts", "stopped"),
    [(480.0, True), (264.6, True), (264.0, False), (230.0, False), (184.5, False), (183.9, True), (20.0, False)],
)
@pytest.mark.parametrize("lines", [False, True])
def test_far_from_its_rated_voltage_no_motor_runs_on(volts: float, stopped: bool, lines: bool) -> None:  # noqa: FBT001
    """IEC 60034-1, 7.3: zone B ends 10 % either side; how much further stops a machine is an expert estimate."""
    values = {"line_voltages" if lines else "supply_voltage": (volts,) * (3 if lines else 1), "rated_voltage": (230.0,)}
    assert bool(extremes(values, Case(SCROLL))) is stopped
