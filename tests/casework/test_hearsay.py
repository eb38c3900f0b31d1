"""A customer's words are the customer's: who reads no gauge has found nothing that a gauge shows."""

from typing import Any

import pytest

from witnessmark.api.routes.case_parts import work
from witnessmark.casework.hearsay import INSTRUMENTS
from witnessmark.diagnosis.catalogue.knowledge import knowledge

NO_PUMP, KNOCK, SMELL = "no-pressure-difference", "knock-while-running", "burning-smell"


def heard(note: str, **more: Any) -> set[str]:
    view = work({"notes": [{"text": note}], **more}).view
    return {report["finding"] for report in view.get("findings", ())}


@pytest.mark.parametrize(
    "note",
    [
        "customer says not pumping",
        'cust says "not pumping"',
        '"not pumping" according to the customer',
        "Owner reported: not pumping",
    ],
)
def test_what_only_gauges_show_is_asked_and_not_found(note: str) -> None:
    done = work({"notes": [{"text": note}]})
    assert NO_PUMP not in heard(note)
    assert any("nobody measured it: Runs with almost no pressure difference" in text for text in done.said)
    assert done.view["hearsay"] == [NO_PUMP]


@pytest.mark.parametrize(
    "note",
    ["not pumping", "customer called, found it not pumping", "customer says it is warm. not pumping",
     "cust says noisy, we measured: not pumping", "tech says not pumping"],
)  # fmt: skip
def test_what_the_technician_tells_is_a_finding(note: str) -> None:
    assert NO_PUMP in heard(note)


@pytest.mark.parametrize(
    ("note", "finding"),
    [
        ("customer says it makes a knocking noise", KNOCK), ('owner reports "burning smell"', SMELL),
        ("customer says the breaker trips at once", "breaker-trips-at-once"),
        ("customer says it is not cooling", "capacity-low"),
    ],
)  # fmt: skip
def test_what_anybody_hears_smells_or_sees_counts_whoever_tells_it(note: str, finding: str) -> None:
    assert finding in heard(note)


def test_a_finding_that_somebody_reports_is_asked_no_more() -> None:
    told = {"findings": [{"finding": NO_PUMP, "state": "present"}]}
    assert "hearsay" not in work({"notes": [{"text": "customer says not pumping"}], **told}).view


def test_every_instrument_is_one_of_the_knowledge() -> None:
    assert {tool for row in knowledge().findings.values() if row.check for tool in row.check.tools} >= INSTRUMENTS
