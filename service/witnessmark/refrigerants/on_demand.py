"""Bubble and dew lines of a mixture that somebody gives, traced when they are first asked for.

The same tracer as for the shipped curves, on fewer points: every point is proven (fugacities and pressures of both
phases agree), every line is measured between its points, pressure must rise with temperature and the dew line must not
lie above the bubble line. What fails one of these, or takes more than SECONDS of processor time, is refused with the
reason: no line is ever answered that was not proven. The time is looked at before every call of the property library
that tracing makes, and a call is not begun that would end too late if it took as long as the longest before it; the one
call that cannot be foreseen, the phase envelope, is judged when it ends.
"""

from __future__ import annotations

import asyncio
import math
import time
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

import numpy as np

from witnessmark import effort
from witnessmark.errors import InputError
from witnessmark.refrigerants import library
from witnessmark.refrigerants.curves import Curves, Line
from witnessmark.refrigerants.line_fit import COLDEST, SIDES, Grid, closing, coldest, freezing, in_order, line_of
from witnessmark.refrigerants.series import Array
from witnessmark.refrigerants.tracing import LARGEST_MOVE, TOLERANCE, Tracer

SECONDS = 2.0  # of processor time for one mixture, after which nothing is answered
TRACING = 1.5  # of these, for calls of the property library: what follows is arithmetic of a bounded size
RANGES = ((0.0, 1.0), (7.0, 1.0), (0.0, 4.0), (25.0, 4.0), (0.0, 12.0), (40.0, 12.0), (0.0, 30.0))
"""K above the coldest end and below critical: the widest range in which both lines can be followed is taken."""
BREAKS = (40.0, 10.0)  # K below critical where a new piece begins
GRID = Grid(nodes=18, checks=5)
WIDEST = 0.02  # K: a line that its series meets less well is refused
ITERATIONS, SHRINKING = 30, 0.5  # and slopes are kept while each leaves less than this of the residual
NEW_SLOPES = 8  # a point, before it is given up
KEPT = 128  # mixtures whose lines are kept
SMALLEST_SPAN = 20.0  # K
_ACCEPTED = "a mixture whose bubble and dew lines can be proven"


class UntracedError(Exception):
    """The lines are wanted in a thread whose event loop must not wait for them: trace them elsewhere, and ask again."""

    def __init__(self, components: tuple[tuple[str, float], ...]) -> None:
        super().__init__("the lines of this mixture are not traced yet")
        self.components = components


class _SlowError(Exception):
    """The processor time is used up."""


class Watch:
    """The processor time that one mixture has; `clock` in seconds."""

    def __init__(self, clock: Callable[[], float] | None = None) -> None:
        self._clock = clock or time.thread_time
        self._begun = self._last = self._clock()
        self._longest = 0.0

    def step(self) -> None:
        """Another call of the library, unless it might end too late: _SlowError."""
        now = self._clock()
        self._longest = max(self._longest, now - self._last)
        self._last = now
        if now - self._begun + self._longest > TRACING:
            raise _SlowError

    def begin(self) -> None:
        """What was done before counts for the whole, but is no measure of the calls that follow."""
        self.end()
        self._last = self._clock()

    def end(self) -> None:
        """_SlowError where all the time is used up."""
        if self._clock() - self._begun > SECONDS:
            raise _SlowError


class _Bounded(Tracer):
    """A tracer with an end, which goes on with the slopes of the point before for as long as they serve.

    That takes one evaluation an iteration where new slopes take one for each unknown; what it finds is proven alike.
    Source: Broyden, A class of methods for solving nonlinear simultaneous equations, Math. Comp. 19 (1965) 577-593.
    """

    smallest_step = 0.05

    def __init__(self, components: Mapping[str, float], quality: int, watch: Watch) -> None:
        super().__init__(components, quality)
        self._watch = watch
        self._kept: Array | None = None
        self._left: Array = np.zeros(0)
        self._known: list[tuple[float, Array]] = []

    def _reach(self, path: list[tuple[float, Array]], target: float) -> bool:
        """From the nearest point that was found before, whatever it was wanted for."""
        if not path and self._known:
            path.append(min(self._known, key=lambda point: abs(point[0] - target)))
        if not super()._reach(path, target):
            return False
        self._known.append(path[-1])
        return True

    def _iterate(self, unknowns: Array, temperature: float) -> Array | None:
        """Broyden's method: each move corrects the slopes by what it met; new ones where it met too little."""
        before, move, anew = math.inf, np.zeros_like(unknowns), 0
        for _ in range(ITERATIONS):
            residual = self._residual(unknowns, temperature)
            size = float(np.max(np.abs(residual)))
            if size < TOLERANCE:
                return self._proven(unknowns)
            if not math.isfinite(size):
                return None
            if self._kept is None or not size <= SHRINKING * before:
                anew += 1
                if anew > NEW_SLOPES:
                    return None
                self._kept = self._slopes(unknowns, residual, temperature)
            elif before < math.inf:
                met = residual - self._left
                change = np.outer(met - self._kept @ move, move) / float(move @ move)
                self._kept = np.asarray(self._kept + change, dtype=np.float64)
            before, self._left = size, residual
            move = np.asarray(np.linalg.lstsq(self._kept, -residual, rcond=None)[0], dtype=np.float64)
            move *= min(1.0, LARGEST_MOVE / np.max(np.abs(move)))
            unknowns = unknowns + move
        return None

    def _of_bubble(self) -> Tracer:
        return _Bounded(self.components, 0, self._watch)

    def _residual(self, unknowns: Array, temperature: float) -> Array:
        effort.check()
        self._watch.step()
        return super()._residual(unknowns, temperature)


@lru_cache(KEPT)
def trace(components: tuple[tuple[str, float], ...]) -> Curves:
    """The lines of a mixture by mass fractions. InputError (field `refrigerant`): not proven, or not in time.

    UntracedError where an event loop runs in this thread and the lines are not yet known.
    Example: `trace((("R-32", 0.5), ("R-125", 0.5)))` gives a bubble pressure of 1,085 kPa at 10 degC.
    """
    if _loop_runs():
        raise UntracedError(components)
    library.coolprop()  # its import counts for nobody
    try:
        return _traced(dict(components), Watch())
    except _SlowError:
        raise _refusal(f"its saturation could not be found within {SECONDS:g} s of processor time") from None
    except (RuntimeError, ValueError) as error:
        raise _refusal(f"its saturation could not be proven ({_words(error)})") from None


def _loop_runs() -> bool:
    try:
        asyncio.get_running_loop()
    except RuntimeError:
        return False
    return True


def _refusal(fault: str) -> InputError:
    return InputError("refrigerant", fault, _ACCEPTED)


def _words(error: Exception) -> str:
    """Our own words; those of the library tell a caller nothing."""
    return str(error) if isinstance(error, RuntimeError) else "the equation of state gives no critical point"


def _traced(components: dict[str, float], watch: Watch) -> Curves:
    fractions = library.mole_fractions(components)
    state = library.new_state(library.model_name("", components, "mixture"), fractions, None)
    marks = _marks(state)
    watch.begin()
    tracers = [_Bounded(components, quality, watch) for quality in (0, 1)]
    cold = max(freezing(components), min(COLDEST, coldest(tracers[0].trace, marks[0])))
    lines, worst, span = _lines(tracers, round(cold, 3), marks[0])
    watch.end()
    return Curves(
        library=library.library_version(),
        molar_mass=state.molar_mass(),
        critical_temperature=round(marks[0], 3),
        critical_pressure=round(marks[1], 0),
        single_phase_temperature=round(marks[2], 3),
        single_phase_pressure=round(marks[3], 0),
        model_t_max=min(library.new_state(library.library_name(part), None, None).Tmax() for part in components),
        t_min=span[0],
        t_max=span[1],
        worst=worst,
        bubble=lines["bubble"],
        dew=lines["dew"],
    )


def _marks(state: Any) -> tuple[float, float, float, float]:
    """Critical temperature and pressure, cricondentherm and cricondenbar, from the library's phase envelope.

    It serves as a landmark only: no line is taken from it.
    """
    state.build_phase_envelope("none")
    envelope = state.get_phase_envelope_data()
    try:
        temperature, pressure = closing(envelope)
    except IndexError:
        raise RuntimeError("its phase envelope does not close") from None
    return temperature, pressure, max(temperature, *envelope.T), max(pressure, *envelope.p)


def _lines(
    tracers: list[_Bounded], cold: float, critical: float
) -> tuple[dict[str, Line], dict[str, float], tuple[float, float]]:
    """Both lines over the widest range in which they can be followed and prove themselves."""
    fault: RuntimeError = RuntimeError("no range in which both lines can be followed")
    for warmer, gap in RANGES:
        low, hot = round(cold + warmer, 3), round(critical - gap, 3)
        if hot - low < SMALLEST_SPAN:
            continue
        inner = (round(critical - below, 3) for below in BREAKS)
        edges = [low, *(t for t in inner if low + 10.0 < t < hot - 1.0), hot]
        try:
            return *_proven(tracers, edges), (low, hot)
        except RuntimeError as error:
            fault = error
    raise fault


def _proven(tracers: list[_Bounded], edges: list[float]) -> tuple[dict[str, Line], dict[str, float]]:
    """Both lines between these edges; RuntimeError where one breaks off, is badly met, or lies on the wrong side."""
    lines: dict[str, Line] = {}
    worst: dict[str, float] = {}
    for side, tracer in zip(SIDES, tracers, strict=True):
        lines[side], errors = line_of(tracer.trace, edges, GRID)
        worst |= {f"{side}_{name}": value for name, value in errors.items()}
    if max(value for name, value in worst.items() if "temperature" in name) > WIDEST:
        raise RuntimeError("a line bends too sharply for its series")
    in_order(lines["bubble"], lines["dew"])
    return lines, worst
