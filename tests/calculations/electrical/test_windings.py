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
    WindingBalance,
    WindingVerdict,
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


def balance_of(readings: ThreePhaseReadings) -> WindingBalance:
    found = three_phase(readings).balance
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("terminals", "uncertainty", "verdict"),
    [
        ((1.50, 1.51, 1.50), 0.002, "balanced"),
        ((1.50, 1.60, 1.50), 0.002, "sources disagree"),
        ((1.50, 1.80, 1.50), 0.002, "unbalanced"),
        ((1.50, 1.60, 1.50), 0.1, "cannot tell"),
    ],
)
def test_balance(terminals: tuple[float, float, float], uncertainty: float, verdict: WindingVerdict) -> None:
    assert three_phase(ThreePhaseReadings(three(*terminals, uncertainty))).verdict == verdict


def test_the_makers_balance_decides() -> None:
    readings = ThreePhaseReadings(three(1.50, 1.60, 1.50, 0.002), maker_balance=0.05)
    assert three_phase(readings).verdict == "balanced"


def test_form_wound_coils_are_held_tighter() -> None:
    assert three_phase(ThreePhaseReadings(three(1.5, 1.54, 1.5, 0.001), form_wound=True)).verdict == "unbalanced"
    assert three_phase(ThreePhaseReadings(three(1.5, 1.54, 1.5, 0.001))).verdict == "balanced"


def test_the_uncertainty_that_would_decide_does_decide() -> None:
    coarse = balance_of(ThreePhaseReadings(three(1.50, 1.60, 1.50, 0.05)))
    assert coarse.needed_uncertainty is not None
    just = coarse.needed_uncertainty
    assert three_phase(ThreePhaseReadings(three(1.50, 1.60, 1.50, 0.99 * just))).verdict == "sources disagree"
    assert three_phase(ThreePhaseReadings(three(1.50, 1.60, 1.50, 1.01 * just))).verdict == "cannot tell"
    assert balance_of(ThreePhaseReadings(three(1.50, 1.51, 1.50, 0.001))).needed_uncertainty is None


def test_test_leads_hide_unbalance() -> None:
    found = balance_of(ThreePhaseReadings(three(0.75, 0.80, 0.75, 0.001), lead=Measured(0.3, 0.01)))
    assert found.unbalance.value == pytest.approx(0.05 / 0.4666667 * 2 / 3, rel=1e-6)
    assert found.without_lead_correction < found.unbalance.value


@given(OHMS, st.floats(0.0, 0.05), st.floats(1e-4, 1e-2))
def test_lead_uncertainty_equals_the_general_propagation(base: float, more: float, spread: float) -> None:
    readings = (base + 0.1, base * (1 + more) + 0.1, base * 0.97 + 0.1)
    lead = Measured(0.05, 0.005)
    found = balance_of(ThreePhaseReadings(three(*readings, spread), lead=lead))
    f = found.furthest - 1
    expected = propagate(
        lambda a, b, c, x: 3 * ((a, b, c)[f] - x) / (a + b + c - 3 * x) - 1, *three(*readings, spread), lead
    )
    assert found.unbalance.uncertainty == pytest.approx(expected.uncertainty, rel=0.02)


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
    assert [w.value for w in star] == pytest.approx([a, b, c], rel=1e-6)
    total = a + b + c
    seen = three(a * (b + c) / total, b * (c + a) / total, c * (a + b) / total)
    delta = phase_resistances(seen, "delta")
    assert [w.value for w in delta] == pytest.approx([a, b, c], rel=1e-6)


@pytest.mark.parametrize("connection", ["star", "delta"])
def test_winding_uncertainty_equals_the_general_propagation(connection: Connection) -> None:
    seen = three(1.0, 1.1, 1.2, 1e-3)
    found = phase_resistances(seen, connection)

    def first(*values: float) -> float:
        inner = phase_resistances(three(*values), connection)
        return inner[0].value

    assert found[0].uncertainty == pytest.approx(propagate(first, *seen).uncertainty, rel=1e-4)


def test_readings_that_no_network_has_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        three_phase(ThreePhaseReadings(three(1.0, 1.0, 3.0), connection="star"))
    assert caught.value.field == "terminals"


def test_a_shorted_turn_shows_stronger_in_the_winding_than_between_terminals() -> None:
    """Star of 1.0, 1.0, 0.9 ohm: the terminals read 2.0, 1.9, 1.9."""
    found = balance_of(ThreePhaseReadings(three(2.0, 1.9, 1.9, 0.001), connection="star"))
    assert found.windings is not None
    assert found.windings[2].value == pytest.approx(0.9)
    assert found.unbalance.value < 0.1


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
def test_single_phase(terminals: tuple[float, float, float], verdict: WindingVerdict) -> None:
    assert single_phase(SinglePhaseReadings(three(*terminals, 0.01))).verdict == verdict


def test_the_leads_count_once_in_the_sum() -> None:
    found = single_phase(SinglePhaseReadings(three(2.3, 0.8, 2.8, 0.001), lead=Measured(0.3, 0.001)))
    assert found.start_run is not None
    assert found.start_run.surplus.value == pytest.approx(0.0, abs=1e-12)
    assert found.start_run.surplus.uncertainty == pytest.approx(0.002)
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


@pytest.mark.parametrize(
    ("third", "form_wound", "verdict"),
    [
        (103.03, False, "balanced"),
        (103.031, False, "sources disagree"),
        (107.692, False, "sources disagree"),
        (107.693, False, "unbalanced"),
        (101.507, True, "balanced"),
        (101.508, True, "unbalanced"),
    ],
)
def test_the_edges_of_the_balance(third: float, form_wound: bool, verdict: WindingVerdict) -> None:  # noqa: FBT001
    """100, 100 and x ohm: 2 (x - 100) / (200 + x) is 1 % at 101.5075, 2 % at 103.0303, 5 % at 107.6923."""
    readings = ThreePhaseReadings(three(100, 100, third), form_wound=form_wound)
    assert three_phase(readings).verdict == verdict


@pytest.mark.parametrize(
    ("start", "verdict"),
    [(3.0, "balanced"), (2.999, "unbalanced"), (5.0, "balanced"), (5.001, "sources disagree"), (6.001, "unbalanced")],
)
def test_the_edges_of_start_over_run(start: float, verdict: WindingVerdict) -> None:
    found = single_phase(SinglePhaseReadings(three(start, 1.0, start + 1.0)))
    assert found.start_run is not None
    assert found.start_run.sum_agrees
    assert found.verdict == verdict


def test_the_example_of_the_three_phases() -> None:
    found = balance_of(ThreePhaseReadings(three(1.0, 1.0, 1.06)))
    assert found.mean.value == pytest.approx(1.02)
    assert found.furthest == 3
    assert found.unbalance.value == pytest.approx(0.04 / 1.02)


def test_the_examples_of_one_phase_and_of_star_and_delta() -> None:
    found = single_phase(SinglePhaseReadings(three(8.0, 2.0, 10.0)))
    assert found.start_run is not None
    assert (found.verdict, found.start_run.surplus.value, found.start_run.start_over_run.value) == ("balanced", 0, 4)
    assert [w.value for w in phase_resistances(three(2, 2, 2), "star")] == pytest.approx([1, 1, 1])
    assert [w.value for w in phase_resistances(three(2, 2, 2), "delta")] == pytest.approx([3, 3, 3])


def test_the_examples_of_temperature() -> None:
    cold = Reference(Measured(1.0), Measured(293.15))
    assert winding_temperature(Measured(1.3), cold).value == pytest.approx(369.5)
    check = against_reference(Measured(1.1), Measured(313.15), cold)
    assert check.expected.value == pytest.approx(274.5 / 254.5)


def test_what_cancels_between_readings_of_one_meter_does_not_against_a_reference() -> None:
    cold = Reference(Measured(1.0), Measured(293.15))
    alone = against_reference(Measured(2.0, 0.006), Measured(293.15), cold)
    scaled = against_reference(Measured(2.0, 0.006), Measured(293.15), cold, scale_uncertainty=0.004)
    assert alone.deviation.uncertainty == pytest.approx(0.006)
    assert scaled.deviation.uncertainty == pytest.approx(0.01)


@pytest.mark.parametrize(
    ("resistance", "standing"), [(11.0, "within"), (11.001, "outside"), (9.0, "within"), (8.999, "outside")]
)
def test_the_edges_of_the_reference(resistance: float, standing: str) -> None:
    cold = Reference(Measured(10.0), Measured(293.15))
    assert against_reference(Measured(resistance), Measured(293.15), cold).standing == standing


@pytest.mark.parametrize(
    ("hot", "cold", "field", "ends"),
    [
        (Measured(2e6), Reference(Measured(1.0), Measured(293.15)), "resistance", (1e-6, 1e6, "resistance")),
        (
            Measured(1.0),
            Reference(Measured(0.0), Measured(293.15)),
            "reference.resistance",
            (1e-6, 1e6, "resistance"),
        ),
        (
            Measured(1.0),
            Reference(Measured(1.0), Measured(200.0)),
            "reference.temperature",
            (223.15, 523.15, "temperature"),
        ),
    ],
)
def test_a_reading_out_of_range_is_told_the_range(
    hot: Measured, cold: Reference, field: str, ends: tuple[float, float, str]
) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        winding_temperature(hot, cold)
    error = caught.value
    assert (error.field, (error.low, error.high, error.dimension)) == (field, ends)
