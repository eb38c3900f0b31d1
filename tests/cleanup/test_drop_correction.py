"""Drops at part flow brought to full flow."""

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.drop_correction import FlowState, at_full_flow, factor, flow_state
from witnessmark.cleanup.sizing_rules import SIZING
from witnessmark.errors import OutOfRangeError


def test_full_flow_is_left_as_it_is() -> None:
    found = at_full_flow(Measured(10e3, 500.0), FlowState(1.0))
    assert found.middle == Measured(10e3, 500.0)
    assert [found.low, found.high] == pytest.approx([9e3, 11e3])


def test_part_flow_widens_the_interval_to_both_exponents() -> None:
    found = at_full_flow(Measured(10e3), FlowState(0.5))
    assert found.low == pytest.approx(10e3 * 2**1.5)
    assert found.middle.value == pytest.approx(10e3 * 2**1.75)
    assert found.high == pytest.approx(10e3 * 4)


def test_over_full_flow_the_ends_change_places() -> None:
    found = at_full_flow(Measured(10e3), FlowState(1.2))
    assert found.low == pytest.approx(10e3 / 1.2**2)
    assert found.high == pytest.approx(10e3 / 1.2**1.5)


def test_a_negative_reading_keeps_its_sign() -> None:
    found = at_full_flow(Measured(-100.0, 200.0), FlowState(0.5))
    assert found.low < 0 < found.high


def test_thinner_gas_drops_more_at_the_same_mass_flow() -> None:
    assert factor(FlowState(1.0, 0.8), 2.0) == pytest.approx(0.8)


def test_a_speed_share_moves_mass_with_density() -> None:
    assert flow_state(0.5, "speed", 0.9).share == pytest.approx(0.45)
    assert flow_state(0.5, "mass-flow", 0.9).share == 0.5
    assert flow_state(1e-308, "mass-flow", 0.9).share == 0.0


def test_speed_and_mass_flow_agree_where_the_exponent_is_two() -> None:
    """Same machine: m = share * density; drop ~ m²/density = share² density."""
    assert factor(flow_state(0.5, "speed", 0.9), 2.0) == pytest.approx(1 / (0.5**2 * 0.9))


@pytest.mark.parametrize("share", [-1e-9, 1.500001])
def test_shares_out_of_range(share: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        flow_state(share, "mass-flow", 1.0)
    assert caught.value.field == "flow_share"


def test_the_middle_exponent_is_the_turbulent_one() -> None:
    assert (SIZING().flow_exponent.ends, SIZING().flow_exponent.middle) == ((1.5, 2.0), 1.75)


def test_edges_of_shares_and_of_standstill() -> None:
    assert flow_state(0.0, "mass-flow", 1.0).share == 0.0
    assert flow_state(1.5, "mass-flow", 1.0).share == 1.5
    assert flow_state(1e-6, "mass-flow", 1.0).share == 1e-6
    assert flow_state(0.99e-6, "mass-flow", 1.0).share == 0.0
