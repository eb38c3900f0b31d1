"""The riser at part load, least load, sizes that fit, advice."""

from __future__ import annotations

import math

import pytest

from witnessmark.calculations.circuit.oil_return import (
    OilReturn,
    Riser,
    SuctionGas,
    flow_for_capacity,
    least_mass_flux,
    oil_return,
)
from witnessmark.calculations.circuit.tubes import tube
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError

PRESSURE, DENSITY = 933_176.2, 33.8770
"""R-410A, dew at 5 degC (Pa) and gas of 13 degC there (kg/m3): Lemmon, Int. J. Thermophys. 24 (2003) 991."""
GAS = SuctionGas("R-410A", Measured(PRESSURE, 8e3), Measured(286.15, 1.0), Measured(308.15, 1.0))
BORE = tube("1-1/8").bore


def riser(flow: float, size: str = "1-1/8", height: float = 9.0) -> Riser:
    return Riser(tube(size).bore, height, Measured(flow, 0.02 * flow))


def least(size: str = "1-1/8") -> float:
    return oil_return(GAS, riser(0.1, size)).least_mass_flow.value


def test_least_flow_by_hand() -> None:
    flux = 0.7225 * math.sqrt(DENSITY * 9.80665 * BORE.value * (1000 - DENSITY))
    found = oil_return(GAS, riser(0.1))
    assert found.gas_density.value == pytest.approx(DENSITY, rel=1e-5)
    assert found.least_mass_flow.value == pytest.approx(flux * math.pi / 4 * BORE.value**2, rel=1e-5)
    assert found.least_velocity.value == pytest.approx(flux / DENSITY, rel=1e-5)
    assert found.least_load.value == pytest.approx(found.least_mass_flow.value / 0.1)
    assert found.least_capacity is not None
    effect = found.least_capacity.value / found.least_mass_flow.value
    assert 150e3 < effect < 200e3
    # the constant's 0.04 in 0.85 counts twice, and rules
    assert found.least_mass_flow.uncertainty / found.least_mass_flow.value == pytest.approx(2 * 0.04 / 0.85, rel=0.1)


def test_capacity_needs_a_liquid_temperature() -> None:
    assert oil_return(SuctionGas("R-410A", GAS.pressure, GAS.temperature), riser(0.1)).least_capacity is None


def at(share_of_least: float, *loads: float, size: str = "1-1/8") -> OilReturn:
    return oil_return(GAS, riser(share_of_least * least(size), size), loads or (1.0,))


def test_carried_at_every_load() -> None:
    found = at(5.0, 0.4, 1.0)
    assert [p.load for p in found.loads] == [1.0, 0.4]
    assert {p.verdict for p in found.loads} == {"carried"}
    assert found.loads[1].margin.value == pytest.approx(2.0)
    assert found.advice == ("returns",)
    assert found.loads[0].velocity.value == pytest.approx(5 * found.least_velocity.value)


def test_lost_at_part_load_and_a_smaller_size_helps() -> None:
    found = at(1.6, 0.3, 1.0)
    assert [p.verdict for p in found.loads] == ["carried", "not carried"]
    assert found.advice == ("part-load", "smaller")
    assert all(choice.least_load <= 0.3 for choice in found.sizes_that_fit)
    assert max(tube(choice.size).bore.value for choice in found.sizes_that_fit) < BORE.value


def by_velocity(metres_per_second: float, size: str, lowest: float = 0.3) -> OilReturn:
    """A flow known to 1 % that runs through this size at this velocity at full load."""
    flow = metres_per_second * DENSITY * math.pi / 4 * tube(size).bore.value ** 2
    return oil_return(GAS, Riser(tube("1-3/8").bore, 9.0, Measured(flow, 0.01 * flow)), (1.0, lowest))


@pytest.mark.parametrize(
    ("velocity", "standing"), [(10.0, "within"), (16.0, "sources disagree"), (12.1, "cannot tell"), (30.0, None)]
)
def test_velocity_at_full_load_decides_by_the_strictest_source(velocity: float, standing: str | None) -> None:
    found = by_velocity(velocity, "7/8")
    told = {choice.size: choice.standing for choice in (*found.sizes_that_fit, *found.sizes_in_doubt)}
    assert told.get("7/8") == standing
    assert ("7/8" in {choice.size for choice in found.sizes_that_fit}) == (standing == "within")


def test_a_size_fits_only_where_asking_for_it_says_carried() -> None:
    found = at(1.6, 0.3, 1.0)
    for choice in (*found.sizes_that_fit, *found.sizes_in_doubt):
        again = oil_return(GAS, riser(1.6 * least(), choice.size), (1.0, 0.3))
        assert again.loads[-1].verdict == "carried"
        assert again.loads[0].velocity.value == pytest.approx(choice.velocity.value)
        assert again.least_load.value == pytest.approx(choice.least_load)


def test_sizes_that_sources_disagree_on_are_no_plain_advice() -> None:
    found = by_velocity(16.0, "7/8", lowest=0.15)
    assert found.sizes_that_fit == ()
    assert found.advice == ("part-load", "disputed")


def test_lost_even_at_full_load() -> None:
    assert at(0.5, 1.0).advice == ("never", "smaller")


def test_no_single_size_does_both() -> None:
    found = at(1.6, 0.01, 1.0)
    assert found.sizes_that_fit == ()
    assert found.advice == ("part-load", "divide")


def test_within_the_uncertainty() -> None:
    found = at(1.05, 1.0)
    assert (found.loads[0].verdict, found.advice) == ("cannot tell", ("unsure",))


def test_traps_by_each_rule_and_own_oil_density() -> None:
    assert [rule.number for rule in at(2.0).traps] == [3, 2]
    light = Riser(BORE, 0.0, Measured(0.1), Measured(850.0, 10.0))
    found = oil_return(GAS, light)
    assert found.least_mass_flow.value < least()
    assert [rule.number for rule in found.traps] == [0, 0]


def test_oil_must_be_denser_than_the_gas() -> None:
    with pytest.raises(InputError, match="oil_density"):
        least_mass_flux(900.0, 0.02, 850.0)


FAULTS = [
    (GAS, Riser(Measured(2.0), 1.0, Measured(0.1)), (1.0,), "bore"),
    (GAS, Riser(BORE, -1.0, Measured(0.1)), (1.0,), "height"),
    (GAS, Riser(BORE, 1.0, Measured(0.0)), (1.0,), "mass_flow"),
    (GAS, Riser(BORE, 1.0, Measured(0.1), Measured(1.0)), (1.0,), "oil_density"),
    (GAS, Riser(BORE, 1.0, Measured(0.1)), (), "loads"),
    (GAS, Riser(BORE, 1.0, Measured(0.1)), (1.0, 0.0), "loads.1"),
    (SuctionGas("R-410A", GAS.pressure, Measured(260.0)), Riser(BORE, 1.0, Measured(0.1)), (1.0,), "temperature"),
    (
        SuctionGas("R-410A", GAS.pressure, GAS.temperature, Measured(900.0)),
        Riser(BORE, 1.0, Measured(0.1)),
        (1.0,),
        "liquid_temperature",
    ),
    (SuctionGas("R-0", GAS.pressure, GAS.temperature), Riser(BORE, 1.0, Measured(0.1)), (1.0,), "refrigerant"),
]


@pytest.mark.parametrize(("gas", "pipe", "loads", "field"), FAULTS)
def test_faults_name_the_field(gas: SuctionGas, pipe: Riser, loads: tuple[float, ...], field: str) -> None:
    with pytest.raises(InputError) as caught:
        oil_return(gas, pipe, loads)
    assert caught.value.field == field


def test_flow_for_a_capacity() -> None:
    found = oil_return(GAS, riser(0.1))
    assert found.least_capacity is not None
    capacity = Measured(found.least_capacity.value, 0.0)
    assert flow_for_capacity(GAS, capacity).value == pytest.approx(found.least_mass_flow.value)
    with pytest.raises(InputError, match="liquid_temperature"):
        flow_for_capacity(SuctionGas("R-410A", GAS.pressure, GAS.temperature), capacity)


def test_hot_liquid_leaves_no_cooling_effect() -> None:
    hot = SuctionGas("R-410A", Measured(174_850.0), Measured(240.15), Measured(343.0, 40.0))
    with pytest.raises(InputError) as caught:
        oil_return(hot, riser(0.1))
    assert caught.value.field == "liquid_temperature"


RANGES = [
    (Riser(Measured(1e-4), 1.0, Measured(0.1)), (1.0,), "bore", (5e-4, 1.0, "length")),
    (Riser(BORE, 501.0, Measured(0.1)), (1.0,), "height", (0.0, 500.0, "length")),
    (Riser(BORE, 1.0, Measured(2e4)), (1.0,), "mass_flow", (1e-7, 1e4, "mass_flow")),
    (Riser(BORE, 1.0, Measured(0.1), Measured(1400.0)), (1.0,), "oil_density", (600.0, 1300.0, "density")),
    (Riser(BORE, 1.0, Measured(0.1)), (1.6,), "loads.0", (0.01, 1.5, "number")),
]


@pytest.mark.parametrize(("pipe", "loads", "field", "ends"), RANGES)
def test_a_number_out_of_range_is_told_the_range(
    pipe: Riser, loads: tuple[float, ...], field: str, ends: tuple[float, float, str]
) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        oil_return(GAS, pipe, loads)
    assert (caught.value.field, (caught.value.low, caught.value.high, caught.value.dimension)) == (field, ends)
