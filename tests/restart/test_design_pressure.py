"""Design pressures by side and refrigerant, where no nameplate gives them."""

from __future__ import annotations

import pytest

from witnessmark.errors import UnknownNameError
from witnessmark.refrigerants import saturation
from witnessmark.refrigerants.catalogue import designations
from witnessmark.restart.design_pressure import (
    coldest_design,
    design_pressure,
    kept_cold,
    least_design_pressure,
    low_critical,
    own_design_pressures,
    standstill_pressure,
)
from witnessmark.restart.evidence import Side


@pytest.mark.parametrize(("designation", "megapascal"), [("R-410A", 1.73), ("R-134a", 0.70), ("R-290", 0.99)])
def test_the_least_that_a_low_side_is_designed_for(designation: str, megapascal: float) -> None:
    """Memory: pressure-temperature charts at 80 degF, 236, 87 and 129 psig."""
    least = least_design_pressure(designation, "low")
    assert least is not None
    assert least / 1e6 == pytest.approx(megapascal, rel=0.02)
    assert least == pytest.approx(float(saturation.bubble_pressure(designation, 299.82)))


@pytest.mark.parametrize(("designation", "megapascal"), [("R-410A", 3.43), ("R-134a", 1.49), ("R-290", 1.91)])
def test_a_high_side_at_55_degrees(designation: str, megapascal: float) -> None:
    """DIN EN 378-2 as quoted: air-cooled, 55 degC; memory of saturation tables: 34.3, 14.9 and 19.1 bar."""
    high, low = design_pressure(designation, "high"), design_pressure(designation, "low")
    assert high is not None
    assert low is not None
    assert high / 1e6 == pytest.approx(megapascal, rel=0.02)
    assert low == pytest.approx(float(saturation.bubble_pressure(designation, 305.15)))
    assert least_design_pressure(designation, "high") == pytest.approx(
        float(saturation.bubble_pressure(designation, 313.15))
    )


@pytest.mark.parametrize("designation", ["R-744", "R-23", "R-508B", "R-170"])
def test_refrigerants_of_low_critical_temperature_need_their_nameplate(designation: str) -> None:
    assert design_pressure(designation, "high") is None
    assert least_design_pressure(designation, "low") is None


def test_unknown_refrigerant() -> None:
    with pytest.raises(UnknownNameError):
        design_pressure("R-0", "low")


@pytest.mark.parametrize(("designation", "megapascal"), [("R-744", 6.66), ("R-23", 4.7)])
def test_what_a_refrigerant_of_low_critical_temperature_reaches(designation: str, megapascal: float) -> None:
    """Memory: R-744 at 80 degF 966 psia; the critical pressure of R-23 is 4.8 MPa."""
    assert low_critical(designation)
    assert standstill_pressure(designation) / 1e6 == pytest.approx(megapascal, rel=0.03)
    assert not low_critical("R-410A")
    assert kept_cold("low-temperature")
    assert not kept_cold("air-conditioning")


@pytest.mark.parametrize("designation", designations())
def test_every_refrigerant_has_a_design_pressure_or_none(designation: str) -> None:
    """Also one whose curves end below 55 degC, such as R-472A."""
    found = design_pressure(designation, "high")
    assert (found is None) == low_critical(designation)


def test_published_design_temperatures_span_a_band() -> None:
    """ASHRAE 15 at 50 degC, EN 378-2 at 55; a refrigerant of low critical temperature has none."""
    own = own_design_pressures("R-410A", "high")
    assert own is not None
    assert own[0] == pytest.approx(float(saturation.bubble_pressure("R-410A", 323.15)))
    assert own[1] == design_pressure("R-410A", "high")
    assert own_design_pressures("R-744", "high") is None


@pytest.mark.parametrize(("side", "bar"), [("high", 34.9), ("low", 22.9)])
def test_what_no_cascade_is_built_for_less_than(side: Side, bar: float) -> None:
    """Memory of R-744 tables: 34.85 bar at 0 degC, 22.9 bar at -15 degC, absolute."""
    found = coldest_design("R-744", side)
    assert found is not None
    assert found / 1e5 == pytest.approx(bar, rel=0.005)
    assert coldest_design("R-410A", side) is None
