"""Figures from memory: they can show a gross error, and prove nothing. No outside check is counted here."""

from __future__ import annotations

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.pressure_test import (
    StageReading,
    stage_result,
)
from witnessmark.calculations.tightness.water import boiling_pressure, over_ice, over_liquid
from witnessmark.refrigerants import nitrogen

DAY = 86400.0


def standing(start: float, warm: float, end: float, cool: float) -> StageReading:
    """Exact readings: pressures Pa absolute, temperatures K."""
    return StageReading(Measured(start), Measured(warm), Measured(end), Measured(cool), DAY)


@pytest.mark.parametrize(
    ("temperature", "pressure"),
    # IAPWS SR1-86(1992), check values: triple point as in the abstract of Wexler, J. Res. NBS 80A (1976) 775; the
    # other two [memory].
    [(273.16, 611.657), (373.1243, 101325.0), (647.096, 22.064e6)],
)
def test_water_at_the_check_points(temperature: float, pressure: float) -> None:
    assert over_liquid(temperature) == pytest.approx(pressure, rel=2e-5)


def test_ice_at_the_check_point() -> None:
    """IAPWS R14-08(2011), check value [memory, and as public implementations print it]: 230 K -> 8.94735 Pa."""
    assert over_ice(230.0) == pytest.approx(8.94735, abs=5e-6)


@pytest.mark.parametrize(
    ("celsius", "kilopascal"),
    # Steam tables after IAPWS-95 [memory].
    [(40, 7.3849), (50, 12.352), (60, 19.946), (80, 47.414)],
)
def test_steam_table(celsius: float, kilopascal: float) -> None:
    assert boiling_pressure(celsius + 273.15) / 1e3 == pytest.approx(kilopascal, rel=1e-4)


def test_microns_of_boiling_water() -> None:
    """Trade chart [memory]: water boils at 17,500 micron at 20 degC, ice stands at 4,580 micron at 0 degC."""
    assert boiling_pressure(293.15) / 0.133322387415 == pytest.approx(17500, rel=0.005)
    assert boiling_pressure(273.15) / 0.133322387415 == pytest.approx(4580, rel=0.002)


@pytest.mark.parametrize(
    ("pressure", "compressibility"),
    # Perry's Chemical Engineers' Handbook, compressibility of nitrogen at 300 K, 10, 50, 100 bar [memory]
    [(1e6, 0.9985), (5e6, 0.9968), (10e6, 1.0045)],
)
def test_nitrogen_at_300_kelvin(pressure: float, compressibility: float) -> None:
    assert nitrogen.compressibility(pressure, 300.0) == pytest.approx(compressibility, abs=1e-3)


def test_sealed_can_example() -> None:
    """Open chemistry textbook [memory]: a sealed can, 360 kPa absolute at 24 degC, heated to 50 degC: 390 kPa."""
    found = stage_result(standing(360e3, 297.15, 360e3, 323.15), "ideal-gas")
    assert found.expected_pressure.value / 1e3 == pytest.approx(390, abs=2)
