"""A machine that destroys itself is stopped; worst: `Let it run` at twice the rated current or in a deep vacuum."""

from __future__ import annotations

import random

import pytest

from witnessmark.diagnosis.answer.extremes import extremes
from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.operation import operation
from witnessmark.diagnosis.answer.priority import priority
from witnessmark.diagnosis.answer.safety import abnormal, notices
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.dispatching import dispatch_call

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
