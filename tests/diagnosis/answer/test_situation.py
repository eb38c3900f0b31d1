"""What was told decides whether a machine runs, stands opened, and on which side it ails."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.situation import SIDES, side_of, situation
from witnessmark.diagnosis.case import Case, Condition, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge


@pytest.mark.parametrize(
    ("told", "case", "runs"),
    [
        ({}, Case(), None),
        ({"condenser-fouled": "present"}, Case(), None),
        ({"suction-superheat": "normal"}, Case(), True),
        ({"trips-after-minutes": "present"}, Case(), True),
        ({"trips-after-minutes": "absent"}, Case(), None),
        ({}, Case(conditions=("compressor-runs",)), True),
        ({}, Case(ran=True), True),
        ({"knock-while-running": "present", "will-not-start": "present"}, Case(ran=True), False),
        ({"will-not-start": "absent"}, Case(), None),
    ],
)
def test_whether_it_runs(
    told: dict[str, str],
    case: Case,
    runs: bool | None,  # noqa: FBT001 - a parameter of the table
    shipped: Knowledge,
) -> None:
    assert situation(shipped, case, told).runs is runs


@pytest.mark.parametrize(
    ("told", "case", "opened", "can"),
    [
        ({}, Case(), False, {"power-off", "compressor-runs", "circuit-open"}),
        ({"will-not-start": "present"}, Case(), False, {"power-off", "circuit-open"}),
        ({"bearings-blued": "present"}, Case(), True, {"power-off", "circuit-open", "compressor-removed"}),
        ({}, Case(reported_by=("teardown",)), True, {"power-off", "circuit-open", "compressor-removed"}),
        ({"bearings-blued": "present"}, Case(conditions=("power-off",)), False, {"power-off"}),
        ({}, Case(conditions=("compressor-removed",)), True, {"compressor-removed"}),
        ({}, Case(conditions=()), False, set()),
        ({"frost-on-suction": "present"}, Case(conditions=()), False, {"compressor-runs"}),
        ({"no-such-finding": "present"}, Case(), False, {"power-off", "compressor-runs", "circuit-open"}),
    ],
)
def test_what_can_be_done(
    told: dict[str, str],
    case: Case,
    opened: bool,  # noqa: FBT001 - a parameter of the table
    can: set[Condition],
    shipped: Knowledge,
) -> None:
    here = situation(shipped, case, told)
    assert here.opened is opened
    assert {*here.can} == can


def test_who_calls(shipped: Knowledge) -> None:
    assert situation(shipped, Case(), {"capacity-low": "present"}).called_in
    assert situation(shipped, Case(conditions=()), {}).called_in
    assert not situation(shipped, Case(), {}).called_in
    assert not situation(shipped, Case(), {"insulation-low": "present"}).called_in
    assert not situation(shipped, Case(conditions=("power-off",)), {"capacity-low": "present"}).called_in


def test_an_open_circuit_with_parts_seen_is_an_opened_compressor(shipped: Knowledge) -> None:
    case = Case(conditions=("power-off", "circuit-open"))
    assert situation(shipped, case, {"rods-scored": "present"}).opened
    assert "compressor-removed" in situation(shipped, case, {"rods-scored": "present"}).can
    assert not situation(shipped, case, {"drier-discoloured": "present"}).opened


def test_a_machine_that_runs_was_not_looked_into(shipped: Knowledge) -> None:
    """Worst: who reads gauges at a running machine is sent to look at bearings, since what runs is not seized."""
    for case in (
        Case(ran=True),
        Case(conditions=("compressor-runs",)),
        Case(findings=(Report("oil-quantity", "low"),)),
    ):
        assert not inquire(shipped, case).situation.opened
    for key in ("shaft-seized", "terminal-burnt", "oil-pump-failed"):
        assert not inquire(shipped, Case(findings=(Report(key, "present"),))).situation.opened
    for key in ("shaft-turns-freely", "no-metal-in-oil", "compressor-runs"):
        assert not inquire(shipped, Case(findings=(Report(key, "present"),))).situation.opened
    for key in ("wraps-whole", "sleeve-bearings-little-worn", "bearings-blued"):
        assert inquire(shipped, Case(findings=(Report(key, "present"),))).situation.opened


def test_sides(shipped: Knowledge) -> None:
    def sides(**told: str) -> frozenset[str]:
        return situation(shipped, Case(), {key.replace("_", "-"): state for key, state in told.items()}).sides

    assert sides(contactor_bad="present") == {"electrical"}
    assert sides(suction_superheat="low", contactor_bad="absent", high_hours="present") == {"circuit"}
    assert sides(suction_superheat="low", contactor_bad="present") == SIDES
    assert sides(protector_open_hot="present") == SIDES
    assert side_of(shipped.findings["winding-open"]) == "electrical"


def test_elsewhere_is_the_other_side_only(shipped: Knowledge) -> None:
    here = situation(shipped, Case(), {"contactor-bad": "present"})
    assert here.elsewhere(shipped.findings["suction-superheat"])
    assert not here.elsewhere(shipped.findings["winding-open"])
    assert not here.elsewhere(shipped.findings["storm-or-outage"])
    assert not situation(shipped, Case(), {}).elsewhere(shipped.findings["suction-superheat"])


def test_what_is_needless(shipped: Knowledge) -> None:
    def needless(case: Case, **told: str) -> frozenset[str]:
        return situation(shipped, case, {key.replace("_", "-"): state for key, state in told.items()}).needless

    assert "breaker-trips-at-once" in needless(Case(), insulation_low="present")
    assert "breaker-trips-at-once" not in needless(Case(), insulation_low="absent")
    assert "winding-open" in needless(Case(ran=True))
    assert "bulb-loose" in needless(Case(conditions=()))
    assert "trips-after-minutes" in needless(Case(conditions=("compressor-removed",)))


def test_what_is_usually_looked_at_next(shipped: Knowledge) -> None:
    """By the row of what was told, its order kept, nothing that is told already; a second row counts less."""
    one = situation(shipped, Case(), {"coil-iced": "present"}).follows
    assert next(iter(one)) == "airflow-low"
    assert list(one.values()) == sorted(one.values(), reverse=True)
    two = situation(
        shipped, Case(), {"coil-iced": "present", "capacity-low": "present", "airflow-low": "absent"}
    ).follows
    assert "airflow-low" not in two
    assert max(two.values()) == 1.0
    assert two["condenser-fouled"] < 0.6
    assert situation(shipped, Case(), {}).follows == {}


def test_what_was_read_is_needless(shipped: Knowledge) -> None:
    assert "suction-pressure" in situation(shipped, Case(read=("suction_pressure",)), {}).needless
    assert "suction-pressure" not in situation(shipped, Case(), {}).needless
