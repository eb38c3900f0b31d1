"""Lines of mixtures traced when asked for, against those that were built and held against other programs off line.

The worst wrong answer is a pair of bubble and dew points that only looks right: each way to one is tried, and refused.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from witnessmark.errors import InputError
from witnessmark.refrigerants import catalogue, curves, library, on_demand
from witnessmark.refrigerants.curves import Curves
from witnessmark.refrigerants.line_fit import SIDES
from witnessmark.refrigerants.tracing import Tracer

HALVES = (("R-32", 0.5), ("R-125", 0.5))


BOUNDS = {"TRACING": on_demand.TRACING, "SECONDS": on_demand.SECONDS}


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """What is found is tried without haste, since a busy machine takes longer; the bounds have a clock of their own."""
    for name in BOUNDS:
        monkeypatch.setattr(on_demand, name, 60.0)
    on_demand.trace.cache_clear()
    yield
    on_demand.trace.cache_clear()


def apart(found: Curves, shipped: Curves) -> float:
    """K: largest difference between two sets of lines where both are known."""
    low, high = max(found.t_min, shipped.t_min), min(found.t_max, shipped.t_max)
    x = 1.0 / np.linspace(low, high, 200)
    gaps = []
    for side in SIDES:
        line, other = getattr(found, side).pressure, getattr(shipped, side).pressure
        gaps.append(np.max(np.abs((line.over(x) - other.over(x)) / other.derivative().over(x) / x**2)))
    return float(max(gaps))


def worst_of(designation: str) -> float:
    """K: how far the lines of a catalogued mixture, traced on demand, lie from the shipped ones."""
    row = catalogue.recipe(designation)
    return apart(on_demand.trace(tuple(row.components.items())), curves.load(designation))


@pytest.mark.parametrize("designation", ["R-454B", "R-455A", "R-513A", "R-431A"])
def test_a_catalogued_mixture_traced_on_demand_is_what_is_shipped(designation: str) -> None:
    """All 122 of them: `python -m tests.refrigerants.test_on_demand`."""
    assert worst_of(designation) < 1e-3


def test_the_lines_go_as_far_as_the_shipped_ones_nearly() -> None:
    found, shipped = on_demand.trace(tuple(catalogue.recipe("R-454B").components.items())), curves.load("R-454B")
    assert found.t_min == pytest.approx(shipped.t_min, abs=1e-3)
    assert shipped.t_max - 1.0 < found.t_max < shipped.t_max
    assert found.molar_mass == pytest.approx(shipped.molar_mass)
    assert found.critical_temperature == pytest.approx(shipped.critical_temperature, abs=0.1)
    assert found.model_t_max == shipped.model_t_max


def test_beside_a_catalogued_composition_the_lines_lie_beside_its_own() -> None:
    """One thousandth of the mass moved from R-125 to R-32 in R-410B: less than a hundredth of a kelvin."""
    found = on_demand.trace((("R-32", 0.451), ("R-125", 0.549)))
    assert 1e-5 < apart(found, curves.load("R-410B")) < 0.02


def refused(components: tuple[tuple[str, float], ...]) -> str:
    with pytest.raises(InputError) as caught:
        on_demand.trace(components)
    assert caught.value.field == "refrigerant"
    return caught.value.fault


def test_no_critical_point_no_lines() -> None:
    """Nitrogen does not dissolve in the others at any pressure the model closes at."""
    assert "no critical point" in refused((("R-170", 0.3), ("R-14", 0.21), ("R-290", 0.2), ("R-728", 0.29)))


def test_an_envelope_that_does_not_close_gives_no_landmark(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(_: Any) -> None:
        raise IndexError

    monkeypatch.setattr(on_demand, "closing", none)
    assert "does not close" in refused(HALVES)


def test_a_point_that_no_move_reaches_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(on_demand, "ITERATIONS", 1)
    assert "could not be" in refused(HALVES) or "proven" in refused(HALVES)


def test_a_mixture_that_takes_too_long_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(on_demand, "TRACING", 0.0)
    begun = time.thread_time()
    assert "processor time" in refused(HALVES)
    assert time.thread_time() - begun < 1.0


class Slow:
    """A clock by which a call of the library takes `seconds`."""

    def __init__(self, seconds: float, monkeypatch: pytest.MonkeyPatch) -> None:
        self.seconds, self.now = seconds, 0.0
        monkeypatch.setattr(time, "thread_time", self)
        for name, bound in BOUNDS.items():
            monkeypatch.setattr(on_demand, name, bound)

    def __call__(self) -> float:
        self.now += self.seconds
        return self.now


@pytest.mark.parametrize("seconds", [1e-3, 0.01, 0.2, 0.7, 1.4])
def test_no_call_of_the_library_is_begun_that_might_end_too_late(
    monkeypatch: pytest.MonkeyPatch, seconds: float
) -> None:
    """However slow the calls are, none goes on beyond the bound: the worst is an answer that came after it."""
    clock = Slow(seconds, monkeypatch)
    assert "processor time" in refused(tuple(catalogue.recipe("R-448A").components.items()))
    assert clock.now <= on_demand.SECONDS + 3 * seconds
    assert clock.now <= on_demand.TRACING + 4 * seconds


def test_a_slow_envelope_is_not_answered(monkeypatch: pytest.MonkeyPatch) -> None:
    clock, marks = Slow(0.0, monkeypatch), on_demand._marks  # noqa: SLF001

    def slow(state: Any) -> Any:
        clock.now += 3.0
        return marks(state)

    monkeypatch.setattr(on_demand, "_marks", slow)
    assert "processor time" in refused(HALVES)


def test_time_used_up_after_the_last_call_counts_too(monkeypatch: pytest.MonkeyPatch) -> None:
    clock, lines = Slow(0.0, monkeypatch), on_demand._lines  # noqa: SLF001

    def slow(*arguments: Any) -> Any:
        found = lines(*arguments)
        clock.now += 2.5
        return found

    monkeypatch.setattr(on_demand, "_lines", slow)
    assert "processor time" in refused(HALVES)


MIXTURES = (
    (("R-22", 0.1), ("R-32", 0.45), ("R-125", 0.45)),
    (("R-290", 0.5), ("R-600a", 0.5)), (("R-32", 0.6), ("R-1234yf", 0.4)),
    (("R-32", 0.25), ("R-125", 0.25), ("R-134a", 0.25), ("R-600a", 0.25)), (("R-744", 0.472), ("R-1234yf", 0.528)),
    (("R-32", 0.24649), ("R-600", 0.38984), ("R-1234yf", 0.36367)), (("R-134a", 0.9), ("R-290", 0.1)),
)  # fmt: skip


@pytest.mark.parametrize("components", MIXTURES, ids=str)
def test_there_and_back_is_the_same(components: tuple[tuple[str, float], ...]) -> None:
    """From a temperature to its pressure and back within 1e-5 K on both lines, all the way."""
    found = on_demand.trace(components)
    x = 1.0 / np.linspace(found.t_min, found.t_max, 1500)
    for side in SIDES:
        line = getattr(found, side)
        back = 1.0 / line.temperature.over(line.pressure.over(x))
        assert np.max(np.abs(back - 1.0 / x)) < 1e-5


def test_a_dew_line_above_the_bubble_line_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if the tracer had followed a wrong root: dew points traced on the bubble side with more pressure."""
    traced = Tracer.trace

    def wrong(self: Tracer, temperatures: Any) -> Any:
        found = traced(self, temperatures)
        return [replace(p, pressure=3.0 * p.pressure) for p in found] if self.quality else found

    monkeypatch.setattr(Tracer, "trace", wrong)
    assert "above the bubble line" in refused(HALVES)


def test_a_point_beside_the_line_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """One point in thirty of the dew line off by 2 %, as a wrong root among right ones."""
    traced = Tracer.trace

    def wrong(self: Tracer, temperatures: Any) -> Any:
        found = traced(self, temperatures)
        if self.quality == 1:
            found = [replace(p, pressure=(0.98 if i % 30 == 9 else 1.0) * p.pressure) for i, p in enumerate(found)]
        return found

    monkeypatch.setattr(Tracer, "trace", wrong)
    assert "bends too sharply" in refused(HALVES)


def test_a_line_that_breaks_off_ends_earlier_or_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    traced = Tracer.trace
    critical = curves.load("R-410A").critical_temperature

    def broken(self: Tracer, temperatures: Any) -> Any:
        return [p for p in traced(self, temperatures) if p.temperature < critical - 8.0]

    monkeypatch.setattr(Tracer, "trace", broken)
    assert on_demand.trace(HALVES).t_max == pytest.approx(critical - 12.0, abs=0.5)
    on_demand.trace.cache_clear()
    monkeypatch.setattr(Tracer, "trace", lambda *_: [])
    assert "followed to" in refused(HALVES)


def test_a_mixture_without_a_range_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(on_demand, "SMALLEST_SPAN", 1e3)
    assert "no range" in refused(HALVES)


def main() -> None:
    """Every catalogued mixture, traced on demand and held against its shipped lines."""
    library.coolprop()
    worst = []
    for name in catalogue.designations():
        if catalogue.recipe(name).basis == "mixture":
            begun = time.thread_time()
            try:
                worst.append((worst_of(name), time.thread_time() - begun, name))
            except InputError as error:
                sys.stdout.write(f"{name}: {error.fault}\n")
    farthest, slowest = max(worst), max(worst, key=lambda row: row[1])
    sys.stdout.write(
        f"{len(worst)} mixtures; worst {farthest[0]:.1e} K ({farthest[2]}), slowest {slowest[1]:.2f} s ({slowest[2]})\n"
    )


if __name__ == "__main__":  # pragma: no cover - full size
    main()
