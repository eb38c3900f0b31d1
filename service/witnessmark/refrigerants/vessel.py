"""A closed vessel with liquid and vapour of a mixture, from which one of the phases is let out at constant temperature.

The two phases are in equilibrium at all times: fugacities of every component and pressures agree, and both phases fill
the vessel. What leaves has the composition of its phase at that moment (Rayleigh's distillation, here with the vapour
space): dn/dm = -(composition of the phase), followed in steps by the midpoint rule.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from witnessmark import effort
from witnessmark.errors import InputError
from witnessmark.refrigerants.library import Phase, coolprop, library_name, mole_fractions, new_state
from witnessmark.refrigerants.series import Array
from witnessmark.refrigerants.tracing import DIFFERENCE, LARGEST_MOVE, Point, Tracer

STEP = 0.01  # of the first mass, per step of the leak
SHORTENED, SMALLEST_STEP = 0.25, 1e-6  # of the liquid that is left, which no step may pass; kg
TOLERANCE = 1e-9
COLDER, COLDEST = (0.0, 80.0, 120.0), 200.0
"""K below the temperature where the bubble line is begun; K below which nothing is begun."""
ITERATIONS, HALVINGS = 25, 12
SHRINKING = 0.3  # of the residual, that a move may leave for its slopes to be kept
SECONDS = 2.0  # of processor time, after which a leak is not followed further
TOO_LONG = f"what its leak leaves could not be worked out within {SECONDS:g} s of processor time"
DRYING = 0.9  # of the moles in the vapour: from here on an equilibrium that is not met means that no liquid is left
APART = 1.05  # liquid density over vapour density: less is one phase
HALF, THINNING = 0.5, 0.7
DRY = 1e-3  # of the moles: less liquid than this is none
Filling = Callable[[float, float, float, float], float]
"""From densities [mol/m3] and moles of liquid and vapour: zero where the vessel is filled as it should be."""
_ACCEPTED = "a temperature at which liquid and vapour of this mixture stand together"


@dataclass(frozen=True, slots=True)
class Content:
    """What is in the vessel: masses of the components [kg, of one kg at first], pressure [Pa], and the two phases.

    whole, liquid, vapour: mass fractions; liquid is None once there is none. liquid_mass: kg of the first kg.
    """

    mass: float
    pressure: float
    whole: dict[str, float]
    liquid: dict[str, float] | None
    vapour: dict[str, float]
    liquid_mass: float


@dataclass(slots=True)
class _Split:
    """Unknowns ln(vapour fractions), ln(densities) [mol/m3], moles of vapour; fractions by moles."""

    unknowns: Array

    @property
    def vapour(self) -> Array:
        return np.asarray(np.exp(self.unknowns[:-3]))

    @property
    def vapour_moles(self) -> float:
        return float(self.unknowns[-1])


def refuse(*, lost: bool) -> None:
    """Where liquid is left and the phases are not met; what is nearly dry is taken as vapour."""
    if lost:
        raise _refusal("the equilibrium could not be followed through the leak")


class Vessel:
    """One kilogram of a mixture by mass fractions at a temperature [K]; liquid fills `liquid_share` of the volume.

    until: processor time of the thread [s] after which nothing more is worked out, and that is refused.
    """

    def __init__(
        self, components: Mapping[str, float], temperature: float, liquid_share: float, until: float = math.inf
    ) -> None:
        self._until = until
        self._slopes_known: Array | None = None
        self.names, self.temperature = tuple(components), temperature
        model = "&".join(library_name(name) for name in components)
        fractions = mole_fractions(components)
        self._states = [new_state(model, fractions, phase) for phase in ("liquid", "gas")]
        self._masses = np.array([coolprop().PropsSI("M", library_name(name)) for name in components])
        moles = np.array(fractions)
        self.moles: Array = moles / float(moles @ self._masses)
        self._volume, self._split = self._filled(components, liquid_share)

    def _filled(self, components: Mapping[str, float], share: float) -> tuple[float, _Split]:
        """Volume [m3] and phases at the start; with little liquid, whose composition is far off, by way of more."""
        point, found = self._bubble_point(components), None
        for path in ((share,), _thinning(share)):
            found = self._guess(point, path[0])
            for part in path:
                found = None if found is None else self._solve(found, _shared(part))
            if found is not None:
                break
        if found is None:
            raise _refusal("no equilibrium of liquid and vapour could be proven at this temperature and liquid share")
        wet = float(self.moles.sum()) - found[-1]
        return float(wet / np.exp(found[-3]) + found[-1] / np.exp(found[-2])), _Split(found)

    def _guess(self, point: Point, share: float) -> Array:
        """From the bubble point: liquid of the whole's composition, nearly."""
        other = np.array(point.other_fractions)
        total = float(self.moles.sum())
        liquid_density = point.density / float(self.moles @ self._masses / total)
        vapour_density = point.other_density / float(other @ self._masses)
        volume = total / (share * liquid_density + (1.0 - share) * vapour_density)
        gas = vapour_density * (1.0 - share) * volume
        return np.array([*np.log(other), np.log(liquid_density), np.log(vapour_density), gas])

    def _bubble_point(self, components: Mapping[str, float]) -> Point:
        """Found at this temperature, or followed from a colder one: near critical the first guess fails."""
        for colder in COLDER:
            path = sorted({max(self.temperature - colder, COLDEST), self.temperature})
            points = Tracer(components, 0).trace(path)
            if len(points) == len(path):
                return points[-1]
        raise _refusal("no equilibrium of liquid and vapour could be proven at this temperature")

    def leak(self, phase: Phase, removed: float) -> Iterator[Content]:
        """The contents after each hundredth of the first mass, from none removed to `removed` (0 to 1) of it."""
        yield self.content()
        for _ in range(round(removed / STEP)):
            left = STEP
            while left > SMALLEST_STEP:
                taken = left if self.dry else min(left, max(SHORTENED * self.content().liquid_mass, SMALLEST_STEP))
                self._let_out(phase, taken)
                left -= taken
            yield self.content()

    def _let_out(self, phase: Phase, mass: float) -> None:
        """One step of the midpoint rule."""
        before, start = self.moles, self._split
        self.moles = before - 0.5 * mass * self._leaving(phase)
        self._settle()
        self.moles = before - mass * self._leaving(phase)
        half = self._split
        self._split = _Split(2.0 * half.unknowns - start.unknowns)  # as far again: near enough to begin at
        self._settle(start)

    def _leaving(self, phase: Phase) -> Array:
        """Moles of each component in a kilogram of what leaves; vapour where no liquid is left."""
        shares = self._split.vapour if phase == "gas" or self.dry else self._liquid()
        return np.asarray(shares / float(shares @ self._masses))

    @property
    def dry(self) -> bool:
        """Whether no liquid is left."""
        return self._split.vapour_moles >= (1.0 - DRY) * float(self.moles.sum())

    def _liquid(self) -> Array:
        wet = self.moles - self._split.vapour_moles * self._split.vapour
        return np.asarray(wet / wet.sum())

    def _settle(self, start: _Split | None = None) -> None:
        """Equilibrium of what is there now in the vessel's volume; all vapour where it would not be met.

        Begun where the phases are, with the slopes that are known; from `start` and with new ones where that leads
        nowhere.
        """
        self._check()
        total = float(self.moles.sum())
        if not self.dry:
            for begun, anew in ((self._split, False), (start or self._split, True)):
                guess = begun.unknowns.copy()
                guess[-1] = min(guess[-1], 0.999 * total)
                if (found := self._solve(guess, self._kept_volume, anew=anew)) is not None:
                    self._split = _Split(found)
                    return
            refuse(lost=guess[-1] < DRYING * total)
        shares = self.moles / total
        unknowns = np.array([*np.log(shares), self._split.unknowns[-3], np.log(total / self._volume), total])
        self._split = _Split(unknowns)

    def _kept_volume(self, dense: float, light: float, wet: float, dry: float) -> float:
        return (wet / dense + dry / light - self._volume) / self._volume

    def _check(self) -> None:
        """InputError where the time is used up."""
        effort.check()
        if time.thread_time() > self._until:
            raise InputError("refrigerant", TOO_LONG, "fewer components, or a smaller share removed")

    def content(self) -> Content:
        """What is in the vessel now."""
        dry = self.dry
        light = float(np.exp(self._split.unknowns[-2]))
        pressure = self._evaluate(1, self._split.vapour / self._split.vapour.sum(), light)[1]
        mass = float(self.moles @ self._masses)
        vapour_mass = mass if dry else self._split.vapour_moles * float(self._split.vapour @ self._masses)
        return Content(
            mass,
            pressure,
            self._by_mass(self.moles),
            None if dry else self._by_mass(self._liquid()),
            self._by_mass(self._split.vapour),
            mass - vapour_mass,
        )

    def _by_mass(self, shares: Array) -> dict[str, float]:
        weights = shares * self._masses
        return {name: float(part / weights.sum()) for name, part in zip(self.names, weights, strict=True)}

    def _solve(self, unknowns: Array, filling: Filling, *, anew: bool = False) -> Array | None:
        """Newton's method with the slopes of the solution before, for as long as they serve; None unless proven.

        Each move corrects them by what it met (Broyden, Math. Comp. 19 (1965) 577-593): one evaluation an iteration
        where new slopes take one for each unknown. What is found is proven alike. anew: with new slopes at every
        iteration, which leads farther.
        """
        residual, slopes = self._residual(unknowns, filling), None if anew else self._slopes_known
        for _ in range(ITERATIONS):
            if residual is None:
                return None
            size = float(np.max(np.abs(residual)))
            if size < TOLERANCE:
                self._slopes_known = slopes
                return unknowns if self._stand() else None
            if slopes is None:
                slopes = self._slopes(unknowns, residual, filling)
            before, left = unknowns, residual
            unknowns, residual = self._moved(unknowns, self._move(slopes, residual), filling)
            slopes = None if anew else self._corrected(slopes, unknowns - before, left, residual)
        return None

    def _move(self, slopes: Array, residual: Array) -> Array:
        """The step that these slopes ask for, no longer than is safe."""
        move = np.linalg.lstsq(slopes, -residual, rcond=None)[0]
        largest = max(float(np.max(np.abs(move[:-1]))), abs(float(move[-1])) / float(self.moles.sum()))
        return np.asarray(min(1.0, LARGEST_MOVE / largest) * move)

    @staticmethod
    def _corrected(slopes: Array, move: Array, left: Array, met: Array | None) -> Array | None:
        """The slopes after a move; None, so that they are taken anew, where it left too much of the residual."""
        if met is None or not np.max(np.abs(met)) <= SHRINKING * np.max(np.abs(left)):
            return None
        return np.asarray(slopes + np.outer(met - left - slopes @ move, move) / float(move @ move))

    def _moved(self, unknowns: Array, move: Array, filling: Filling) -> tuple[Array, Array | None]:
        """The next point, nearer where the whole step would leave less than nothing of a component in the liquid."""
        for _ in range(HALVINGS):
            residual = self._residual(unknowns + move, filling)
            if residual is not None:
                return unknowns + move, residual
            move = np.asarray(move / 2)
        return unknowns, None

    def _stand(self) -> bool:
        """Whether both are real phases of their own: pressure rises with density, and the densities lie apart."""
        module = coolprop()
        rising = all(state.first_partial_deriv(module.iP, module.iDmolar, module.iT) > 0 for state in self._states)
        return rising and bool(self._states[0].rhomolar() > APART * self._states[1].rhomolar())

    def _slopes(self, unknowns: Array, residual: Array, filling: Filling) -> Array:
        scale = np.ones(unknowns.size)
        scale[-1] = float(self.moles.sum())
        steps = np.diag(DIFFERENCE * scale)
        near = (self._residual(unknowns - step, filling) for step in steps)
        ends = (residual if one is None else one for one in near)
        return np.column_stack([(residual - one) / step.sum() for one, step in zip(ends, steps, strict=True)])

    def _residual(self, unknowns: Array, filling: Filling) -> Array | None:
        """None where more of a component would be in the vapour than there is."""
        vapour, gas, total = np.exp(unknowns[:-3]), float(unknowns[-1]), float(self.moles.sum())
        wet = self.moles - gas * vapour
        if np.min(wet) <= 0.0 or gas <= 0.0:
            return None
        dense, light = np.exp(unknowns[-3:-1])
        first, low = self._evaluate(0, wet / wet.sum(), float(dense))
        second, high = self._evaluate(1, vapour / vapour.sum(), float(light))
        fills = filling(float(dense), float(light), total - gas, gas)
        return np.array([*(first - second), (low - high) / high, vapour.sum() - 1.0, fills])

    def _evaluate(self, index: int, fractions: Array, density: float) -> tuple[Array, float]:
        """Logarithms of the fugacities, and the pressure, of one phase (0 liquid, 1 vapour)."""
        state = self._states[index]
        state.set_mole_fractions(fractions.tolist())
        state.update(coolprop().DmolarT_INPUTS, density, self.temperature)
        return np.log([state.fugacity(part) for part in range(fractions.size)]), float(state.p())


def _shared(share: float) -> Filling:
    """Liquid fills this share of the volume."""
    return lambda dense, light, wet, dry: dry / light * share - wet / dense * (1.0 - share)


def _thinning(share: float) -> tuple[float, ...]:
    """Shares of liquid from half the volume to this one, each a part of the one before."""
    shares = [max(share, HALF)]
    while shares[-1] > share:
        shares.append(max(shares[-1] * THINNING, share))
    return tuple(shares)


def _refusal(fault: str) -> InputError:
    return InputError("temperature", fault, _ACCEPTED)
