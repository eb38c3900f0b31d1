"""Winding resistances: balance, start and run windings, temperature by resistance."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.electrical.windings import (
    Conductor,
    Connection,
    Reference,
    SinglePhaseReadings,
    ThreePhaseReadings,
    Verdict,
    against_reference,
    phase_resistances,
    single_phase,
    three_phase,
    winding_temperature,
)
from witnessmark.calculations.metrology.uncertainty import Measured, propagate
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError

Three = tuple[Measured, Measured, Measured]
OHMS = st.floats(0.2, 20.0)


def three(a: float, b: float, c: float, uncertainty: float = 0.0) -> Three:
    return Measured(a, uncertainty), Measured(b, uncertainty), Measured(c, uncertainty)


@pytest.mark.parametrize(
    ("terminals", "uncertainty", "verdict"),
    [
        ((1.50, 1.51, 1.50), 0.002, "balanced"),
        ((1.50, 1.60, 1.50), 0.002, "sources disagree"),
        ((1.50, 1.80, 1.50), 0.002, "unbalanced"),
        ((1.50, 1.60, 1.50), 0.1, "cannot tell"),
    ],
)
def test_balance(terminals: tuple[float, float, float], uncertainty: float, verdict: Verdict) -> None:
    assert three_phase(ThreePhaseReadings(three(*terminals, uncertainty))).verdict == verdict


def test_the_makers_balance_decides() -> None:
    readings = ThreePhaseReadings(three(1.50, 1.60, 1.50, 0.002), maker_balance=0.05)
    assert three_phase(readings).verdict == "balanced"


def test_form_wound_coils_are_held_tighter() -> None:
    assert three_phase(ThreePhaseReadings(three(1.5, 1.54, 1.5, 0.001), form_wound=True)).verdict == "unbalanced"
    assert three_phase(ThreePhaseReadings(three(1.5, 1.54, 1.5, 0.001))).verdict == "balanced"


def test_the_uncertainty_that_would_decide_does_decide() -> None:
    coarse = three_phase(ThreePhaseReadings(three(1.50, 1.60, 1.50, 0.05)))
    assert coarse.needed_uncertainty is not None
    just = coarse.needed_uncertainty
    assert three_phase(ThreePhaseReadings(three(1.50, 1.60, 1.50, 0.99 * just))).verdict == "sources disagree"
    assert three_phase(ThreePhaseReadings(three(1.50, 1.60, 1.50, 1.01 * just))).verdict == "cannot tell"
    assert three_phase(ThreePhaseReadings(three(1.50, 1.51, 1.50, 0.001))).needed_uncertainty is None


def test_test_leads_hide_unbalance() -> None:
    found = three_phase(ThreePhaseReadings(three(0.75, 0.80, 0.75, 0.001), lead=Measured(0.3, 0.01)))
    assert found.balance is not None
    assert found.without_lead_correction is not None
    assert found.balance.value == pytest.approx(0.05 / 0.4666667 * 2 / 3, rel=1e-6)
    assert found.without_lead_correction < found.balance.value


@given(OHMS, st.floats(0.0, 0.05), st.floats(1e-4, 1e-2))
def test_lead_uncertainty_equals_the_general_propagation(base: float, more: float, spread: float) -> None:
    readings = (base + 0.1, base * (1 + more) + 0.1, base * 0.97 + 0.1)
    lead = Measured(0.05, 0.005)
    found = three_phase(ThreePhaseReadings(three(*readings, spread), lead=lead))
    assert found.balance is not None
    assert found.furthest is not None
    f = found.furthest
    expected = propagate(
        lambda a, b, c, x: 3 * ((a, b, c)[f] - x) / (a + b + c - 3 * x) - 1, *three(*readings, spread), lead
    )
    assert found.balance.uncertainty == pytest.approx(expected.uncertainty, rel=0.02)


def test_open_windings() -> None:
    one = Measured(1.0)
    assert three_phase(ThreePhaseReadings((one, None, None))).verdict == "open circuit"
    assert three_phase(ThreePhaseReadings((None, None, None))).verdict == "protector may be open"
    assert single_phase(SinglePhaseReadings((None, None, Measured(4.0)))).verdict == "protector may be open"
    assert single_phase(SinglePhaseReadings((None, one, None))).verdict == "open circuit"
    assert single_phase(SinglePhaseReadings((None, None, None))).verdict == "open circuit"
    assert single_phase(SinglePhaseReadings((one, None, None))).verdict == "open circuit"


@pytest.mark.parametrize("lead", [1.0, 2.0, -0.1])
def test_leads_that_eat_the_reading_are_refused(lead: float) -> None:
    with pytest.raises(InputError) as caught:
        three_phase(ThreePhaseReadings(three(1.0, 1.1, 1.2), lead=Measured(lead)))
    assert caught.value.field == "lead"


def test_impossible_readings_name_their_field() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        three_phase(ThreePhaseReadings(three(1.0, 1.1, 0.0)))
    assert caught.value.field == "terminals.2"


@given(OHMS, OHMS, OHMS)
def test_star_and_delta_give_back_their_windings(a: float, b: float, c: float) -> None:
    star = phase_resistances(three(a + b, b + c, c + a), "star")
    assert star is not None
    assert [w.value for w in star] == pytest.approx([a, b, c], rel=1e-6)
    total = a + b + c
    seen = three(a * (b + c) / total, b * (c + a) / total, c * (a + b) / total)
    delta = phase_resistances(seen, "delta")
    assert delta is not None
    assert [w.value for w in delta] == pytest.approx([a, b, c], rel=1e-6)


@pytest.mark.parametrize("connection", ["star", "delta"])
def test_winding_uncertainty_equals_the_general_propagation(connection: Connection) -> None:
    seen = three(1.0, 1.1, 1.2, 1e-3)
    found = phase_resistances(seen, connection)
    assert found is not None

    def first(*values: float) -> float:
        inner = phase_resistances(three(*values), connection)
        assert inner is not None
        return inner[0].value

    assert found[0].uncertainty == pytest.approx(propagate(first, *seen).uncertainty, rel=1e-4)


def test_readings_that_no_network_has_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        three_phase(ThreePhaseReadings(three(1.0, 1.0, 3.0), connection="star"))
    assert caught.value.field == "terminals"


def test_a_shorted_turn_shows_stronger_in_the_winding_than_between_terminals() -> None:
    """Star of 1.0, 1.0, 0.9 ohm: the terminals read 2.0, 1.9, 1.9."""
    found = three_phase(ThreePhaseReadings(three(2.0, 1.9, 1.9, 0.001), connection="star"))
    assert found.phases is not None
    assert found.phases[2].value == pytest.approx(0.9)
    assert found.balance is not None
    assert found.balance.value < 0.1


@pytest.mark.parametrize(
    ("terminals", "verdict"),
    [
        ((2.0, 0.5, 2.5), "balanced"),
        ((2.8, 0.5, 3.3), "sources disagree"),
        ((1.25, 0.5, 1.75), "unbalanced"),
        ((4.0, 0.33, 4.33), "unbalanced"),
        ((2.0, 0.5, 2.9), "unbalanced"),
        ((1.5, 0.5, 2.0), "cannot tell"),
    ],
)
def test_single_phase(terminals: tuple[float, float, float], verdict: Verdict) -> None:
    assert single_phase(SinglePhaseReadings(three(*terminals, 0.01))).verdict == verdict


def test_the_leads_count_once_in_the_sum() -> None:
    found = single_phase(SinglePhaseReadings(three(2.3, 0.8, 2.8, 0.001), lead=Measured(0.3, 0.001)))
    assert found.surplus is not None
    assert found.surplus.value == pytest.approx(0.0, abs=1e-12)
    assert found.surplus.uncertainty == pytest.approx(0.002)
    assert found.verdict == "balanced"


def test_temperature_by_resistance_gives_back_a_temperature() -> None:
    cold = Reference(Measured(1.0), Measured(293.15))
    hot = Measured((234.5 + 95) / (234.5 + 20))
    assert winding_temperature(hot, cold).value == pytest.approx(368.15)


@pytest.mark.parametrize("conductor", ["copper", "aluminium"])
def test_temperature_uncertainty_equals_the_general_propagation(conductor: Conductor) -> None:
    k = {"copper": 234.5, "aluminium": 225.0}[conductor] - 273.15
    hot, cold = Measured(1.3, 0.005), Reference(Measured(1.0, 0.005), Measured(293.15, 1.0))
    expected = propagate(lambda r, s, t: r / s * (k + t) - k, hot, cold.resistance, cold.temperature)
    found = winding_temperature(hot, cold, conductor)
    assert found.value == pytest.approx(expected.value)
    assert found.uncertainty == pytest.approx(expected.uncertainty, rel=1e-3)


@pytest.mark.parametrize(
    ("resistance", "standing"), [(1.20, "within"), (1.40, "outside"), (0.9, "outside"), (1.32, "cannot tell")]
)
def test_against_a_reference_at_another_temperature(resistance: float, standing: str) -> None:
    reference = Reference(Measured(1.0, 0.002), Measured(298.15, 0.5))
    found = against_reference(Measured(resistance, 0.005), Measured(349.95, 0.5), reference)
    assert found.expected.value == pytest.approx(1.1996, abs=1e-3)
    assert found.standing == standing


@pytest.mark.parametrize(
    ("hot", "cold", "field"),
    [
        (Measured(0.0), Reference(Measured(1.0), Measured(293.15)), "resistance"),
        (Measured(1.0), Reference(Measured(0.0), Measured(293.15)), "reference.resistance"),
        (Measured(1.0), Reference(Measured(1.0), Measured(1000.0)), "reference.temperature"),
    ],
)
def test_impossible_temperatures_and_resistances(hot: Measured, cold: Reference, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        winding_temperature(hot, cold)
    assert caught.value.field == field


def test_unknown_conductors_are_told_the_known_ones() -> None:
    silver: Conductor = "silver"  # type: ignore[assignment]
    with pytest.raises(UnknownNameError) as caught:
        winding_temperature(Measured(1.0), Reference(Measured(1.0), Measured(293.15)), silver)
    assert caught.value.near == ("copper", "aluminium")
