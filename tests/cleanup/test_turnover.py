"""Turnover times and mass flow from capacity."""

import pytest

from witnessmark.cleanup.line_states import specific_cooling
from witnessmark.cleanup.turnover import CAPACITIES, CHARGES, FLOWS, CircuitFlow, flow_from_capacity, turnover
from witnessmark.errors import InputError, OutOfRangeError


def test_turnover_is_mass_over_flow() -> None:
    found = turnover(12.0, CircuitFlow(0.1), oil_charge=2.0)
    assert found.charge_time == pytest.approx(120.0)
    assert found.oil_time == pytest.approx(2.0 / (0.01 * 0.1))


def test_without_an_oil_charge_there_is_no_oil_time() -> None:
    assert turnover(12.0, CircuitFlow(0.1)).oil_time is None


def test_flow_from_capacity() -> None:
    flow = flow_from_capacity("R-410A", 10_000.0, 280.0, 310.0)
    assert flow * specific_cooling("R-410A", 280.0, 310.0) == pytest.approx(10_000.0)


@pytest.mark.parametrize(
    ("charge", "flow", "oil", "field"),
    [(0.0, 0.1, None, "charge"), (1.0, 1e-6, None, "mass_flow"), (1.0, 0.1, 1e-4, "oil_charge")],
)
def test_nonsense_is_refused(charge: float, flow: float, oil: float | None, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        turnover(charge, CircuitFlow(flow), oil)
    assert caught.value.field == field


def test_liquid_colder_than_the_evaporator_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        flow_from_capacity("R-410A", 10_000.0, 300.0, 290.0)
    assert caught.value.field == "liquid_temperature"
    with pytest.raises(OutOfRangeError):
        flow_from_capacity("R-410A", 1.0, 280.0, 300.0)


def test_the_ends_of_every_range_are_taken() -> None:
    for charge in CHARGES:
        assert turnover(charge, CircuitFlow(1.0), oil_charge=charge).charge_time == charge
    for flow in FLOWS:
        assert turnover(1.0, CircuitFlow(flow)).charge_time == pytest.approx(1 / flow)
    for capacity in CAPACITIES:
        assert flow_from_capacity("R-410A", capacity, 280.0, 310.0) > 0
    assert (CHARGES, FLOWS, CAPACITIES) == ((0.01, 20_000.0), (1e-4, 100.0), (10.0, 2e7))
