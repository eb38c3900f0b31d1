"""States by the equation and by the surfaces over it, the same cases for both.

What is refused, that inverses invert, phases meet, every call ends, threads agree.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple
from functools import partial
from types import ModuleType
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import catalogue, curves, equation, saturation
from witnessmark.refrigerants import states as by_surfaces
from witnessmark.refrigerants.equation import State
from witnessmark.refrigerants.fluid import HOTTEST, Fluid, fluid

NAMES = catalogue.designations()
ICE = 273.15
MOST_EVALUATIONS = 300  # of the equation of state in one call; of five parts one takes 10 to 50 microseconds


@pytest.fixture(scope="module", params=[equation, by_surfaces], ids=["equation", "surfaces"])
def states(request: pytest.FixtureRequest) -> ModuleType:
    """Who answers."""
    module: ModuleType = request.param
    return module


PERMANENT_GASES = {"R-14", "R-50", "R-702", "R-704", "R-720", "R-728", "R-729", "R-732", "R-740"}


def evaporating(name: str) -> float:
    """A pressure at which it evaporates: at -10 degC where both phases are there with room to spare."""
    found = catalogue.get(name)
    third = (found.t_max - found.t_min) / 3  # helium boils over less than 3 K
    return saturation.dew_pressure(
        name, max(found.t_min + min(5.0, third), min(263.15, found.t_max - min(30.0, third)))
    )


@pytest.mark.parametrize("name", NAMES)
def test_zero_of_enthalpy_and_entropy(states: ModuleType, name: str) -> None:
    """At 0 degC; R-114 and water are frozen or unknown just below; what has no liquid there has its zero at 1 atm."""
    zero = (
        saturation.bubble_temperature(name, 101325.0)
        if name in PERMANENT_GASES
        else max(ICE, catalogue.get(name).t_min)
    )
    found = states.saturated_liquid(name, saturation.bubble_pressure(name, zero))
    assert found.temperature == pytest.approx(zero, abs=1e-5)
    assert found.enthalpy == pytest.approx(200e3, abs=0.1)
    assert found.entropy == pytest.approx(1e3, abs=1e-3)
    assert (found.phase, found.quality) == ("liquid", 0.0)


@pytest.mark.parametrize("name", NAMES)
def test_gas_and_liquid_meet_their_saturated_states(states: ModuleType, name: str) -> None:
    pressure = evaporating(name)
    dew, bubble = saturation.dew_temperature(name, pressure), saturation.bubble_temperature(name, pressure)
    for single, edge in (
        (states.gas(name, pressure, dew), states.saturated_vapour(name, pressure)),
        (states.liquid(name, pressure, bubble), states.saturated_liquid(name, pressure)),
    ):
        assert single.enthalpy == pytest.approx(edge.enthalpy, abs=0.5)
        assert single.entropy == pytest.approx(edge.entropy, abs=2e-3)
        assert single.density == pytest.approx(edge.density, rel=1e-6)
        assert states.sound_speed(name, single) == pytest.approx(states.sound_speed(name, edge), rel=1e-5)
        assert single.quality is None


@pytest.mark.parametrize("name", NAMES)
def test_a_hair_inside_the_dome_is_still_on_the_line_and_a_hundredth_is_not(states: ModuleType, name: str) -> None:
    pressure = evaporating(name)
    dew, bubble = saturation.dew_temperature(name, pressure), saturation.bubble_temperature(name, pressure)
    assert states.gas(name, pressure, dew - 5e-4).phase == "gas"
    assert states.liquid(name, pressure, bubble + 5e-4).phase == "liquid"
    with pytest.raises(OutOfRangeError) as caught:
        states.gas(name, pressure, dew - 0.01)
    assert caught.value.field == "temperature"
    assert caught.value.low == pytest.approx(dew, abs=2e-3)
    with pytest.raises(OutOfRangeError) as caught:
        states.liquid(name, pressure, bubble + 0.01)
    assert caught.value.field == "temperature"
    assert caught.value.high == pytest.approx(bubble, abs=2e-3)


def inverses(states: ModuleType, name: str, state: State) -> Iterator[State]:
    yield states.at_enthalpy(name, state.pressure, state.enthalpy)
    yield states.at_entropy(name, state.pressure, state.entropy)


@pytest.mark.parametrize("name", NAMES)
def test_inverses_come_back_in_every_phase(states: ModuleType, name: str) -> None:
    found = catalogue.get(name)
    step = min(2.0, (found.t_max - found.t_min) / 10)
    low, high = evaporating(name), saturation.bubble_pressure(name, min(303.15, found.t_max - step))
    hot = states.gas(name, high, saturation.dew_temperature(name, high) + 40.0)
    cold = states.liquid(name, high, saturation.bubble_temperature(name, high) - min(15.0, 5 * step))
    for state in (hot, cold, states.two_phase(name, low, 0.3)):
        for back in inverses(states, name, state):
            assert back.temperature == pytest.approx(state.temperature, abs=1e-5)
            assert back.density == pytest.approx(state.density, rel=1e-6)
            assert back.phase == state.phase
            assert back.quality == (None if state.quality is None else pytest.approx(state.quality, abs=1e-9))


@pytest.mark.parametrize("name", ["R-134a", "R-407C"])
def test_a_state_on_the_line_itself_is_one_phase(states: ModuleType, name: str) -> None:
    pressure = 8e5
    bubble, dew = saturation.bubble_temperature(name, pressure), saturation.dew_temperature(name, pressure)
    assert states.at_temperature(name, pressure, dew).phase == "gas"
    assert states.at_temperature(name, pressure, bubble).phase == ("liquid" if bubble < dew else "gas")
    wet, dry = states.saturated_liquid(name, pressure), states.saturated_vapour(name, pressure)
    assert [back.phase for back in inverses(states, name, wet)] == ["liquid", "liquid"]
    assert [back.phase for back in inverses(states, name, dry)] == ["gas", "gas"]


def test_two_phase_from_bubble_to_dew(states: ModuleType) -> None:
    pressure = 8e5
    wet, dry = states.saturated_liquid("R-407C", pressure), states.saturated_vapour("R-407C", pressure)
    for quality, edge in ((0.0, wet), (1.0, dry)):
        found = states.two_phase("R-407C", pressure, quality)
        assert found.enthalpy == pytest.approx(edge.enthalpy)
        assert found.density == pytest.approx(edge.density)
        assert found.temperature == pytest.approx(edge.temperature)
        assert (found.phase, found.quality) == ("two-phase", quality)
        with pytest.raises(InputError, match="two phases"):
            states.sound_speed("R-407C", found)
    half = states.two_phase("R-407C", pressure, 0.5)
    assert wet.enthalpy < half.enthalpy < dry.enthalpy
    assert wet.temperature < half.temperature < dry.temperature


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_a_temperature_in_the_glide_fixes_the_state(states: ModuleType, share: float) -> None:
    bubble, dew = saturation.bubble_temperature("R-407C", 8e5), saturation.dew_temperature("R-407C", 8e5)
    found = states.in_glide("R-407C", 8e5, bubble + share * (dew - bubble))
    assert found.temperature == pytest.approx(bubble + share * (dew - bubble), abs=1e-9)
    assert found.quality is not None
    same = states.two_phase("R-407C", 8e5, found.quality)
    assert same.enthalpy == pytest.approx(found.enthalpy, abs=1e-3)


def test_without_a_glide_or_outside_it(states: ModuleType) -> None:
    assert states.in_glide("R-32", 8e5, saturation.dew_temperature("R-32", 8e5)).quality == 0.0
    for away in (-0.1, 0.1):
        with pytest.raises(OutOfRangeError) as caught:
            states.in_glide("R-32", 8e5, saturation.dew_temperature("R-32", 8e5) + away)
        assert caught.value.field == "temperature"


@pytest.mark.parametrize("name", ["R-744", "R-32", "R-448A"])
def test_supercritical_states(states: ModuleType, name: str) -> None:
    found = catalogue.get(name)
    pressure = 1.3 * found.critical_pressure
    hot = states.gas(name, pressure, found.critical_temperature + 30.0)
    assert hot.phase == "supercritical"
    assert states.liquid(name, pressure, found.critical_temperature + 30.0) == hot
    assert states.at_temperature(name, pressure, found.critical_temperature + 30.0) == hot
    cold = states.at_temperature(name, pressure, found.critical_temperature - 20.0)
    assert cold.phase == "liquid"
    for state in (hot, cold):
        for back in inverses(states, name, state):
            assert back.temperature == pytest.approx(state.temperature, abs=1e-4)
            assert back.phase == state.phase
    with pytest.raises(OutOfRangeError) as caught:
        states.gas(name, pressure, found.critical_temperature - 20.0)
    assert caught.value.field == "temperature"


@pytest.mark.parametrize("name", [name for name in NAMES if name != "R-718"])  # its critical pressure is out of range
def test_between_the_end_of_the_curves_and_critical_only_what_is_sure_is_answered(
    states: ModuleType, name: str
) -> None:
    found = curves.load(name)
    end = max(saturation.pressure_range(name, side)[1] for side in ("bubble", "dew"))
    pressure = (end + found.single_phase_pressure) / 2
    assert states.gas(name, pressure, found.single_phase_temperature + 5.0).phase == "gas"
    cold = found.t_max - min(5.0, (found.t_max - found.t_min) / 2)
    assert states.liquid(name, pressure, cold).phase == "liquid"
    with pytest.raises(InputError) as caught:
        states.at_temperature(name, pressure, (found.t_max + found.critical_temperature) / 2)
    assert caught.value.field == "temperature"
    for state in (
        states.gas(name, pressure, found.single_phase_temperature + 5.0),
        states.liquid(name, pressure, cold),
    ):
        for back in inverses(states, name, state):
            assert back.temperature == pytest.approx(state.temperature, abs=1e-4)
    middle = fluid(name)
    dry, wet = middle.driest(pressure), middle.wettest(pressure)
    assert wet is not None
    offset = 200e3 - middle.zero_enthalpy
    with pytest.raises(OutOfRangeError) as caught_range:
        states.at_enthalpy(name, pressure, (dry.enthalpy + wet.enthalpy) / 2 + offset)
    assert caught_range.value.field == "pressure"
    with pytest.raises(OutOfRangeError):
        states.saturated_vapour(name, pressure)


def test_at_temperature_tells_gas_from_liquid_and_refuses_the_glide(states: ModuleType) -> None:
    dew, bubble = saturation.dew_temperature("R-407C", 1e6), saturation.bubble_temperature("R-407C", 1e6)
    assert states.at_temperature("R-407C", 1e6, dew + 1.0) == states.gas("R-407C", 1e6, dew + 1.0)
    assert states.at_temperature("R-407C", 1e6, bubble - 1.0) == states.liquid("R-407C", 1e6, bubble - 1.0)
    with pytest.raises(InputError, match="between bubble and dew"):
        states.at_temperature("R-407C", 1e6, (dew + bubble) / 2)


def test_gas_above_the_data_of_the_equation_says_so(states: ModuleType) -> None:
    limit = catalogue.get("R-32").model_t_max
    assert not states.gas("R-32", 3e6, limit - 1.0).extrapolated
    assert states.gas("R-32", 3e6, limit + 1.0).extrapolated


def test_thin_gas_below_the_curves(states: ModuleType) -> None:
    found = states.gas("R-134a", 10.0, 300.0)
    assert found.density == pytest.approx(10.0 * 0.102032 / (8.314462 * 300.0), rel=1e-5)  # ideal gas
    assert states.at_enthalpy("R-134a", 10.0, found.enthalpy).temperature == pytest.approx(300.0, abs=1e-5)


REFUSED: list[tuple[str, Callable[[ModuleType], object]]] = [
    ("pressure", lambda states: states.gas("R-32", 0.0, 300.0)),
    ("pressure", lambda states: states.gas("R-32", -1e5, 300.0)),
    ("pressure", lambda states: states.gas("R-32", 21e6, 300.0)),
    ("pressure", lambda states: states.gas("R-32", math.nan, 300.0)),
    ("pressure", lambda states: states.liquid("R-32", 100.0, 300.0)),
    ("pressure", lambda states: states.saturated_vapour("R-32", 100.0)),
    ("pressure", lambda states: states.saturated_liquid("R-32", 6e6)),
    ("pressure", lambda states: states.two_phase("R-32", 100.0, 0.5)),
    ("pressure", lambda states: states.at_enthalpy("R-32", math.inf, 4e5)),
    ("temperature", lambda states: states.gas("R-32", 1e6, math.nan)),
    ("temperature", lambda states: states.gas("R-32", 1e6, 600.0)),
    ("temperature", lambda states: states.gas("R-32", 10.0, 100.0)),
    ("temperature", lambda states: states.liquid("R-32", 1e6, 100.0)),
    ("temperature", lambda states: states.liquid("R-32", 1e6, math.inf)),
    ("temperature", lambda states: states.at_temperature("R-32", 1e6, 100.0)),
    ("quality", lambda states: states.two_phase("R-32", 1e6, -1e-9)),
    ("quality", lambda states: states.two_phase("R-32", 1e6, 1.1)),
    ("quality", lambda states: states.two_phase("R-32", 1e6, math.nan)),
    ("enthalpy", lambda states: states.at_enthalpy("R-32", 1e6, math.nan)),
    ("enthalpy", lambda states: states.at_enthalpy("R-32", 1e6, 1e300)),
    ("enthalpy", lambda states: states.at_enthalpy("R-32", 1e6, 2e6)),
    ("enthalpy", lambda states: states.at_enthalpy("R-32", 1e6, -1e6)),
    ("enthalpy", lambda states: states.at_enthalpy("R-32", 10.0, 2e5)),
    ("entropy", lambda states: states.at_entropy("R-32", 1e6, 5e3)),
    ("entropy", lambda states: states.at_entropy("R-32", 1e6, -5e3)),
    ("entropy", lambda states: states.at_entropy("R-744", 9e6, 5e3)),
]


@pytest.mark.parametrize(("field", "call"), REFUSED)
def test_refused_with_the_field_named(states: ModuleType, field: str, call: Callable[[ModuleType], object]) -> None:
    with pytest.raises(InputError) as caught:
        call(states)
    assert caught.value.field == field


def test_unknown_refrigerant(states: ModuleType) -> None:
    for call in (states.gas, states.liquid, states.at_enthalpy, states.two_phase):
        with pytest.raises(UnknownNameError):
            call("R32", 1e6, 0.5)


def test_no_finite_answer_is_a_clear_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Fluid, "sound_speed", lambda _: math.nan)
    with pytest.raises(InputError, match="no finite answer"):
        equation.gas("R-32", 1e6, 320.0)


class Counter:
    """Stands before the library's state and counts evaluations."""

    def __init__(self, state: Any) -> None:
        self.state = state
        self.count = 0

    def update(self, *inputs: Any) -> None:
        self.count += 1
        self.state.update(*inputs)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.state, name)


SHARES = st.floats(-0.2, 1.2)
PRESSURES = st.one_of(
    st.floats(0.0, 7.5).map(lambda power: (10.0**power, 0.0)),
    st.one_of(st.just(1.0), st.floats(0.9, 1.2)).map(
        lambda reduced: (0.0, reduced)
    ),  # of critical: where isobars run nearly level
)


@settings(max_examples=400, deadline=None)
@given(st.sampled_from(NAMES), PRESSURES, st.floats(150.0, 560.0), SHARES)
def test_any_call_ends_soon_in_a_finite_state_or_a_named_fault(
    states: ModuleType, name: str, given_pressure: tuple[float, float], temperature: float, share: float
) -> None:
    pressure = given_pressure[0] or given_pressure[1] * catalogue.get(name).critical_pressure
    enthalpy, entropy = 1e5 + share * 5e5, 600.0 + share * 2000.0
    counter = Counter(fluid(name)._state)  # noqa: SLF001
    calls: list[tuple[str, float, Callable[[], State]]] = [
        ("temperature", temperature, lambda: states.at_temperature(name, pressure, temperature)),
        ("temperature", temperature, lambda: states.gas(name, pressure, temperature)),
        ("temperature", temperature, lambda: states.liquid(name, pressure, temperature)),
        ("quality", share, lambda: states.two_phase(name, pressure, share)),
        ("enthalpy", enthalpy, lambda: states.at_enthalpy(name, pressure, enthalpy)),
        ("entropy", entropy, lambda: states.at_entropy(name, pressure, entropy)),
    ]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fluid(name), "_state", counter)
        for wanted, value, call in calls:
            counter.count = 0
            try:
                found = call()
            except InputError as fault:
                assert fault.field in {"pressure", "temperature", "quality", "enthalpy", "entropy"}  # noqa: PT017
            else:
                assert all(math.isfinite(number) for number in astuple(found) if isinstance(number, float))
                assert getattr(found, wanted) == pytest.approx(value, rel=1e-7, abs=0.05)
                assert found.density > 0
            assert counter.count < MOST_EVALUATIONS


JOBS = [
    (name, 263.15 + shift, 8.0 * step)
    for name in ("R-448A", "R-32", "R-744")
    for shift in (0.0, 7.0)
    for step in (1, 4)
]


def discharge(states: ModuleType, job: tuple[str, float, float]) -> State:
    """Isentropic compression to twice the pressure: a gas state and an inverse."""
    name, evaporating_at, superheat = job
    pressure = saturation.dew_pressure(name, evaporating_at)
    suction = states.gas(name, pressure, saturation.dew_temperature(name, pressure) + superheat)
    compressed: State = states.at_entropy(name, 2.0 * pressure, suction.entropy)
    return compressed


def test_threads_do_not_disturb_each_other(states: ModuleType) -> None:
    alone = [discharge(states, job) for job in JOBS]
    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(partial(discharge, states), JOBS * 8))
    assert together == alone * 8


@pytest.mark.parametrize("name", NAMES)
def test_hottest_allowed_gas(states: ModuleType, name: str) -> None:
    found = states.gas(name, evaporating(name), fluid(name).hottest)
    assert found.enthalpy > states.saturated_vapour(name, evaporating(name)).enthalpy
    assert found.extrapolated == (fluid(name).hottest > catalogue.get(name).model_t_max)
    assert HOTTEST <= fluid(name).hottest <= 773.15


def test_a_discharge_of_ammonia_beyond_250_degrees_is_answered(states: ModuleType) -> None:
    """Isentropic from -40 degC dew with 50 K of superheat to a dew point of 45 degC: 291.7 degC, measured apart."""
    low, high = saturation.dew_pressure("R-717", 233.15), saturation.dew_pressure("R-717", 318.15)
    suction = states.gas("R-717", low, 283.15)
    hot = states.at_entropy("R-717", high, suction.entropy)
    assert hot.temperature - ICE == pytest.approx(291.7, abs=0.3)
    assert not hot.extrapolated


def test_the_hottest_data_still_bear_a_state(states: ModuleType) -> None:
    hottest = catalogue.get("R-134a").model_t_max
    assert [states.gas("R-134a", 1e6, hottest + above).extrapolated for above in (0.0, 0.01)] == [False, True]


def test_both_critical_values_reached_is_supercritical(states: ModuleType) -> None:
    marks = fluid("R-134a").marks
    pressure, temperature = marks.single_phase_pressure, marks.critical_temperature
    assert states.gas("R-134a", pressure, temperature + 20.0).phase == "supercritical"
    assert states.gas("R-134a", 2 * pressure, temperature).phase == "supercritical"
    assert states.gas("R-134a", pressure * 0.999, temperature + 20.0).phase == "gas"
    assert states.liquid("R-134a", 2 * pressure, temperature - 0.01).phase == "liquid"


@pytest.mark.parametrize("pressure", [0.2e6, 4.0e6])
def test_gas_hotter_than_the_hottest_is_refused_far_from_critical_and_near_it(
    states: ModuleType, pressure: float
) -> None:
    """Near critical the first step of the search falls short of the far end, however far beyond it the target lies."""
    hottest = states.gas("R-134a", pressure, fluid("R-134a").hottest)
    inside = states.at_enthalpy("R-134a", pressure, hottest.enthalpy - 500.0)
    assert hottest.temperature - 1.0 < inside.temperature < hottest.temperature  # some 1.2 kJ/(kg K) as hot as that
    with pytest.raises(OutOfRangeError) as caught:
        states.at_enthalpy("R-134a", pressure, hottest.enthalpy + 500.0)
    assert caught.value.field == "enthalpy"
