from __future__ import annotations

import time
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from witnessmark.errors import InputError
from witnessmark.refrigerants import catalogue, saturation, vessel
from witnessmark.refrigerants.tracing import Tracer
from witnessmark.refrigerants.vessel import Content, Vessel

R407C = {"R-32": 0.23, "R-125": 0.25, "R-134a": 0.52}


def after(
    components: dict[str, float], phase: Any, removed: float, share: float = 0.8, kelvin: float = 298.15
) -> Content:
    return list(Vessel(components, kelvin, share).leak(phase, removed))[-1]


def test_the_first_bubble_is_in_equilibrium_with_the_liquid() -> None:
    """A vessel nearly full of liquid: pressure and vapour are those of the bubble point."""
    content = Vessel(R407C, 298.15, 0.999).content()
    point = Tracer(R407C, 0).trace([298.15])[0]
    assert content.pressure == pytest.approx(point.pressure, rel=1e-3)
    assert content.liquid == pytest.approx(R407C, abs=1e-3)
    masses = np.array(point.other_fractions) * np.array([52.024, 120.02, 102.03])  # g/mol
    assert list(content.vapour.values()) == pytest.approx(list(masses / masses.sum()), abs=1e-3)


@pytest.mark.parametrize("phase", ["gas", "liquid"])
def test_what_left_and_what_stayed_is_what_was_there(phase: Any) -> None:
    """Each component, summed over the steps from what leaves at their ends (trapezoidal rule)."""
    contents = list(Vessel(R407C, 298.15, 0.8).leak(phase, 0.6))
    for name, share in R407C.items():
        rates = [(c.vapour if phase == "gas" else c.liquid or {})[name] for c in contents]
        gone = sum(vessel.STEP * (a + b) / 2 for a, b in pairwise(rates))
        assert gone + contents[-1].mass * contents[-1].whole[name] == pytest.approx(share, abs=2e-5)
    assert [c.mass for c in contents] == pytest.approx([1.0 - vessel.STEP * k for k in range(61)])


def test_rayleighs_equation_without_a_vapour_space() -> None:
    """Cold and full, so that hardly any mass is vapour: ln(m / m0) = integral of dx / (y - x) over the light component.

    The integral by the trapezoidal rule, with y from bubble points that were traced for each x by themselves.
    """
    content = after({"R-32": 0.5, "R-134a": 0.5}, "gas", 0.5, share=0.98, kelvin=233.15)
    assert content.liquid is not None
    shares = np.linspace(content.liquid["R-32"], 0.5, 13)
    slopes = []
    for x in shares:
        mole = Tracer({"R-32": float(x), "R-134a": 1.0 - float(x)}, 0).trace([233.15])[0].other_fractions[0]
        y = mole * 52.024 / (mole * 52.024 + (1.0 - mole) * 102.03)
        slopes.append(1.0 / (y - x))
    assert float(np.trapezoid(slopes, shares)) == pytest.approx(np.log(2.0), abs=0.01)


def test_finer_steps_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    coarse = after(R407C, "gas", 0.5)
    monkeypatch.setattr(vessel, "STEP", 0.0025)
    assert after(R407C, "gas", 0.5).whole == pytest.approx(coarse.whole, abs=2e-5)


def test_once_no_liquid_is_left_nothing_changes_any_more() -> None:
    contents = list(Vessel(R407C, 298.15, 0.1).leak("gas", 0.9))
    dry = [content for content in contents if content.liquid is None]
    assert 5 < len(dry) < 40
    assert dry[-1].whole == pytest.approx(dry[0].whole, abs=1e-9)
    assert dry[-1].vapour == pytest.approx(dry[-1].whole, abs=1e-9)
    assert dry[-1].liquid_mass == 0.0
    assert all(later.pressure < earlier.pressure for earlier, later in pairwise(contents))


def test_a_liquid_leak_goes_on_as_vapour() -> None:
    contents = list(Vessel(R407C, 298.15, 0.3).leak("liquid", 0.9))
    assert contents[-1].liquid is None
    assert contents[-1].whole == pytest.approx(contents[-1].vapour)


def test_no_glide_no_change() -> None:
    content = after(dict(catalogue.recipe("R-410A").components), "gas", 0.5)
    assert content.whole["R-32"] == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize(("blend", "below"), [("R-407C", 17), ("R-448A", 8), ("R-454B", 5), ("R-455A", 25)])
def test_up_to_near_the_critical_point_it_stands(blend: str, below: float) -> None:
    """A vessel full of liquid boils at the blend's bubble pressure, which was traced upward from the cold."""
    critical = catalogue.get(blend).critical_temperature
    standing = Vessel(dict(catalogue.recipe(blend).components), critical - below, 0.98)
    assert standing.content().pressure == pytest.approx(saturation.bubble_pressure(blend, critical - below), rel=0.01)


def test_where_no_two_phases_stand_it_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match="no equilibrium"):
        Vessel(R407C, 400.0, 0.8)
    monkeypatch.setattr(Vessel, "_stand", lambda _: False)
    with pytest.raises(InputError, match="no equilibrium"):
        Vessel(R407C, 298.15, 0.8)


def test_a_leak_that_cannot_be_followed_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Worst wrong answer: a composition that no equilibrium stands behind."""
    standing = Vessel(R407C, 298.15, 0.8)
    monkeypatch.setattr(Vessel, "_stand", lambda _: False)
    with pytest.raises(InputError, match="could not be followed"):
        list(standing.leak("gas", 0.5))


def test_newtons_method_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    standing = Vessel(R407C, 298.15, 0.8)
    guess = standing._split.unknowns  # noqa: SLF001

    def filling(*_: float) -> float:
        return 1.0

    assert standing._solve(guess, filling) is None  # noqa: SLF001
    monkeypatch.setattr(vessel, "HALVINGS", 0)
    assert standing._solve(guess + 0.1, filling) is None  # noqa: SLF001
    assert standing._solve(guess + 50.0, filling) is None  # noqa: SLF001


def test_a_leak_ends_where_its_time_is_used_up() -> None:
    begun = time.thread_time()
    with pytest.raises(InputError, match="within 2 s of processor time") as caught:
        list(Vessel(catalogue.recipe("R-470A").components, 293.15, 0.5, begun + 0.05).leak("gas", 0.9))
    assert caught.value.field == "refrigerant"
    assert time.thread_time() - begun < 0.5


@pytest.mark.parametrize("blend", ["R-470A", "R-407C"])
def test_slopes_that_are_kept_lead_to_what_new_ones_lead_to(blend: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def followed() -> list[Content]:
        return list(Vessel(catalogue.recipe(blend).components, 293.15, 0.5).leak("gas", 0.3))

    kept = followed()
    monkeypatch.setattr(Vessel, "_corrected", staticmethod(lambda *_: None))
    for one, other in zip(kept, followed(), strict=True):
        assert one.pressure == pytest.approx(other.pressure, rel=1e-8)
        assert one.whole == pytest.approx(other.whole, rel=1e-8)


def test_only_a_vessel_that_still_holds_liquid_is_refused_where_its_phases_are_not_met() -> None:
    vessel.refuse(lost=False)
    with pytest.raises(InputError, match="could not be followed"):
        vessel.refuse(lost=True)
