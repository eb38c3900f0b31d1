"""Rows at the edges of what a refrigerant's curves know harm no neighbour and are answered as single requests are."""

from __future__ import annotations

from typing import Any

import pytest

from witnessmark.api.bulk.compute import compute_batch


def test_a_row_that_a_single_request_refuses_is_refused_among_others() -> None:
    """Water at -10 degC is ice."""
    found = compute_batch("saturation", {"refrigerant": ["R-410A", "R-718"], "temperature[degC]": [1.0, -10.0]})
    assert found.failed == 1


def test_a_refused_row_shows_no_number_beside_its_error() -> None:
    found = compute_batch("saturation", {"refrigerant": ["R-410A", "R-718"], "temperature[degC]": [1.0, -10.0]})
    refused = [code is not None for code in found.columns["error_code"]]
    assert refused == [False, True]
    shown = {name: cells[1] for name, cells in found.columns.items() if not name.startswith("error_")}
    assert {name: cell for name, cell in shown.items() if cell is not None and cell == cell} == {}  # noqa: PLR0124 - NaN


@pytest.mark.parametrize(
    ("refrigerant", "suction", "discharge", "temperature"),
    [("R-1234ze(Z)", 150.0, 900.0, 35.0), ("R-14", 500.0, 1500.0, -80.0), ("R-114", 181.8, 930.0, 30.0)],
)
def test_compression_where_the_limit_on_vacuum_lies_off_the_curve(
    refrigerant: str, suction: float, discharge: float, temperature: float
) -> None:
    """Such a refrigerant does not evaporate at -40 degC, or is above its critical point there."""
    columns: dict[str, Any] = {
        "refrigerant": ["R-410A", refrigerant], "suction_pressure[kPaa]": [800.0, suction],
        "discharge_pressure[kPaa]": [2500.0, discharge], "suction_temperature[degC]": [10.0, temperature],
    }  # fmt: skip
    assert compute_batch("compression", columns).failed == 0
