"""What becomes an unknown, what is observed, what is assumed, and what is refused."""

import dataclasses

import pytest

from witnessmark.calculations.compressor.compressor_types import compressor_type
from witnessmark.calculations.cycle.cycle_setup import CycleFit, CycleReadings, prepare
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, InputError, OutOfRangeError

KIND = compressor_type("scroll")
P = CycleReadings(Measured(930e3, 5e3), Measured(2.75e6, 8e3))
FULL = dataclasses.replace(P, suction_temperature=Measured(288.0, 1.0), liquid_temperature=Measured(313.0, 1.0))


def names(problem: CycleFit) -> set[str]:
    return {o.name for o in problem.observations}


def test_two_pressures_suffice() -> None:
    problem = prepare("R-410A", P, KIND)
    assert list(problem.parameters) == [
        "suction_pressure",
        "discharge_pressure",
        "superheat",
        "subcooling",
        "efficiency",
        "discharge_superheat",
    ]
    assert names(problem) == {"suction_pressure", "discharge_pressure", "superheat", "subcooling", "efficiency", "loss"}
    assert {"cycle-usual-superheat", "cycle-usual-subcooling"} <= set(problem.notes)


def test_coil_temperatures_can_stand_for_both_pressures() -> None:
    coils = CycleReadings(evaporating_temperature=Measured(278.0, 1.0), condensing_temperature=Measured(315.0, 1.0))
    problem = prepare("R-410A", coils, KIND)
    start = problem.parameters["suction_pressure"].start
    assert start == pytest.approx(928_888.8, rel=1e-6), "Lemmon, Int. J. Thermophys. 24 (2003) 991"


def test_temperatures_carry_the_property_basis() -> None:
    problem = prepare("R-410A", FULL, KIND)
    widths = {o.name: o.uncertainty for o in problem.observations}
    assert widths["suction_temperature"] > 1.0
    assert widths["suction_pressure"] == 5e3
    assert "superheat" not in widths
    assert "cycle-usual-superheat" not in problem.notes


@pytest.mark.parametrize(
    ("name", "value"),
    [("mass_flow", 0.1), ("power", 4900.0), ("cooling_capacity", 16.8e3), ("heating_capacity", 21.5e3)],
)
def test_any_flow_reading_brings_the_mass_flow(name: str, value: float) -> None:
    problem = prepare("R-410A", dataclasses.replace(FULL, **{name: Measured(value)}), KIND)
    assert problem.parameters["mass_flow"].start == pytest.approx(0.1, rel=0.2)
    assert "volumetric_efficiency" not in problem.parameters


def test_displacement_and_speed_count_together() -> None:
    both = dataclasses.replace(FULL, displacement=Measured(60e-6, 0.6e-6), speed=Measured(58.0, 0.58))
    problem = prepare("R-410A", both, KIND)
    swept = next(o for o in problem.observations if o.name == "swept_flow")
    assert swept.value == pytest.approx(60e-6 * 58)
    assert swept.uncertainty == pytest.approx(60e-6 * 58 * 0.01 * 2**0.5)
    assert problem.parameters["mass_flow"].start == pytest.approx(0.11, rel=0.2)
    alone = prepare("R-410A", dataclasses.replace(both, speed=None), KIND)
    assert "cycle-swept-unused" in alone.notes
    assert "mass_flow" not in alone.parameters


def test_a_capacity_without_effect_falls_back_to_a_usual_flow() -> None:
    """Hot liquid and cold suction: no refrigerating effect, so the capacity cannot start the flow."""
    odd = dataclasses.replace(
        CycleReadings(
            Measured(300e3), Measured(3.4e6), liquid_temperature=Measured(393.0), cooling_capacity=Measured(1e4)
        ),
    )
    assert prepare("R-152a", odd, KIND).parameters["mass_flow"].start > 0


def test_transcritical_needs_the_gas_cooler_outlet() -> None:
    high = CycleReadings(Measured(3.5e6), Measured(9.5e6), liquid_temperature=Measured(308.0))
    problem = prepare("R-744", high, KIND)
    assert "liquid_temperature" in problem.parameters
    assert "cycle-transcritical" in problem.notes
    for wrong in ({"liquid_temperature": None}, {"condensing_temperature": Measured(300.0)}):
        with pytest.raises(InputError) as caught:
            prepare("R-744", dataclasses.replace(high, **wrong), KIND)
        assert caught.value.field == "liquid_temperature"


@pytest.mark.parametrize(
    ("readings", "field"),
    [
        (CycleReadings(discharge_pressure=Measured(2.7e6)), "suction_pressure"),
        (CycleReadings(suction_pressure=Measured(9e5)), "discharge_pressure"),
        (dataclasses.replace(P, suction_temperature=Measured(-1.0)), "suction_temperature"),
        (dataclasses.replace(P, power=Measured(100.0, 200.0)), "power"),
    ],
)
def test_what_is_missing_or_not_positive_is_named(readings: CycleReadings, field: str) -> None:
    with pytest.raises(InputError) as caught:
        prepare("R-410A", readings, KIND)
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("designation", "readings", "field"),
    [
        ("R-410A", CycleReadings(Measured(100.0), Measured(2.7e6)), "suction_pressure"),
        ("R-410A", CycleReadings(Measured(9e5), Measured(4.85e6)), "discharge_pressure"),
        (
            "R-744",
            CycleReadings(Measured(3.5e6), Measured(25e6), liquid_temperature=Measured(308.0)),
            "discharge_pressure",
        ),
        (
            "R-410A",
            CycleReadings(evaporating_temperature=Measured(900.0), discharge_pressure=Measured(2e6)),
            "evaporating_temperature",
        ),
    ],
)
def test_what_is_out_of_range_is_named(designation: str, readings: CycleReadings, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        prepare(designation, readings, KIND)
    assert caught.value.field == field


def test_no_lift_no_cycle() -> None:
    with pytest.raises(ConflictError) as caught:
        prepare("R-410A", CycleReadings(Measured(1e6), Measured(1.02e6)), KIND)
    assert caught.value.fields == ("discharge_pressure", "suction_pressure")


def test_displacement_and_speed_alone_start_the_flow() -> None:
    """60 cm3, 58 a second, 92.5 % filled with gas of 33.3335 kg/m3 (930 kPa, 288 K, Lemmon 2003): 0.107 30 kg/s."""
    swept = dataclasses.replace(P, suction_temperature=FULL.suction_temperature)
    swept = dataclasses.replace(swept, displacement=Measured(60e-6), speed=Measured(58.0))
    assert prepare("R-410A", swept, KIND).parameters["mass_flow"].start == pytest.approx(0.10730, rel=1e-4)
    only_swept = dataclasses.replace(P, displacement=Measured(60e-6), speed=Measured(58.0))
    assert prepare("R-410A", only_swept, KIND).parameters["mass_flow"].start == pytest.approx(0.107, rel=0.03)
