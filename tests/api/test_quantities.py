import pytest
from pydantic import ValidationError

from witnessmark.api.quantities import Pressure, Temperature, TemperatureDifference
from witnessmark.calculations.metrology.uncertainty import Measured

AIR = 101_325.0


@pytest.mark.parametrize(
    ("value", "unit", "absolute"),
    [(0, "psig", AIR), (14.6959487755, "psia", AIR), (29.9212524, "inHg_vac", 0.0), (1, "barg", AIR + 1e5)],
)
def test_gauge_counts_from_the_local_air(value: float, unit: str, absolute: float) -> None:
    # 14.6959 psi and 29.9213 inHg are the standard atmosphere (NIST SP 811, appendix B)
    pressure = Pressure.model_validate({"value": value, "unit": unit})
    assert pressure.to_si(AIR).value == pytest.approx(absolute, abs=0.1)


def test_uncertainty_scales_without_the_offset() -> None:
    reading = Temperature(value=50, unit="degF", uncertainty=1.8).to_si()
    assert reading.value == pytest.approx(283.15)
    assert reading.uncertainty == pytest.approx(1.0)


def test_uncertainty_of_a_vacuum_reading_is_positive() -> None:
    assert Pressure(value=10, unit="inHg_vac", uncertainty=1).to_si(AIR).uncertainty == pytest.approx(3386.388640341)


def test_a_magnitude_that_no_instrument_reads_is_zero() -> None:
    assert Temperature(value=5e-324, unit="K", uncertainty=1e-310).to_si() == Measured(0.0)


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_shown_and_read_again_is_the_same(system: str) -> None:
    reading = Measured(850_123.4, 1234.5)
    back = Pressure.of(reading, system).to_si()  # type: ignore[arg-type]
    assert back.value == pytest.approx(reading.value, rel=1e-9)
    assert back.uncertainty == pytest.approx(reading.uncertainty, rel=1e-9)


def test_no_uncertainty_is_left_out() -> None:
    assert TemperatureDifference.of(5.0).uncertainty is None


@pytest.mark.parametrize(
    "body",
    [
        {"value": "1", "unit": "psig"},
        {"value": True, "unit": "psig"},
        {"value": 1, "unit": "psi"},
        {"value": 1, "unit": "degC"},
        {"value": 1},
        {"value": float("nan"), "unit": "psig"},
        {"value": float("inf"), "unit": "psig"},
        {"value": 1e300, "unit": "psig"},
        {"value": 1, "unit": "psig", "uncertainty": -1},
        {"value": 1, "unit": "psig", "note": "x"},
        118,
    ],
)
def test_what_is_not_a_pressure_is_refused(body: object) -> None:
    with pytest.raises(ValidationError):
        Pressure.model_validate(body)
