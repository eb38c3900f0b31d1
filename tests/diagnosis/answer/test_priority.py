"""How soon to send. Worst: a danger to people is sent as planned work."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.diagnosis.answer.priority import KINDS, priority
from witnessmark.diagnosis.case import Case, Condition, Report, Urgency
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.triage import triage
from witnessmark.diagnosis.result import Priority, PriorityKind

FALLING = get_args(Urgency.__value__)
"""Most urgent first."""
DANGERS = tuple(key for key, row in knowledge().findings.items() if row.group == "danger")
signs = st.dictionaries(
    st.sampled_from(sorted(knowledge().findings)), st.sampled_from(("present", "low", "high")), max_size=6
)
urgencies = st.none() | st.sampled_from(FALLING)
stands = st.sampled_from([None, (), ("power-off",), ("compressor-runs",)])


def ranked(
    found: Mapping[str, str], urgency: Urgency | None = None, conditions: tuple[Condition, ...] | None = None
) -> Priority:
    return priority(knowledge(), Case(urgency=urgency, conditions=conditions), found)


@pytest.mark.parametrize("key", DANGERS)
def test_every_danger_comes_first_whatever_the_caller_says(key: str) -> None:
    said = ranked({key: "present"}, "none", ("power-off",))
    assert (said.level, said.kind, said.because) == (1, "danger", (key,))
    assert said.reason.startswith("Danger to people: ")


def test_the_order_of_what_is_at_stake() -> None:
    levels = [
        ranked({"fire-seen": "present"}, "none"),
        ranked({"insulation-low": "present"}, "none"),
        ranked({"knock-while-running": "present"}, "none"),
        ranked({"capacity-low": "present"}, "medical"),
        ranked({"capacity-low": "present"}, "food-at-risk"),
        ranked({"capacity-low": "present"}, "occupied"),
        ranked({"capacity-low": "present"}, "comfort"),
        ranked({"capacity-low": "present"}, "none"),
    ]
    assert [said.level for said in levels] == list(KINDS) == list(range(1, 9))
    assert tuple(dict.fromkeys(said.kind for said in levels)) == get_args(PriorityKind.__value__)
    assert all(a.order < b.order for a, b in pairwise(levels))
    assert all(said.reason.endswith(".") for said in levels)


def test_where_nobody_said_what_depends_on_it() -> None:
    assert ranked({"will-not-start": "present"}).level == 6
    assert ranked({"capacity-low": "present"}).level == 7
    assert ranked({}).level == 8


def test_within_a_level_what_is_lost_goes_first() -> None:
    dead, weak = (
        ranked({"will-not-start": "present"}, "food-at-risk"),
        ranked({"capacity-low": "present"}, "food-at-risk"),
    )
    assert dead.level == weak.level
    assert dead.order < weak.order < ranked({}, "food-at-risk").order
    care, office = ranked({"fire-seen": "present"}, "medical"), ranked({"fire-seen": "present"}, "comfort")
    assert care.order < office.order


def test_damage_spreads_only_while_it_can_run() -> None:
    assert ranked({"knock-while-running": "present"}, "none", ("power-off",)).level == 8
    assert ranked({"knock-while-running": "present"}, "none", ("compressor-runs",)).level == 3


def test_words_of_alarm_that_nobody_understood_are_no_planned_work() -> None:
    alarm = priority(knowledge(), Case(urgency="none"), {}, "danger")
    assert (alarm.level, alarm.kind) == (2, "danger")
    assert "call back" in alarm.reason
    assert priority(knowledge(), Case(), {}, "nothing").level == 7
    assert priority(knowledge(), Case(urgency="none"), {}, "nothing").level == 8
    assert priority(knowledge(), Case(urgency="medical"), {}, "nothing").level == 4


def test_loud_words_do_not_outrank_what_was_understood() -> None:
    """Worst: somebody shouts about a discount while a compressor breaks up."""
    loud = priority(knowledge(), Case(urgency="none"), {}, "alarm")
    assert "call back" in loud.reason
    assert ranked({"knock-while-running": "present"}, "none").order < loud.order
    assert ranked({"capacity-low": "present"}, "food-at-risk").order < loud.order
    assert loud.order < ranked({"capacity-low": "present"}, "comfort").order
    contract = priority(knowledge(), Case(urgency="none"), {}, "alarm", planned=True)
    assert ranked({"capacity-low": "present"}, "comfort").order < contract.order


def test_planned_work_waits_but_not_where_something_is_at_stake() -> None:
    assert priority(knowledge(), Case(), {}, planned=True).level == 8
    assert priority(knowledge(), Case(), {"will-not-start": "present"}, planned=True).level == 6
    assert priority(knowledge(), Case(), {"fire-seen": "present"}, planned=True).level == 1
    assert priority(knowledge(), Case(), {}, "danger", planned=True).level == 2
    assert priority(knowledge(), Case(urgency="medical"), {}, planned=True).level == 4


def test_a_noise_at_the_start_is_no_damage_where_a_knock_was_denied() -> None:
    noise = {"start-noise": "present"}
    quiet = Case(urgency="none", findings=(Report("knock-while-running", "absent"),))
    assert priority(knowledge(), quiet, noise).level == 8
    assert ranked(noise, "none").level == 3
    dead = ranked({"will-not-start": "present", "capacitor-bad": "present"}, "comfort")
    assert dead.order < priority(knowledge(), quiet, noise).order


def test_metal_on_the_magnet_is_damage() -> None:
    assert ranked({"magnet-full": "present"}, "none").level == 3


@given(signs, urgencies, stands, st.sampled_from(DANGERS))
def test_a_danger_more_never_lowers_it(
    found: dict[str, str], urgency: Urgency | None, conditions: tuple[Condition, ...] | None, danger: str
) -> None:
    before, after = ranked(found, urgency, conditions), ranked({**found, danger: "present"}, urgency, conditions)
    assert after.level == 1
    assert after.order <= before.order


@given(signs, stands)
def test_more_urgency_never_lowers_it(found: dict[str, str], conditions: tuple[Condition, ...] | None) -> None:
    said = [ranked(found, urgency, conditions) for urgency in FALLING]
    assert all(a.level <= b.level and a.order < b.order for a, b in pairwise(said))


@given(signs, urgencies, stands)
def test_the_order_is_total_and_agrees_with_the_level(
    found: dict[str, str], urgency: Urgency | None, conditions: tuple[Condition, ...] | None
) -> None:
    said = ranked(found, urgency, conditions)
    assert said.order // 100 == said.level
    assert KINDS[said.level] == said.kind


def test_every_sign_stands_once() -> None:
    keys = [key for row in triage().sign for key in (*row.findings, *row.low)]
    assert len(keys) == len(set(keys))
    assert not set(keys) & set(DANGERS)


def test_goods_are_lost_in_a_cooler_that_does_not_cool() -> None:
    keeps = Case(keeps_goods=True)
    assert priority(knowledge(), keeps, {"capacity-low": "present"}).level == 5
    assert priority(knowledge(), keeps, {}).level == 8
    assert priority(knowledge(), keeps, {}, planned=True).level == 8
    assert priority(knowledge(), keeps, {"capacity-low": "present"}, planned=True).level == 5
    assert priority(knowledge(), keeps, {"knock-while-running": "present"}).level == 3
