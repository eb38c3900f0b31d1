"""From where a circuit may burst. Worst: a plant far above its parts' pressure runs on; a sound hot one is shut off."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from witnessmark.calculations.circuit.burst_pressure import LIMITS, BurstLimit, bursting_from
from witnessmark.errors import UnknownNameError
from witnessmark.refrigerants import catalogue, saturation

BAR, ATMOSPHERE, ZERO = 1e5, 101325.0, 273.15
CUT_OUTS = {
    # bar, gauge: usual settings of high-pressure switches (common practice); parts are made for more than that
    "R-22": 26.0, "R-134a": 18.0, "R-404A": 28.0, "R-407C": 28.0, "R-410A": 42.0, "R-32": 42.0, "R-448A": 28.0,
    "R-290": 26.0, "R-600a": 9.0, "R-717": 20.0, "R-744": 115.0,
}  # fmt: skip
FAR_TOO_HIGH = {
    # bar, gauge: far beyond what such parts are made for, nothing is run there (common practice)
    "R-22": 40.0, "R-134a": 26.0, "R-404A": 40.0, "R-407C": 40.0, "R-410A": 48.2, "R-32": 60.0, "R-448A": 40.0,
    "R-290": 44.0, "R-600a": 20.0, "R-717": 36.0, "R-744": 170.0,
}  # fmt: skip


@pytest.mark.parametrize("name", CUT_OUTS)
def test_it_lies_above_where_switches_open_and_below_what_parts_are_tested_with(name: str) -> None:
    limit = bursting_from(name, "high")
    assert limit is not None
    assert CUT_OUTS[name] * BAR + ATMOSPHERE < limit <= FAR_TOO_HIGH[name] * BAR + ATMOSPHERE


@pytest.mark.parametrize("name", catalogue.designations())
def test_no_usual_design_pressure_lies_above_it(name: str) -> None:
    high, low = bursting_from(name, "high"), bursting_from(name, "low")
    if high is None or low is None:
        assert high is low
        assert catalogue.get(name).critical_temperature < LIMITS().nameplate_only.critical_temperature
        return
    assert low <= high
    hottest = min(55.0 + ZERO, saturation.temperature_range(name)[1])
    usual = float(saturation.bubble_pressure(name, hottest))  # en-378-2-design-temperatures; ASHRAE 15 has 50 degC
    assert usual * 0.999 <= low


def test_a_subcritical_plant_is_never_above_its_critical_pressure() -> None:
    for name in set(CUT_OUTS) - {"R-744"}:
        limit = bursting_from(name, "high")
        assert limit is not None
        assert limit <= catalogue.get(name).critical_pressure


def test_a_mixture_of_the_caller_has_one_too_and_an_unknown_name_none() -> None:
    mixed = bursting_from("R-32/125 (50/50)", "high")
    known = bursting_from("R-410A", "high")
    assert mixed is not None
    assert known is not None
    assert mixed == pytest.approx(known, rel=0.01)
    with pytest.raises(UnknownNameError):
        bursting_from("R-9999", "low")


@pytest.mark.parametrize("figures", [{}, {"temperature": 340.0, "pressure": 4e6}])
def test_a_row_is_one_figure(figures: dict[str, float]) -> None:
    with pytest.raises(ValidationError, match="a temperature or a pressure"):
        BurstLimit(side="high", source="burst-low-side", **figures)  # type: ignore[arg-type]
