"""Critical water of liquid refrigerants."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.moisture_limit import (
    TABLE,
    WaterVerdict,
    moisture_limit,
    solubility,
    temperatures,
)
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError

KNOWN = sorted(TABLE().milligrams_per_kilogram)


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


@pytest.mark.parametrize(
    ("milligrams", "verdict"),
    [
        (100, "no free water"),
        (215, "no free water"),
        (217, "cannot tell"),
        (300, "cannot tell"),
        (400, "cannot tell"),
        (401, "free water"),
    ],
)
def test_wet_refrigerant_is_not_called_free_of_water(milligrams: float, verdict: WaterVerdict) -> None:
    """R-22 at 0 degF holds 308 mg/kg, known to 15 %: 216 to 400 mg/kg is open."""
    found = moisture_limit("R-22", Measured(kelvin(0)), Measured(milligrams * 1e-6))
    assert found.critical.value == pytest.approx(308e-6)
    assert found.critical.uncertainty == pytest.approx(46.2e-6)
    assert found.verdict == verdict


@pytest.mark.parametrize("refrigerant", KNOWN)
@given(st.floats(233.2, 310.0), st.floats(0.05, 0.5))
def test_colder_liquid_holds_less(refrigerant: str, temperature: float, step: float) -> None:
    assert solubility(refrigerant, temperature) < solubility(refrigerant, temperature + step)


def test_a_thermometer_counts_and_stays_in_the_table() -> None:
    low = temperatures()[0]
    exact, unsure = (moisture_limit("R-134a", Measured(low, spread)).critical for spread in (0.0, 3.0))
    assert unsure.value == exact.value == pytest.approx(89e-6)
    assert unsure.uncertainty > exact.uncertainty
    assert moisture_limit("R-134a", Measured(low)).verdict is None


def test_what_is_not_known_is_refused() -> None:
    with pytest.raises(InputError, match="not known here") as caught:
        moisture_limit("R-410A", Measured(270.0))
    assert "R-134a" in caught.value.accepted
    with pytest.raises(UnknownNameError):
        moisture_limit("R-0", Measured(270.0))
    for temperature in (kelvin(-41), kelvin(101)):
        with pytest.raises(OutOfRangeError):
            moisture_limit("R-22", Measured(temperature))
    with pytest.raises(OutOfRangeError) as wet:
        moisture_limit("R-22", Measured(270.0), Measured(0.2))
    assert wet.value.field == "water"


def test_the_file_is_whole() -> None:
    assert {len(row) for row in TABLE().milligrams_per_kilogram.values()} == {len(TABLE().fahrenheit)} == {8}
    assert KNOWN == ["R-11", "R-114", "R-12", "R-123", "R-134a", "R-22", "R-502"]


def test_the_examples_of_the_docstrings() -> None:
    assert solubility("R-22", 277.594) == pytest.approx(690e-6, rel=1e-4)
    assert moisture_limit("R-22", Measured(277.594), Measured(1e-4)).verdict == "no free water"
