"""Turnover times and mass flow from capacity."""

import math

import pytest

from witnessmark.cleanup.turnover import flow_from_capacity, left_after, specific_cooling, turnover
from witnessmark.errors import InputError, OutOfRangeError


def test_turnover_is_mass_over_flow() -> None:
    found = turnover(12.0, 0.1, "given", oil_charge=2.0)
    assert found.charge_time == pytest.approx(120.0)
    assert found.oil_time == pytest.approx(2.0 / (0.01 * 0.1))


def test_without_an_oil_charge_there_is_no_oil_time() -> None:
    assert turnover(12.0, 0.1, "given").oil_time is None


def test_three_turnovers_leave_five_percent() -> None:
    assert left_after(3) == pytest.approx(math.exp(-3))


def test_flow_from_capacity() -> None:
    flow = flow_from_capacity("R-410A", 10_000.0, 280.0, 310.0)
    assert flow * specific_cooling("R-410A", 280.0, 310.0) == pytest.approx(10_000.0)


@pytest.mark.parametrize(
    ("charge", "flow", "oil", "field"),
    [(0.0, 0.1, None, "charge"), (1.0, 1e-6, None, "mass_flow"), (1.0, 0.1, 1e-4, "oil.charge")],
)
def test_nonsense_is_refused(charge: float, flow: float, oil: float | None, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        turnover(charge, flow, "given", oil)
    assert caught.value.field == field


def test_liquid_colder_than_the_evaporator_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        flow_from_capacity("R-410A", 10_000.0, 300.0, 290.0)
    assert caught.value.field == "liquid_temperature"
    with pytest.raises(OutOfRangeError):
        flow_from_capacity("R-410A", 1.0, 280.0, 300.0)


def test_temperatures_off_the_curves_name_their_field() -> None:
    with pytest.raises(OutOfRangeError) as cold:
        specific_cooling("R-410A", 30.0, 300.0)
    assert cold.value.field == "evaporating_temperature"
    with pytest.raises(OutOfRangeError) as hot:
        specific_cooling("R-410A", 280.0, 900.0)
    assert hot.value.field == "liquid_temperature"
