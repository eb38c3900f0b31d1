"""The first of the next checks in described situations: what a technician would accept, and nothing foolish.

The set is the one that the order was developed on, so it guards against falling back; it does not say how good it is.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from witnessmark.diagnosis.case import Case, Condition, Machine, Report, Want
from witnessmark.diagnosis.catalogue.check_book import check_book
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.diagnose import diagnose

STAGES: dict[str, tuple[Condition, ...] | None] = {
    "phone": (),
    "site": None,
    "opened": ("power-off", "circuit-open", "compressor-removed"),
}
FIRST, AMONG_THREE = 0.85, 0.95
FILE = Path(__file__).with_name("data") / "check_situations.toml"
SITUATIONS: list[dict[str, Any]] = tomllib.loads(FILE.read_text("utf-8"))["situation"]


@cache
def proposed(number: int) -> tuple[str, ...]:
    told = SITUATIONS[number]
    reports = tuple(Report(key, state) for key, state in told["findings"].items())
    case = Case(Machine(**told["machine"]), reports, conditions=STAGES[told["stage"]], want=Want(explanation=False))
    checks = diagnose(case).next_checks
    assert checks
    return tuple(check.action or check.finding for check in checks.checks)


def accepted(first: int) -> float:
    hits = [set(proposed(k)[:first]) & set(told["accept"]) for k, told in enumerate(SITUATIONS)]
    return sum(map(bool, hits)) / len(hits)


def test_the_first_is_acceptable() -> None:
    assert len(SITUATIONS) >= 40
    assert accepted(1) >= FIRST


def test_one_of_the_first_three_is_acceptable() -> None:
    assert accepted(3) >= AMONG_THREE


@pytest.mark.parametrize("number", range(len(SITUATIONS)), ids=[told["id"] for told in SITUATIONS])
def test_none_of_the_first_three_is_foolish(number: int) -> None:
    assert not set(proposed(number)[:3]) & set(SITUATIONS[number]["foolish"])


def test_what_the_situations_name_is_there() -> None:
    known = knowledge().findings.keys() | {action.id for action in check_book().action}
    for told in SITUATIONS:
        assert {*told["accept"], *told["foolish"], *told["findings"]} <= known
