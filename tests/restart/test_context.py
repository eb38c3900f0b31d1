"""Which conditions hold for a machine."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from tests.restart.machines import SCROLL

from witnessmark.errors import ConflictError
from witnessmark.restart.context import Compressor, HeatPump, tags


def test_a_plain_machine() -> None:
    assert tags(SCROLL) == {
        "always",
        "inverter",
        "air conditioning",
        "low-side shell",
        "three-phase",
        "turns one way",
    }


@pytest.mark.parametrize(
    ("safety_class", "expected"),
    [
        ("A1", set()),
        ("A2L", {"flammable"}),
        ("A3", {"flammable"}),
        ("B1", {"toxic"}),
        ("B2L", {"flammable", "toxic"}),
    ],
)
def test_safety_classes(safety_class: str, expected: set[str]) -> None:
    found = tags(replace(SCROLL, safety_class=safety_class))
    assert found & {"flammable", "toxic"} == expected


@pytest.mark.parametrize(
    ("grade", "expected"), [(0, set()), (1, {"burnout"}), (2, {"burnout", "severe burnout"}), (None, {"burnout"})]
)
def test_an_ungraded_failure_counts_as_a_burnout(grade: int | None, expected: set[str]) -> None:
    found = tags(replace(SCROLL, burnout_grade=grade))  # type: ignore[arg-type]
    assert found & {"burnout", "severe burnout"} == expected


@pytest.mark.parametrize(("fitted", "expected"), [(True, "one-way cores in a"), (False, "without one-way cores")])
def test_reversing_machines(fitted: bool, expected: str) -> None:  # noqa: FBT001
    found = tags(replace(SCROLL, heat_pump=HeatPump(fitted)))
    assert [tag for tag in found if expected in tag]


def test_direction_matters_on_three_phases_only() -> None:
    assert "turns one way" not in tags(replace(SCROLL, phases=1))
    assert "turns one way" not in tags(replace(SCROLL, compressor="reciprocating"))
    assert "single-phase" in tags(replace(SCROLL, phases=1))


def test_the_rest() -> None:
    found = tags(replace(SCROLL, suction_core=True, debris_possible=True, shell_side="unknown"))
    assert {"suction core", "debris", "unknown shell"} <= found


def test_a_rotary_has_no_low_side_shell() -> None:
    with pytest.raises(ConflictError) as caught:
        replace(SCROLL, compressor="rotary")
    assert caught.value.fields == ("shell_side", "compressor")
    others: tuple[Compressor, ...] = tuple(c for c in get_args(Compressor) if c != "rotary")
    assert all(replace(SCROLL, compressor=c).shell_side == "low-side" for c in others)
