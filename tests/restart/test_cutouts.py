"""Pressure switches that were tried."""

from __future__ import annotations

import pytest

from witnessmark.restart.cutouts import Cutout, from_cutout


@pytest.mark.parametrize(
    ("setting", "opened", "design", "outcome"),
    [
        (3e6, 2.98e6, 3.2e6, "passed"),
        (3e6, 3.06e6, None, "passed"),
        (3e6, 3.07e6, None, "failed"),
        (3e6, 2.7e6, None, "passed"),
        (3e6, 2.69e6, None, "failed"),
        (3e6, 3.01e6, 3.0e6, "failed"),
        (3.1e6, 3.0e6, 3.05e6, "failed"),
        (3e6, None, None, "failed"),
    ],
)
def test_a_pressure_switch(setting: float, opened: float | None, design: float | None, outcome: str) -> None:
    assert from_cutout(Cutout("high", setting, opened), design).outcome == outcome


def test_a_low_pressure_switch_knows_no_design_pressure() -> None:
    assert from_cutout(Cutout("low", 3e6, 3e6), 2e6).outcome == "passed"
