"""The plan as a whole."""

from datetime import datetime

import pytest
from tests.cleanup.cases import case

from witnessmark.cleanup.plan import plan
from witnessmark.errors import UnknownNameError
from witnessmark.reference import caution, source


def test_a_plan_holds_together() -> None:
    made = plan(case())
    assert made.severity.grade == 2
    assert made.amounts.turnover is not None
    assert [fit.position for fit in made.amounts.fits] == [0]
    assert made.checks[0].elapsed == 0
    assert len(made.clean_when) == 3
    assert [part.part for part in made.parts if part.action == "replace"]


def test_cautions_and_sources_exist_and_stand_once() -> None:
    made = plan(case(maker_drop=20e3))
    assert made.cautions[0] == "licensed"
    assert [caution(key).id for key in made.cautions]
    assert [source(key).id for key in made.sources]
    assert len(set(made.sources)) == len(made.sources)
    assert "maker-limit" in made.sources
    assert "reversed-flow" in made.cautions


def test_the_evaporating_temperature_moves_the_limit() -> None:
    warm, cold = plan(case()), plan(case(circuit={"evaporating": 245.0}))
    assert cold.drop_limit.drop < warm.drop_limit.drop


@pytest.mark.parametrize(
    ("circuit", "locked", "noted"),
    [
        ({"plant": "cooling only", "can_lock": None}, False, False),
        ({"plant": "heat pump", "can_lock": None}, True, True),
        ({"plant": "heat pump", "can_lock": False}, False, False),
        ({"plant": "branch-controlled", "can_lock": True}, True, False),
    ],
)
def test_the_lock(circuit: dict[str, object], locked: bool, noted: bool) -> None:  # noqa: FBT001
    made = plan(case(circuit=circuit))
    assert ("lock-cooling" in {step.id for step in made.steps}) is locked
    assert ("release-lock" in {step.id for step in made.steps}) is locked
    assert any("locked in cooling (not said)" in text for text in made.assumptions) is noted


def test_named_parts_stand_in_for_the_usual_ones() -> None:
    made = plan(case(circuit={"parts": ("receiver", "capillary", "receiver")}))
    assert {part.part for part in made.parts} == {"receiver", "capillary"}
    with pytest.raises(UnknownNameError) as caught:
        plan(case(circuit={"parts": ("receiver", "flux capacitor")}))
    assert caught.value.field == "parts.1"


def test_a_filter_for_a_line_that_has_no_need_is_left_out() -> None:
    assert plan(case(circuit={"capacity": None})).amounts.fits == ()


def test_a_clock_time_that_comes_twice_is_noted() -> None:
    twice = datetime.fromisoformat("2026-11-01T01:30")
    assert any("comes twice" in text for text in plan(case(start=twice)).assumptions)
    assert not any("comes twice" in text for text in plan(case()).assumptions)
