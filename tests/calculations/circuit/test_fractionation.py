from __future__ import annotations

import time
from dataclasses import replace
from typing import Any

import pytest

from witnessmark.calculations.circuit.fractionation import (
    CylinderPhase,
    Leak,
    fractionation,
    pressure_width,
    pressure_widths,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.refrigerants.vessel import Vessel

HALF = Leak("vapour", 298.15, 0.5, 0.8)


def test_a_vapour_leak_leaves_what_boils_higher() -> None:
    found = fractionation("R-407C", HALF)
    before, left = found.before, found.left
    assert left.composition["R-134a"] > before.composition["R-134a"] + 0.08
    assert left.composition["R-32"] < before.composition["R-32"]
    assert [round(step.removed, 2) for step in found.steps] == [0.0, 0.1, 0.2, 0.3, 0.4, 0.5]
    assert found.steps[-1].composition == left.composition
    assert found.largest_shift == pytest.approx(left.composition["R-134a"] - 0.52)
    assert found.dry_from is None
    assert found.accuracy == pytest.approx(0.5)


def test_superheat_by_the_old_table_shows_too_much() -> None:
    """Worst wrong answer: a shift with the wrong sign, which hides liquid in the suction line.

    By hand: dew temperature of what is left minus that of the blend, both at the blend's dew pressure.
    """
    found = fractionation("R-407C", HALF)
    assert found.pressure == pytest.approx(saturation.dew_pressure("R-407C", 298.15), rel=5e-3)
    left = saturation.dew_temperature(found.left.text, found.pressure)
    assert found.left.dew_shift == pytest.approx(left - found.before.dew)
    assert found.before.dew == pytest.approx(298.15, abs=1e-6)
    assert 3.0 < found.left.dew_shift < 4.5
    assert found.left.bubble_shift > 0


def test_topping_up_mends_half_of_it() -> None:
    """By hand: half of what is left and half of the blend."""
    found = fractionation("R-407C", HALF)
    for name, share in found.topped_up.composition.items():
        assert share == pytest.approx(
            0.5 * found.left.composition[name] + 0.5 * found.before.composition[name], abs=1e-6
        )
    assert 0 < found.topped_up.dew_shift < found.left.dew_shift


def test_a_liquid_leak_shifts_the_other_way() -> None:
    found = fractionation("R-407C", Leak("liquid", 298.15, 0.8, 0.8))
    assert found.left.dew_shift < 0
    assert found.steps[-1].leaving["R-32"] < 0.23 < found.left.composition["R-32"]


def test_what_burns_is_counted_where_there_is_most_of_it() -> None:
    """R-407C does not burn, yet a third of its vapour is R-32; all components of R-454B burn."""
    assert fractionation("R-407C", HALF).flammable == pytest.approx(0.325, abs=0.01)
    assert fractionation("R-454B", Leak("vapour", 293.15, 0.1, 0.8)).flammable == pytest.approx(1.0)


def test_where_the_liquid_ends_is_told() -> None:
    assert fractionation("R-407C", Leak("vapour", 298.15, 0.9, 0.1)).dry_from == pytest.approx(0.74, abs=0.02)


@pytest.mark.parametrize(
    ("refrigerant", "leak", "error", "field"),
    [
        ("R-22", HALF, InputError, "refrigerant"),
        ("R-407C", Leak("vapour", 298.15, 0.95, 0.8), OutOfRangeError, "removed"),
        ("R-407C", Leak("vapour", 298.15, 0.5, 1.0), OutOfRangeError, "liquid_share"),
        ("R-407C", Leak("vapour", 380.0, 0.5, 0.8), InputError, "temperature"),
        ("R-455A", Leak("vapour", 350.7, 0.5, 0.6), InputError, "temperature"),
    ],
)
def test_what_cannot_be_is_refused(refrigerant: str, leak: Leak, error: Any, field: str) -> None:
    with pytest.raises(error) as caught:
        fractionation(refrigerant, leak)
    assert caught.value.field == field


def test_at_first_nothing_is_gone() -> None:
    """1 less a sum of shares leaves dust of 1e-16."""
    for blend in ("R-407C", "R-404A", "R-410A", "R-448A"):
        assert fractionation(blend, HALF).steps[0].removed == 0.0


def test_a_changed_mixture_that_would_be_too_cold_to_boil_is_refused() -> None:
    """Liquid let out of carbon dioxide in isobutane leaves mostly the former: at 0.4 bar it would be a solid.

    Triple point of carbon dioxide: 216.6 K, 518 kPa (ASHRAE Handbook Fundamentals, refrigerants; from memory).
    """
    with pytest.raises(InputError, match="no bubble or dew point; accepted: a higher one") as caught:
        fractionation("R-744/600a (30/70)", Leak("liquid", 230.0, 0.9, 0.3))
    assert caught.value.field == "temperature"


@pytest.mark.parametrize(("blend", "below"), [("R-407C", 8), ("R-410A", 3), ("R-448A", 11), ("R-455A", 25)])
def test_a_leak_near_the_critical_point_is_followed(blend: str, below: float) -> None:
    """A hot cylinder in a van or on a roof: by vapour what boils lowest leaves first there too."""
    leak = fractionation(blend, Leak("vapour", catalogue.get(blend).critical_temperature - below, 0.5, 0.6))
    assert leak.left.dew_shift >= 0
    assert sum(leak.left.composition.values()) == pytest.approx(1.0)


@pytest.mark.parametrize(("phase", "removed"), [("vapour", 0.5), ("liquid", 0.9)])
def test_the_width_of_a_temperature_is_one_of_the_standing_pressure(phase: CylinderPhase, removed: float) -> None:
    """By hand: the whole leak followed again 0.8 K warmer and colder, at every step that is told."""
    leak = Leak(phase, 298.15, removed, 0.8)
    relative = pressure_widths("R-407C", leak, 0.8, fractionation("R-407C", leak).steps)
    cold, warm = (fractionation("R-407C", replace(leak, temperature=t)) for t in (297.35, 298.95))
    for width, low, high in zip(relative, cold.steps, warm.steps, strict=True):
        assert width == pytest.approx((high.pressure - low.pressure) / (high.pressure + low.pressure), rel=0.03)
    assert pressure_widths("R-407C", leak, 0.0, fractionation("R-407C", leak).steps) == [0.0] * len(relative)
    assert pressure_width("R-407C", Measured(298.15)) == 0.0


def test_a_leak_that_cannot_be_followed_warmer_has_the_width_of_the_blend() -> None:
    """Worst: a pressure that looks exact, since warmer there is no equilibrium."""
    leak = Leak("vapour", catalogue.get("R-407C").critical_temperature - 3.0, 0.1, 0.5)
    steps = fractionation("R-407C", leak).steps
    assert pressure_widths("R-407C", leak, 20.0, steps) == [
        pressure_width("R-407C", Measured(leak.temperature, 20.0))
    ] * len(steps)


def test_a_width_beyond_the_end_of_the_line_is_taken_by_its_slope() -> None:
    """Worst: half of the span lies beyond the end, and the uncertainty comes out half as large."""
    hottest = saturation.temperature_range("R-407C")[1]
    whole = pressure_width("R-407C", Measured(hottest - 3.0, 1.0))
    assert pressure_width("R-407C", Measured(hottest - 1.0, 3.0)) == pytest.approx(3.0 * whole, rel=0.1)


@pytest.mark.parametrize("blend", ["R-470A", "R-442A", "R-448A", "R-410A"])
def test_a_leak_is_followed_to_its_end(blend: str) -> None:
    """How long that takes is measured in tests/bench, not here."""
    leak = Leak("vapour", 293.15, 0.9, 0.5)
    until = time.thread_time() + 60.0
    found = fractionation(blend, leak, until)
    assert found.steps[-1].removed == pytest.approx(0.9)
    assert len(pressure_widths(blend, leak, 0.5, found.steps, until)) == len(found.steps)


def test_without_time_it_is_refused_with_the_reason() -> None:
    leak = Leak("vapour", 293.15, 0.5, 0.5)
    with pytest.raises(InputError, match="of processor time"):
        fractionation("R-407C", leak, 0.0)
    steps = fractionation("R-407C", leak).steps
    (width, *others) = pressure_widths("R-407C", leak, 0.5, steps, 0.0)
    assert {width, *others} == {pressure_width("R-407C", Measured(293.15, 0.5))}


def test_the_charges_are_not_begun_without_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Vessel, "_check", lambda _: None)
    with pytest.raises(InputError, match="of processor time"):
        fractionation("R-407C", Leak("vapour", 293.15, 0.5, 0.5), 0.0)
