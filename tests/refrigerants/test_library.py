from __future__ import annotations

import math

import pytest

from witnessmark.reference import source
from witnessmark.refrigerants import catalogue, library


def interaction(first: str, second: str, key: str) -> float:
    """What the library uses between two substances, in that order."""
    state = library.new_state(f"{library.library_name(first)}&{library.library_name(second)}", (0.5, 0.5), None)
    return float(state.get_binary_interaction_double(0, 1, key))


@pytest.mark.parametrize("model", library.pair_models(), ids=lambda model: f"{model.first}-{model.second}")
def test_each_stand_in_is_what_the_library_uses_either_way(model: library.PairModel) -> None:
    assert source(model.source)
    assert interaction(model.first, model.second, "gammaT") == pytest.approx(model.gamma_temperature, rel=1e-12)
    assert interaction(model.first, model.second, "betaT") == pytest.approx(model.beta_temperature, rel=1e-12)
    assert interaction(model.second, model.first, "betaT") == pytest.approx(1 / model.beta_temperature, rel=1e-12)
    assert interaction(model.second, model.first, "gammaV") == pytest.approx(model.gamma_volume, rel=1e-12)


@pytest.mark.parametrize("partner", ["R-32", "R-125", "R-134a", "R-227ea"])
def test_isopentane_is_taken_like_butane(partner: str) -> None:
    for key in ("betaT", "gammaT"):
        assert interaction("R-601a", partner, key) == pytest.approx(interaction("R-600", partner, key), rel=1e-6)


def test_every_blend_has_all_its_pairs_and_says_which_are_estimated() -> None:
    estimated = {frozenset((model.first, model.second)) for model in library.pair_models()}
    for name in catalogue.designations():
        parts = set(catalogue.recipe(name).components)
        told = any(note.source == "derived-pairs" for note in catalogue.get(name).notes)
        assert told == any(pair <= parts for pair in estimated), name


def test_names() -> None:
    assert library.library_name("R-134a") == "R134a"
    assert library.library_name("R-1234ze(E)") == "R1234ze(E)"
    assert library.library_name("R-601a") == "Isopentane"
    assert library.model_name("R-410A", {"R-32": 0.5, "R-125": 0.5}, "pseudo-pure") == "R410A"
    assert library.model_name("R-454B", {"R-32": 0.689, "R-1234yf": 0.311}, "mixture") == "R32&R1234yf"


def test_mole_fractions_from_mass() -> None:
    fractions = library.mole_fractions({"R-32": 0.5, "R-125": 0.5})
    assert math.fsum(fractions) == pytest.approx(1.0)
    assert fractions[0] / fractions[1] == pytest.approx(0.1200214 / 0.052024, rel=1e-6)


def test_a_state_can_leave_the_phase_open_or_impose_it() -> None:
    phases: tuple[library.Phase | None, ...] = (None, "liquid", "gas")
    for phase in phases:
        state = library.new_state("R32", None, phase)
        state.update(library.coolprop().DmassT_INPUTS, 20.0, 300.0)
        assert state.p() > 0


@pytest.mark.parametrize(("phase", "density"), [("liquid", 961.0), ("gas", 47.3)])
def test_the_phase_imposed_is_the_one_answered(phase: library.Phase, density: float) -> None:
    """R-32 at 25 degC under its vapour pressure, 1.690 MPa (ASHRAE Fundamentals, saturation table, from memory)."""
    state = library.new_state("R32", None, phase)
    state.update(library.coolprop().PT_INPUTS, 1.690e6, 298.15)
    assert state.rhomass() == pytest.approx(density, rel=5e-3)


@pytest.mark.parametrize(
    ("designation", "kelvin", "pascal"),
    [("R-744", 216.592, 517_950.0), ("R-718", 273.16, 611.657), ("R-717", 195.5, 6090.0)],
)
def test_triple_points(designation: str, kelvin: float, pascal: float) -> None:
    """Carbon dioxide and water: their international reference equations; ammonia: 195.5 K, 6.09 kPa (memory)."""
    found = library.triple_point(designation, "pure")
    assert found is not None
    assert found == pytest.approx((kelvin, pascal), rel=6e-3)
    assert library.triple_point("R-410A", "pseudo-pure") is None


def test_which_pairs_the_model_knows() -> None:
    assert library.has_pair("R-32", "R-125")
    assert library.has_pair("R-125", "R-22")  # an estimate of ours
    assert not library.has_pair("R-22", "R-600a")
