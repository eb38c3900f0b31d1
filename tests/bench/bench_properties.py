"""How fast the properties are, beside the property library asked directly. Writes its table into README.md here.

Run: `python tests/bench/bench_properties.py`. Times are processor time and the best of several rounds, so that other
work on the machine disturbs little; all ratios come from the same run.
"""

from __future__ import annotations

import platform
import re
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from witnessmark.refrigerants import catalogue, library, saturation, states
from witnessmark.refrigerants.states import State

README = Path(__file__).with_name("README.md")
BEGIN, END = "<!-- properties: begin -->", "<!-- properties: end -->"
NAMES = ("R-32", "R-410A", "R-454B", "R-448A")
EVAPORATING, CONDENSING, SUPERHEAT = 278.15, 318.15, 8.0
COLUMN = 1_000_000
ROUNDS = 5


def best(call: Callable[[], object], seconds: float = 0.2) -> float:
    """Seconds a call: best of ROUNDS rounds, each as long as `seconds` allows."""
    call()
    start = time.process_time()
    call()
    count = max(1, int(seconds / ROUNDS / max(time.process_time() - start, 1e-7)))
    rounds = []
    for _ in range(ROUNDS):
        start = time.process_time()
        for _ in range(count):
            call()
        rounds.append((time.process_time() - start) / count)
    return min(rounds)


def direct(name: str) -> tuple[str, Any]:
    """The library's own way: the string for PropsSI, and a cached state without imposed phase."""
    recipe = catalogue.recipe(name)
    fractions = library.mole_fractions(recipe.components) if recipe.basis == "mixture" else None
    model = library.model_name(name, recipe.components, recipe.basis)
    parts = zip(model.split("&"), fractions or (), strict=False)
    text = "&".join(f"{part}[{fraction!r}]" for part, fraction in parts) if fractions else model
    return f"HEOS::{text}", library.new_state(model, fractions, None)


def times(value: float) -> str:
    """A ratio in two digits."""
    return f"{float(f'{value:.2g}'):,.{0 if value >= 10 else 1}f}×"


def unit(seconds: float) -> str:
    """A time in the unit that suits it."""
    for size, name in ((1e-6, "ns"), (1e-3, "µs"), (1.0, "ms")):
        if seconds < 0.9995 * size:  # three figures never round up to a thousand
            return f"{seconds / size * 1e3:.3g} {name}"
    return f"{seconds:.3g} s"


@dataclass(frozen=True, slots=True)
class Saturation:
    """Seconds a value at one refrigerant."""

    name: str
    scalar: float
    inverse: float
    column: float
    inverse_column: float
    props: float
    props_column: float
    cached: float

    def row(self) -> list[str]:
        return [
            self.name,
            *map(unit, (self.scalar, self.inverse, self.column, self.inverse_column)),
            *map(unit, (self.props, self.cached)),
            times(self.props / self.scalar),
            times(self.cached / self.scalar),
            times(self.props_column / self.column),
        ]


def saturation_times(name: str) -> Saturation:
    text, state = direct(name)
    module = library.coolprop()
    pressure = saturation.dew_pressure(name, EVAPORATING)
    column = np.random.default_rng(1).uniform(233.15, 333.15, COLUMN)
    pressures, few = saturation.dew_pressure(name, column), np.sort(column[:100])
    return Saturation(
        name,
        scalar=best(lambda: saturation.dew_pressure(name, EVAPORATING)),
        inverse=best(lambda: saturation.dew_temperature(name, pressure)),
        column=best(lambda: saturation.dew_pressure(name, column)) / COLUMN,
        inverse_column=best(lambda: saturation.dew_temperature(name, pressures)) / COLUMN,
        props=best(lambda: module.PropsSI("P", "T", EVAPORATING, "Q", 1, text)),
        props_column=best(lambda: module.PropsSI("P", "T", few, "Q", 1, text)) / few.size,
        cached=best(lambda: state.update(module.QT_INPUTS, 1, EVAPORATING)),
    )


def suction(name: str) -> State:
    pressure = saturation.dew_pressure(name, EVAPORATING)
    return states.gas(name, pressure, saturation.dew_temperature(name, pressure) + SUPERHEAT)


def state_times(name: str) -> list[str]:
    _, blind = direct(name)
    module, start = library.coolprop(), suction(name)
    high = saturation.bubble_pressure(name, CONDENSING)
    end = states.at_entropy(name, high, start.entropy)
    offset = _library_entropy(name, start)
    own = [
        best(lambda: states.gas(name, start.pressure, start.temperature)),
        best(lambda: states.liquid(name, high, CONDENSING - 5.0)),
        best(lambda: states.at_entropy(name, high, start.entropy)),
        best(lambda: states.at_enthalpy(name, high, end.enthalpy)),
        best(lambda: states.two_phase(name, start.pressure, 0.3)),
    ]
    flash = best(lambda: blind.update(module.PSmass_INPUTS, high, offset), 0.05)
    return [name, *map(unit, own), unit(flash), times(flash / own[2])]


def _library_entropy(name: str, state: State) -> float:
    """The library's own entropy at a gas state of ours."""
    recipe = catalogue.recipe(name)
    fractions = library.mole_fractions(recipe.components) if recipe.basis == "mixture" else None
    found = library.new_state(library.model_name(name, recipe.components, recipe.basis), fractions, "gas")
    found.update(library.coolprop().DmassT_INPUTS, state.density, state.temperature)
    return float(found.smass())


def fresh(code: str) -> tuple[float, float]:
    """Seconds and megabytes that a statement takes in a new interpreter, best of three."""
    script = (
        "import time, resource; pages = lambda: int(open('/proc/self/statm').read().split()[1]); before = pages(); "
        f"start = time.process_time(); {code}; spent = time.process_time() - start; "
        "print(spent, (pages() - before) * resource.getpagesize() / 2**20)"
    )
    command = [sys.executable, "-c", script]
    runs = [subprocess.run(command, capture_output=True, text=True, check=True).stdout for _ in range(3)]  # noqa: S603
    pairs = [tuple(map(float, run.split())) for run in runs]
    return min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)


def start_up() -> list[list[str]]:
    package = "from witnessmark.refrigerants import"
    steps = {
        "catalogue and saturation, numpy included": f"{package} catalogue, saturation",
        "and the curves of every refrigerant": f"{package} catalogue, saturation; "
        "[catalogue.get(name) for name in catalogue.designations()]",
        "and the property library (`states.warm()`)": f"{package} states; states.warm()",
        "and the states of every refrigerant": f"{package} catalogue, states; states.warm(catalogue.designations())",
    }
    return [
        [what, unit(seconds), f"{size:.0f} MB"] for what, (seconds, size) in ((k, fresh(v)) for k, v in steps.items())
    ]


def table(head: str, rows: list[list[str]]) -> str:
    columns = head.split("|")
    lines = [f"| {' | '.join(cell.strip() for cell in columns)} |", "| --- |" + " --: |" * (len(columns) - 1)]
    return "\n".join([*lines, *(f"| {' | '.join(row)} |" for row in rows)])


SATURATION_HEAD = (
    "refrigerant|p(T)|T(p)|p(T) in a column|T(p) in a column|PropsSI|cached state|PropsSI / ours|cached / ours|"
    "PropsSI column / ours"
)
STATES_HEAD = "refrigerant|gas(p,T)|liquid(p,T)|at_entropy|at_enthalpy|two_phase|blind p,s flash|flash / ours"
TEXT = """Python {python}, numpy {numpy}, {library}, one core; processor time, best of five rounds.
`python tests/bench/bench_properties.py`

**Saturation.** Dew pressure at 5 °C alone, over a column of a million temperatures from −40 to 60 °C, and back;
`PropsSI` and a cached `AbstractState` of the same library for the same dew pressure (its column: 100 temperatures).

{saturation}

R-410A counts to the library as a single substance, like R-32: both are quick there, and neither reaches 100 times.
For the blends that it solves as mixtures the ratio is several hundred and more.

**States.** Suction gas at 5 °C and 8 K superheat, condensing at 45 °C; last, the same entropy flash by the library
without an imposed phase.

{states}

**Start-up** in a new interpreter, cumulative.

{start}"""


def report() -> str:
    return TEXT.format(
        python=platform.python_version(),
        numpy=np.__version__,
        library=library.library_version(),
        saturation=table(SATURATION_HEAD, [saturation_times(name).row() for name in NAMES]),
        states=table(STATES_HEAD, [state_times(name) for name in NAMES]),
        start=table("what|processor time|memory", start_up()),
    )


def write(text: str, file: Path = README) -> None:
    """Put the text between the markers of the file, adding the section where there is none."""
    old = file.read_text("utf-8") if file.exists() else "# Measurements\n"
    section = f"{BEGIN}\n\n{text}\n\n{END}"
    if BEGIN not in old:
        old = f"{old.rstrip()}\n\n## Properties\n\n{BEGIN}{END}\n"
    file.write_text(re.sub(f"{BEGIN}.*{END}", lambda _: section, old, flags=re.DOTALL), "utf-8")


if __name__ == "__main__":
    write(report())
