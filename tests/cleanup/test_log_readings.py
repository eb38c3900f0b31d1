"""Readings prepared for judging."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from tests.cleanup.logs import START, log

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.filters import suction_density
from witnessmark.cleanup.log_readings import FilterLogCase, FilterReading, Prepared, full_superheat, prepare
from witnessmark.errors import OutOfRangeError


def prepared(reading: FilterReading, offset: float = 0.0, **changes: object) -> Prepared:
    case: FilterLogCase = replace(log([(0, 1.0, 1.0)]), readings=(reading,), **changes)  # type: ignore[arg-type]
    return prepare(case, 0, datetime(2026, 6, 1, 9, tzinfo=UTC), START, Measured(offset, 100.0 if offset else 0.0))


@pytest.mark.parametrize(
    ("share", "drop", "standing"),
    [
        (0.0, 0.0, "not judged: no flow"),
        (0.39, 5e3, "not judged: low flow"),
        (0.40, 5e3, "at full flow"),
        (1.0, -5e3, "not judged: negative drop"),
        (1.0, -500.0, "at full flow"),
    ],
)
def test_standing(share: float, drop: float, standing: str) -> None:
    found = prepared(FilterReading(START, Measured(drop, 300.0), share))
    assert found.standing == standing
    assert (found.full is None) is (standing != "at full flow")
    assert found.elapsed == 3600.0


def test_the_offset_comes_off_and_adds_its_uncertainty() -> None:
    found = prepared(FilterReading(START, Measured(5e3, 300.0)), offset=1e3)
    assert found.drop.value == pytest.approx(4e3)
    assert found.drop.uncertainty == pytest.approx((300.0**2 + 100.0**2) ** 0.5)


def test_density_follows_the_temperatures_read() -> None:
    full = suction_density("R-410A", 277.6, 8.0)
    colder = prepared(FilterReading(START, Measured(5e3), 0.7, evaporating=271.0))
    assert colder.state.density_ratio == pytest.approx(suction_density("R-410A", 271.0, 8.0) / full)
    warmer = prepared(FilterReading(START, Measured(5e3), 0.7, suction=300.0))
    assert warmer.state.density_ratio == pytest.approx(suction_density("R-410A", 277.6, 22.4) / full)
    assert prepared(FilterReading(START, Measured(5e3), 0.7)).state.density_ratio == 1.0


def test_a_speed_share_is_turned_into_a_mass_share() -> None:
    found = prepared(FilterReading(START, Measured(5e3), 0.7, evaporating=271.0), share_of="speed")
    assert found.state.share == pytest.approx(0.7 * found.state.density_ratio)


def test_the_usual_superheat_stands_in() -> None:
    assert full_superheat(replace(log([(0, 1.0, 1.0)]), superheat=None)) == 10.0


@pytest.mark.parametrize(
    ("reading", "field"),
    [
        (FilterReading(START, Measured(5e3), 2.0), "readings.0.flow_share"),
        (FilterReading(START, Measured(5e3), evaporating=20.0), "readings.0.evaporating_temperature"),
        (FilterReading(START, Measured(5e3), suction=2000.0), "readings.0.suction_temperature"),
    ],
)
def test_errors_name_the_reading(reading: FilterReading, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        prepared(reading)
    assert caught.value.field == field
