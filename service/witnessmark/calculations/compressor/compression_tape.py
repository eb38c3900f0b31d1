"""The gas of one analysis as jets: what `compression_numbers.derive` asks for, written down with its derivatives.

`GasTape` stands in for the gas while `derive` runs on jets; `Surroundings` is what the written lines then ask of one
refrigerant, numbers or columns. Pa absolute, K, J/kg, kg/m3.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np

from witnessmark.calculations.compressor.compression_gas import LEAST_COMPRESSION, Discharge, Gas, Suction
from witnessmark.calculations.metrology.jets import Jet, Tape, Ways, composed, implied
from witnessmark.refrigerants import compositions, saturation
from witnessmark.refrigerants.surfaces.files import phase
from witnessmark.refrigerants.surfaces.lattice import around, logarithm, root
from witnessmark.refrigerants.surfaces.phase import LINE, Inverse, Phase


class Surroundings:
    """What the lines ask of one refrigerant: saturation lines and the surfaces of gas, with their derivatives."""

    def __init__(self, designation: str, found: Phase) -> None:
        lines = {name: saturation.curve(designation, name) for name in ("dew", "bubble")}
        self.found, self.lattice = found, found.lattice
        self.dew, self.bubble = (self._line(line) for line in lines.values())
        self.log = logarithm
        self.root = root
        self.far = found.far
        self.lowest = max(found.p_low, *(line.p_min for line in lines.values()))
        self.highest = min(found.p_high, *(line.p_max for line in lines.values()))
        self.rows = float(found.lattice.rows)

    @staticmethod
    def _line(line: saturation.Curve) -> Callable[[Any], tuple[Any, Any, Any]]:
        """1/T over ln p, and its derivatives."""
        series = line.temperatures

        def at(log: Any) -> tuple[Any, Any, Any]:
            return series.over_with_slopes(log) if isinstance(log, np.ndarray) else series.with_slopes(log)

        return at

    def across(self, log: Any) -> tuple[Any, Any, Any]:
        """Strip, a, and how much a grows with ln p."""
        strip, a = self.lattice.across(log)
        return strip, a, self.lattice.per_width(strip)

    def saturated(self, strip: Any, a: Any) -> tuple[Any, Any, Any]:
        """The saturation line of the surfaces."""
        return self.lattice.line_around(LINE, strip, a)

    def place(self, strip: Any, share: Any) -> tuple[Any, Any, Any]:
        """v, cell and b of a share of the way from saturation to the far end."""
        v = root(share)
        return (v, *self.lattice.along(strip, v))

    def surface(self, name: str, cell: Any, a: Any, b: Any) -> tuple[Any, ...]:
        """A surface and its derivatives: value, over a, over b, over a twice, both, b twice."""
        return around(self.lattice.sections(name, cell, a), b)

    def inverse(self, name: Inverse, strip: Any, a: Any, wanted: Any) -> tuple[Any, ...]:
        """Where a surface has a value: v, cell, b, and its derivatives there."""
        v, cell, b = self.found.start(name, strip, a, wanted)
        sections = self.lattice.sections(name, cell, a)
        v, b = self.found.solved(sections[0], wanted, v, cell - strip * self.lattice.rows, b)
        return v, cell, b, *around(sections, b)[1:]


@lru_cache(compositions.KEPT)
def surroundings(designation: str) -> Surroundings | None:
    """Those of a refrigerant; None where no surfaces are shipped for it."""
    found = phase(designation, "gas")
    return None if found is None else Surroundings(designation, found)


@dataclass(frozen=True, slots=True)
class _Pressure:
    """Where a pressure lies across the surfaces."""

    jet: Jet
    log: Jet
    strip: str
    a: Jet
    line: Jet


@dataclass(slots=True)
class GasTape(Gas):
    """Stands in for the gas while `derive` runs on jets; checks: what must hold, by the reach of the readings.

    heat: work and rise of enthalpy, where both are known; the efficiency holds where their own check does.
    """

    tape: Tape
    ways: Ways
    checks: list[str] = field(default_factory=list)
    heat: list[Jet] = field(default_factory=list)
    _places: dict[str, _Pressure] = field(default_factory=dict)

    def moved(self, pressure: Any, shared: Any) -> Any:
        """A variable of its own: the readings that move it are told by the ways."""
        value = self.tape.put(f"{pressure.value}+{shared.value}")
        return self.tape.independent(next(iter(pressure.slopes)), value)

    def left(self, pressure: Any) -> bool:
        """True; `known` checks it."""
        self._check(self._less("s.lowest", pressure))
        self._check(composed(f"s.highest-{pressure.value}", [pressure], ["-1.0"]))
        return True

    def known(self, name: str, pressure: Any, *, low_side: bool = False) -> bool:  # noqa: ARG002 - of both alike
        """True where the checks hold."""
        if pressure.value not in self._places:
            self.left(pressure)
            self._places[pressure.value] = self._place(pressure)
        return True

    def saturated(self, name: str, pressure: Any, field: str) -> Any:  # noqa: ARG002 - no errors here
        """Dew or bubble temperature."""
        log = self._places[pressure.value].log
        value, first, second = self.tape.call(f"s.{name}({log.value})", 3)
        return 1.0 / composed(value, [log], [first], {(0, 0): second})

    def compresses(self, suction: Suction, pressure: Any) -> bool:
        """True where the checks hold."""
        self._check(pressure - suction.pressure * LEAST_COMPRESSION)
        return True

    def suction(self, pressure: Any, temperature: Any) -> Suction:
        """Superheated gas."""
        at, cell, b = self._spot(pressure, temperature)
        number = self._surface("density", cell, at, b)
        return Suction(
            pressure,
            self._surface("enthalpy", cell, at, b),
            self._surface("entropy", cell, at, b),
            lambda: number * pressure / temperature,
        )

    def ideal(self, pressure: Any, suction: Suction) -> Discharge:
        """The end of compression at constant entropy."""
        at, cell, b, temperature = self._inverse("entropy", pressure, suction.entropy)
        return Discharge(temperature, self._surface("enthalpy", cell, at, b))

    def expected(self, pressure: Any, enthalpy: Any) -> Any:
        """The temperature of discharge gas of this enthalpy."""
        return self._inverse("enthalpy", pressure, enthalpy)[3]

    def actual(self, pressure: Any, temperature: Any) -> Any:
        """The enthalpy of the discharge gas."""
        at, cell, b = self._spot(pressure, temperature)
        return self._surface("enthalpy", cell, at, b)

    def heated(self, rise: Any, work: Any, impossible: float) -> Any:
        """The rise, where it is possible."""
        self.heat += [work, rise, rise * impossible - work]
        return rise

    def _check(self, jet: Jet) -> None:
        self.checks.append(self.tape.clear(jet, self.ways))

    def _less(self, low: str, jet: Jet) -> Jet:
        return composed(f"{jet.value}-{low}", [jet], ["1.0"])

    def _gas(self, temperature: Jet, pressure: Jet) -> None:
        """Checks that a state stays gas and within the surfaces."""
        self._check(temperature - self.saturated("dew", pressure, ""))
        self._check(composed(f"s.far-{temperature.value}", [temperature], ["-1.0"]))

    def _place(self, pressure: Jet) -> _Pressure:
        put = self.tape.put
        first = put(f"1.0/{pressure.value}")
        log = composed(put(f"s.log({pressure.value})"), [pressure], [first], {(0, 0): put(f"-{first}*{first}")})
        strip, a, per = self.tape.call(f"s.across({log.value})", 3)
        across = composed(a, [log], [per])
        line, slope, bend = self.tape.call(f"s.saturated({strip}, {a})", 3)
        return _Pressure(pressure, log, strip, across, composed(line, [across], [slope], {(0, 0): bend}))

    def _spot(self, pressure: Jet, temperature: Jet) -> tuple[_Pressure, str, Jet]:
        """Where a state lies: its cell, and b."""
        at, put = self._places[pressure.value], self.tape.put
        self._gas(temperature, pressure)
        share = (temperature - at.line) / composed(f"s.far-{at.line.value}", [at.line], ["-1.0"])
        v, cell, b = self.tape.call(f"s.place({at.strip}, {share.value})", 3)
        first = put(f"0.5*s.rows/{v}")
        second = put(f"-0.5*{first}/{share.value}")
        return at, cell, composed(b, [share], [first], {(0, 0): second})

    def _surface(self, name: str, cell: str, at: _Pressure, b: Jet) -> Jet:
        call = f"s.surface('{name}', {cell}, {at.a.value}, {b.value})"
        value, f_a, f_b, f_aa, f_ab, f_bb = self.tape.call(call, 6)
        return composed(value, [at.a, b], [f_a, f_b], {(0, 0): f_aa, (0, 1): f_ab, (1, 1): f_bb})

    def _inverse(self, name: Inverse, pressure: Jet, wanted: Jet) -> tuple[_Pressure, str, Jet, Jet]:
        at = self._places[pressure.value]
        found = self.tape.call(f"s.inverse('{name}', {at.strip}, {at.a.value}, {wanted.value})", 8)
        value, cell, place, *surface = found
        b = implied(place, at.a, wanted, surface)
        v = composed(value, [b], [self.tape.put("1.0/s.rows")])
        temperature = at.line + composed(f"s.far-{at.line.value}", [at.line], ["-1.0"]) * v.squared()
        self._gas(temperature, pressure)
        return at, cell, b, temperature
