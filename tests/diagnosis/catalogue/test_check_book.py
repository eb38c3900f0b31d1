"""The rows of the next checks: what they name is there, and every check has its place in the usual order."""

from __future__ import annotations

from dataclasses import fields

import pytest
from pydantic import ValidationError

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue import knowledge as module
from witnessmark.diagnosis.catalogue.check_book import (
    Action,
    CheckBook,
    Follow,
    check_book,
    dangling,
    step_of,
)
from witnessmark.diagnosis.catalogue.rows import CheckRow, Knowledge
from witnessmark.diagnosis.evidence.field_readings import FieldReadings


def test_a_row_may_ask_for_more_beside_it() -> None:
    row = Follow(told={"a": "high"}, also={"b": "low"}, next=("c",), source="common-practice", reviewed="2026-11")
    assert row.fits({"a": "high", "b": "low"}, opened=False)
    assert not row.fits({"a": "high"}, opened=False)
    assert not row.fits({"b": "low"}, opened=True)


def test_a_search_needs_a_reason_and_no_counterreason() -> None:
    search = next(row for row in check_book().action if row.id == "leak-search")
    assert search.fits({"suction-pressure": "low"})
    assert not search.fits({})
    assert not search.fits({"suction-pressure": "low", "charge-over": "present"})


def test_an_action_that_tells_nothing_is_refused() -> None:
    row = check_book().action[0].model_dump() | {"found": 0.1, "false_alarm": 0.2}
    with pytest.raises(ValidationError, match="found must lie above"):
        Action.model_validate(row)


def test_what_rows_name_is_there(shipped: Knowledge, monkeypatch: pytest.MonkeyPatch) -> None:
    module.check_knowledge()
    book = check_book()
    odd = book.known[0].model_copy(update={"by": {"insulation-low": "high"}})
    wrong = book.model_copy(
        update={
            "known": (odd,),
            "follow": (book.follow[0].model_copy(update={"next": ("leak-search", "nowhere")}),),
            "read": (book.read[0].model_copy(update={"skip": frozenset({"unread"})}),),
            "need": (book.need[0].model_copy(update={"checks": ("nothing",)}),),
            "action": (book.action[0].model_copy(update={"tells": "nobody", "id": "other-search"}),),
        }
    )
    assert set(dangling(wrong, shipped)) == {
        "checks: insulation-low cannot be high",
        "checks: unknown id nothing",
        "checks: unknown id leak-search",
        "checks: unknown id nowhere",
        "checks: unknown id unread",
        "other-search: unknown id nobody",
    }

    def broken() -> CheckBook:
        return wrong

    monkeypatch.setattr(module, "check_book", broken)
    with pytest.raises(DataError):
        module.check_knowledge()


@pytest.mark.parametrize(
    ("key", "step"),
    [
        ("storm-or-outage", "ask"),
        ("coil-iced", "look"),
        ("insulation-low", "meter"),
        ("phase-rotation-wrong", "meter"),
        ("running-current", "run"),
        ("expansion-stays-open", "run"),
        ("suction-superheat", "gauges"),
        ("acid-test-positive", "sample"),
        ("charge-short", "recover"),
        ("wear-metals-high", "recover"),
        ("oil-quantity", "recover"),
        ("bearings-blued", "open"),
    ],
)
def test_the_place_of_a_check(key: str, step: str, shipped: Knowledge) -> None:
    check = shipped.findings[key].check
    assert check
    assert step_of(shipped.findings[key], check) == step


def test_a_row_may_say_its_place(shipped: Knowledge) -> None:
    assert step_of(shipped.findings["coil-iced"], CheckRow(minutes=1, cost=0, how="", step="sample")) == "sample"


def test_every_reading_that_is_not_taken_again_is_one() -> None:
    names = {field.name for field in fields(FieldReadings)}
    assert {row.field for row in check_book().read} <= names


def test_a_row_of_next_looks_fits_by_state_and_by_whether_it_stands_opened() -> None:
    opened = next(row for row in check_book().follow if row.opened)
    key, state = next(iter(opened.told.items()))
    assert opened.fits({key: state}, opened=True)
    assert not opened.fits({key: state}, opened=False)
    assert not opened.fits({key: "absent"}, opened=True)
