"""States at the ends of a compressor, and errors that name the reading."""

import math

import pytest

from witnessmark.calculations.compressor import compressor_states as ends
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.refrigerants import states


def test_a_suction_reading_below_dew_counts_as_dry_saturated() -> None:
    """R-134a boils at 5.03 degC at 350 kPa: Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657."""
    wet = ends.suction_gas("R-134a", 350e3, 270.0)
    assert wet.temperature == pytest.approx(278.178, abs=0.002)
    assert ends.suction_gas("R-134a", 350e3, 290.0).temperature == pytest.approx(290.0)


def test_ideal_compression_keeps_the_entropy() -> None:
    suction = ends.suction_gas("R-448A", 400e3, 285.0)
    ideal = ends.ideal_discharge("R-448A", 1.8e6, suction.entropy)
    assert ideal.entropy == pytest.approx(suction.entropy, abs=1e-3)
    assert ideal.enthalpy > suction.enthalpy


def test_ideal_compression_of_a_published_equation() -> None:
    """R-410A, 930 kPa and 290 K to 2.75 MPa, by Lemmon, Int. J. Thermophys. 24 (2003) 991: 347.482 K, 31 969.8 J/kg."""
    suction = ends.suction_gas("R-410A", 930e3, 290.0)
    ideal = ends.ideal_discharge("R-410A", 2.75e6, suction.entropy)
    assert ideal.temperature == pytest.approx(347.482, abs=0.005)
    assert ideal.enthalpy - suction.enthalpy == pytest.approx(31_969.8, rel=1e-4)


def test_too_hot_for_the_equations_names_the_discharge_pressure() -> None:
    suction = ends.suction_gas("R-32", 100e3, 450.0)
    with pytest.raises(InputError) as caught:
        ends.ideal_discharge("R-32", 5e6, suction.entropy)
    assert caught.value.field == "discharge_pressure"
    assert not isinstance(caught.value, OutOfRangeError)


def test_a_pressure_beyond_all_range_names_the_discharge_pressure() -> None:
    suction = ends.suction_gas("R-32", 800e3, 300.0)
    with pytest.raises(OutOfRangeError) as caught:
        ends.ideal_discharge("R-32", 1e9, suction.entropy)
    assert caught.value.field == "discharge_pressure"


def test_discharge_by_enthalpy_ends_where_the_equations_end() -> None:
    hot = states.gas("R-32", 3e6, 370.0)
    found = ends.discharge_at("R-32", 3e6, hot.enthalpy)
    assert found is not None
    assert found.temperature == pytest.approx(370.0, abs=1e-4)
    assert ends.discharge_at("R-32", 3e6, hot.enthalpy + 5e6) is None


def test_a_discharge_at_or_below_dew_fixes_no_state() -> None:
    assert ends.discharge_gas("R-410A", 2.5e6, 300.0) is None
    assert ends.discharge_gas("R-410A", 2.5e6, 350.0) is not None


def test_above_the_critical_pressure_there_is_no_dew_temperature() -> None:
    assert ends.dew_temperature("R-744", 9e6) == -math.inf
    gas = ends.discharge_gas("R-744", 9e6, 370.0)
    assert gas is not None
    assert gas.phase == "supercritical"
