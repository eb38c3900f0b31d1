"""States by the surfaces: that they say what the equation says, where it is asked instead, and warming."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context

import pytest
from tests.refrigerants.test_equation import JOBS, discharge, evaporating, inverses

from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import catalogue, compositions, equation, saturation, states
from witnessmark.refrigerants import fluid as fluid_module
from witnessmark.refrigerants.fluid import HOTTEST
from witnessmark.refrigerants.states import State
from witnessmark.refrigerants.surfaces.files import phase


def discharged(job: tuple[str, float, float]) -> State:
    """By the surfaces; a process of its own can be told a function and no module."""
    return discharge(states, job)


def test_warming_makes_the_states_of_this_thread() -> None:
    with ThreadPoolExecutor(1) as pool:
        pool.submit(states.warm, ("R-32", "R-448A")).result()
        assert pool.submit(lambda: set(fluid_module._LOCAL.fluids)).result() == {"R-32", "R-448A"}  # noqa: SLF001


def test_a_process_pool_answers_the_same() -> None:
    with ProcessPoolExecutor(
        1, mp_context=get_context("spawn"), initializer=states.warm, initargs=(("R-32",),)
    ) as pool:
        assert list(pool.map(discharged, JOBS)) == [discharged(job) for job in JOBS]


def both(name: str, call: str, *arguments: float) -> tuple[State, State]:
    """The same question to the surfaces and to the equation of state."""
    return getattr(states, call)(name, *arguments), getattr(equation, call)(name, *arguments)


@pytest.mark.parametrize("name", ["R-32", "R-410A", "R-454B", "R-448A", "R-717"])
def test_surfaces_say_what_the_equation_says(name: str) -> None:
    low, high = evaporating(name), saturation.dew_pressure(name, 313.15)
    for pressure in (low, high):
        dew, bubble = saturation.dew_temperature(name, pressure), saturation.bubble_temperature(name, pressure)
        hot, cold = equation.gas(name, pressure, dew + 30.0), equation.liquid(name, pressure, bubble - 20.0)
        for call, arguments in (
            ("gas", (dew + 30.0,)), ("liquid", (bubble - 20.0,)), ("saturated_vapour", ()), ("saturated_liquid", ()),
            ("two_phase", (0.3,)), ("in_glide", (0.4 * dew + 0.6 * bubble,)), ("at_temperature", (dew + 5.0,)),
            ("at_temperature", (bubble - 5.0,)), ("at_enthalpy", (hot.enthalpy,)), ("at_entropy", (hot.entropy,)),
            ("at_enthalpy", (cold.enthalpy,)), ("at_entropy", (cold.entropy,)), ("at_enthalpy", (2.9e5,)),
        ):  # fmt: skip
            ours, known = both(name, call, pressure, *arguments)
            assert (ours.phase, ours.extrapolated) == (known.phase, known.extrapolated), call
            assert ours.temperature == pytest.approx(known.temperature, abs=1e-3), call
            assert ours.enthalpy == pytest.approx(known.enthalpy, abs=1.0), call
            assert ours.entropy == pytest.approx(known.entropy, abs=3e-3), call
            assert ours.density == pytest.approx(known.density, rel=2e-5), call
            assert ours.quality == (None if known.quality is None else pytest.approx(known.quality, abs=1e-5)), call


def test_no_library_is_asked_where_surfaces_reach(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("the library was asked")

    monkeypatch.setattr(equation, "fluid", refuse)
    gas = states.gas("R-454B", 8e5, 300.0)
    liquid = states.liquid("R-454B", 2e6, 300.0)
    for state in (gas, liquid):
        for back in inverses(states, "R-454B", state):
            assert back.temperature == pytest.approx(state.temperature, abs=1e-6)
    assert states.two_phase("R-454B", 8e5, 0.5).phase == "two-phase"
    assert states.in_glide("R-454B", 8e5, states.two_phase("R-454B", 8e5, 0.5).temperature).phase == "two-phase"
    assert states.at_temperature("R-454B", 8e5, 300.0) == gas
    assert states.hottest("R-454B") == HOTTEST
    with pytest.raises(OutOfRangeError):
        states.two_phase("R-454B", 8e5, 1.5)


def test_above_the_gas_and_below_the_liquid_surfaces_and_for_a_mixture_the_equation_answers() -> None:
    far = catalogue.get("R-717")
    assert far.model_t_max > HOTTEST
    for call, arguments in (
        ("gas", (1e6, 600.0)), ("at_enthalpy", (1e6, equation.gas("R-717", 1e6, 600.0).enthalpy)),
        ("saturated_vapour", (0.97 * far.critical_pressure,)), ("saturated_liquid", (0.97 * far.critical_pressure,)),
        ("two_phase", (0.97 * far.critical_pressure, 0.5)), ("gas", (900.0, 300.0)),
    ):  # fmt: skip
        ours, known = both("R-717", call, *arguments)
        assert ours == known
    near = 0.97 * far.critical_pressure
    ours, known = both("R-717", "in_glide", near, saturation.dew_temperature("R-717", near))
    assert ours == known
    assert phase(compositions.text({"R-32": 0.6, "R-125": 0.4}), "gas") is None
