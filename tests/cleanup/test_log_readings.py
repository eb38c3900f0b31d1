"""Readings prepared for judging."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from tests.cleanup.logs import START, log

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.line_states import suction_density
from witnessmark.cleanup.log_readings import CorrectedReading, FilterLogCase, FilterReading, correct
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.reference.instruments import default_uncertainty
from witnessmark.refrigerants import saturation


def corrected(reading: FilterReading, offset: float = 0.0, **changes: object) -> CorrectedReading:
    case: FilterLogCase = replace(log([(0, 1.0, 1.0)]), readings=(reading,), **changes)  # type: ignore[arg-type]
    return correct(case, 0, datetime(2026, 6, 1, 9, tzinfo=UTC), START, Measured(offset, 100.0 if offset else 0.0))


@pytest.mark.parametrize(
    ("share", "drop", "state"),
    [
        (0.0, 0.0, "not judged: no flow"),
        (0.39, 5e3, "not judged: low flow"),
        (0.40, 5e3, "at full flow"),
        (1.0, -5e3, "not judged: negative drop"),
        (1.0, -600.0, "at full flow"),  # two standard uncertainties below none
        (1.0, -601.0, "not judged: negative drop"),
        (1.0, -500.0, "at full flow"),
    ],
)
def test_whether_a_reading_is_judged(share: float, drop: float, state: str) -> None:
    found = corrected(FilterReading(START, Measured(drop, 300.0), share))
    assert found.state == state
    assert (found.full is None) is (state != "at full flow")
    assert found.elapsed == 3600.0


def test_the_offset_comes_off_and_adds_its_uncertainty() -> None:
    found = corrected(FilterReading(START, Measured(5e3, 300.0)), offset=1e3)
    assert found.drop.value == pytest.approx(4e3)
    assert found.drop.uncertainty == pytest.approx((300.0**2 + 100.0**2) ** 0.5)


def test_density_follows_the_temperatures_read() -> None:
    full = suction_density("R-410A", 277.6, 8.0)
    colder = corrected(FilterReading(START, Measured(5e3), 0.7, evaporating_temperature=271.0))
    assert colder.flow.density_ratio == pytest.approx(suction_density("R-410A", 271.0, 8.0) / full)
    warmer = corrected(FilterReading(START, Measured(5e3), 0.7, suction_temperature=300.0))
    assert warmer.flow.density_ratio == pytest.approx(suction_density("R-410A", 277.6, 22.4) / full)
    assert corrected(FilterReading(START, Measured(5e3), 0.7)).flow.density_ratio == 1.0


def test_a_speed_share_is_turned_into_a_mass_share() -> None:
    found = corrected(FilterReading(START, Measured(5e3), 0.7, evaporating_temperature=271.0), share_of="speed")
    assert found.flow.share == pytest.approx(0.7 * found.flow.density_ratio)


def test_the_usual_superheat_stands_in() -> None:
    assert replace(log([(0, 1.0, 1.0)]), suction_superheat=None).full_superheat == 10.0


@pytest.mark.parametrize(
    ("reading", "field"),
    [
        (FilterReading(START, Measured(5e3), 2.0), "readings.0.flow_share"),
        (FilterReading(START, Measured(5e3), evaporating_temperature=20.0), "readings.0.evaporating_temperature"),
        (FilterReading(START, Measured(5e3), suction_temperature=2000.0), "readings.0.suction_temperature"),
    ],
)
def test_errors_name_the_reading(reading: FilterReading, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        corrected(reading)
    assert caught.value.field == field


def test_a_drop_comes_from_the_pressures_on_both_sides() -> None:
    """Uncertainties in quadrature: 3 and 4 give 5."""
    reading = FilterReading(START, inlet_pressure=Measured(500e3, 3e3), outlet_pressure=Measured(490e3, 4e3))
    assert reading.measured_drop == Measured(10e3, 5e3)
    assert not reading.one_gauge
    assert reading.dew_temperature("R-22") == pytest.approx(float(saturation.dew_temperature("R-22", 500e3)))
    assert replace(reading, evaporating_temperature=275.0).dew_temperature("R-22") == 275.0
    assert reading.has_state


def test_one_gauge_moved_from_tap_to_tap_has_the_accuracy_of_a_difference() -> None:
    reading = FilterReading(START, inlet_pressure=Measured(500e3), outlet_pressure=Measured(490e3))
    assert reading.one_gauge
    assert reading.measured_drop.uncertainty == default_uncertainty("differential-pressure-gauge", 10e3)
    assert not FilterReading(START, Measured(1e3)).one_gauge
    assert not replace(reading, inlet_pressure=Measured(500e3, 1.0)).one_gauge


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"inlet_pressure": Measured(5e5)},
        {"outlet_pressure": Measured(5e5)},
        {"drop": Measured(1e3), "inlet_pressure": Measured(5e5)},
        {"drop": Measured(1e3), "inlet_pressure": Measured(5e5), "outlet_pressure": Measured(4e5)},
    ],
)
def test_a_reading_is_either_a_drop_or_two_pressures(values: dict[str, Measured]) -> None:
    with pytest.raises(InputError):
        FilterReading(START, **values)  # type: ignore[arg-type]


def test_an_inlet_pressure_off_the_curve_names_itself() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        corrected(FilterReading(START, inlet_pressure=Measured(9e7), outlet_pressure=Measured(1e6)))
    assert caught.value.field == "readings.0.inlet_pressure"
