"""Two-phase states of blends against the equilibrium of both phases.

The reference is the library's flash at given pressure and molar quality, at pressures where it converges; each of its
states must add up to the blend. R-407C and R-410A, mixtures there, are held against their pseudo-pure equations here:
so enthalpy is compared as the share of the way from bubble to dew point.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from witnessmark.refrigerants import catalogue, library, states

BLENDS = ["R-407C", "R-410A", "R-454B", "R-454C", "R-448A", "R-455A", "R-409A", "R-438A"]
PRESSURES = [4e5, 10e5, 18e5]
QUALITIES = (0.05, 0.2, 0.4, 0.6, 0.8, 0.95)


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """One state of both phases: mass quality, temperature above the bubble point, share of enthalpy, density."""

    quality: float
    above_bubble: float
    share: float
    density: float


@cache
def equilibria(name: str, pressure: float) -> list[Equilibrium]:
    components = catalogue.recipe(name).components
    state = library.new_state("&".join(map(library.library_name, components)), library.mole_fractions(components), None)
    masses = np.array([library.coolprop().PropsSI("M", library.library_name(part)) for part in components])
    fractions = np.array(library.mole_fractions(components))

    def flash(molar: float) -> tuple[float, float, float]:
        state.update(library.coolprop().PQ_INPUTS, pressure, molar)
        return state.T(), state.hmolar(), state.rhomolar() * float(fractions @ masses)

    (bubble, wet, _), (_, dry, _) = flash(0.0), flash(1.0)
    found = []
    for molar in QUALITIES:
        temperature, enthalpy, density = flash(molar)
        vapour = np.array(state.mole_fractions_vapor())
        liquid = np.array(state.mole_fractions_liquid())
        assert molar * vapour + (1 - molar) * liquid == pytest.approx(fractions, abs=1e-7)
        quality = molar * float(vapour @ masses) / float(fractions @ masses)
        found.append(Equilibrium(quality, temperature - bubble, (enthalpy - wet) / (dry - wet), density))
    return found


@pytest.mark.parametrize("pressure", PRESSURES)
@pytest.mark.parametrize("name", BLENDS)
def test_against_the_equilibrium_of_both_phases(name: str, pressure: float) -> None:
    wet, dry = states.saturated_liquid(name, pressure), states.saturated_vapour(name, pressure)
    for known in equilibria(name, pressure):
        ours = states.two_phase(name, pressure, known.quality)
        share = (ours.enthalpy - wet.enthalpy) / (dry.enthalpy - wet.enthalpy)
        assert share == pytest.approx(known.share, abs=0.01)
        assert ours.quality == pytest.approx(known.quality, abs=1e-9)
        assert ours.density == pytest.approx(known.density, rel=0.04)
        above = ours.temperature - wet.temperature
        assert above == pytest.approx(known.above_bubble, abs=1.4 if name == "R-455A" else 0.6)
        back = states.at_enthalpy(name, pressure, wet.enthalpy + known.share * (dry.enthalpy - wet.enthalpy))
        assert back.quality == pytest.approx(known.quality, abs=0.01)


@pytest.mark.parametrize(("name", "least"), [("R-407C", 0.014), ("R-454C", 0.035), ("R-454B", 0.015)])
def test_linear_in_mass_quality_would_be_farther_off(name: str, least: float) -> None:
    assert max(abs(known.share - known.quality) for known in equilibria(name, 4e5)) > least
