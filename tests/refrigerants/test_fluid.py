from __future__ import annotations

import math
import threading
from collections.abc import Callable

import pytest

from witnessmark.errors import UnknownNameError
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.refrigerants import fluid as fluid_module
from witnessmark.refrigerants.fluid import HOTTEST, Bracket, fluid, solve


def test_newton_on_a_smooth_function() -> None:
    calls: list[float] = []

    def cube(x: float) -> tuple[float, float]:
        calls.append(x)
        return x**3 - 8.0, 3 * x * x

    assert solve(cube, Bracket(0.1, 10.0, 3.0, 1e-6)) == pytest.approx(2.0, rel=1e-12)
    assert len(calls) < 10


def test_a_step_of_a_hundred_millionth_is_the_last() -> None:
    calls: list[float] = []

    def line(x: float) -> tuple[float, float]:
        calls.append(x)
        return 1e-8, 1.0

    assert solve(line, Bracket(0.5, 2.0, 1.0, 1e-8)) == 1.0 - 1e-8
    assert calls == [1.0]


@pytest.mark.parametrize("start", [-5.0, 0.1, 7.0, 50.0])
def test_a_start_outside_is_brought_inside(start: float) -> None:
    assert solve(
        lambda x: (math.atan(x - 2.0), 1 / (1 + (x - 2.0) ** 2)), Bracket(0.1, 10.0, start, 1e-6)
    ) == pytest.approx(2.0)


def test_bisection_where_the_slope_is_useless_and_an_end_after_a_hundred_steps() -> None:
    calls: list[float] = []

    def step(x: float) -> tuple[float, float]:
        calls.append(x)
        return (1.0 if x > 2.0 else -1.0), 0.0

    assert solve(step, Bracket(1.0, 5.0, 3.0, 1e-6)) == pytest.approx(2.0, rel=1e-12)
    assert len(calls) == 100


def test_a_bend_on_which_newton_would_swing_for_ever() -> None:
    # x/sqrt(1 + x^2) about 300: Newton from beyond 1 diverges, and between brackets it would swing
    calls: list[float] = []

    def bend(x: float) -> tuple[float, float]:
        calls.append(x)
        away = x - 300.0
        return away / math.sqrt(1 + away * away), (1 + away * away) ** -1.5

    assert solve(bend, Bracket(200.0, 520.0, 301.5, 1e-6)) == pytest.approx(300.0, abs=1e-6)
    assert len(calls) < 60


def test_a_wall_is_not_taken_for_a_root() -> None:
    # nearly upright at 1, where a step is tiny though the value is not; the root is at 4
    def wall(x: float) -> tuple[float, float]:
        return math.sqrt(x - 1.0) - math.sqrt(3.0), 0.5 / math.sqrt(x - 1.0)

    assert solve(wall, Bracket(1.0 + 1e-15, 9.0, 1.0 + 1e-15, 1e-6)) == pytest.approx(4.0)


@pytest.mark.parametrize("name", ["R-32", "R-410A", "R-448A", "R-744"])
def test_density_gives_the_pressure_back(name: str) -> None:
    found, limit = fluid(name), catalogue.get(name).t_max
    for temperature in (240.0, 270.0, limit - 10.0, limit):
        dew = saturation.dew_pressure(name, temperature)
        for pressure in (0.01 * dew, 0.5 * dew, 0.999 * dew):
            assert found.gas(pressure, temperature).pressure == pytest.approx(pressure, rel=1e-9)
        bubble = saturation.bubble_pressure(name, temperature)
        for pressure in (1.001 * bubble, 2 * bubble, 15e6):
            assert found.liquid(pressure, temperature).pressure == pytest.approx(pressure, rel=1e-6)


def test_limits_of_the_phases() -> None:
    found = fluid("R-448A")
    bar20 = 20e5
    assert found.gas_floor(bar20) == saturation.dew_temperature("R-448A", bar20)
    assert found.liquid_ceiling(bar20) == saturation.bubble_temperature("R-448A", bar20)
    assert found.gas_floor(1.0) == found.marks.t_min
    assert found.liquid_ceiling(1.0) == -math.inf
    nearly = (found.bubble.p_max + found.marks.single_phase_pressure) / 2
    assert found.gas_floor(nearly) == found.marks.single_phase_temperature
    assert found.liquid_ceiling(nearly) == found.marks.t_max
    above = found.marks.single_phase_pressure + 1.0
    assert found.gas_floor(above) == found.marks.critical_temperature
    assert found.liquid_ceiling(above) > found.marks.critical_temperature


@pytest.mark.parametrize("name", ["R-134a", "R-407C"])
def test_a_limit_itself_still_belongs_to_the_line(name: str) -> None:
    found = fluid(name)
    bubble, dew, marks = found.bubble, found.dew, found.marks
    assert found.liquid_ceiling(bubble.p_min) == bubble.temperature(bubble.p_min)
    assert found.liquid_ceiling(bubble.p_max) == bubble.temperature(bubble.p_max)
    assert found.liquid_ceiling(marks.single_phase_pressure) == found.hottest == HOTTEST
    assert found.gas_floor(dew.p_min) == dew.temperature(dew.p_min)
    assert found.gas_floor(dew.p_max) == dew.temperature(dew.p_max)
    assert found.gas_floor(marks.single_phase_pressure) == marks.critical_temperature
    for pressure in (bubble.p_min, bubble.p_max):
        assert found.wettest(pressure) == found.saturated("liquid", bubble.temperature(pressure))
    for pressure in (dew.p_min, dew.p_max):
        assert found.driest(pressure) == found.saturated("gas", dew.temperature(pressure))


class Spy:
    """Stands in for the solver, and keeps where it was to look."""

    def __init__(self) -> None:
        self.brackets: list[Bracket] = []

    def __call__(self, function: Callable[[float], tuple[float, float]], bracket: Bracket) -> float:
        self.brackets.append(bracket)
        return solve(function, bracket)


def test_a_liquid_is_sought_from_where_it_is_told_or_from_the_line(monkeypatch: pytest.MonkeyPatch) -> None:
    found, spy = fluid("R-32"), Spy()
    monkeypatch.setattr(fluid_module, "solve", spy)
    found.liquid(3e6, 280.0)
    found.liquid(3e6, 280.0, 1024.0)
    assert [b.start for b in spy.brackets] == [saturation.liquid_density("R-32", 280.0), 1024.0]


def test_gas_is_sought_below_the_dew_line_wherever_there_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    found, spy = fluid("R-32"), Spy()
    monkeypatch.setattr(fluid_module, "solve", spy)
    marks, highest = found.marks, found.dew.p_max
    found.gas(highest, marks.t_max)
    found.gas(highest, marks.single_phase_temperature)
    found.gas(highest * 1.0001, marks.t_max)
    saturated, densest = found.dew.density(marks.t_max), 1.3 * found.bubble.density(marks.t_min)
    assert [b.high for b in spy.brackets] == pytest.approx([saturated * 1.002, densest, densest])


def test_the_coldest_gas_and_the_hottest_liquid_are_saturated_where_that_is_known() -> None:
    found = fluid("R-32")
    assert found.driest(1e6).density == pytest.approx(saturation.vapour_density("R-32", found.gas_floor(1e6)))
    hottest = found.wettest(1e6)
    assert hottest is not None
    assert hottest.density == pytest.approx(saturation.liquid_density("R-32", found.liquid_ceiling(1e6)))
    nearly = (found.bubble.p_max + found.marks.single_phase_pressure) / 2
    beyond = found.wettest(nearly)
    assert beyond is not None
    assert beyond.temperature == found.marks.t_max
    assert found.driest(nearly).temperature == found.marks.single_phase_temperature
    assert found.driest(10.0).temperature == found.marks.t_min
    assert found.wettest(10.0) is None


def test_one_equation_of_state_a_thread() -> None:
    seen = [fluid("R-32")]
    thread = threading.Thread(target=lambda: seen.append(fluid("R-32")))
    thread.start()
    thread.join()
    assert fluid("R-32") is seen[0]
    assert seen[1] is not seen[0]


def test_unknown_refrigerant() -> None:
    with pytest.raises(UnknownNameError):
        fluid("R-9999")


def test_a_thread_keeps_so_many_equations_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """There are as many mixtures as anybody thinks of."""
    monkeypatch.setattr(fluid_module, "KEPT", 2)
    monkeypatch.setattr(fluid_module, "_LOCAL", fluid_module._Local())  # noqa: SLF001
    first = fluid("R-32")
    assert fluid("R-32") is first
    for name in ("R-134a", "R-290"):
        fluid(name)
    assert fluid("R-290") is fluid("R-290")
    assert fluid("R-32") is not first
