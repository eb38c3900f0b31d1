"""The states of one analysis: on the surfaces what `compressor_states` says, each asked once; off them the equation."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from witnessmark.calculations.compressor import compression
from witnessmark.calculations.compressor import compressor_states as ends
from witnessmark.calculations.compressor.compression import CompressorReadings, RunningCompressor
from witnessmark.calculations.compressor.compression_gas import Gas, GasColumns
from witnessmark.calculations.compressor.compression_series import AtPoints
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.refrigerants.surfaces.files import phase


@pytest.mark.parametrize("name", ["R-134a", "R-454B", "R-744"])
@pytest.mark.parametrize(("superheat", "share"), [(8.0, 0.7), (-5.0, 0.7), (8.0, 1.2), (60.0, 0.5)])
def test_states_are_those_at_the_ends_of_a_compressor(name: str, superheat: float, share: float) -> None:
    """share: of the critical pressure at the discharge; beyond it nothing lies on the surfaces."""
    low, high = float(saturation.dew_pressure(name, 263.15)), share * catalogue.get(name).critical_pressure
    gas = Gas(name)
    suction, known = gas.suction(low, 263.15 + superheat), ends.suction_gas(name, low, 263.15 + superheat)
    assert (suction.enthalpy, suction.entropy) == pytest.approx((known.enthalpy, known.entropy), rel=1e-12)
    assert suction.density == pytest.approx(known.density, rel=1e-12)
    ideal, known = gas.ideal(high, suction), ends.ideal_discharge(name, high, suction.entropy)
    assert (ideal.temperature, ideal.enthalpy) == pytest.approx((known.temperature, known.enthalpy), rel=1e-12)
    hot = ideal.enthalpy + 2e4
    found = ends.discharge_at(name, high, hot)
    assert found is not None
    assert gas.expected(high, hot) == pytest.approx(found.temperature, rel=1e-12)
    assert gas.actual(high, found.temperature) == pytest.approx(hot, abs=0.05)
    assert gas.expected(high, 5e6) is None
    assert gas.known("dew", high) == (share < 1)


def test_a_suction_below_the_surfaces_and_a_discharge_below_dew() -> None:
    gas = Gas("R-134a")
    thin = ends.suction_gas("R-134a", 900.0, 300.0) if saturation.pressure_range("R-134a", "dew")[0] < 900.0 else None
    if thin is not None:
        assert gas.suction(900.0, 300.0).density == thin.density
    assert gas.actual(1e6, 300.0) is None
    assert gas.heated(1e4, 2e4, 1.2) is None
    assert gas.heated(3e4, 2e4, 1.2) == 3e4


def test_each_state_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    gas = Gas("R-134a")
    first = gas.suction(2e5, 273.15)
    monkeypatch.setattr(gas, "_suction", None)
    assert gas.suction(2e5, 273.15) is first


def test_columns_keep_what_they_know_by_identity() -> None:
    columns = GasColumns("R-134a", 2)
    low, warm = np.array([2e5, 2.1e5]), np.array([273.15, 270.0])
    assert columns.suction(low, warm) is columns.suction(low, warm)
    assert columns.suction(low, warm.copy()) is not columns.suction(low, warm)
    assert columns.plain.all()
    assert columns.known("dew", np.array([2e5, 5e6])) is True
    assert columns.plain.tolist() == [True, False]


def vague(**changed: Any) -> CompressorReadings:
    """Readings at which series do not hold for the efficiency."""
    usual = {
        "suction_pressure": Measured(8e5, 3e4), "discharge_pressure": Measured(1.6e6, 4e4),
        "suction_temperature": Measured(279.0, 2.0), "discharge_temperature": Measured(312.0, 3.0),
    }  # fmt: skip
    return CompressorReadings(**(usual | changed))


@pytest.mark.parametrize(
    "readings",
    [
        vague(),
        vague(power=Measured(2e3, 300.0)),
        vague(suction_pressure=Measured(5e4, 4e4)),  # draws without a suction, and below the surfaces
        vague(discharge_pressure=Measured(5.1e6, 1e5), discharge_temperature=Measured(380.0, 8.0)),
    ],
)
def test_draws_at_once_are_those_one_by_one(readings: CompressorReadings, monkeypatch: pytest.MonkeyPatch) -> None:
    machine = RunningCompressor("scroll", running=True)
    at_once = compression.assess("R-454B", readings, machine)
    monkeypatch.setattr(AtPoints, "many", lambda *_: None)
    assert compression.assess("R-454B", readings, machine) == at_once


def test_a_mixture_without_surfaces_and_maps_draw_one_by_one() -> None:
    narrowed = AtPoints(Gas("R-454B"), ())
    narrowed.gas.surfaces = None
    assert narrowed.many(frozenset({"isentropic_efficiency"}), {}) is None
    with pytest.raises(InputError, match="no surfaces"):
        GasColumns("R-32=60%+R-125=40%", 1)
    assert phase("R-454B", "gas") is not None
    assert math.isinf(ends.dew_temperature("R-454B", 9e6))
