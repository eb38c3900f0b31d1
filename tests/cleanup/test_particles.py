"""Drag and settling of fragments."""

import math

import pytest

from witnessmark.cleanup.particles import Fluid, drag_coefficient, equal_volume_diameter, settling_velocity

WATER = Fluid(998.2, 1.002e-3)


def test_weight_and_drag_balance_at_the_settling_velocity() -> None:
    diameter, density = 1e-3, 7850.0
    velocity = settling_velocity(diameter, density, WATER, 0.8)
    reynolds = WATER.density * velocity * diameter / WATER.viscosity
    area, volume = math.pi * diameter**2 / 4, math.pi * diameter**3 / 6
    drag = drag_coefficient(reynolds, 0.8) * area * WATER.density * velocity**2 / 2
    assert drag == pytest.approx((density - WATER.density) * volume * 9.80665, rel=1e-6)


def test_what_floats_does_not_settle() -> None:
    assert settling_velocity(1e-3, 900.0, WATER) == 0.0


def test_dust_that_hardly_moves_is_zero() -> None:
    assert settling_velocity(1e-12, 1100.0, WATER) == 0.0


def test_flakes_settle_slower_than_grains() -> None:
    assert settling_velocity(1e-3, 7200.0, WATER, 0.5) < settling_velocity(1e-3, 7200.0, WATER, 1.0)


def test_a_sphericity_out_of_range_is_taken_to_its_end() -> None:
    assert drag_coefficient(10.0, 1.5) == drag_coefficient(10.0, 1.0)
    assert drag_coefficient(10.0, 0.0) == drag_coefficient(10.0, 0.1)


def test_equal_volume_diameter() -> None:
    assert equal_volume_diameter(math.pi / 6 * 7000 * 1e-9, 7000.0) == pytest.approx(1e-3)
    assert equal_volume_diameter(0.0, 7000.0) == 0.0


@pytest.mark.parametrize(
    ("reynolds", "sphericity", "drag"),
    [(100.0, 0.5, 3.2341), (1.0, 0.5, 42.0361), (1e4, 0.5, 3.6298), (100.0, 1.0, 1.1498), (100.0, 0.8, 1.3017)],
)
def test_drag_by_hand_from_the_published_formula(reynolds: float, sphericity: float, drag: float) -> None:
    """Haider and Levenspiel, Powder Technology 58 (1989) 63: 24/Re (1 + A Re^B) + C/(1 + D/Re).

    At sphericity 0.5 A = 0.74969, B = 0.37465, C = 3.5997, D = 81.446.
    """
    assert drag_coefficient(reynolds, sphericity) == pytest.approx(drag, rel=1e-4)
