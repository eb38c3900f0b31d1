from __future__ import annotations

import pytest

from witnessmark.refrigerants import catalogue, curves

PRESSURE, KELVIN, DENSITY = 1e-5, 1e-3, 1e-5  # what the project promises; the builder's aim is a thousand times finer


@pytest.mark.parametrize("designation", catalogue.designations())
def test_the_errors_measured_when_built_keep_the_promise(designation: str) -> None:
    for name, worst in curves.load(designation).worst.items():
        promise = KELVIN if "temperature" in name else DENSITY if "density" in name else PRESSURE
        assert worst < promise, name


def test_shipped_form_and_back() -> None:
    shipped = curves.load("R-454B")
    assert curves.from_json(curves.to_json(shipped)) == shipped


@pytest.mark.parametrize("designation", catalogue.designations())
def test_single_phase_marks_lie_at_or_above_critical(designation: str) -> None:
    found = curves.load(designation)
    assert 0 <= found.single_phase_temperature - found.critical_temperature < 1.0
    assert 1 <= found.single_phase_pressure / found.critical_pressure < 1.01
    assert found.model_t_max > found.critical_temperature - 0.5  # R-236ea: 412 K, 0.4 K below critical
