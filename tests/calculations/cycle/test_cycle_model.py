"""The cycle as a function of its unknowns: balances, both sides of the dome, both sides of critical."""

from typing import Any

import pytest

from witnessmark.calculations.cycle import cycle_model
from witnessmark.refrigerants import saturation, states

U: dict[str, float] = {
    "suction_pressure": 900e3,
    "discharge_pressure": 2.7e6,
    "superheat": 8.0,
    "subcooling": 5.0,
    "efficiency": 0.65,
    "loss": 0.07,
    "mass_flow": 0.1,
    "volumetric_efficiency": 0.9,
}


def predict(**changes: Any) -> dict[str, float]:
    return cycle_model.predict("R-410A", {**U, **changes})


def test_first_law_round_the_circuit() -> None:
    """What goes in as cooling and work leaves as heat, at the condenser and through the shell."""
    found = predict()
    assert found["heat_rejected"] == pytest.approx(found["refrigerating_effect"] + (1 - 0.07) * found["work"])
    assert found["heating_capacity"] == pytest.approx(found["cooling_capacity"] + 0.93 * found["power"])
    assert found["cooling_cop"] == pytest.approx(found["cooling_capacity"] / found["power"])
    assert found["heating_cop"] == pytest.approx(found["heating_capacity"] / found["power"])


def test_capacity_per_volume_and_swept_flow() -> None:
    found = predict()
    assert found["volumetric_capacity"] * 0.1 / found["suction_density"] == pytest.approx(found["cooling_capacity"])
    assert found["swept_flow"] * 0.9 * found["suction_density"] == pytest.approx(0.1)


def test_no_flow_no_capacities() -> None:
    bare = {name: value for name, value in U.items() if name not in {"mass_flow", "volumetric_efficiency"}}
    assert "power" not in cycle_model.predict("R-410A", bare)
    assert "swept_flow" not in cycle_model.predict("R-410A", bare | {"mass_flow": 0.1})


def test_negative_superheat_is_liquid_and_negative_subcooling_flash_gas() -> None:
    wet = cycle_model.states_of("R-410A", U | {"superheat": -4.0, "subcooling": -6.0})
    assert wet.suction.quality == pytest.approx(0.96)
    assert wet.liquid_line.quality == pytest.approx(0.06)


def test_continuous_through_saturation() -> None:
    """The fit walks across: enthalpies must not jump there."""
    for name in ("superheat", "subcooling"):
        near, far = (predict(**{name: value}) for value in (1e-3, -1e-5))
        assert near["suction.enthalpy"] == pytest.approx(far["suction.enthalpy"], abs=5)
        assert near["liquid.enthalpy"] == pytest.approx(far["liquid.enthalpy"], abs=5)


def test_mid_coil_temperatures_lie_between_the_ends() -> None:
    found = cycle_model.predict("R-407C", U | {"suction_pressure": 500e3, "discharge_pressure": 1.9e6})
    assert found["evaporator_inlet.temperature"] < found["evaporating_temperature"] < found["suction_dew_temperature"]
    bubble, dew = found["discharge_bubble_temperature"], found["discharge_dew_temperature"]
    assert found["condensing_temperature"] == pytest.approx((bubble + dew) / 2)


def test_transcritical_takes_a_liquid_temperature() -> None:
    unknowns = {name: value for name, value in U.items() if name != "subcooling"}
    unknowns |= {"suction_pressure": 3.5e6, "discharge_pressure": 9.5e6, "liquid_temperature": 308.0}
    found = cycle_model.predict("R-744", unknowns)
    assert "condensing_temperature" not in found
    assert found["liquid_temperature"] == pytest.approx(308.0)
    assert cycle_model.is_transcritical("R-744", 9.5e6)
    assert not cycle_model.is_transcritical("R-744", 7.0e6)


def test_beyond_the_equations_the_temperature_goes_on_rising() -> None:
    hot, hotter = (predict(efficiency=e)["discharge_temperature"] for e in (0.09, 0.08))
    assert states.hottest("R-410A") < hot < hotter
    assert cycle_model.states_of("R-410A", U | {"efficiency": 0.09}).discharge.state is None


@pytest.mark.parametrize("changes", [{}, {"efficiency": 0.09}, {"superheat": -25.0, "efficiency": 0.9}])
def test_discharge_superheat_can_take_the_place_of_the_shell_loss(changes: dict[str, float]) -> None:
    """Superheated, beyond the equations, and with liquid in the discharge: both ways lead to the same machine."""
    known = predict(**changes)
    others = {name: value for name, value in (U | changes).items() if name != "loss"}
    found = cycle_model.predict("R-410A", others | {"discharge_superheat": known["discharge_superheat"]})
    assert found == pytest.approx(known, rel=1e-6, abs=1e-5)
    assert (known["discharge_superheat"] < 0) == ("superheat" in changes)


def test_above_the_critical_pressure_the_discharge_temperature_takes_its_place() -> None:
    unknowns = U | {"suction_pressure": 3.5e6, "discharge_pressure": 9.5e6, "liquid_temperature": 308.0}
    known = cycle_model.predict("R-744", unknowns)
    others = {name: value for name, value in unknowns.items() if name != "loss"}
    found = cycle_model.predict("R-744", others | {"discharge_temperature": known["discharge_temperature"]})
    assert found == pytest.approx(known, rel=1e-6)
    assert found["loss"] == pytest.approx(0.07, abs=1e-6)


def test_isenthalpic_expansion() -> None:
    cycle = cycle_model.states_of("R-134a", U | {"suction_pressure": 300e3, "discharge_pressure": 1.2e6})
    assert cycle.evaporator_inlet.enthalpy == pytest.approx(cycle.liquid_line.enthalpy)
    bubble = 319.4645  # K: Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657
    assert cycle.liquid_line.temperature == pytest.approx(bubble - 5, abs=0.002)
    assert cycle.ideal.entropy == pytest.approx(states.gas("R-134a", 300e3, cycle.suction.temperature).entropy)


def test_ammonia_is_followed_as_far_as_its_equation_reaches() -> None:
    """Discharge at 290 degC: by temperature and by superheat the same real state, not one drawn on from 250 degC."""
    assert states.hottest("R-717") > 700.0
    hot = states.gas("R-717", 1.78e6, 563.15)
    u = U | {"suction_pressure": 71e3, "discharge_pressure": 1.78e6, "superheat": 50.0}
    dew = float(saturation.dew_temperature("R-717", 1.78e6))
    unknowns = {name: value for name, value in u.items() if name != "loss"} | {"discharge_superheat": 563.15 - dew}
    found = cycle_model.states_of("R-717", unknowns).discharge
    assert found.state is not None
    assert found.enthalpy == pytest.approx(hot.enthalpy, abs=1.0)


def test_numbers_one_by_one_are_those_of_all_together() -> None:
    one_by_one, whole = cycle_model.predictor("R-410A")(U), predict()
    assert len(one_by_one) == len(whole)
    assert {name: one_by_one[name] for name in whole} == whole
    with pytest.raises(KeyError):
        one_by_one["colour"]


def test_what_needs_another_unknown_is_not_there() -> None:
    bare = {name: value for name, value in U.items() if name != "volumetric_efficiency"}
    found = cycle_model.predict("R-410A", bare)
    assert "power" in found
    assert "swept_flow" not in found
