"""Formulas on a tape against their own derivatives by differences, and against the points of `propagate_all`."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from witnessmark.calculations.metrology.jets import Jet, Tape, composed, implied
from witnessmark.calculations.metrology.uncertainty import Measured, propagate_all

FORMULAS: dict[str, Callable[..., Any]] = {
    "sum": lambda a, b, c: a + b + c + 2.0,
    "difference": lambda a, b, c: 1.0 - a - b * c,
    "product": lambda a, b, c: a * b * c * 3.0,
    "quotient": lambda a, b, c: a / (b * c),
    "reciprocal": lambda a, b, c: 1.0 / (a + b * c),
    "chain": lambda a, b, c: (a - b) / (c * c + a),
}
AT = {"a": 3.0, "b": 1.7, "c": 0.8}
WIDTHS = {"a": 0.03, "b": 0.02, "c": 0.01}
ARGUMENTS = "a, b, c, w_a, w_b, w_c"


def traced(formula: Callable[..., Any]) -> tuple[Tape, Jet]:
    tape = Tape()
    return tape, formula(*(tape.independent(name, name) for name in AT))


def ways() -> dict[str, dict[str, str]]:
    return {name: {name: f"w_{name}"} for name in AT}


@pytest.mark.parametrize("name", FORMULAS)
def test_value_slopes_and_bends_are_those_of_the_formula(name: str) -> None:
    formula, step = FORMULAS[name], 1e-4
    tape, jet = traced(formula)
    work, _ = tape.compiled(tape.expanded(jet, {n: {n: "1.0"} for n in AT}, list(AT)), ARGUMENTS)
    value, *derived = work(*AT.values(), *WIDTHS.values())
    assert value == formula(*AT.values())

    def at(**moved: float) -> float:
        return float(formula(*(AT[n] + moved.get(n, 0.0) for n in AT)))

    slopes = [(at(**{n: step}) - at(**{n: -step})) / (2 * step) for n in AT]
    assert derived[:3] == pytest.approx(slopes, rel=1e-6, abs=1e-9)
    names, found = list(AT), derived[3:]
    for i, one in enumerate(names):
        for two in names[i:]:
            if one == two:
                bend = (at(**{one: step}) + at(**{one: -step}) - 2 * value) / step**2
            else:
                corners = [s * t * at(**{one: s * step, two: t * step}) for s in (1, -1) for t in (1, -1)]
                bend = sum(corners) / (4 * step**2)
            assert found.pop(0) == pytest.approx(bend, rel=1e-5, abs=1e-5), (one, two)


@pytest.mark.parametrize("name", FORMULAS)
def test_the_uncertainty_is_that_from_points(name: str) -> None:
    """Third derivatives, which the points see and the jets do not, make a part in a thousand here."""
    formula = FORMULAS[name]
    tape, jet = traced(formula)
    width, holds = tape.estimate(jet, ways())
    numbers, columns = tape.compiled([jet.value, width, holds], ARGUMENTS)
    value, spread, held = numbers(*AT.values(), *WIDTHS.values())
    readings = {n: Measured(AT[n], WIDTHS[n]) for n in AT}
    known = propagate_all(lambda v: {"": formula(*v.values())}, readings)[""]
    assert (value, bool(held)) == (known.value, known.method == "first order")
    assert spread == pytest.approx(known.uncertainty, rel=2e-3)
    two = columns(*(np.full(2, v) for v in AT.values()), *(np.full(2, w) for w in WIDTHS.values()))
    assert two[0].tolist() == [value, value]
    assert two[1].tolist() == [spread, spread]


@pytest.mark.parametrize(("width", "holds"), [(0.05, True), (0.6, False)])
def test_series_are_not_said_to_hold_where_they_bend_too_much(width: float, holds: bool) -> None:  # noqa: FBT001
    tape, jet = traced(lambda a, b, c: a * a * b * c)
    numbers, _ = tape.compiled([tape.estimate(jet, ways())[1]], ARGUMENTS)
    assert bool(numbers(1.0, 1.0, 1.0, width, 0.01, 0.01)[0]) is holds


def test_readings_that_act_on_each_other_are_seen_at_the_corners() -> None:
    tape, jet = traced(lambda a, b, c: a * b + c)
    numbers, _ = tape.compiled([tape.estimate(jet, ways())[1]], ARGUMENTS)
    assert bool(numbers(3.0, 3.0, 1.0, 0.01, 0.01, 0.01)[0])
    assert not bool(numbers(0.0, 0.0, 1.0, 1.0, 1.0, 0.01)[0])


def test_one_reading_may_move_two_variables() -> None:
    tape, jet = traced(lambda a, b, c: a - b + c)
    width, _ = tape.estimate(jet, {"both": {"a": "w_a", "b": "w_a"}, "c": {"c": "w_c"}})
    numbers, _ = tape.compiled([width], ARGUMENTS)
    assert numbers(*AT.values(), *WIDTHS.values())[0] == pytest.approx(0.01)


def test_room_is_asked_as_far_as_the_readings_reach() -> None:
    tape, jet = traced(lambda a, b, _: a - b)
    numbers, _ = tape.compiled([tape.clear(jet, ways())], ARGUMENTS)
    assert numbers(3.0, 1.0, 0.0, 0.4, 0.4, 0.0)[0]
    assert not numbers(3.0, 1.0, 0.0, 0.5, 0.5, 0.0)[0]
    assert not numbers(1.0, 3.0, 0.0, 0.1, 0.1, 0.0)[0]


def test_the_place_at_which_a_surface_has_a_value() -> None:
    """F(x, b) = x b^2 = y, so that b = sqrt(y / x)."""
    tape = Tape()
    x, y = (tape.independent(name, name) for name in ("x", "y"))
    jet = implied("b", x, y, [tape.put(f"({text})") for text in ("b*b", "2.0*x*b", "0.0*b", "2.0*b", "2.0*x")])
    numbers, _ = tape.compiled(tape.expanded(jet, {n: {n: "1.0"} for n in ("x", "y")}, ["x", "y"]), "x, y, b")
    at_x, at_y = 2.0, 9.0
    b = math.sqrt(at_y / at_x)
    assert numbers(at_x, at_y, b) == pytest.approx(
        (b, -b / (2 * at_x), b / (2 * at_y), 3 * b / (4 * at_x**2), -b / (4 * at_x * at_y), -b / (4 * at_y**2))
    )


def test_a_function_of_one() -> None:
    tape = Tape()
    x = tape.independent("x", "x")
    jet = composed("x*x*x", [x], ["3.0*x*x"], {(0, 0): "6.0*x"}).squared()
    numbers, _ = tape.compiled(tape.expanded(jet, {"x": {"x": "1.0"}}, ["x"]), "x")
    assert numbers(2.0) == pytest.approx((64.0, 6 * 2.0**5, 30 * 2.0**4))
