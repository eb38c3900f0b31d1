"""The same equations in another implementation (teqp), and other equations for the same substances.

teqp gets the library's coefficients and its own copy of the published departure functions: an error of our tracer, of
our series, of our solves or of the library's arithmetic would show. Blends differ by some 1e-6, since the two weigh
the components' gas constants differently. Vapour pressures of the VDI Heat Atlas and of McGarry (1983), from the
package `chemicals`, rest on other data and other equations.
"""

from __future__ import annotations

import itertools
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
import teqp
from chemicals import vapor_pressure
from numpy.typing import NDArray

from witnessmark.refrigerants import catalogue, equation, library, saturation, states
from witnessmark.refrigerants.states import State
from witnessmark.refrigerants.tracing import Tracer

Array = NDArray[np.float64]
PURE = ["R-32", "R-134a", "R-22", "R-290", "R-600a", "R-717", "R-744", "R-1234yf", "R-1234ze(E)"]
PSEUDO_PURE = ["R-404A", "R-407C", "R-410A", "R-507A"]
GAS_CONSTANTS = ["R-123"]  # its ideal-gas part was published with another gas constant than its residual part
BLENDS = ["R-407F", "R-422D", "R-427A", "R-438A", "R-442A", "R-401A", "R-402A", "R-502"]
AS_BLEND = 7e-6  # relative
PARAMETERS = ("betaT", "gammaT", "betaV", "gammaV")


@dataclass(frozen=True, slots=True)
class Independent:
    """A multi-fluid model of teqp: all values per kg, SI; its own zeros of enthalpy and entropy."""

    residual: Any
    ideal: Any
    fractions: Array
    masses: Array

    @property
    def molar_mass(self) -> float:
        """kg/mol."""
        return float(self.masses @ self.fractions)

    def gas_constant(self, fractions: Array) -> float:
        """J/(mol K)."""
        return float(self.residual.get_R(fractions))

    def pressure(self, temperature: float, density: float) -> float:
        """Pa, at kg/m3."""
        molar = density / self.molar_mass
        rise = 1.0 + float(self.residual.get_Ar01(temperature, molar, self.fractions))
        return molar * self.gas_constant(self.fractions) * temperature * rise

    def enthalpy(self, temperature: float, density: float) -> float:
        """J/kg."""
        at = (temperature, density / self.molar_mass, self.fractions)
        parts = self.residual.get_Ar01(*at) + self.residual.get_Ar10(*at) + self.ideal.get_Aig10(*at)
        return float(self.gas_constant(self.fractions) * temperature * (1.0 + parts) / self.molar_mass)

    def entropy(self, temperature: float, density: float) -> float:
        """J/(kg K)."""
        at = (temperature, density / self.molar_mass, self.fractions)
        parts = self.residual.get_Ar10(*at) - self.residual.get_Ar00(*at)
        parts += self.ideal.get_Aig10(*at) - self.ideal.get_Aig00(*at)
        return float(self.gas_constant(self.fractions) * parts / self.molar_mass)

    def log_fugacities(self, temperature: float, molar: float, fractions: Array) -> Array:
        """ln(fugacity/Pa) of each component in a phase of this molar density [mol/m3] and composition."""
        rise = 1.0 + self.residual.get_Ar01(temperature, molar, fractions)
        pressure = molar * self.gas_constant(fractions) * temperature * rise
        coefficients = self.residual.get_fugacity_coefficients(temperature, molar * fractions)
        return np.asarray(np.log(coefficients * fractions * pressure))


def published_functions() -> tuple[list[dict[str, Any]], dict[frozenset[str], str]]:
    """Departure functions that teqp ships, and which pair uses which (by CAS numbers)."""
    folder = Path(teqp.__file__).parent / "fluiddata" / "dev" / "mixtures"
    pairs = json.loads((folder / "mixture_binary_pairs.json").read_text("utf-8"))
    used = {frozenset((row["CAS1"], row["CAS2"])): row["function"] for row in pairs if row.get("function")}
    return json.loads((folder / "mixture_departure_functions.json").read_text("utf-8")), used


def fluid_description(name: str) -> dict[str, Any]:
    """The library's equation of state of one substance."""
    found = json.loads(library.coolprop().get_fluid_param_string(name, "JSON"))
    return dict(found[0] if isinstance(found, list) else found)


def pair_rows(names: list[str], used: dict[frozenset[str], str]) -> list[dict[str, Any]]:
    """The library's pair parameters, as it uses them itself (its own conversion of older forms included)."""
    if len(names) == 1:
        return []
    state, found = library.new_state("&".join(names), tuple(1 / len(names) for _ in names), None), []
    numbers = [library.coolprop().get_fluid_param_string(name, "CAS") for name in names]
    for i, k in itertools.combinations(range(len(names)), 2):
        row: dict[str, Any] = {key: state.get_binary_interaction_double(i, k, key) for key in PARAMETERS}
        row |= {"F": state.get_binary_interaction_double(i, k, "Fij"), "CAS1": numbers[i], "CAS2": numbers[k]}
        row |= {"Name1": names[i], "Name2": names[k], "BibTeX": ""}
        if row["F"]:
            row["function"] = used[frozenset(numbers[j] for j in (i, k))]
        found.append(row)
    return found


@cache
def independent(designation: str) -> Independent:
    """Model of a catalogued refrigerant; a pseudo-pure one is taken as its own single equation."""
    functions, used = published_functions()
    recipe = catalogue.recipe(designation)
    blend = recipe.basis == "mixture"
    single = [library.model_name(designation, recipe.components, recipe.basis)]
    names = [library.library_name(part) for part in recipe.components] if blend else single
    parts = [fluid_description(name) for name in names]
    model = {"components": parts, "BIP": pair_rows(names, used), "departure": functions, "flags": {}}
    ideal = [teqp.convert_CoolProp_idealgas(json.dumps(part), 0) for part in parts]
    fractions = library.mole_fractions(recipe.components) if blend else (1.0,)
    masses = [library.coolprop().PropsSI("M", name) for name in names]
    return Independent(
        teqp.make_model({"kind": "multifluid", "model": model}),
        teqp.IdealHelmholtz(ideal),
        np.array(fractions),
        np.array(masses),
    )


def some_states(name: str, by: ModuleType = equation) -> list[State]:
    """Gas, liquid and both saturated states of a working machine."""
    top = min(313.15, catalogue.get(name).t_max - 5.0)
    low, high = saturation.dew_pressure(name, 258.15), saturation.bubble_pressure(name, top)
    return [
        by.saturated_liquid(name, high),
        by.gas(name, low, 278.15),
        by.gas(name, high, saturation.dew_temperature(name, high) + 45.0),
        by.liquid(name, high, top - 8.0),
        by.saturated_vapour(name, low),
    ]


@pytest.mark.parametrize(
    ("name", "relative"),
    [*((name, 1e-9) for name in PURE + PSEUDO_PURE), *((name, AS_BLEND) for name in GAS_CONSTANTS + BLENDS)],
)
def test_enthalpy_entropy_and_pressure_by_another_implementation(name: str, relative: float) -> None:
    model, found = independent(name), some_states(name)
    first = found[0]
    for state in found[1:]:
        at, zero = (state.temperature, state.density), (first.temperature, first.density)
        rise, fall = model.enthalpy(*at) - model.enthalpy(*zero), model.entropy(*at) - model.entropy(*zero)
        assert state.enthalpy - first.enthalpy == pytest.approx(rise, abs=3e5 * relative)
        assert state.entropy - first.entropy == pytest.approx(fall, abs=1e3 * relative)
        if state.phase == "gas":  # in a liquid, rounding of the density alone moves pressure by more
            assert model.pressure(*at) == pytest.approx(state.pressure, rel=max(relative, 2e-7))


@pytest.mark.parametrize("name", [*PURE, *PSEUDO_PURE])
def test_states_off_the_surfaces_by_another_implementation(name: str) -> None:
    """Two states, each within what the surfaces state: 1 J/kg, 0.003 J/(kg K), 1e-5 of the density."""
    model, found = independent(name), some_states(name, states)
    first = found[0]
    for state in found[1:]:
        at, zero = (state.temperature, state.density), (first.temperature, first.density)
        rise, fall = model.enthalpy(*at) - model.enthalpy(*zero), model.entropy(*at) - model.entropy(*zero)
        assert state.enthalpy - first.enthalpy == pytest.approx(rise, abs=2.0)
        assert state.entropy - first.entropy == pytest.approx(fall, abs=0.006)


def equal_fugacities(model: Independent, temperature: float, quality: int, start: Array) -> float:
    """Saturation pressure by Newton's method on teqp's fugacities, from a rough start."""

    def pressure_of(molar: float, fractions: Array) -> float:
        rise = 1.0 + float(model.residual.get_Ar01(temperature, molar, fractions))
        return float(molar * model.gas_constant(fractions) * temperature * rise)

    def residual(unknowns: Array) -> Array:
        other = np.exp(unknowns[:-2])
        shares = other / other.sum()
        liquid, vapour = (model.fractions, shares) if quality == 0 else (shares, model.fractions)
        molar = np.exp(unknowns[-2:])
        gap = model.log_fugacities(temperature, molar[0], liquid) - model.log_fugacities(temperature, molar[1], vapour)
        dense, thin = pressure_of(molar[0], liquid), pressure_of(molar[1], vapour)
        return np.array([*gap, (dense - thin) / thin, other.sum() - 1.0])

    unknowns = start
    for _ in range(60):
        columns = [(residual(unknowns + step) - residual(unknowns - step)) / 2e-6 for step in np.eye(start.size) * 1e-6]
        move = np.linalg.solve(np.column_stack(columns), -residual(unknowns))
        unknowns = unknowns + move * min(1.0, 0.2 / float(np.max(np.abs(move))))
    assert np.max(np.abs(residual(unknowns))) < 1e-8
    return pressure_of(float(np.exp(unknowns[-1 if quality else -2])), model.fractions)


@pytest.mark.parametrize("name", BLENDS)
@pytest.mark.parametrize("quality", [0, 1])
def test_saturation_of_blends_by_another_implementation(name: str, quality: int) -> None:
    model = independent(name)
    parts = catalogue.recipe(name).components
    for temperature in (243.15, 283.15, 323.15):
        own = (
            saturation.bubble_pressure(name, temperature)
            if quality == 0
            else saturation.dew_pressure(name, temperature)
        )
        point = Tracer(parts, quality).trace([243.15, temperature])[-1]
        other = np.array(point.other_fractions)
        masses = [float(model.masses @ model.fractions), float(model.masses @ other)]
        molar = np.array([point.density, point.other_density]) / masses
        start = np.log([*other, *(molar if quality == 0 else molar[::-1])])
        assert equal_fugacities(model, temperature, quality, start * 1.0003) == pytest.approx(own, rel=AS_BLEND)


def kelvin_apart(name: str, temperature: float, pressure: float) -> float:
    return (pressure - saturation.dew_pressure(name, temperature)) / saturation.dew_slope(name, temperature)


@pytest.mark.parametrize(
    ("name", "tolerance"),
    [  # K. Measured 0.03 or less where 0.05 is given; and R-1270 differ more between the two sources
        *(
            (name, 0.05)
            for name in ("R-12", "R-22", "R-32", "R-143a", "R-170", "R-290", "R-600", "R-600a", "R-717", "R-744")
        ),
        *((name, 0.25) for name in ("R-11", "R-13", "R-23", "R-1270")),
    ],
)
def test_vapour_pressure_of_the_vdi_heat_atlas(name: str, tolerance: float) -> None:
    number = library.coolprop().get_fluid_param_string(library.library_name(name), "CAS")
    row = vapor_pressure.Psat_data_VDI_PPDS_3.loc[number]
    for temperature in (233.15, 253.15, 273.15, 293.15):
        atlas = vapor_pressure.Wagner(temperature, row.Tc, row.Pc, row.A, row.B, row.C, row.D)
        assert abs(kelvin_apart(name, temperature, atlas)) < tolerance


@pytest.mark.parametrize("name", ["R-12", "R-22", "R-32", "R-170", "R-290", "R-600", "R-600a", "R-744", "R-1270"])
def test_vapour_pressure_of_mcgarry(name: str) -> None:
    # McGarry, Ind. Eng. Chem. Process Des. Dev. 22 (1983) 313-322; to 0.15 K
    number = library.coolprop().get_fluid_param_string(library.library_name(name), "CAS")
    row = vapor_pressure.Psat_data_WagnerMcGarry.loc[number]
    for temperature in (233.15, 253.15, 273.15, 293.15):
        older = vapor_pressure.Wagner_original(temperature, row.Tc, row.Pc, row.A, row.B, row.C, row.D)
        assert abs(kelvin_apart(name, temperature, older)) < 0.15
