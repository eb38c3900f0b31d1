"""Columns against single rows, to the last bit: series, draws, and draws of which some are lost."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from witnessmark.calculations.metrology import uncertainty_columns as columns
from witnessmark.calculations.metrology.uncertainty import Measured, propagate_all
from witnessmark.errors import InputError

DRAWS = 50


def root_of_difference(v: Any) -> dict[str, Any]:
    """Of columns: NaN where there is no answer."""
    return {"product": v["a"] * v["b"], "root": np.sqrt(v["a"] - v["b"])}


def alone(v: Any) -> dict[str, float]:
    """Of numbers: no result where there is no answer."""
    out = {"product": v["a"] * v["b"]}
    return out | ({"root": float(np.sqrt(v["a"] - v["b"]))} if v["a"] >= v["b"] else {})


READINGS: dict[str, tuple[Any, Any]] = {
    "a": (np.array([9.0, 5.0, 5.0, 4.001]), np.array([0.1, 0.1, 0.8, 0.2])),
    "b": (np.array([2.0, 2.0, 4.5, 4.0]), np.array([0.1, 0.2, 0.1, 0.3])),
    "c": (1.0, 0.0),
}


def test_series_row_by_row_and_where_they_do_not_hold() -> None:
    with np.errstate(invalid="ignore"):
        found = columns.propagate_columns(root_of_difference, READINGS)
    for row in range(4):
        one = {name: Measured(*(float(np.ravel(p)[row % np.size(p)]) for p in pair)) for name, pair in READINGS.items()}
        for key, known in propagate_all(alone, one, DRAWS).items():
            column = found[key]
            assert column.value[row] == known.value
            assert column.holds[row] == (known.method == "first order")
            if column.holds[row]:
                assert column.uncertainty[row] == known.uncertainty
    assert found["root"].holds.tolist() == [True, True, False, False]


def test_draws_and_what_is_lost_of_them() -> None:
    rows = np.array([2, 3])
    part: dict[str, Any] = {n: tuple(p[rows] if np.ndim(p) else p for p in pair) for n, pair in READINGS.items()}
    with np.errstate(invalid="ignore"):
        values = columns.at_draws(READINGS, rows, DRAWS)
        width, kept = columns.spreads(root_of_difference(values)["root"], DRAWS)
        near = columns.slopes_near(root_of_difference, part, "root")
    assert values["c"] == 1.0
    for k, row in enumerate(rows.tolist()):
        one = {name: Measured(*(float(np.ravel(p)[row % np.size(p)]) for p in pair)) for name, pair in READINGS.items()}
        known = propagate_all(alone, one, DRAWS)["root"]
        assert known.method == "random draws"
        assert kept[k] == known.kept < 1
        assert max(width[k], near[k]) == known.uncertainty


def test_an_exact_column_is_repeated_for_every_draw() -> None:
    values = columns.at_draws({"a": (np.array([1.0, 2.0]), 0.0), "b": (3.0, 0.5)}, np.array([1]), 4)
    assert values["a"].tolist() == [2.0] * 4
    assert values["b"].size == 4


def test_without_uncertainty_all_is_exact() -> None:
    found = columns.propagate_columns(lambda v: {"twice": 2 * v["a"]}, {"a": (np.array([1.0, 2.0]), 0.0)})
    assert (found["twice"].value.tolist(), found["twice"].uncertainty.tolist()) == ([2.0, 4.0], [0.0, 0.0])
    assert found["twice"].holds.all()


def test_draws_asked_at_once_are_those_asked_one_by_one() -> None:
    readings = {"a": Measured(5.0, 0.8), "b": Measured(4.5, 0.1)}
    asked = []

    def many(keys: frozenset[str], values: Any) -> list[Any]:
        asked.append(keys)
        pairs = zip(values["a"].tolist(), values["b"].tolist(), strict=True)
        return [alone({"a": a, "b": b}) for a, b in pairs]

    assert propagate_all(alone, readings, DRAWS, None, many) == propagate_all(alone, readings, DRAWS)
    assert asked == [frozenset({"root"})]
    assert propagate_all(alone, readings, DRAWS, None, lambda *_: None) == propagate_all(alone, readings, DRAWS)


def test_a_function_that_fails_fails() -> None:
    def refuse(_: object) -> Any:
        raise InputError("a", "no", "yes")

    with pytest.raises(InputError):
        columns.propagate_columns(refuse, READINGS)
