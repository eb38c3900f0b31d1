"""Published adders as data, and the oil top-up rule."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from witnessmark.calculations.circuit import charge_rules
from witnessmark.errors import OutOfRangeError


@pytest.mark.parametrize(
    ("size", "millimetres"), [("1/4", 6.35), ("1-1/8", 28.575), ("2-5/8", 66.675), ("15.88", 15.88)]
)
def test_sizes(size: str, millimetres: float) -> None:
    assert charge_rules.outside_diameter(size) * 1e3 == pytest.approx(millimetres)


def test_published_by_outside_diameter() -> None:
    found = charge_rules.published("R-410A", 0.009525)
    assert {a.source for a in found} == {
        "adder-multi-r410a",
        "adder-inverter-r410a",
        "adder-unit-r410a",
        "adder-expansion-outdoor",
    }
    assert charge_rules.published("R-410A", 0.0095, "suction") == ()
    assert charge_rules.published("R-744", 0.009525) == ()


def test_ounces_per_foot() -> None:
    (row,) = [a for a in charge_rules.published("R-410A", 0.0127, "suction") if a.size == "1/2"]
    assert row.per_length == pytest.approx(0.04 * 0.0283495 / 0.3048, rel=1e-4)


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"per_length": {"6.35": 0.0}}, "greater than 0"),
        ({"unit": "lb/ft"}, "'g/m' or 'oz/ft'"),
        ({"line": "discharge"}, "'liquid' or 'suction'"),
        ({"source": "hearsay"}, "no such source"),
    ],
)
def test_rows_are_checked(change: dict[str, object], fault: str) -> None:
    row = charge_rules.RULES().adder[0].model_dump()
    with pytest.raises(ValidationError, match=fault):
        charge_rules.AdderTable.model_validate(row | change)


def test_oil_top_up_only_for_long_lines() -> None:
    short, long = charge_rules.oil_top_up(20.0, 20.0), charge_rules.oil_top_up(20.0, 40.0)
    assert (short.low, short.high) == (0.0, 0.0)
    assert (long.low, long.high) == pytest.approx((0.2, 0.4))
    ends = {"charge": (0.0, 1e6, "mass"), "line_length": (0.0, 1e4, "length")}
    for charge, length, field in ((-1.0, 1.0, "charge"), (1.0, -1.0, "line_length")):
        with pytest.raises(OutOfRangeError) as caught:
            charge_rules.oil_top_up(charge, length)
        assert caught.value.field == field
        assert (caught.value.low, caught.value.high, caught.value.dimension) == ends[field]
