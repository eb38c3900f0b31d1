"""Uncertainty of many results at once, with the second-order term where a calculation bends within the band.

`uncertainty.propagate` serves one result; here a function of named readings returns named results, and every reading is
moved up and down once for all of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError

Values = Mapping[str, float]
Function = Callable[[Values], dict[str, float]]


def propagate_all(function: Function, readings: Mapping[str, Measured]) -> dict[str, Measured]:
    """Every result of `function` at the readings with its standard uncertainty, inputs independent.

    First-order sensitivities are central differences over ± one standard uncertainty u. Where the function bends, the
    difference D = f(+u) + f(-u) - 2 f(0) adds D²/2 to the variance: the next term of the series for a Gaussian input.
    Where one side has no value (out of range, or the result does not exist there) the other side stands for both; a
    result that exists on neither side is left out, since nothing supports it.
    Source: JCGM 100:2008 (GUM), 5.1.2 with its note on higher-order terms, and 5.1.3 on numerical sensitivities.
    """
    centre = {name: r.value for name, r in readings.items()}
    results = function(centre)
    variance = dict.fromkeys(results, 0.0)
    for name, reading in readings.items():
        if reading.uncertainty:
            up, down = (_moved(function, centre, name, s * reading.uncertainty) for s in (1, -1))
            for key, value in results.items():
                variance[key] += _variance(value, up.get(key), down.get(key))
    known = {key: math.sqrt(spread) for key, spread in variance.items() if spread < math.inf}
    return {key: Measured(results[key], spread) for key, spread in known.items()}


def _moved(function: Function, centre: Values, name: str, step: float) -> dict[str, float]:
    try:
        return function({**centre, name: centre[name] + step})
    except (InputError, ArithmeticError):
        return {}


def _variance(value: float, up: float | None, down: float | None) -> float:
    if up is None and down is None:
        return math.inf
    up = up if up is not None else 2 * value - (down or 0.0)
    down = down if down is not None else 2 * value - up
    return ((up - down) / 2) ** 2 + (up + down - 2 * value) ** 2 / 2
