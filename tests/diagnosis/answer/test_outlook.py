"""What a check is worth: the usual order, what is in view, what is put right."""

from __future__ import annotations

import numpy as np
import pytest

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.outlook import customary, foreseen, in_view, roughly_foreseen, words_of
from witnessmark.diagnosis.answer.permitted import actions, permitted
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.case import Case, Condition, Machine, Report
from witnessmark.diagnosis.catalogue.check_book import check_book
from witnessmark.diagnosis.catalogue.rows import CheckRow, Finding, Knowledge
from witnessmark.diagnosis.result import forbidden

SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")


def ask(
    known: Knowledge,
    *reports: tuple[str, str],
    machine: Machine = SCROLL,
    conditions: tuple[Condition, ...] | None = None,
) -> Inquiry:
    built = tuple(Report(key, state) for key, state in reports)  # type: ignore[arg-type]
    return inquire(known, Case(machine, built, conditions=conditions))


def check_of(known: Knowledge, key: str) -> tuple[Finding, CheckRow]:
    finding = known.findings[key]
    assert finding.check
    return finding, finding.check


def factor(inquiry: Inquiry, key: str) -> float:
    return customary(inquiry, *check_of(inquiry.knowledge, key))


def test_a_repair_tells_of_its_cause_as_its_row_says(shipped: Knowledge) -> None:
    """By hand: Bayes on the cause alone, which the outcome hangs on and nothing else."""
    inquiry = ask(shipped, ("condenser-fouled", "present"), ("condensing-pressure", "high"))
    (pair,) = actions(inquiry, forbidden(notices(inquiry)))
    (outlook,) = foreseen(inquiry, inquiry.posterior, [pair])
    action = next(row for row in check_book().action if row.id == "clean-condenser")
    before = inquiry.probability("condenser-heat-rejection")
    there, not_there = before * action.found, (1 - before) * action.false_alarm
    node = inquiry.net.nodes.index("condenser-heat-rejection")
    assert outlook.chance[0] == pytest.approx(there + not_there, abs=1e-9)
    assert outlook.after[0, node] == pytest.approx(there / (there + not_there), abs=1e-9)
    assert outlook.after.T @ outlook.chance == pytest.approx(inquiry.answer.probability[0], abs=1e-9)
    assert outlook.name == "clean-condenser"


def test_the_first_look_is_near_the_exact_one(shipped: Knowledge) -> None:
    inquiry = ask(shipped, ("suction-superheat", "low"), ("frost-on-suction", "present"))
    allowed = permitted(inquiry, notices(inquiry))
    rough = {o.name: o for o in roughly_foreseen(inquiry, allowed)}
    for outlook in foreseen(inquiry, inquiry.posterior, allowed)[:5]:
        assert np.abs(rough[outlook.name].chance - outlook.chance).max() < 0.15
        assert rough[outlook.name].order > outlook.order / 3


def test_all_is_in_view_before_anything_is_found(shipped: Knowledge) -> None:
    assert (in_view(ask(shipped)) == 1).all()
    raised = ask(shipped, ("suction-superheat", "low"))
    view = in_view(raised)
    assert view[raised.net.nodes.index("liquid-floodback")] == 1
    assert view[raised.net.nodes.index("dirty-installation")] < 0.5


def test_the_order_of_the_trade(shipped: Knowledge) -> None:
    closed, opened = ask(shipped), ask(shipped, ("bearings-blued", "present"))
    order = check_book().order
    assert factor(closed, "charge-short") == pytest.approx(order.recover)
    assert factor(opened, "wear-uniform-dry") == pytest.approx(order.open_already)
    assert factor(closed, "wear-uniform-dry") == pytest.approx(order.open)


ON_SITE: tuple[Condition, ...] = ("power-off", "compressor-runs")


def test_who_calls_is_asked_before_gauges_are_sent_for(shipped: Knowledge) -> None:
    """Worst: a shop that calls is told to put gauges on."""
    calling = ask(shipped, ("capacity-low", "present"))
    standing = ask(shipped, ("capacity-low", "present"), conditions=ON_SITE)
    phone = check_book().phone
    assert factor(calling, "capacity-lost-suddenly") == pytest.approx(phone.asked)
    assert factor(calling, "suction-pressure") == pytest.approx(factor(standing, "suction-pressure") * phone.other)
    assert factor(standing, "capacity-lost-suddenly") < phone.asked


def test_at_an_opened_compressor_what_lies_there_comes_first(shipped: Knowledge) -> None:
    """Worst: a technician with the parts in hand is sent to the coil."""
    opened = ask(shipped, ("bearings-blued", "present"), conditions=("power-off", "circuit-open", "compressor-removed"))
    assert factor(opened, "airflow-low") < factor(ask(shipped), "airflow-low")
    assert factor(opened, "metal-fines-in-oil") == pytest.approx(check_book().order.sample)


def test_the_side_of_the_complaint_comes_first(shipped: Knowledge) -> None:
    electrical, circuit = (ask(shipped, (key, "present"), conditions=ON_SITE) for key in ("contactor-bad", "coil-iced"))
    other = check_book().order.other_side
    assert factor(electrical, "subcooling") == pytest.approx(factor(circuit, "subcooling") * other)
    assert factor(circuit, "voltage-unbalance") == pytest.approx(factor(electrical, "voltage-unbalance") * other)


def test_what_is_senseless_if_it_runs_waits_until_that_is_known(shipped: Knowledge) -> None:
    unsaid, dead = (
        ask(shipped, (key, "present"), conditions=("power-off",)) for key in ("condenser-fouled", "will-not-start")
    )
    assert factor(unsaid, "insulation-low") < factor(dead, "insulation-low")
    assert factor(ask(shipped), "insulation-low") == factor(dead, "insulation-low")


def test_an_oil_safety_is_asked_for_where_there_may_be_one(shipped: Knowledge) -> None:
    def at(machine: Machine) -> float:
        return factor(ask(shipped, machine=machine), "oil-safety-trips")

    semi = Machine("reciprocating", "low-side", "fixed-speed", "semi-hermetic", "three-phase")
    unknown = Machine("reciprocating", "low-side", "fixed-speed", None, "three-phase")
    assert at(SCROLL) == 0
    assert 0 < at(unknown) < at(semi)


def test_a_likely_cause_is_worth_putting_right(shipped: Knowledge) -> None:
    """A core that lies in the line is at work or not; a fouled condenser under a high head is."""
    sure = ask(shipped, ("condenser-fouled", "present"), ("condensing-pressure", "high"))
    (outlook,) = foreseen(sure, sure.posterior, actions(sure, forbidden(notices(sure))))
    assert outlook.order > 10 * outlook.value
    slight = ask(shipped, ("low-pressure-trips", "present"))
    assert slight.at_work[slight.net.nodes.index("undercharge")] < 0.7
    (search,) = foreseen(slight, slight.posterior, actions(slight, forbidden(notices(slight))))
    assert search.order < 3 * search.value


def test_words(shipped: Knowledge) -> None:
    assert words_of(*check_of(shipped, "insulation-low")) == ("absent", "present")
    assert words_of(*check_of(shipped, "subcooling")) == ("normal", "low", "high")
    action = check_book().action[0]
    assert words_of(shipped.findings[action.about], action) == action.seen
