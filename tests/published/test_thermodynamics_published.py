"""Compression, wet suction, cycle, maps and the standing test against published examples and tables.

Each number names its source; a number recalled without the book at hand says `memory`. Textbooks use older property
tables than the service: up to 1 % in enthalpy differences and 1 K in discharge temperature are theirs.
"""

from dataclasses import dataclass

import pytest

from witnessmark.calculations.circuit import noncondensables
from witnessmark.calculations.circuit.superheat import superheat
from witnessmark.calculations.compressor import compression, wet_suction
from witnessmark.calculations.compressor.performance_map import PerformanceMap, evaluate
from witnessmark.calculations.cycle import cycle_model
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import saturation, states
from witnessmark.refrigerants.vessel import Vessel

PSI, INCH_LB = 6894.757293168361, 2326.0
STANDARD_AIR = 101_325.0
IDEAL = {"superheat": 1e-9, "subcooling": 1e-9, "efficiency": 1.0, "loss": 0.0}


def fahrenheit(degrees: float) -> float:
    return (degrees + 459.67) / 1.8


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
    ("suction", "discharge", "flow", "cooling", "power", "heat", "cop"),
    [
        # Çengel and Boles, Thermodynamics: ideal R-134a refrigerator, as set in a university tutorial with answers
        (140e3, 800e3, 0.06, 8560.0, 2160.0, 10_720.0, 3.963),
        # the same, problem with answers 7.41 kW, 1.83 kW, 9.23 kW, 4.06
        (120e3, 700e3, 0.05, 7410.0, 1830.0, 9230.0, 4.06),
    ],
)
def test_ideal_r134a_refrigerators_of_a_textbook(  # noqa: PLR0913, PLR0917 - one row of a table
    suction: float, discharge: float, flow: float, cooling: float, power: float, heat: float, cop: float
) -> None:
    found = ideal("R-134a", suction, discharge, mass_flow=flow)
    assert found["cooling_capacity"] == pytest.approx(cooling, rel=0.01)
    assert found["power"] == pytest.approx(power, rel=0.01)
    assert found["heating_capacity"] == pytest.approx(heat, rel=0.01)
    assert found["cooling_cop"] == pytest.approx(cop, rel=0.005)


def test_r22_between_minus_15_and_45() -> None:
    """Borgnakke and Sonntag, Fundamentals of Thermodynamics, solutions: R-22, -15/45 degC, with its T2 and P2."""
    found = between("R-22", -15, 45)
    assert found["discharge_temperature"] == pytest.approx(celsius(74.4), abs=1.0)
    assert found["work"] == pytest.approx(45.13e3, rel=0.01)
    assert found["refrigerating_effect"] == pytest.approx(143.15e3, rel=0.005)
    assert found["cooling_cop"] == pytest.approx(3.172, rel=0.005)


def test_r12_between_minus_15_and_45() -> None:
    """The same source: R-12."""
    found = between("R-12", -15, 45)
    assert found["discharge_temperature"] == pytest.approx(celsius(54.7), abs=0.5)
    assert found["work"] == pytest.approx(31.66e3, rel=0.01)
    assert found["refrigerating_effect"] == pytest.approx(101.26e3, rel=0.005)
    assert found["cooling_cop"] == pytest.approx(3.198, rel=0.005)


def test_r134a_between_minus_10_and_28() -> None:
    """Examination problem on the tables of Moran and Shapiro: 241.35, 267.9 and 88.61 kJ/kg."""
    found = between("R-134a", -10, 28)
    assert found["work"] == pytest.approx((267.9 - 241.35) * 1e3, rel=0.01)
    assert found["refrigerating_effect"] == pytest.approx((241.35 - 88.61) * 1e3, rel=0.01)


def test_r134a_in_inch_pound_units() -> None:
    """Worked problem: saturated vapour at 40 degF 107.39, saturated liquid at 130 degF 55.3 Btu/lb, 215 psia."""
    suction = float(saturation.dew_pressure("R-134a", fahrenheit(40)))
    discharge = float(saturation.bubble_pressure("R-134a", fahrenheit(130)))
    assert discharge / PSI == pytest.approx(215, rel=0.01)
    found = ideal("R-134a", suction, discharge)
    assert found["refrigerating_effect"] / INCH_LB == pytest.approx(107.39 - 55.3, rel=0.015)


# IIT Kharagpur, 40 Lessons on Refrigeration and Air Conditioning, R-22 example with its table of state points
LESSON = {"suction": 625.4e3, "discharge": 2.146e6}


def test_r22_lesson_without_heat_exchanger() -> None:
    found = between("R-22", 7.2, 54.4)
    assert found["suction.enthalpy"] == pytest.approx(407.6e3, abs=200)
    assert found["liquid.enthalpy"] == pytest.approx(269.5e3, abs=200)
    assert found["discharge.enthalpy"] == pytest.approx(438.6e3, abs=300)
    assert found["discharge_temperature"] == pytest.approx(celsius(74.23), abs=0.3)
    assert found["evaporator_inlet_quality"] == pytest.approx(0.3063, abs=0.001)
    assert found["refrigerating_effect"] == pytest.approx(138.1e3, rel=0.002)
    assert found["work"] == pytest.approx(31.0e3, rel=0.01)
    assert found["volumetric_capacity"] == pytest.approx(3660.2e3, rel=0.002)


def test_r22_lesson_with_superheated_suction() -> None:
    """The same example with a heat exchanger: suction at 37.88 degC leaves the compressor at 104.9 degC."""
    readings = compression.CompressorReadings(
        Measured(LESSON["suction"]), Measured(LESSON["discharge"]), Measured(celsius(37.88)), Measured(celsius(104.9))
    )
    found = compression.assess("R-22", readings).numbers
    assert found.isentropic_discharge_temperature is not None
    assert found.isentropic_discharge_temperature.value == pytest.approx(celsius(104.9), abs=0.3)
    assert found.isentropic_efficiency is not None
    assert found.isentropic_efficiency.value == pytest.approx(1.0, abs=0.01)
    suction = states.gas("R-22", LESSON["suction"], celsius(37.88))
    assert suction.enthalpy == pytest.approx(430.7e3, abs=200)
    assert suction.entropy == pytest.approx(1819, abs=1)
    assert 1 / suction.density == pytest.approx(0.04385, rel=0.001)


@pytest.mark.parametrize(("discharge", "suction"), [(74.23, 7.2), (104.9, 37.88)])
def test_wet_suction_finds_the_lesson_s_suction_state(discharge: float, suction: float) -> None:
    """The same two compressions read backwards at efficiency 1 without loss: dry saturated, and 30.7 K of superheat."""
    values = {
        "suction_pressure": LESSON["suction"],
        "discharge_pressure": LESSON["discharge"],
        "discharge_temperature": celsius(discharge),
        "loss": 0.0,
    }
    x = wet_suction.solve("R-22", values, 1.0)
    liquid, vapour = (f("R-22", LESSON["suction"]) for f in (states.saturated_liquid, states.saturated_vapour))
    enthalpy = liquid.enthalpy + x * (vapour.enthalpy - liquid.enthalpy)
    found = states.at_enthalpy("R-22", LESSON["suction"], enthalpy).temperature
    assert found == pytest.approx(celsius(suction), abs=0.4)


def test_isentropic_efficiency_of_a_textbook_compressor() -> None:
    """Çengel and Boles problem, R-134a 0.20 MPa -5 degC to 1.2 MPa 70 degC: 74.1 %; 0.07 kg/s from 44 degC: 9.42 kW."""
    readings = compression.CompressorReadings(
        Measured(200e3), Measured(1.2e6), Measured(celsius(-5)), Measured(celsius(70)), Measured(0.07)
    )
    found = compression.assess("R-134a", readings).numbers.isentropic_efficiency
    assert found is not None
    assert found.value == pytest.approx(0.741, abs=0.003)
    suction, liquid = states.gas("R-134a", 200e3, celsius(-5)), states.liquid("R-134a", 1.15e6, celsius(44))
    assert 0.07 * (suction.enthalpy - liquid.enthalpy) == pytest.approx(9420, rel=0.005)


def test_power_at_a_given_efficiency() -> None:
    """Tutorial after Çengel and Boles: 0.3 m3/min at 140 kPa -10 degC to 1 MPa, efficiency 78 %, power 1.88 kW."""
    suction = states.gas("R-134a", 140e3, celsius(-10))
    readings = compression.CompressorReadings(
        Measured(140e3),
        Measured(1e6),
        Measured(celsius(-10)),
        mass_flow=Measured(suction.density * 0.3 / 60),
        power=Measured(1880.0),
        displacement=Measured(0.3 / 60 / 25),
        speed=Measured(25.0),
    )
    found = compression.assess("R-134a", readings).numbers
    assert found.power_efficiency is not None
    assert found.power_efficiency.value == pytest.approx(0.78, abs=0.003)
    assert found.volumetric_efficiency is not None
    assert found.volumetric_efficiency.value == pytest.approx(1.0)


def test_condenser_of_a_textbook_heat_pump() -> None:
    """Borgnakke and Sonntag, R-410A heat pump: 110 degC at 3050 kPa to 45 degC at 3000 kPa gives off 233 kJ/kg.

    Whole kJ/kg are printed: 0.6 %. A wrong zero of enthalpy or saturated instead of hot gas would show. The loss of the
    compressor of the same problem is not reproduced: see tests/restated/test_thermodynamics_restated.py.
    """
    condenser = states.gas("R-410A", 3.05e6, celsius(110)).enthalpy - states.liquid("R-410A", 3e6, celsius(45)).enthalpy
    assert condenser == pytest.approx(233e3, rel=0.006)


# A compressor maker's rating sheet for an R-448A low-temperature scroll at 60 Hz: ten coefficients each for capacity
# (Btu/h), power (W) and mass flow (lb/h) over dew temperatures in degF, 40 degF return gas, no subcooling,
# -40 to 10 degF evaporating, 40 to 140 degF condensing (published; coefficients as quoted in a public repository)
BTU_PER_HOUR, LB_PER_HOUR = 0.2930710701722222, 0.45359237 / 3600
CAPACITY = PerformanceMap(
    "capacity",
    (
        19339.50413,
        486.198366,
        -74.18803854,
        5.554632125,
        -1.824627609,
        0.0,
        0.030094493,
        -0.018874372,
        -0.001689688,
        -0.000248838,
    ),
    "degF",
    BTU_PER_HOUR,
)
FLOW = PerformanceMap(
    "mass_flow",
    (
        182.9271859,
        4.770930891,
        -0.083612619,
        0.063604522,
        -0.002474897,
        -0.000641904,
        0.000466731,
        -6.89e-05,
        -2.56e-05,
        0.0,
    ),
    "degF",
    LB_PER_HOUR,
    rating_suction_temperature=(40 + 459.67) / 1.8,
)


@pytest.mark.parametrize("evaporating", [-30.0, -20.0, -10.0, 0.0, 10.0])
@pytest.mark.parametrize("condensing", [70.0, 105.0, 135.0])
def test_rated_capacity_is_rated_flow_times_our_enthalpies(evaporating: float, condensing: float) -> None:
    """Two published polynomials and our R-448A close the energy balance within 1.5 % over the whole envelope.

    A wrong order of coefficients, a wrong unit, mid-point instead of dew temperatures or bubble for dew would break it.
    """
    s, d = fahrenheit(evaporating), fahrenheit(condensing)
    suction = states.gas("R-448A", float(saturation.dew_pressure("R-448A", s)), fahrenheit(40))
    liquid = states.saturated_liquid("R-448A", float(saturation.dew_pressure("R-448A", d)))
    expected = evaluate(FLOW, s, d) * (suction.enthalpy - liquid.enthalpy)
    assert evaluate(CAPACITY, s, d) == pytest.approx(expected, rel=0.015)


@dataclass(frozen=True)
class Gauges:
    """Gauge readings, psi, and the absolute ratio that the source prints."""

    suction: float
    discharge: float
    printed: float


@pytest.mark.parametrize(
    "reading",
    [
        Gauges(5, 145, 8.1),  # trade press, 2014: (145 + 14.7) / (5 + 14.7)
        Gauges(70, 260, 3.24),  # published worked example: 274.7 / 84.7
        Gauges(30, 250, 5.9),  # published worked example: 264.7 / 44.7, not 8.3 on gauges
    ],
)
def test_pressure_ratio_is_absolute(reading: Gauges) -> None:
    ends = [Measured(gauge * PSI + STANDARD_AIR) for gauge in (reading.suction, reading.discharge)]
    found = compression.assess("R-22", compression.CompressorReadings(*ends)).numbers.pressure_ratio
    assert found.value == pytest.approx(reading.printed, abs=0.05)


def test_superheat_of_an_r410a_machine_by_a_printed_chart() -> None:
    """A printed R-410A chart gives 118.8 psig at 40 degF (published); 52 degF on the line is 12 degF of superheat."""
    found = superheat("R-410A", Measured(118.8 * PSI + STANDARD_AIR), Measured(fahrenheit(52)))
    assert found.margin.value * 1.8 == pytest.approx(12.0, abs=0.6)


@pytest.mark.parametrize(
    ("gauge", "verdict"),
    [
        (195.9, "none that matters"),  # the chart's own pressure at 100 degF
        (225.9, "present"),  # 30 psi above it
        (160.0, "below saturation"),
    ],
)
def test_standing_pressure_of_r22_by_a_printed_chart(gauge: float, verdict: str) -> None:
    """A printed R-22 chart gives 195.9 psig at 100 degF (published).

    That a pressure above the chart means air stands in US Army TM 5-3810-307-24-1-2, air conditioning (published).
    """
    pressure, temperature = Measured(gauge * PSI + STANDARD_AIR, 5e3), Measured(fahrenheit(100), 0.3)
    found = noncondensables.standing_test("R-22", pressure, temperature)
    assert found.verdict == verdict
    assert found.bubble_pressure.value == pytest.approx(195.9 * PSI + STANDARD_AIR, rel=0.003)


def test_vapour_over_r407c_in_a_cylinder() -> None:
    """33 / 33 / 34 % of R-32, R-125 and R-134a by mass over liquid of 23 / 25 / 52 %, at room temperature.

    An air conditioner maker's service manual (specifications, page 64); whole per cents, temperature not told.
    """
    parts = {"R-32": 0.23, "R-125": 0.25, "R-134a": 0.52}
    vapour = Vessel(parts, 298.15, 0.8).content().vapour
    assert list(vapour.values()) == pytest.approx([0.33, 0.33, 0.34], abs=0.025)
