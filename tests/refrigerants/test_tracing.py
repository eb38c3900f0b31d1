from __future__ import annotations

import numpy as np
import pytest

from witnessmark.refrigerants import catalogue, library, tracing
from witnessmark.refrigerants.tracing import Tracer, single_line


def components(name: str) -> dict[str, float]:
    return dict(catalogue.recipe(name).components)


@pytest.mark.parametrize("quality", [0, 1])
def test_where_the_flash_of_the_library_works_the_tracer_agrees(quality: int) -> None:
    # R-407F well below its critical point, where the library's flash is not known to fail
    state = library.new_state("R32&R125&R134a", library.mole_fractions(components("R-407F")), None)
    for point in Tracer(components("R-407F"), quality).trace([230.0, 270.0, 310.0]):
        state.update(library.coolprop().QT_INPUTS, quality, point.temperature)
        assert point.pressure == pytest.approx(state.p(), rel=1e-7)
        assert point.density == pytest.approx(state.rhomass(), rel=1e-7)
        assert sum(point.other_fractions) == pytest.approx(1.0)


def test_a_pure_fluid_as_a_blend_of_itself_is_its_own_vapour_pressure() -> None:
    bubble = Tracer({"R-32": 1.0}, 0).trace([250.0, 300.0])
    for point, known in zip(bubble, single_line("R32", 0, [250.0, 300.0]), strict=True):
        assert point.pressure == pytest.approx(known.pressure, rel=1e-7)
        assert point.density == pytest.approx(known.density, rel=1e-7)


def test_the_trace_ends_where_the_two_phases_become_one() -> None:
    critical = catalogue.get("R-454B").critical_temperature
    found = Tracer(components("R-454B"), 1).trace(np.arange(300.0, 380.0, 10.0))
    assert found[-1].temperature < critical
    assert len(found) == 6


def test_a_start_that_raoults_law_does_not_reach_is_approached_from_warmer() -> None:
    tracer = Tracer(components("R-514A"), 1)
    assert tracer._newton(tracer._cold_guess(223.4), 223.4) is None  # noqa: SLF001
    assert tracer.trace([223.4])[0].residual < tracing.TOLERANCE


def test_no_start_no_points(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tracing, "STARTS", (0.0,))
    assert Tracer(components("R-455A"), 1).trace([310.0]) == []  # carbon dioxide has no vapour pressure there


@pytest.mark.parametrize("name", ["R-447B", "R-439A", "R-417B"])
def test_the_cold_dew_line_is_no_wrong_root(name: str) -> None:
    """Found with Raoult's law alone: vapour a hundred times too dense, or a dew point above the bubble point."""
    temperatures = [175.0, 200.0, 250.0]
    bubble, dew = (Tracer(components(name), quality).trace(temperatures) for quality in (0, 1))
    for wet, dry in zip(bubble, dew, strict=True):
        assert dry.pressure < wet.pressure
        mass = catalogue.get(name).molar_mass
        ideal = dry.pressure * mass / (8.314462618 * dry.temperature)
        assert 1.0 < dry.density / ideal < 1.15


def test_a_pseudo_pure_line_is_led_on_below_its_equation() -> None:
    """R-410A: the equation begins at 200 K. One line across: pressure, density and slope of the two parts meet."""
    tracers = [Tracer(components("R-410A"), quality) for quality in (0, 1)]
    for tracer in tracers:
        found = tracing.pseudo_line("R410A", tracer, 1.0, [199.0, 199.999999, 200.0, 201.0])
        below, just, first, above = found
        assert [point.temperature for point in found] == [199.0, 199.999999, 200.0, 201.0]
        assert just.pressure == pytest.approx(first.pressure, rel=1e-6)
        assert just.density == pytest.approx(first.density, rel=1e-3)
        assert first.pressure - below.pressure == pytest.approx(above.pressure - first.pressure, rel=0.08)


def test_a_density_that_is_not_found_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """R-410A gas at 250 K and 1 bar is nearly ideal: 1e5 x 0.072585 / (8.314 x 250) = 3.49 kg/m3, some 3 % more."""
    state = library.new_state("R410A", None, "gas")
    assert tracing._density(state, 3.4, 250.0, 1e5) == pytest.approx(3.49 * 1.03, rel=0.02)  # noqa: SLF001
    monkeypatch.setattr(tracing, "DENSITY_STEPS", 1)
    with pytest.raises(ValueError, match="no density"):
        tracing._density(state, 3.0, 250.0, 1e5)  # noqa: SLF001


def test_a_state_that_the_library_refuses_is_no_solution() -> None:
    tracer = Tracer(components("R-410A"), 0)
    assert tracer._newton(np.array([-0.7, -0.7, 100.0, 5.0]), 280.0) is None  # noqa: SLF001


def test_the_trivial_root_is_no_solution() -> None:
    tracer = Tracer(components("R-410A"), 0)
    same = np.log([*tracer.fractions, 8000.0, 8000.0])
    assert tracer._newton(same, 340.0) is None  # noqa: SLF001


def test_the_next_guess_lies_on_a_straight_line_in_the_inverse_temperature() -> None:
    """By hand: 1/T falls from 0.005 by 0.001 a point, the unknown rises by one."""
    first, second = (200.0, np.array([1.0])), (250.0, np.array([2.0]))
    assert tracing._extrapolate([first, second], 1000 / 3) == pytest.approx([3.0])  # noqa: SLF001
    assert tracing._extrapolate([second], 300.0) == pytest.approx([2.0])  # noqa: SLF001
    assert tracing._extrapolate([first, second, second], 300.0) == pytest.approx([2.0])  # noqa: SLF001
    apart = [(1e-6, np.array([1.0])), (2e-6, np.array([2.0]))]  # just a millionth of a kelvin: the line still holds
    assert tracing._extrapolate(apart, 4e-6) == pytest.approx([2.5])  # noqa: SLF001


def test_a_guess_too_far_away_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tracing, "LARGEST_MOVE", 1e-6)
    tracer = Tracer(components("R-410A"), 0)
    assert tracer._newton(tracer._cold_guess(280.0), 280.0) is None  # noqa: SLF001


def test_without_a_bubble_point_the_dew_line_starts_from_raoults_law(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both starts lead to the same dew point."""
    tracer, newton = Tracer(components("R-410A"), 1), Tracer._newton  # noqa: SLF001
    usual = tracer._started(260.0)  # noqa: SLF001
    monkeypatch.setattr(Tracer, "_newton", lambda self, *given: newton(self, *given) if self.quality else None)
    assert Tracer(components("R-410A"), 0)._started(260.0) is None  # noqa: SLF001
    assert tracer._started(260.0) == pytest.approx(usual, rel=1e-6)  # noqa: SLF001


def test_a_pseudo_pure_line_needs_its_mixture_all_the_way() -> None:
    """R-410A is critical at 344.5 K: no partner of its phases can be told at 360 K, so there is no line."""
    tracer = Tracer(components("R-410A"), 0)
    assert tracing.pseudo_line("R410A", tracer, 1.0, [300.0, 360.0]) == []
    assert len(tracing.pseudo_line("R410A", tracer, 1.0, [300.0, 330.0])) == 2


@pytest.mark.parametrize(("failures", "reached"), [(0, True), (3, True), (10**6, False)])
def test_a_step_that_does_not_converge_is_halved_until_it_is_next_to_nothing(
    monkeypatch: pytest.MonkeyPatch,
    failures: int,
    reached: bool,  # noqa: FBT001 - a table's parameter
) -> None:
    """A blend of a pure fluid, 4 K away: steps of 4, 5/2, 5/4 K; who never converges ends after steps of 1 mK."""
    tracer, asked = Tracer({"R-32": 1.0}, 0), []

    def newton(guess: object, temperature: float) -> object:
        asked.append(temperature)
        return None if len(asked) <= failures else guess

    monkeypatch.setattr(tracer, "_newton", newton)
    path = [(250.0, np.zeros(3))]
    assert tracer._walk(path, 254.0) is reached  # noqa: SLF001
    assert (path[-1][0] == 254.0) is reached
    assert len(asked) < 20
