"""An independent implementation of the same equations: teqp with the library's coefficients."""

from __future__ import annotations

import itertools
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import teqp
from numpy.typing import NDArray

from witnessmark.refrigerants import catalogue, library

Array = NDArray[np.float64]
PARAMETERS = ("betaT", "gammaT", "betaV", "gammaV")


@dataclass(frozen=True, slots=True)
class Independent:
    """A multi-fluid model of teqp: all values per kg, SI; its own zeros of enthalpy and entropy."""

    residual: Any
    ideal: Any
    fractions: Array
    molar_mass: float

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


@pytest.fixture(scope="session")
def independent() -> Callable[[str], Independent]:
    """Model of a catalogued refrigerant; a pseudo-pure one is taken as its own single equation."""
    functions, used = published_functions()

    def make(designation: str) -> Independent:
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
            float(np.dot(fractions, masses)),
        )

    return make
