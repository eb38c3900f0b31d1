"""Data files and formulas read back: what a source prints against what was typed from it. No check of truth."""

from __future__ import annotations

import math
from datetime import date

import fluids
import numpy as np
import pytest

from witnessmark.calculations.circuit.charge_rules import oil_top_up
from witnessmark.calculations.circuit.riser_rules import RULES
from witnessmark.calculations.compressor import accumulator_rules
from witnessmark.calculations.compressor.accumulator import (
    AccumulatorCase,
    CircuitCharge,
    Vessel,
    WetReturn,
    accumulator,
)
from witnessmark.calculations.compressor.liquid_pocket import quality_at_share
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import leak_rules
from witnessmark.reference.instruments import default_uncertainty
from witnessmark.refrigerants import saturation

POUND, FOOT, INCH, TON = 0.45359237, 0.3048, 0.0254, 3516.8528


# --- air pressure


# --- instruments and uncertainty


def test_gauge_class_example() -> None:
    """A gauge maker's testing instructions after EN 837-1: 0 to 10 bar, class 1.6: ±0.16 bar.

    The default takes a span of 18 bar at 9 bar, hence ±0.288 bar, and reads the dial to ±0.1 bar.
    """
    limit = 0.016 * 10
    assert limit == pytest.approx(0.16)
    expected = math.hypot(limit * 18 / 10, 0.1) / math.sqrt(3) * 1e5
    assert default_uncertainty("pressure-gauge-analogue", 9e5) == pytest.approx(expected)


def test_multimeter_example() -> None:
    """A multimeter maker's help page: 120 V, ±(1 % + 3 counts of 0.1 V) = ±1.5 V."""
    assert default_uncertainty("voltmeter", 120.0) * math.sqrt(3) == pytest.approx(1.5)


def test_thermocouple_and_insulation_tester() -> None:
    """IEC 60584-1 type K class 1: ±1.5 K; IEC 61557-2, 6.2: ±30 % of the measured value."""
    assert default_uncertainty("pipe-thermometer", 300.0) >= 1.5 / math.sqrt(3)
    assert default_uncertainty("insulation-tester", 2e6) == pytest.approx(0.6e6 / math.sqrt(3))


# --- leaks and recovery


@pytest.mark.parametrize(
    ("category", "percent"),
    # 40 CFR 82.157(c)(2) and 84.106(c)(2).
    [("commercial-refrigeration", 20), ("industrial-process", 30), ("comfort-cooling", 10), ("other", 10)],
)
def test_trigger_rates(category: leak_rules.ApplianceCategory, percent: float) -> None:
    in_force = [t for t in leak_rules.triggers("ozone-depleting") if t.in_force(date(2024, 5, 1))]
    in_force += [t for t in leak_rules.triggers("hydrofluorocarbon") if t.in_force(date(2026, 5, 1))]
    assert [100 * t.rates[category] for t in in_force] == pytest.approx([percent, percent])
    assert [t.charge / POUND for t in in_force] == pytest.approx([50, 15])


def test_substitutes_were_covered_only_until_april_2020_and_again_from_2026() -> None:
    """40 CFR 82.157(a): from 10 April 2020 class I and II only; 40 CFR 84.106(a): from 1 January 2026."""
    days = {date(2019, 7, 1): 1, date(2020, 4, 10): 0, date(2025, 12, 31): 0, date(2026, 1, 1): 1}
    triggers = leak_rules.triggers("hydrofluorocarbon")
    assert {day: sum(t.in_force(day) for t in triggers) for day in days} == days


@pytest.mark.parametrize(
    ("pressure_class", "pounds", "before", "after"),
    # 40 CFR 82.156, Table 1: inches of Hg vacuum by machines made before and after 15 November 1993, 29.9 in Hg air.
    [
        ("very-high", 500, 0, 0),
        ("high", 199, 0, 0),
        ("high", 250, 4, 10),
        ("medium", 150, 4, 10),
        ("medium", 200, 4, 15),
    ],
)
def test_recovery_levels(pressure_class: leak_rules.PressureClass, pounds: float, before: float, after: float) -> None:
    old, new = (leak_rules.recovery_level(pressure_class, pounds * POUND, new_machine=n) for n in (False, True))
    assert 29.9 - old.pressure / 3386.389 == pytest.approx(before, abs=1e-3)
    assert 29.9 - new.pressure / 3386.389 == pytest.approx(after, abs=1e-3)


def test_recovery_level_of_low_pressure() -> None:
    """40 CFR 82.156, Table 1: 25 mm Hg absolute for either machine."""
    for new in (False, True):
        assert leak_rules.recovery_level("low", 300.0, new_machine=new).pressure == pytest.approx(3333.06, abs=0.01)


# --- tube


# --- line charge


def test_oil_top_up_example() -> None:
    """Scroll guide: 1 to 2 % of 20 kg beyond 20 m of line, here 40 m: 0.2 to 0.4 kg."""
    found = oil_top_up(20.0, 40.0)
    assert (found.low, found.high) == pytest.approx((0.2, 0.4))


# --- risers


def test_velocity_rules_as_published() -> None:
    """ASHRAE Handbook - Refrigeration 2006, 2, table 1: 900 to 4000 ft/min; a compressor maker: 4, and 8 to 12 m/s."""
    ranges = {(r.place, round(r.low, 2), round(r.high, 2)) for r in RULES().velocity}
    assert {("riser", 4.57, 20.32), ("riser", 8.0, 12.0)} <= ranges
    assert ("horizontal", 4.0) in {(place, low) for place, low, _ in ranges}


def test_trap_rules_as_published() -> None:
    """A compressor maker: foot of the riser and every 4 m; a unit maker: coil outlet and every 20 ft."""
    assert [rule.every for rule in RULES().trap] == pytest.approx([4.0, 20 * FOOT])


# --- accumulator


def test_accumulator_half_charge_example() -> None:
    """Scroll guide: not less than 50 % of the charge; 12 kg ask for 6 kg."""
    pressure = float(saturation.dew_pressure("R-410A", 278.15))
    density = float(saturation.liquid_density("R-410A", saturation.bubble_temperature("R-410A", pressure)))
    back = WetReturn("R-410A", Measured(pressure), Measured(0.03), Measured(0.9))
    for kilograms, verdict in ((6.01, "meets"), (5.99, "below")):
        case = AccumulatorCase(Vessel(Measured(kilograms / density)), back, CircuitCharge(Measured(12.0)), 60.0)
        assert accumulator(case).sizing.verdict == verdict


def test_drop_lifting_velocity_against_a_general_library() -> None:
    """fluids: Souders-Brown velocity; the constant is an estimate, the form is not."""
    constant = accumulator_rules.RULES().drops.constant.value
    theirs = fluids.v_Sounders_Brown(K=constant, rhol=1150.0, rhog=35.0)
    assert constant * math.sqrt((1150.0 - 35.0) / 35.0) == pytest.approx(theirs)


# --- wet suction


def test_rigid_locking_quality_is_where_liquid_fills_the_pocket() -> None:
    """By its definition, over a grid: volumes of liquid and gas summed directly, per kilogram."""
    volume_ratio, liquid, gas = 2.6, 1150.0, 35.0
    quality = quality_at_share(1 / volume_ratio, liquid / gas)
    grid = np.linspace(0, 0.2, 200_001)
    volume = (1 - grid) / liquid + grid / gas
    filled = (1 - grid) / liquid >= volume / volume_ratio
    assert grid[filled].max() == pytest.approx(quality, abs=2e-6)
