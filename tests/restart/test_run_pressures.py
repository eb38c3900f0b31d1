"""Pressures of a running machine that cannot be."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.restart.machines import SCROLL

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.restart.run_pressures import impossible

BOTH = {"suction_pressure", "discharge_pressure"}


@pytest.mark.parametrize(
    ("suction", "discharge", "odd"),
    [
        (0.9e6, 2.6e6, set()),
        (0.9e6, 0.9e6, BOTH),
        (2.6e6, 0.9e6, BOTH),
        (0.9e6, 5.2e6, {"discharge_pressure"}),  # R-410A is critical at 4.90 MPa: Lemmon (2003)
        (0.9e6, 4.9e6, set()),
        (5.9e4, 2.6e6, {"suction_pressure"}),
        (7.0e4, 2.6e6, set()),
        (None, 2.6e6, set()),
        (0.9e6, None, set()),
        (None, None, set()),
    ],
)
def test_pressures_of_an_air_conditioner(suction: float | None, discharge: float | None, odd: set[str]) -> None:
    told = {"suction_pressure": suction, "discharge_pressure": discharge}
    values = {name: Measured(value, 5e3) for name, value in told.items() if value is not None}
    assert impossible(replace(SCROLL, refrigerant="R-410A", application="air-conditioning"), values) == odd


def test_carbon_dioxide_runs_above_its_critical_pressure_and_a_freezer_in_vacuum() -> None:
    transcritical = {"suction_pressure": Measured(2.8e6, 5e3), "discharge_pressure": Measured(9.5e6, 5e3)}
    assert not impossible(replace(SCROLL, refrigerant="R-744"), transcritical)
    assert not impossible(replace(SCROLL, refrigerant=None), transcritical)
    freezer = {"suction_pressure": Measured(5e4, 2e3), "discharge_pressure": Measured(0.5e6, 5e3)}
    assert not impossible(replace(SCROLL, refrigerant="R-600a", application="low-temperature"), freezer)
