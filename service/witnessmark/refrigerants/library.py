"""The only door to the property library: imported on first use, its missing mixture pairs filled in once.

Setting mixture pairs changes the library for the whole process, so it happens here, at its first import, and nowhere
else. Every state is made with its composition set and its phase imposed: a flash that has to find the phase of a blend
takes up to seconds and may fail or answer wrongly.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from importlib import import_module
from importlib.metadata import version
from typing import Any, Literal

from pydantic import PositiveFloat

from witnessmark import data, heavy
from witnessmark.reference import SourceId

Phase = Literal["gas", "liquid"]

BACKEND = "HEOS"
LIBRARY_NAMES = {
    "R-152a": "R152A",
    "R-601": "Pentane",
    "R-601a": "Isopentane",
    "R-227ea": "R227EA",
    "R-236ea": "R236EA",
    "R-236fa": "R236FA",
    "R-150": "Dichloroethane",
    "R-610": "DiethylEther",
    "R-744A": "NitrousOxide",
    "R-764": "SulfurDioxide",
    "R-1140": "VinylChloride",
    "R-C270": "CycloPropane",
    "R-1224yd(Z)": "R1224YDZ",
}


class PairModel(data.Row):
    """Parameters of the mixture model for a pair that the library lacks, in the order (first, second).

    beta and gamma of the reducing temperature (T) and reducing molar volume (V) after Kunz and Wagner (2012);
    no departure function.
    """

    first: str
    second: str
    beta_temperature: PositiveFloat
    gamma_temperature: PositiveFloat
    beta_volume: PositiveFloat
    gamma_volume: PositiveFloat
    rationale: str
    source: SourceId


class _Pairs(data.Row):
    pair: tuple[PairModel, ...]


_PAIRS = data.table(__package__, "pairs.toml", _Pairs)


def pair_models() -> tuple[PairModel, ...]:
    """The pairs that stand in where the library has none (pairs.toml)."""
    return _PAIRS().pair


def library_name(designation: str) -> str:
    """The library's name of a single substance, from its designation."""
    return LIBRARY_NAMES.get(designation, designation.replace("-", "", 1))


@cache
def coolprop() -> Any:
    """The library's module, with the missing pairs set. The first call takes about two seconds.

    KeptOutError in a process that hands on what needs it.
    """
    heavy.ask()
    module = import_module("CoolProp.CoolProp")
    for model in pair_models():
        _set_pair(module, model)
    return module


def _set_pair(module: Any, model: PairModel) -> None:
    """Enter one pair. The library keys pairs by CAS numbers in string order; swapping the order inverts both betas."""
    numbers = [module.get_fluid_param_string(library_name(name), "CAS") for name in (model.first, model.second)]
    power = 1.0 if numbers[0] < numbers[1] else -1.0
    numbers.sort()
    module.apply_simple_mixing_rule(*numbers, "Lorentz-Berthelot")
    values = {
        "betaT": model.beta_temperature**power,
        "gammaT": model.gamma_temperature,
        "betaV": model.beta_volume**power,
        "gammaV": model.gamma_volume,
    }
    for key, value in values.items():
        module.set_mixture_binary_pair_data(*numbers, key, value)


@lru_cache(2048)
def has_pair(first: str, second: str) -> bool:
    """Whether the mixture model knows how these two substances act on each other, by itself or by an estimate here."""
    try:
        coolprop().AbstractState(BACKEND, "&".join(map(library_name, (first, second))))
    except ValueError:
        return False
    return True


def triple_point(designation: str, basis: str) -> tuple[float, float] | None:
    """Temperature [K] and pressure [Pa] of the triple point of a single substance, by its equation; None of a blend.

    Example: `triple_point("R-744", "pure")` is about 216.6 K and 518 kPa.
    """
    if basis != "pure":
        return None
    state = new_state(library_name(designation), None, None)
    return float(state.Ttriple()), float(state.trivial_keyed_output(coolprop().iP_triple))


def library_version() -> str:
    """Name and version of the property library."""
    return f"CoolProp {version('CoolProp')}"


def mole_fractions(components: Mapping[str, float]) -> tuple[float, ...]:
    """Mole fractions from mass fractions by designation."""
    module = coolprop()
    moles = [part / module.PropsSI("M", library_name(name)) for name, part in components.items()]
    return tuple(amount / sum(moles) for amount in moles)


def model_name(designation: str, components: Mapping[str, float], basis: str) -> str:
    """What the library calls this refrigerant's model: one fluid, or its components joined."""
    if basis == "mixture":
        return "&".join(library_name(name) for name in components)
    return library_name(designation)


def new_state(model: str, fractions: tuple[float, ...] | None, phase: Phase | None) -> Any:
    """A fresh state of the library, composition (mole fractions) set, phase imposed. Never share it between threads."""
    module = coolprop()
    state = module.AbstractState(BACKEND, model)
    if fractions is not None:
        state.set_mole_fractions(list(fractions))
    if phase is not None:
        state.specify_phase(module.iphase_gas if phase == "gas" else module.iphase_liquid)
    return state
