"""The loops over minutes as machine code where numba is installed, as they stand where it is not: one text of the physics.

`pip install numba` is all it takes; nothing else of the repository needs it. Figures agree to the last digits printed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from functools import lru_cache
from typing import Any, TypeVar

import numpy as np

try:
    import numba
    from numba.experimental import jitclass
except ImportError:
    numba = None

AnyCallable = TypeVar("AnyCallable", bound=Callable[..., Any])


def compiled(function: AnyCallable) -> AnyCallable:
    """The function as machine code, if that can be had."""
    return function if numba is None else numba.njit(function)


def series(values: Any) -> Any:
    """Numbers as the loops go over them fastest."""
    return np.asarray(values, np.float64) if numba is not None else np.asarray(values, np.float64).tolist()


def stepped(plant: Any, count: int) -> Any:
    """What `plant.step(i)` gives for every minute, a row each."""
    plant.d = replace(plant.d)
    for part in fields(plant.d):
        value = getattr(plant.d, part.name)
        if isinstance(value, np.ndarray):
            setattr(plant.d, part.name, series(value))
    if numba is None:
        return np.array([plant.step(i) for i in range(count)], float)
    return _all_steps()(_as_machine_code(plant), count)


@lru_cache(maxsize=1)
def _all_steps() -> Callable[[Any, int], Any]:
    def steps(plant: Any, count: int) -> Any:
        table = np.empty((count, 7))
        for i in range(count):
            table[i] = plant.step(i)
        return table

    return compiled(steps)


def _as_machine_code(plant: Any) -> Any:
    """The plant with its machine, drivers and state as they stand, its methods compiled."""
    parts = {"s": _copied(plant.s), "d": _copied(plant.d)}
    state = {name: value for name, value in vars(plant).items() if name not in parts}
    kinds = tuple(state) + tuple(parts)
    twin = _plant_class(type(plant), kinds, tuple(type(value) for value in state.values()), *(part._numba_type_ for part in parts.values()))()
    for name, value in {**state, **parts}.items():
        setattr(twin, name, value)
    return twin


@lru_cache(maxsize=8)
def _plant_class(origin: type, names: tuple[str, ...], kinds: tuple[type, ...], machine: Any, drivers: Any) -> Any:
    methods = {name: part for name, part in vars(origin).items() if callable(part) and name not in {"__init__", "run"}}
    methods["__init__"] = _nothing
    typed = [_numba_type(kind) for kind in kinds] + [machine, drivers]
    return jitclass(list(zip(names, typed)))(type(origin.__name__, (), methods))


def _nothing(self: Any) -> None:
    pass


def _numba_type(kind: type) -> Any:
    return {bool: numba.boolean, int: numba.int64, float: numba.float64, np.ndarray: numba.float64[::1]}[kind]


def _copied(origin: Any) -> Any:
    """The numbers and series of a dataclass."""
    values = {f.name: getattr(origin, f.name) for f in fields(origin)}
    values = {name: value for name, value in values.items() if isinstance(value, bool | int | float | np.ndarray)}
    values = {n: float(v) if isinstance(v, float) else v for n, v in values.items()}
    twin = _record_class(type(origin).__name__, tuple(values), tuple(type(value) for value in values.values()))()
    for name, value in values.items():
        setattr(twin, name, value)
    return twin


@lru_cache(maxsize=16)
def _record_class(title: str, names: tuple[str, ...], kinds: tuple[type, ...]) -> Any:
    typed = [(name, _numba_type(kind)) for name, kind in zip(names, kinds)]
    return jitclass(typed)(type(title, (), {"__init__": _nothing}))
