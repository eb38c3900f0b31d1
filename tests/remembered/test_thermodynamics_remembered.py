"""Figures from memory: they can show a gross error, and prove nothing. No outside check is counted here."""

import pytest

from witnessmark.calculations.cycle import cycle as cycles
from witnessmark.calculations.cycle import cycle_model
from witnessmark.calculations.metrology.dogleg import Vector
from witnessmark.calculations.metrology.least_squares import Observation, Parameter
from witnessmark.calculations.metrology.reconciliation import fit, suspicion
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import saturation, states

IDEAL = {"superheat": 1e-9, "subcooling": 1e-9, "efficiency": 1.0, "loss": 0.0}


def celsius(degrees: float) -> float:
    return degrees + 273.15


def ideal(designation: str, suction: float, discharge: float, **more: float) -> dict[str, float]:
    """The ideal saturated cycle between two pressures."""
    ends = {"suction_pressure": suction, "discharge_pressure": discharge}
    return cycle_model.predict(designation, {**IDEAL, **ends, **more})


def between(designation: str, evaporating: float, condensing: float, **more: float) -> dict[str, float]:
    """The ideal saturated cycle between two saturation temperatures, degC (dew and bubble)."""
    suction = float(saturation.dew_pressure(designation, celsius(evaporating)))
    discharge = float(saturation.bubble_pressure(designation, celsius(condensing)))
    return ideal(designation, suction, discharge, **more)


@pytest.mark.parametrize(
    ("designation", "effect", "cop", "discharge"),
    [
        # memory: ASHRAE Handbook Fundamentals 2009, chapter 29, comparative performance at -15/30 degC
        ("R-717", 1103.1, 4.77, 99),
        ("R-22", 162.7, 4.66, 53),
        ("R-134a", 148.0, 4.60, 37),
        ("R-410A", 167.7, 4.41, 51),
        ("R-290", 279.9, 4.50, 36),
        ("R-600a", 262.8, 4.68, 30),
        ("R-1270", 286.5, 4.54, 42),
        ("R-404A", 114.2, 4.21, 36),
    ],
)
def test_comparative_performance_at_standard_conditions(
    designation: str, effect: float, cop: float, discharge: float
) -> None:
    """Memory, not looked up: 1 % on the effect, 2 % on the COP, 1.5 K on the temperature (printed in whole degrees)."""
    found = between(designation, -15, 30)
    assert found["refrigerating_effect"] == pytest.approx(effect * 1e3, rel=0.01)
    assert found["cooling_cop"] == pytest.approx(cop, rel=0.02)
    assert found["discharge_temperature"] == pytest.approx(celsius(discharge), abs=1.5)


def test_least_squares_on_the_thermometer_of_the_gum() -> None:
    """JCGM 100:2008, H.3: calibration line of a thermometer; its data are published.

    Results from memory: y1 -0.1712(29), y2 0.00218(67), s 0.0035, b(30 degC) = -0.1494(41).
    """
    readings = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
    corrections = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)

    def line(u: Vector) -> dict[str, float]:
        out = {f"b{k}": float(u[0] + u[1] * (t - 20)) for k, t in enumerate(readings)}
        return out | {"y1": float(u[0]), "y2": float(u[1]), "at 30": float(u[0] + 10 * u[1])}

    observed = [Observation(f"b{k}", b, 0.0035) for k, b in enumerate(corrections)]
    found = fit(line, [Parameter(0.0, -1.0, 1.0, 0.01), Parameter(0.0, -1.0, 1.0, 0.01)], observed)
    expected = {"y1": (-0.1712, 0.0029), "y2": (0.00218, 0.00067), "at 30": (-0.1494, 0.0041)}
    for name, (value, uncertainty) in expected.items():
        assert found.values[name] == pytest.approx(value, abs=5.1e-5 if name != "y2" else 5.1e-6)
        assert found.uncertainties[name] == pytest.approx(uncertainty, rel=0.02)
    assert found.degrees == 9
    assert found.chi_squared == pytest.approx(9, rel=0.03)
    assert suspicion(found).verdict == "consistent"


def test_cycle_from_a_textbook_s_readings() -> None:
    """Moran and Shapiro, example 10.3 (memory): 80 %, 9 bar, -10 degC, liquid at 30 degC, 0.08 kg/s: 3.1 kW, COP 3.86.

    Fitted from pressures, temperatures, flow and power alone; the efficiency is left to the data.
    """
    suction, discharge = float(saturation.dew_pressure("R-134a", celsius(-10))), 900e3
    one = states.saturated_vapour("R-134a", suction)
    ideal_rise = states.at_entropy("R-134a", discharge, one.entropy).enthalpy - one.enthalpy
    hot = states.at_enthalpy("R-134a", discharge, one.enthalpy + ideal_rise / 0.8).temperature
    found = cycles.solve(
        "R-134a",
        cycles.CycleReadings(
            suction_pressure=Measured(suction, 300.0),
            discharge_pressure=Measured(discharge, 300.0),
            suction_temperature=Measured(one.temperature + 0.05, 0.05),
            discharge_temperature=Measured(hot, 0.05),
            liquid_temperature=Measured(celsius(30), 0.05),
            mass_flow=Measured(0.08, 1e-4),
            power=Measured(0.08 * ideal_rise / 0.8, 5.0),
        ),
        "scroll",
    ).numbers
    assert found.power is not None
    assert found.power.value == pytest.approx(3100, rel=0.02)
    assert found.cooling_cop.value == pytest.approx(3.86, rel=0.02)
    assert found.efficiency.value == pytest.approx(0.80, abs=0.02)
