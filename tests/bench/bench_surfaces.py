"""Gas and liquid on surfaces, and what rests on them, beside the property library. Writes into README.md here.

Run: `python -m tests.bench.bench_surfaces`. Times are processor time and the best of several rounds; ratios come from
the same run.
"""

from __future__ import annotations

import platform
from typing import Any

import numpy as np

from tests.bench import page
from tests.bench.bench_properties import NAMES, best, direct, times, unit
from witnessmark.calculations.compressor import compression, compression_columns
from witnessmark.calculations.compressor.compression import CompressorReadings, RunningCompressor
from witnessmark.calculations.compressor.compression_gas import Gas
from witnessmark.calculations.compressor.compression_series import DRAWS, AtPoints
from witnessmark.calculations.cycle import cycle
from witnessmark.calculations.metrology.uncertainty import Measured, propagate_all
from witnessmark.refrigerants import equation, library, saturation, states
from witnessmark.refrigerants.surfaces.files import phase

ROWS = 100_000
ANALYSES = 16_384
EVAPORATING, CONDENSING, SUPERHEAT = 278.15, 318.15, 8.0


def surface_row(name: str) -> list[str]:
    """Seconds a state: alone, in columns, by the equation of state, by the library's own function."""
    found, generator = phase(name, "gas"), np.random.default_rng(1)
    assert found is not None
    pressure = np.asarray(saturation.dew_pressure(name, generator.uniform(263.15, 318.15, ROWS)))
    temperature = np.asarray(saturation.dew_temperature(name, pressure)) + generator.uniform(1.0, 60.0, ROWS)

    def properties() -> Any:
        spot = found.spot(pressure, temperature)
        return found.enthalpy(spot), found.entropy(spot), found.density(spot, pressure, temperature)

    entropy = properties()[1]
    one, high = float(pressure[0]), saturation.bubble_pressure(name, CONDENSING)
    start = states.gas(name, one, float(temperature[0]))
    text, _ = direct(name)
    module = library.coolprop()
    alone = best(lambda: states.gas(name, one, start.temperature))
    column = best(properties) / ROWS
    props = best(lambda: module.PropsSI("Hmass", "P", one, "T|gas", start.temperature, text))
    return [
        name, unit(alone), unit(best(lambda: equation.gas(name, one, start.temperature))), unit(props),
        unit(best(lambda: states.at_entropy(name, high, start.entropy))),
        unit(best(lambda: equation.at_entropy(name, high, start.entropy))), unit(column),
        unit(best(lambda: found.inverse("entropy", pressure, entropy)) / ROWS), times(props / column),
    ]  # fmt: skip


def sound(name: str) -> dict[str, Measured]:
    """Readings at a sound machine."""
    low, high = saturation.dew_pressure(name, EVAPORATING), saturation.dew_pressure(name, CONDENSING)
    suction = states.gas(name, low, EVAPORATING + SUPERHEAT)
    ideal = states.at_entropy(name, high, suction.entropy)
    hot = states.at_enthalpy(name, high, suction.enthalpy + (ideal.enthalpy - suction.enthalpy) / 0.7)
    return {
        "suction_pressure": Measured(low, 0.01 * low), "discharge_pressure": Measured(high, 0.01 * high),
        "suction_temperature": Measured(suction.temperature, 0.5),
        "discharge_temperature": Measured(hot.temperature, 1.0),
    }  # fmt: skip


def analysis_row(name: str) -> list[str]:
    """Seconds of a whole analysis with uncertainty: compression alone and in columns, a cycle with a contradiction."""
    readings, machine = sound(name), RunningCompressor("scroll", running=True)
    own = CompressorReadings(**readings)
    alone = best(lambda: compression.assess(name, own, machine), 1.0)
    known, points = own.present() | compression.assumptions(name, machine), AtPoints(Gas(name), ())
    by_points = best(lambda: propagate_all(points.everything, known, DRAWS, points.only, points.many), 1.0)
    generator = np.random.default_rng(2)
    columns = {
        key: (r.value + r.uncertainty * generator.normal(size=ANALYSES), np.full(ANALYSES, r.uncertainty))
        for key, r in readings.items()
    }
    found = compression_columns.assess(name, columns, machine)
    numbers = best(lambda: compression_columns.assess(name, columns, machine), 1.0) / ANALYSES
    pairs = compression_columns._given(name, columns, machine)  # noqa: SLF001 - what both ways are given
    many = best(lambda: compression_columns._at_points(name, pairs, ANALYSES), 1.0) / ANALYSES  # noqa: SLF001
    contradicting = cycle.CycleReadings(
        own.suction_pressure, own.discharge_pressure, suction_temperature=own.suction_temperature,
        discharge_temperature=own.discharge_temperature, liquid_temperature=Measured(CONDENSING - 25.0, 0.5),
        condensing_temperature=Measured(CONDENSING - 12.0, 0.5),
    )  # fmt: skip
    assert cycle.solve(name, contradicting, "scroll").probability < 0.01
    whole = best(lambda: cycle.solve(name, contradicting, "scroll"), 2.0)
    return [
        name, unit(alone), unit(by_points), unit(numbers), unit(many), times(many / numbers),
        f"{found.plain.mean():.0%}", times(alone / numbers), unit(whole),
    ]  # fmt: skip


SURFACE_HEAD = (
    "refrigerant", "gas(p,T)", "by the equation", "PropsSI, h alone, phase given", "at_entropy", "by the equation",
    "h, s, density in a column", "T(p,s) in a column", "PropsSI / column",
)  # fmt: skip
ANALYSIS_HEAD = (
    "refrigerant", "compression alone", "its numbers alone, at points", "its numbers in a column",
    "in a column, at points", "at points / by derivatives", "rows answered as columns", "alone / column",
    "cycle with a contradiction",
)  # fmt: skip
TEXT = """Python {python}, numpy {numpy}, {library}, one core; processor time, best of five rounds, with other work on
the machine.
`python -m tests.bench.bench_surfaces`

**States**, columns of {rows:,} rows.

{states}

**Analyses** with uncertainty: eight numbers and more, by the derivatives of the surfaces in one pass. "At points": the
same numbers from 27 to 33 points round the readings, as they are still had where the gas may leave the surfaces; random
draws where series do not hold. The column ({analyses:,} rows of one machine, readings scattered by their
uncertainty) is of the numbers alone, before verdicts and texts; the whole of many rows is measured under "Many rows".
Aims: 0.2 ms alone, about 1 µs a row, 20 ms for the cycle.

{analyses_table}"""


def report() -> str:
    return TEXT.format(
        python=platform.python_version(),
        numpy=np.__version__,
        library=library.library_version(),
        rows=ROWS,
        states=page.table(SURFACE_HEAD, [surface_row(name) for name in NAMES]),
        analyses=ANALYSES,
        analyses_table=page.table(ANALYSIS_HEAD, [analysis_row(name) for name in NAMES]),
    )


if __name__ == "__main__":
    page.write("surfaces", "Gas, liquid and what rests on them", report())
