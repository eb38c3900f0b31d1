"""Units in the sentences of an answer: those that the core writes in SI, told as the answer shows its quantities.

Only what stands as a number with its unit is changed; a figure that a sentence gives in two systems stays as it is, and
so does a composed unit (kg/m3). Absolute or gauge is said by the word behind the unit, so pressures are only scaled.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, TypeVar

from pydantic import BaseModel

from witnessmark.calculations.metrology.uncertainty import figure
from witnessmark.vocabulary import SystemOfUnits

A = TypeVar("A", bound=BaseModel)
_SEA = "Air pressure: standard sea level, 101.325 kPa (no altitude or barometer given)."
_SEA_PSI, _SEA_BAR = (_SEA.replace("101.325 kPa", told) for told in ("14.6959 psi", "1.01325 bar"))
AT_SEA_LEVEL: Mapping[SystemOfUnits, str] = MappingProxyType(
    {"SI": _SEA, "IP": _SEA_PSI, "bar": _SEA_BAR, "as-sent": _SEA}
)
"""What is taken where nobody says how high the site lies."""
Told = tuple[str, float, float]
"""Unit, factor, and what is added."""
_PSI = 1 / 6894.757293168
_IP: Mapping[str, Told] = MappingProxyType(
    {
        "Pa": ("psi", _PSI, 0.0),
        "kPa": ("psi", 1e3 * _PSI, 0.0),
        "MPa": ("psi", 1e6 * _PSI, 0.0),
        "bar": ("psi", 1e5 * _PSI, 0.0),
        "degC": ("degF", 1.8, 32.0),
        "K": ("°F", 1.8, 0.0),
        "kg/h": ("lb/h", 1 / 0.45359237, 0.0),
        "kg": ("lb", 1 / 0.45359237, 0.0),
        "g": ("oz", 1 / 28.349523125, 0.0),
        "litres": ("ft3", 1 / 28.316846592, 0.0),
        "mm": ("in", 1 / 25.4, 0.0),
        "m": ("ft", 1 / 0.3048, 0.0),
    }
)
_BAR: Mapping[str, Told] = MappingProxyType({"kPa": ("bar", 1e-2, 0.0), "MPa": ("bar", 10.0, 0.0)})
_SYSTEMS: Mapping[SystemOfUnits, Mapping[str, Told]] = MappingProxyType({"IP": _IP, "bar": _BAR})
_NUMBER = r"[-−]?\d[\d,]*(?:\.\d+)?"
_PAIR = rf"({_NUMBER})(?:( (?:to|and|or|a|y|e) |, )({_NUMBER}))?"
IN_SI = re.compile(rf"(?<![\w.,/(-]){_PAIR} ({'|'.join(_IP)})\b(?![/²³]| \([-\d])")
_ROUNDED = 3
"""Significant digits of a figure that was rounded to fewer in the core."""
SENTENCES = frozenset(
    {
        "title",
        "act",
        "detail",
        "condition",
        "conditions",
        "contradictions",
        "by_maker",
        "explanation",
        "note",
        "rests_on",
    }
)
"""Fields of a result that hold sentences with numbers."""


def told_units(text: str, system: SystemOfUnits) -> str:
    """The sentence in this system.

    >>> told_units("stood at 3.8 MPa gauge, 2 to 5 K above 40 degC", "IP")
    'stood at 551 psi gauge, 3.6 to 9 °F above 104 degF'
    >>> told_units("stood at 3.8 MPa gauge", "bar"), told_units("below 5 K (9 °F), 1 lb (0.45 kg), 4 kg/m3", "IP")
    ('stood at 38 bar gauge', 'below 5 K (9 °F), 1 lb (0.45 kg), 4 kg/m3')
    >>> told_units("sea level, 101.325 kPa (no altitude given); 0.64 kg/h", "IP")
    'sea level, 14.6959 psi (no altitude given); 1.41 lb/h'
    """
    units = _SYSTEMS.get(system)
    return text if units is None else IN_SI.sub(lambda found: _converted(found, units), text)


def in_units(answer: A, system: SystemOfUnits) -> A:
    """The answer with the sentences of its result in this system."""
    if system not in _SYSTEMS:
        return answer
    return answer.model_copy(update={"result": _walked(answer.result, "", lambda text: told_units(text, system))})  # type: ignore[attr-defined]


def _converted(found: re.Match[str], units: Mapping[str, Told]) -> str:
    first, between, second, unit = found.groups()
    if unit not in units:
        return found[0]
    name, factor, zero = units[unit]
    numbers = [_number(text, factor, zero) for text in (first, second) if text]
    return f"{(between or '').join(numbers)} {name}"


def _number(text: str, factor: float, zero: float) -> str:
    value = float(text.replace(",", "").replace("−", "-")) * factor + zero
    if zero:  # a temperature, to as many decimals as it had
        return f"{value:.{len(text.partition('.')[2])}f}"
    return figure(value, max(_ROUNDED, len(re.sub(r"\D", "", text).strip("0"))))


def _walked(part: Any, field: str, say: Callable[[str], str]) -> Any:
    if isinstance(part, BaseModel):
        return part.model_copy(update={name: _walked(value, name, say) for name, value in part})
    if isinstance(part, (list, tuple)):
        return [_walked(inner, field, say) for inner in part]
    return say(part) if isinstance(part, str) and field in SENTENCES else part
