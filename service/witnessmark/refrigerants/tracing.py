"""Bubble and dew lines of a blend, traced on the Helmholtz model itself. Off-line tool: no request comes here.

The library's own saturation solvers fail for blends at ordinary condensing temperatures, and sometimes answer wrongly.
The tracer uses the library only to evaluate the model at given (density, temperature, composition). It starts cold,
where Raoult's law is a good guess, and walks up in temperature, each point guessed from the two before it. A point
counts only when the fugacities of every component and the pressures agree in both phases, so it cannot fail silently.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from witnessmark.refrigerants.library import coolprop, library_name, mole_fractions, new_state
from witnessmark.refrigerants.series import Array

TOLERANCE = 1e-9  # relative, of fugacities and pressures: above the rounding noise of the model in cold liquid
SMALLEST_STEP, LARGEST_STEP = 1e-3, 5.0  # K
DIFFERENCE = 1e-6  # step of ln x and ln density for the derivatives of Newton's method
# K above the coldest point wanted: where to try a first guess; the coldest liquid is the least ideal
STARTS = (60.0, 40.0, 80.0, 20.0, 100.0, 0.0)
DENSITY_STEPS = 20
LARGEST_MOVE = 0.5  # in ln x or ln density, per iteration
ATMOSPHERE = 1e5  # Pa: below it a difference of liquid pressure moves the liquid's fugacity by less than rounding
APART = 0.03  # ln(liquid density / vapour density) below which the two phases are taken as one: the trivial root


@dataclass(frozen=True, slots=True)
class Point:
    """A saturated state: temperature [K], pressure [Pa], mass densities [kg/m3], largest relative residual.

    density belongs to the phase that has the blend's own composition, other_density and other_fractions (molar) to its
    partner, the phase in equilibrium with it; partner_mass is the partner's molar mass over the blend's.
    """

    temperature: float
    pressure: float
    density: float
    other_density: float
    other_fractions: tuple[float, ...]
    partner_mass: float
    residual: float


class Tracer:
    """Follows the bubble line (quality 0) or the dew line (quality 1) of a blend given by mass fractions."""

    smallest_step = SMALLEST_STEP
    """K: where shorter steps lead no further, the line ends."""

    def __init__(self, components: Mapping[str, float], quality: int) -> None:
        self.components, self.names = components, tuple(components)
        self.quality = quality
        self.fractions = np.array(mole_fractions(components))
        model = "&".join(library_name(name) for name in components)
        self._states = [new_state(model, mole_fractions(components), phase) for phase in ("liquid", "gas")]
        self._masses = np.array([coolprop().PropsSI("M", library_name(name)) for name in components])

    def trace(self, temperatures: Sequence[float] | Array) -> list[Point]:
        """Points at ascending temperatures [K]; ends early where the line can be followed no further."""
        points: list[Point] = []
        path: list[tuple[float, Array]] = []
        for temperature in map(float, temperatures):
            if not self._reach(path, temperature):
                break
            points.append(self._point(path[-1][1], temperature))
        return points

    def _reach(self, path: list[tuple[float, Array]], target: float) -> bool:
        """Extend the path to the target temperature; False where the line can be followed no further."""
        if not path:
            for warmer in STARTS:
                start = self._started(target + warmer)
                if start is not None:
                    path.append((target + warmer, start))
                    break
        return bool(path) and self._walk(path, target)

    def _started(self, temperature: float) -> Array | None:
        """A first solution, from Raoult's law; of the dew line from the bubble point, and only else from the law.

        None where neither leads to one. The law alone leads the dew line of cold blends to wrong roots.
        """
        try:
            guess = self._cold_guess(temperature)
        except ValueError:  # below the triple point or above the critical point of a component
            return None
        solved = self._from_bubble(temperature) if self.quality == 1 else None
        return self._newton(guess, temperature) if solved is None else solved

    def _from_bubble(self, temperature: float) -> Array | None:
        """The dew point from the bubble point: densities alike, and what boils off first is what condenses last."""
        bubble = self._of_bubble()._started(temperature)  # noqa: SLF001 - of its own kind
        if bubble is None:
            return None
        liquid = self.fractions**2 / np.exp(bubble[:-2])
        return self._newton(np.log([*(liquid / liquid.sum()), *np.exp(bubble[-2:])]), temperature)

    def _of_bubble(self) -> Tracer:
        """What follows the bubble line of the same blend."""
        return Tracer(self.components, 0)

    def _walk(self, path: list[tuple[float, Array]], target: float) -> bool:
        """Step up or down to the target, halving the step wherever Newton's method does not converge."""
        step = math.copysign(LARGEST_STEP, target - path[-1][0])
        while path[-1][0] != target:
            left = target - path[-1][0]
            temperature = target if abs(step) >= abs(left) else path[-1][0] + step
            solved = self._newton(_extrapolate(path, temperature), temperature)
            if solved is not None:
                path.append((temperature, solved))
            elif abs(step) < self.smallest_step:
                return False
            else:
                step /= 2
        return True

    def _cold_guess(self, temperature: float) -> Array:
        """Raoult's law over the components' own saturation states."""
        rows = [self._pure(name, temperature) for name in self.names]
        pressures, densities = np.array(rows).T
        shares = self.fractions * pressures if self.quality == 0 else self.fractions / pressures
        total = shares.sum()
        pressure = total if self.quality == 0 else 1.0 / total
        other = shares / total
        liquid = self.fractions if self.quality == 0 else other
        gas_constant = self._states[0].gas_constant()
        return np.log([*other, 1.0 / np.sum(liquid / densities), pressure / (gas_constant * temperature)])

    @staticmethod
    def _pure(name: str, temperature: float) -> tuple[float, float]:
        """Vapour pressure [Pa] and saturated liquid density [mol/m3] of one component."""
        state = new_state(library_name(name), None, None)
        state.update(coolprop().QT_INPUTS, 0.0, temperature)
        return state.p(), state.rhomolar()

    def _newton(self, guess: Array, temperature: float) -> Array | None:
        """Solve for ln(other fractions), ln(liquid density), ln(vapour density); None unless proven."""
        try:
            return self._iterate(guess, temperature)
        except ValueError:  # the library far outside its range, or a matrix that is not finite
            return None

    def _iterate(self, unknowns: Array, temperature: float) -> Array | None:
        for _ in range(25):
            residual = self._residual(unknowns, temperature)
            size = np.max(np.abs(residual))
            if size < TOLERANCE:
                return self._proven(unknowns)
            move = np.linalg.lstsq(self._slopes(unknowns, residual, temperature), -residual, rcond=None)[0]
            unknowns = unknowns + move * min(1.0, LARGEST_MOVE / np.max(np.abs(move)))
        return None

    def _proven(self, unknowns: Array) -> Array | None:
        """The solution that was evaluated last, unless it is the trivial one or no real phase."""
        return unknowns if unknowns[-2] - unknowns[-1] > APART and self._stand() else None

    def _stand(self) -> bool:
        """Whether pressure rises with density in both phases as they were evaluated last: else one is no real phase."""
        module = coolprop()
        return all(state.first_partial_deriv(module.iP, module.iDmolar, module.iT) > 0 for state in self._states)

    def _slopes(self, unknowns: Array, residual: Array, temperature: float) -> Array:
        """One-sided differences: their error slows Newton's method a little and moves no solution."""
        steps = np.eye(unknowns.size) * DIFFERENCE
        return np.column_stack(
            [(self._residual(unknowns + step, temperature) - residual) / DIFFERENCE for step in steps]
        )

    def _residual(self, unknowns: Array, temperature: float) -> Array:
        """Differences of ln fugacity, of pressure (relative), and of the sum of fractions from one."""
        other = np.exp(unknowns[:-2])
        shares = other / other.sum()
        liquid, vapour = (self.fractions, shares) if self.quality == 0 else (shares, self.fractions)
        first, liquid_pressure = self._evaluate(self._states[0], liquid, unknowns[-2], temperature)
        second, pressure = self._evaluate(self._states[1], vapour, unknowns[-1], temperature)
        return np.array(
            [*(first - second), (liquid_pressure - pressure) / max(pressure, ATMOSPHERE), other.sum() - 1.0]
        )

    @staticmethod
    def _evaluate(state: Any, fractions: Array, log_density: float, temperature: float) -> tuple[Array, float]:
        """Logarithms of the fugacity of each component, and the pressure, of one phase."""
        state.set_mole_fractions(fractions.tolist())
        state.update(coolprop().DmolarT_INPUTS, float(np.exp(log_density)), temperature)
        return np.log([state.fugacity(index) for index in range(fractions.size)]), state.p()

    def _point(self, unknowns: Array, temperature: float) -> Point:
        residual = self._residual(unknowns, temperature)
        other = np.exp(unknowns[:-2]) / np.exp(unknowns[:-2]).sum()
        own_mass, partner_mass = float(self.fractions @ self._masses), float(other @ self._masses)
        molar = np.exp(unknowns[-2:])
        return Point(
            temperature,
            float(self._states[1].p()),
            float(molar[self.quality]) * own_mass,
            float(molar[1 - self.quality]) * partner_mass,
            tuple(other.tolist()),
            partner_mass / own_mass,
            float(np.max(np.abs(residual))),
        )


def _extrapolate(path: Sequence[tuple[float, Array]], temperature: float) -> Array:
    """The next guess on a straight line through the last two points, in 1/T."""
    (before, earlier), (now, latest) = path[-2] if len(path) > 1 else path[-1], path[-1]
    if abs(now - before) < SMALLEST_STEP / 1e3:
        return latest
    share = (1 / temperature - 1 / now) / (1 / now - 1 / before)
    return np.asarray(latest + (latest - earlier) * share)


def single_line(model: str, quality: int, temperatures: Sequence[float] | NDArray[np.float64]) -> list[Point]:
    """Saturated states of a pure or pseudo-pure fluid, by the library's own equations for them."""
    state, points = new_state(model, None, None), []
    for temperature in map(float, temperatures):
        state.update(coolprop().QT_INPUTS, quality, temperature)
        density = float(state.rhomass())
        points.append(Point(temperature, float(state.p()), density, density, (), 1.0, 0.0))
    return points


def pseudo_line(
    model: str, tracer: Tracer, scale: float, temperatures: Sequence[float] | NDArray[np.float64]
) -> list[Point]:
    """Saturated states of a pseudo-pure fluid, with the partner's molar mass from the same blend as a mixture.

    scale: critical temperature of the mixture model over that of the pseudo-pure one, so that both end together.
    Below the first temperature of the pseudo-pure equation the mixture model leads on, its pressures in the ratio that
    both have there; densities are those of the pseudo-pure equation at these pressures.
    """
    begins = float(new_state(model, None, None).Tmin())
    wanted = np.asarray(temperatures, dtype=np.float64)
    cold, warm = wanted[wanted < begins], wanted[wanted >= begins]
    mixture = tracer.trace(np.concatenate([cold, [begins], warm]) * scale)
    if len(mixture) <= wanted.size:
        return []
    first, like = single_line(model, tracer.quality, [begins])[0], mixture[cold.size]
    state = new_state(model, None, "liquid" if tracer.quality == 0 else "gas")
    points = []
    for temperature, point in zip(cold.tolist(), mixture, strict=False):
        pressure = point.pressure * first.pressure / like.pressure
        density = _density(state, point.density * first.density / like.density, temperature, pressure)
        points.append(replace(point, temperature=temperature, pressure=pressure, density=density))
    warmer = zip(single_line(model, tracer.quality, warm), mixture[cold.size + 1 :], strict=True)
    return points + [replace(point, partner_mass=like.partner_mass) for point, like in warmer]


def _density(state: Any, near: float, temperature: float, pressure: float) -> float:
    """Density [kg/m3] at which the equation gives this pressure: Newton's method from one that is nearly right."""
    module = coolprop()
    density = near
    for _ in range(DENSITY_STEPS):
        state.update(module.DmassT_INPUTS, density, temperature)
        step = float((state.p() - pressure) / state.first_partial_deriv(module.iP, module.iDmass, module.iT))
        density -= step
        if abs(step) < 1e-10 * density:
            return density
    raise ValueError("the pseudo-pure equation has no density here")
