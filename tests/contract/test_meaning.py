"""The recorded meaning of version 1 holds; the guard tells what changes it from what only adds."""

import json
from typing import Any

import pytest
from scipy import constants

from tests.contract.meaning import altered, meaning, recorded

OLD: dict[str, Any] = {
    "unit pressure psig": [6894.757293168, 0.0, True, "[psi]"],
    "shown pressure SI": "kPaa",
    "column taken superheat pressure": ["quantity", True],
    "column taken superheat site.altitude": ["quantity", False],
    "column answered superheat SI glide[K]": "number",
    "range SuperheatRequest.pressure": [1.0, 2e7, "pressure-gauge-digital", None],
    "problem conflict": 422,
}
ADDED: dict[str, dict[str, Any]] = {
    "nothing": {},
    "a unit": {"unit pressure Pa": [1.0, 0.0, False, "Pa"]},
    "a column": {"column answered superheat SI new[K]": "number", "column taken superheat oil": ["word", False]},
    "a calculation": {"column taken another pressure": ["quantity", True]},
    "a wider range": {"range SuperheatRequest.pressure": [0.5, 3e7, "pressure-gauge-digital", None]},
    "a field that need not be given": {"column taken superheat pressure": ["quantity", False]},
}
CHANGED: dict[str, dict[str, Any]] = {
    "a unit is another": {"unit pressure psig": [6894.757293168, 0.0, False, "[psi]"]},
    "a factor": {"unit pressure psig": [6895.0, 0.0, True, "[psi]"]},
    "the unit of answers": {"shown pressure SI": "bara"},
    "a field is required": {"column taken superheat site.altitude": ["quantity", True]},
    "a new field is required": {"column taken superheat oil": ["word", True]},
    "another kind": {"column taken superheat pressure": ["number", True]},
    "a narrower range": {"range SuperheatRequest.pressure": [1.0, 1e7, "pressure-gauge-digital", None]},
    "a higher low end": {"range SuperheatRequest.pressure": [2.0, 2e7, "pressure-gauge-digital", None]},
    "another instrument": {"range SuperheatRequest.pressure": [1.0, 2e7, "pressure-gauge-needle", None]},
    "a status": {"problem conflict": 409},
}


@pytest.mark.parametrize("change", ADDED)
def test_more_of_the_same_passes(change: str) -> None:
    assert altered(OLD, OLD | ADDED[change]) == []


@pytest.mark.parametrize("change", CHANGED)
def test_another_meaning_is_named(change: str) -> None:
    (named,) = altered(OLD, OLD | CHANGED[change])
    assert named.startswith(next(iter(CHANGED[change])))


@pytest.mark.parametrize("name", OLD)
def test_what_is_gone_is_named(name: str) -> None:
    assert altered(OLD, {key: value for key, value in OLD.items() if key != name}) == [f"{name}: gone"]


def test_nothing_means_something_else_than_was_recorded() -> None:
    assert altered(recorded(), json.loads(json.dumps(meaning()))) == []


def test_every_sort_of_meaning_is_recorded() -> None:
    sorts = [name.split(" ")[0] for name in recorded()]
    assert {sort: sorts.count(sort) > 10 for sort in set(sorts)} == dict.fromkeys(
        ("unit", "shown", "column", "range", "problem"), True
    )


@pytest.mark.parametrize(
    ("unit", "factor"),
    [
        ("pressure psig", constants.psi), ("pressure Torr", constants.torr), ("pressure atm", constants.atm),
        ("length in", constants.inch), ("length ft", constants.foot), ("mass lb", constants.pound),
    ],
)  # fmt: skip
def test_recorded_units_are_what_a_general_library_says(unit: str, factor: float) -> None:
    assert recorded()[f"unit {unit}"][0] == pytest.approx(factor, rel=1e-9)
