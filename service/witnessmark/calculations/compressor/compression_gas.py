"""The gas states of one analysis of a compressor, each worked out once: for numbers, and for columns of plain rows.

An analysis with uncertainty asks for the same state again and again, since most readings do not move it. `Gas` answers
for numbers, on the surfaces where they reach and by the equation of state elsewhere; `GasColumns` for columns, on the
surfaces alone, with the operations in the same order, so that both agree to the last bit: it takes note of the rows in
which a state lies elsewhere (`plain`), and these are then worked out one by one. Pa absolute, K, J/kg, kg/m3.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from witnessmark.arithmetic import Array, logarithms
from witnessmark.calculations.compressor import compressor_states as ends
from witnessmark.errors import InputError, located
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.refrigerants.surfaces.files import phase
from witnessmark.refrigerants.surfaces.phase import Inverse, Phase

T = TypeVar("T")
LEAST_COMPRESSION = 1.0001
"""Below this pressure ratio there is no work to speak of, and dividing by it would make numbers of nothing."""


class Suction(NamedTuple):
    """Suction gas: at or below the dew temperature, where a thermometer tells no quality, dry saturated gas.

    volume: gives the density, kg/m3, which not every analysis asks for.
    """

    pressure: Any
    enthalpy: Any
    entropy: Any
    volume: Callable[[], Any]

    @property
    def density(self) -> Any:
        """kg/m3."""
        return self.volume()


class Discharge(NamedTuple):
    """Discharge gas."""

    temperature: Any
    enthalpy: Any


class Gas:
    """For numbers. Errors name the reading, as those of `compressor_states`."""

    def __init__(self, designation: str) -> None:
        self.designation = designation
        self.surfaces = phase(designation, "gas")
        self._known: dict[tuple[object, ...], Any] = {}

    def _once(self, key: tuple[object, ...], work: Callable[[], T]) -> T:
        if key not in self._known:
            self._known[key] = work()
        found: T = self._known[key]
        return found

    def moved(self, pressure: Any, shared: Any) -> Any:
        """A pressure with the error that it shares."""
        return pressure + shared

    def left(self, pressure: Any) -> bool:
        """Whether anything is left of a pressure."""
        return bool(pressure > 0)

    def known(self, name: str, pressure: Any, *, low_side: bool = False) -> bool:
        """Whether a saturation temperature of this name is known: dew or bubble point, of suction or discharge."""
        side: saturation.Side = "dew" if name == "dew" else "bubble"
        if low_side:
            return bool(pressure >= saturation.pressure_range(self.designation, side)[0])
        return bool(pressure < catalogue.get(self.designation).critical_pressure)

    def saturated(self, name: str, pressure: Any, field: str) -> Any:
        """Dew or bubble temperature; errors under the field."""
        line = saturation.dew_temperature if name == "dew" else saturation.bubble_temperature

        def work() -> float:
            with located(pressure=field):
                return float(line(self.designation, pressure))

        return self._once((name, pressure), work)

    def compresses(self, suction: Suction, pressure: Any) -> bool:
        """Whether there is a pressure rise."""
        return bool(pressure > suction.pressure * LEAST_COMPRESSION)

    def suction(self, pressure: Any, temperature: Any) -> Suction:
        """The suction gas."""
        return self._once(("suction", pressure, temperature), lambda: self._suction(pressure, temperature))

    def _suction(self, pressure: float, temperature: float) -> Suction:
        found = self._on(pressure)
        if found is None or not temperature <= found.far:
            state = ends.suction_gas(self.designation, pressure, temperature)
            return Suction(pressure, state.enthalpy, state.entropy, lambda: state.density)
        return _on_surface(found, pressure, max(temperature, self.saturated("dew", pressure, "suction_pressure")))

    def ideal(self, pressure: Any, suction: Suction) -> Discharge:
        """The end of compression at constant entropy."""
        return self._once(("ideal", pressure, suction.entropy), lambda: self._ideal(pressure, suction))

    def _ideal(self, pressure: float, suction: Suction) -> Discharge:
        if found := self._turned("entropy", pressure, suction.entropy):
            return found
        state = ends.ideal_discharge(self.designation, pressure, suction.entropy)
        return Discharge(state.temperature, state.enthalpy)

    def expected(self, pressure: Any, enthalpy: Any) -> Any:
        """The temperature of discharge gas of this enthalpy; None beyond the hottest state."""
        return self._once(("expected", pressure, enthalpy), lambda: self._expected(pressure, enthalpy))

    def _expected(self, pressure: float, enthalpy: float) -> float | None:
        if found := self._turned("enthalpy", pressure, enthalpy):
            return float(found.temperature)
        state = ends.discharge_at(self.designation, pressure, enthalpy)
        return None if state is None else state.temperature

    def actual(self, pressure: Any, temperature: Any) -> Any:
        """The enthalpy of the discharge gas; None at or below its dew temperature."""
        return self._once(("actual", pressure, temperature), lambda: self._actual(pressure, temperature))

    def _actual(self, pressure: float, temperature: float) -> float | None:
        found = self._on(pressure)
        if found is not None and self.saturated("dew", pressure, "discharge_pressure") < temperature <= found.far:
            return float(found.enthalpy(found.spot(pressure, temperature)))
        state = ends.discharge_gas(self.designation, pressure, temperature)
        return None if state is None else state.enthalpy

    def heated(self, rise: Any, work: Any, impossible: float) -> Any:
        """The rise of enthalpy; None where it is too small for an efficiency below the impossible."""
        return rise if rise * impossible > work else None

    def _on(self, pressure: float) -> Phase | None:
        """The surfaces, where they reach to this pressure."""
        found = self.surfaces
        return found if found is not None and found.p_low <= pressure <= found.p_high else None

    def _turned(self, name: Inverse, pressure: float, wanted: float) -> Discharge | None:
        found = self._on(pressure)
        if found is None:
            return None
        dry = self._once((name, "of dry gas", pressure), lambda: self._dry(found, name, pressure))
        if not (wanted >= dry and found.reach(name, pressure, wanted) <= 1.0):
            return None
        spot, temperature = found.inverse(name, pressure, wanted)
        return Discharge(temperature, wanted if name == "enthalpy" else found.enthalpy(spot))

    def _dry(self, found: Phase, name: Inverse, pressure: Any) -> Any:
        dew = found.spot(pressure, self.saturated("dew", pressure, "discharge_pressure"))
        return found.entropy(dew) if name == "entropy" else found.enthalpy(dew)


def _on_surface(found: Phase, pressure: Any, temperature: Any) -> Suction:
    spot = found.spot(pressure, temperature)
    return Suction(
        pressure,
        found.enthalpy(spot),
        found.entropy(spot),
        lambda: found.density(spot, pressure, temperature),
    )


class GasColumns(Gas):
    """For columns of numbers; `plain` is false in the rows of which a state was asked that lies off the surfaces.

    NaN stands where a number has no answer.

    InputError where no surfaces of this refrigerant are shipped. What stands in the other rows means nothing.
    """

    def __init__(self, designation: str, rows: int) -> None:
        super().__init__(designation)
        if self.surfaces is None:
            raise InputError("refrigerant", "no surfaces of gas are shipped for it", "a catalogued refrigerant")
        self._gas = self.surfaces
        self.plain: NDArray[np.bool_] = np.ones(rows, dtype=np.bool_)
        self._kept: list[object] = []

    def _once(self, key: tuple[object, ...], work: Callable[[], T]) -> T:
        """By the identity of columns, which are kept, so that no other can come to have it."""
        columns = [part for part in key if isinstance(part, np.ndarray)]
        named = tuple(id(part) if isinstance(part, np.ndarray) else part for part in key)
        if named not in self._known:
            self._kept += columns
            self._known[named] = work()
        found: T = self._known[named]
        return found

    def moved(self, pressure: Any, shared: Any) -> Any:
        """The same column for the same pressure and error."""
        return self._once(("moved", pressure, shared), lambda: pressure + shared)

    def left(self, pressure: Any) -> bool:
        """True; rows in which nothing is left are not plain."""
        self.plain &= pressure > 0
        return True

    def known(self, name: str, pressure: Any, *, low_side: bool = False) -> bool:  # noqa: ARG002 - of both sides alike
        """True; rows in which it is not are not plain."""
        line = saturation.curve(self.designation, "dew" if name == "dew" else "bubble")
        self.plain &= pressure >= max(line.p_min, self._gas.p_low)
        self.plain &= pressure <= min(line.p_max, self._gas.p_high)
        return True

    def saturated(self, name: str, pressure: Any, field: str) -> Any:  # noqa: ARG002 - no errors here
        """As for numbers; `known` has noted the rows in which there is none."""
        line = saturation.curve(self.designation, "dew" if name == "dew" else "bubble")

        def work() -> Array:
            inside = np.fmin(np.fmax(pressure, line.p_min), line.p_max)  # a series takes no value beyond its ends
            return _inverted(line.temperatures.over(logarithms(inside)))

        return self._once((name, pressure), work)

    def compresses(self, suction: Suction, pressure: Any) -> bool:
        """True; rows without a pressure rise are not plain."""
        self.plain &= pressure > suction.pressure * LEAST_COMPRESSION
        return True

    def _suction(self, pressure: Any, temperature: Any) -> Suction:
        self.plain &= self._gas.held(pressure, temperature)
        dew = self.saturated("dew", pressure, "suction_pressure")
        return _on_surface(self._gas, pressure, np.maximum(temperature, dew))

    def _ideal(self, pressure: Any, suction: Suction) -> Discharge:
        return self._turned("entropy", pressure, suction.entropy)

    def _expected(self, pressure: Any, enthalpy: Any) -> Any:
        return self._turned("enthalpy", pressure, enthalpy).temperature

    def _actual(self, pressure: Any, temperature: Any) -> Any:
        self.plain &= self._gas.held(pressure, temperature)
        enthalpy = self._gas.enthalpy(self._gas.spot(pressure, temperature))
        return np.where(temperature > self.saturated("dew", pressure, "discharge_pressure"), enthalpy, np.nan)

    def heated(self, rise: Any, work: Any, impossible: float) -> Any:
        """The rise; NaN where it is impossible."""
        return np.where(rise * impossible > work, rise, np.nan)

    def _turned(self, name: Inverse, pressure: Any, wanted: Any) -> Discharge:
        found = self._gas
        self.plain &= wanted >= self._once((name, "of dry gas", pressure), lambda: self._dry(found, name, pressure))
        self.plain &= found.reach(name, pressure, wanted) <= 1.0
        spot, temperature = found.inverse(name, pressure, wanted)
        return Discharge(temperature, wanted if name == "enthalpy" else found.enthalpy(spot))


def _inverted(column: Array) -> Array:
    return np.divide(1.0, column, out=column)
