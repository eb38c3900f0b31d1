"""Saturation alone beside a cached state of the library, in columns beside a compiled loop. Writes into README.md here.

Run: `python -m tests.bench.bench_saturation`. Every figure is the best of many short rounds, taken in turn with what
it is held against, so that other work on the machine disturbs little.
"""

from __future__ import annotations

import platform
from collections.abc import Mapping
from timeit import Timer
from typing import Any

import numpy as np

from tests.bench import compiled_loop, page
from tests.bench.bench_properties import direct, unit
from witnessmark.refrigerants import curves, library, saturation

PURE = ("R-32", "R-134a", "R-290", "R-600a", "R-717", "R-744")
COLUMNS = ("R-32", "R-717", "R-454B")
FEW = (2, 4, 8, 16, 32, 64, 128, 256)
EVAPORATING = 278.15
MANY = 100_000
ROUNDS, CALLS = 400, 200
PORTABLE, NATIVE = ("-O2",), ("-O3", "-march=native")


def in_turn(calls: Mapping[str, tuple[str, dict[str, Any]]], count: int, rounds: int) -> dict[str, float]:
    """Seconds a call of each statement (with the names in it): best of so many rounds, one after the other."""
    timers = {key: Timer(statement, globals=names) for key, (statement, names) in calls.items()}
    best = dict.fromkeys(timers, np.inf)
    for _ in range(rounds):
        for key, timer in timers.items():
            best[key] = min(best[key], timer.timeit(count) / count)
    return best


def alone_row(name: str) -> list[str]:
    """Dew pressure at 5 degC and back, and an update of the library's state with the same."""
    _, state = direct(name)
    module, pressure = library.coolprop(), saturation.dew_pressure(name, EVAPORATING)
    found = in_turn(
        {
            "p": ("f(n, x)", {"f": saturation.dew_pressure, "n": name, "x": EVAPORATING}),
            "QT": ("f(i, 1, x)", {"f": state.update, "i": module.QT_INPUTS, "x": EVAPORATING}),
            "T": ("f(n, x)", {"f": saturation.dew_temperature, "n": name, "x": pressure}),
            "PQ": ("f(i, x, 1)", {"f": state.update, "i": module.PQ_INPUTS, "x": pressure}),
        },
        CALLS,
        ROUNDS,
    )
    return [
        name, unit(found["p"]), unit(found["QT"]), f"{found['p'] / found['QT']:.2f}",
        unit(found["T"]), unit(found["PQ"]), f"{found['T'] / found['PQ']:.2f}",
    ]  # fmt: skip


def column_row(name: str) -> list[str]:
    """Nanoseconds a value of a random column, of a sorted one, back, and of the compiled loop."""
    column = np.random.default_rng(1).uniform(233.15, 333.15, MANY)
    shipped = curves.load(name).dew.pressure
    loops = [compiled_loop.loop(shipped, column, flags) for flags in (PORTABLE, NATIVE)]
    pressures = saturation.dew_pressure(name, column)
    if loops[0] is not None:
        assert np.allclose(loops[0](), pressures, rtol=1e-9)
    ways = {
        "p": (saturation.dew_pressure, column), "sorted": (saturation.dew_pressure, np.sort(column)),
        "T": (saturation.dew_temperature, pressures),
    }  # fmt: skip
    calls = {key: ("f(n, x)", {"f": way, "n": name, "x": x}) for key, (way, x) in ways.items()}
    floors = {str(place): ("f()", {"f": call}) for place, call in enumerate(loops) if call is not None}
    found = in_turn(calls | floors, 1, 100)
    times = [f"{found[key] / MANY * 1e9:.1f}" if key in found else "" for key in ("p", "sorted", "T", "0", "1")]
    return [name, *times, *(f"{found['p'] / found[key]:.2f}" if key in found else "" for key in ("0", "1"))]


def few_row(name: str, count: int) -> list[str]:
    """Nanoseconds a value of a few in an array, and of as many one by one in a list."""
    column = np.random.default_rng(1).uniform(233.15, 333.15, count)
    pressures = np.array([saturation.dew_pressure(name, value) for value in column.tolist()])
    cells = [str(count)]
    for way, x in ((saturation.dew_pressure, column), (saturation.dew_temperature, pressures)):
        known = {"f": way, "n": name, "x": x, "values": x.tolist()}
        calls = {"array": ("f(n, x)", known), "one": ("[f(n, v) for v in values]", known)}
        found = in_turn(calls, max(1, CALLS // count), ROUNDS // 4)
        cells += [f"{found[key] / count * 1e9:.0f}" for key in ("array", "one")]
    return cells


TEXT = """Python {python}, numpy {numpy}, {library}, one core, other work beside it; best of many rounds, in turn.
`python -m tests.bench.bench_saturation`

**Alone**: dew pressure at 5 °C, and its temperature back, beside `update` of a cached `AbstractState` of the library
with temperature or pressure and quality (reading the value from it takes some 30 ns more). Aim: 0.6.

{alone}

**Columns** of {many:,} temperatures from −40 to 60 °C, ns a value, beside a loop in C over the shipped pieces with
`1/T`, Horner's rule and `exp` (`tests/bench/compiled_loop.py`): `-O2`, and `-O3 -march=native`. Aim: 1.3.

{columns}

**A few values** of R-32, ns a value: in an array, and one by one in a list. Aim: no slower from 4 values on.

{few}"""


def report() -> str:
    alone = ("refrigerant", "p(T)", "library, T", "ratio", "T(p)", "library, p", "ratio")
    columns = ("refrigerant", "p(T)", "sorted", "T(p)", "C, -O2", "C, native", "p(T) / -O2", "p(T) / native")
    few = ("values", "p(T), array", "one by one", "T(p), array", "one by one")
    return TEXT.format(
        python=platform.python_version(),
        numpy=np.__version__,
        library=library.library_version(),
        many=MANY,
        alone=page.table(alone, [alone_row(name) for name in PURE]),
        columns=page.table(columns, [column_row(name) for name in COLUMNS]),
        few=page.table(few, [few_row("R-32", count) for count in FEW]),
    )


if __name__ == "__main__":
    page.write("saturation", "Saturation, alone and in columns", report())
