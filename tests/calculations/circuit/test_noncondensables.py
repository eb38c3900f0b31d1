"""The standing-pressure test: Dalton, its uncertainty, and a verdict that waits for it."""

import numpy as np
import pytest

from witnessmark.calculations.circuit import noncondensables as n
from witnessmark.calculations.circuit.superheat import basis_uncertainty
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.refrigerants import saturation

T = 308.15
PURE = 2_144_714.2
"""Bubble pressure of R-410A at 35 degC, Pa: Lemmon, Int. J. Thermophys. 24 (2003) 991, evaluated once by itself."""


def standing(excess: float, width: float = 3e3, t_width: float = 0.1) -> n.StandingTest:
    return n.standing_test("R-410A", Measured(PURE + excess, width), Measured(T, t_width))


@pytest.mark.parametrize(
    ("excess", "width", "t_width", "expected"),
    [
        (0.0, 3e3, 0.1, "none that matters"),
        (250e3, 3e3, 0.1, "present"),
        (-200e3, 3e3, 0.1, "below saturation"),
        (40e3, 20e3, 1.0, "cannot tell"),
        (0.0, 40e3, 2.0, "cannot tell"),
    ],
)
def test_verdict_waits_for_the_uncertainty(excess: float, width: float, t_width: float, expected: str) -> None:
    assert standing(excess, width, t_width).verdict == expected


USUAL = ("R-22", "R-410A", "R-134a", "R-404A", "R-407C", "R-717", "R-290")


@pytest.mark.parametrize("name", USUAL)
@pytest.mark.parametrize(
    ("share", "expected"), [(0.0, "none that matters"), (-0.005, "none that matters"), (0.12, "present")]
)
def test_a_pressure_on_the_chart_by_usual_instruments_is_clean(name: str, share: float, expected: str) -> None:
    """Air thermometer within 1 K and digital gauge, 80 degF; a tenth of air is still seen (common practice)."""
    clean = float(saturation.bubble_pressure(name, 299.8))
    assert n.standing_test(name, Measured(clean * (1 + share), 5e3), Measured(299.8, 0.65)).verdict == expected


@pytest.mark.parametrize(
    ("share", "width", "t_width"), [(0.03, 5e3, 0.65), (0.02, 5e3, 0.65), (0.0, 5e3, 1.5), (0.0, 8e4, 0.65)]
)
def test_air_that_may_hide_is_not_passed_as_a_pressure_on_the_chart(share: float, width: float, t_width: float) -> None:
    assert n.standing_test("R-410A", Measured(PURE * (1 + share), width), Measured(T, t_width)).verdict == "cannot tell"


def test_dalton_in_numbers() -> None:
    found = standing(250e3)
    assert found.bubble_pressure.value == pytest.approx(PURE)
    assert found.excess.value == pytest.approx(250e3)
    assert found.share.value == pytest.approx(250e3 / (PURE + 250e3))
    assert found.head_rise.value == pytest.approx(4.4717, abs=5e-4), "2.394714 MPa boils at 312.6217 K"
    assert found.air is None


def test_no_share_below_saturation() -> None:
    assert standing(-200e3).share.value == 0


def test_amount_in_a_gas_space_is_that_of_an_ideal_gas() -> None:
    """200 kPa in 10 L at 35 °C: n = pV/RT = 0.7806 mol, 22.61 g of air."""
    found = n.standing_test("R-410A", Measured(PURE + 200e3), Measured(T), Measured(0.010))
    assert found.air is not None
    assert found.air.value == pytest.approx(0.02261, rel=1e-3)


@pytest.mark.parametrize("bad", [Measured(0.0), Measured(0.01, 0.02)])
def test_pressure_and_gas_space_must_be_positive_and_known(bad: Measured) -> None:
    with pytest.raises(InputError) as caught:
        n.standing_test("R-410A", Measured(PURE), Measured(T), bad)
    assert caught.value.field == "gas_space"
    with pytest.raises(InputError) as caught:
        n.standing_test("R-410A", bad, Measured(T))
    assert caught.value.field == "pressure"


def test_blends_are_held_against_bubble_not_dew() -> None:
    """At 25 degC bubble 1 190 236 Pa, dew 1 019 949 Pa: Lemmon, Int. J. Thermophys. 24 (2003) 991."""
    found = n.standing_test("R-407C", Measured(1.2e6), Measured(298.15))
    assert found.bubble_pressure.value == pytest.approx(1_190_236.0, rel=1e-5)
    assert found.excess.value == pytest.approx(9764.0, abs=15.0)


def test_uncertainty_agrees_with_random_draws_within_5_percent() -> None:
    """10^5 draws, GUM supplement 1; the ambient temperature dominates."""
    generator = np.random.default_rng(5)
    pressure = generator.normal(PURE + 250e3, 8e3, 100_000)
    temperature = generator.normal(T, 0.6, 100_000)
    basis = generator.normal(0, basis_uncertainty("R-410A"), 100_000)
    excess = pressure - saturation.bubble_pressure("R-410A", temperature + basis)
    found = standing(250e3, 8e3, 0.6)
    assert found.excess.uncertainty == pytest.approx(float(np.std(excess)), rel=0.05)
    assert found.least_excess == pytest.approx(2 * float(np.std(excess)), rel=0.05)


@pytest.mark.parametrize(("pressure", "temperature", "field"), [(1e9, T, "pressure"), (PURE, 900.0, "temperature")])
def test_errors_name_the_reading(pressure: float, temperature: float, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        n.standing_test("R-410A", Measured(pressure), Measured(temperature))
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("told", "held"), [("R-22", "R-410A"), ("R-134a", "R-22"), ("R-404A", "R-410A"), ("R-410A", "R-22")]
)
def test_another_refrigerant_than_the_label_says_is_not_taken_for_air_alone(told: str, held: str) -> None:
    """The pressure of R-410A in a circuit labelled R-22 bursts vessels; it must not be called air with certainty."""
    pressure = float(saturation.bubble_pressure(held, T))
    found = n.standing_test(told, Measured(pressure, 8e3), Measured(T, 0.6))
    assert held in found.fitting
    assert told not in found.fitting


def test_no_other_refrigerant_is_named_where_the_told_one_fits() -> None:
    assert standing(0.0).fitting == ()


def test_a_refrigerant_that_has_no_liquid_at_this_temperature_fits_nothing() -> None:
    """R-744 above its critical 31 degC."""
    assert "R-744" not in n.standing_test("R-410A", Measured(4.5e6, 8e3), Measured(T, 0.6)).fitting


@pytest.mark.parametrize("kelvin", [263.15, 283.15, 298.15, 313.15])
@pytest.mark.parametrize("above", [1.08, 1.15, 1.3, 0.85])
def test_ammonia_is_not_mistaken_for_another_refrigerant(kelvin: float, above: float) -> None:
    """Its smell and its steel pipes tell; air in it is air. Nor is ammonia offered for a wrong label."""
    clean = float(saturation.bubble_pressure("R-717", kelvin))
    assert n.standing_test("R-717", Measured(above * clean, 5e3), Measured(kelvin, 0.3)).fitting == ()
    assert "R-717" not in n.standing_test("R-134a", Measured(clean, 5e3), Measured(kelvin, 0.3)).fitting
