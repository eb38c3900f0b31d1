"""Winding resistances: balance, start and run windings, temperature by resistance."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.electrical.single_phase import SinglePhaseReadings
from witnessmark.calculations.electrical.winding_rules import Conductor, Connection, Three, WindingVerdict
from witnessmark.calculations.electrical.windings import (
    Reference,
    ThreePhaseReadings,
    WindingBalance,
    against_reference,
    impossible_temperature,
    phase_resistances,
    single_phase,
    three_phase,
    winding_temperature,
    with_reference,
)
from witnessmark.calculations.metrology.uncertainty import Measured, propagate
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError

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


@pytest.mark.parametrize(
    ("terminals", "spread", "lead", "left_in"),
    [
        ((1.0, 1.0, 2.0), 0.0, 0.0, False),
        ((1.0, 1.0, 1.98), 0.0, 0.0, False),
        ((1.0, 1.0, 1.8), 0.0, 0.0, False),  # the edge: a leg of nine times the others
        ((1.0, 1.0, 2.02), 0.01, 0.0, False),
        ((1.0, 1.02, 1.99), 0.002, 0.0, False),
        ((1.0, 1.0, 2.0), 0.03, 0.0, False),
        ((1.3, 1.3, 2.3), 0.03, 0.3, False),  # leads measured and taken off
        ((1.3, 1.3, 2.3), 0.03, 0.0, True),  # leads of 0.3 ohm left in
        ((1.5, 1.5, 2.5), 0.03, 0.0, True),
        ((4.0, 4.2, 8.1), 0.03, 0.0, True),
    ],
)
@pytest.mark.parametrize("turn", [0, 1, 2])
def test_an_open_leg_of_a_delta_is_named(
    terminals: tuple[float, float, float],
    spread: float,
    lead: float,
    left_in: bool,  # noqa: FBT001
    turn: int,
) -> None:
    """Worst wrong answer: bad input, or a mere unbalance, where a winding is gone."""
    a, b, c = (three(*terminals, spread) * 2)[turn : turn + 3]
    where = ("3 and 1", "2 and 3", "1 and 2")[turn]
    for connection, verdict in (
        ("delta", "open winding"),
        ("star", "shorted winding"),
        (None, "open or shorted winding"),
    ):
        readings = ThreePhaseReadings((a, b, c), Measured(lead), connection, lead_left_in=left_in)  # type: ignore[arg-type]
        found = three_phase(readings)
        assert found.verdict == verdict
        assert found.balance is not None
        assert found.balance.windings is None
        if connection != "star":
            assert f"between {where} is open" in found.explanation
        if connection != "delta":
            assert f"star winding at terminal {(2, 1, 3)[turn]} is shorted" in found.explanation


@given(st.floats(9.0, 1e4), st.floats(0.5, 10.0), st.floats(0.95, 1.05))
def test_every_dead_leg_is_named_whatever_the_motor(times: float, ohms: float, other: float) -> None:
    """A delta of windings R, R and n R by circuit theory; sound legs within 5 % of each other."""
    a, b, c = ohms, ohms * other, ohms * times * 1.1
    total = a + b + c
    seen = three(a * (b + c) / total, b * (c + a) / total, c * (a + b) / total, 1e-4 * ohms)
    assert three_phase(ThreePhaseReadings(seen, connection="delta")).verdict == "open winding"


@given(st.floats(0.5, 10.0), st.floats(0.8, 1.2), st.floats(0.8, 1.2), st.floats(0.0, 0.5), st.booleans())
def test_no_sound_or_merely_unbalanced_motor_is_called_open(
    ohms: float,
    other: float,
    third: float,
    lead: float,
    star: bool,  # noqa: FBT001
) -> None:
    a, b, c = ohms, ohms * other, ohms * third
    total = a + b + c
    seen = (a + b, b + c, c + a) if star else (a * (b + c) / total, b * (c + a) / total, c * (a + b) / total)
    found = three_phase(
        ThreePhaseReadings(three(seen[0] + lead, seen[1] + lead, seen[2] + lead, 0.03), lead_left_in=True)
    )
    assert found.verdict in ("balanced", "unbalanced", "sources disagree", "cannot tell")


@pytest.mark.parametrize(("third", "verdict"), [(1.8, "open winding"), (1.79, "unbalanced")])
def test_the_edge_of_an_open_leg(third: float, verdict: WindingVerdict) -> None:
    assert three_phase(ThreePhaseReadings(three(1.0, 1.0, third), connection="delta")).verdict == verdict


@pytest.mark.parametrize("connection", [None, "star", "delta"])
def test_readings_that_no_network_has_contradict(connection: Connection | None) -> None:
    found = three_phase(ThreePhaseReadings(three(1.0, 1.0, 3.0, 0.1), connection=connection))
    assert found.verdict == "readings contradict"
    assert "3-1" in found.explanation


@pytest.mark.parametrize(("third", "verdict"), [(2.199, "open winding"), (2.201, "readings contradict")])
def test_the_edge_of_a_contradiction(third: float, verdict: WindingVerdict) -> None:
    """A tenth of the sum of the other two is put down to a contact."""
    assert three_phase(ThreePhaseReadings(three(1.0, 1.0, third), connection="delta")).verdict == verdict


def test_a_sum_that_rounding_leaves_a_little_too_small_is_no_fault_of_the_request() -> None:
    """So coarse that nothing can be said; the windings cannot be had from such readings."""
    found = three_phase(ThreePhaseReadings(three(0.2, 0.2, 0.41, 0.1), connection="delta"))
    assert found.verdict == "cannot tell"
    assert found.balance is not None
    assert found.balance.windings is None


@pytest.mark.parametrize(
    ("terminals", "terminal"),
    [((1.0, None, None), 3), ((None, 1.0, None), 1), ((None, None, 1.0), 2)],
)
def test_a_terminal_that_nothing_conducts_to_is_named(
    terminals: tuple[float | None, float | None, float | None], terminal: int
) -> None:
    a, b, c = (None if r is None else Measured(r) for r in terminals)
    for connection, words in (("star", "leg of a star"), ("delta", "both delta windings"), (None, "or both delta")):
        found = three_phase(ThreePhaseReadings((a, b, c), connection=connection))  # type: ignore[arg-type]
        assert found.verdict == "open winding"
        assert f"terminal {terminal}" in found.explanation
        assert words in found.explanation


def test_nothing_conducts_or_only_one_does_not() -> None:
    one = Measured(1.0)
    assert three_phase(ThreePhaseReadings((None, None, None))).verdict == "protector may be open"
    assert three_phase(ThreePhaseReadings((one, None, one))).verdict == "readings contradict"


@pytest.mark.parametrize(
    ("terminals", "verdict"),
    [
        ((3.0, 3.0, 3.0), "balanced"),
        ((3.0, 3.0, 3.06), "cannot tell"),  # 1.3 % with the leads in, 1.6 % without, and 1 % of spread either way
        ((1.2, 1.2, 1.5), "unbalanced"),
        ((0.5, 0.5, 0.5), "cannot tell"),
    ],
)
def test_leads_left_in_must_not_hide_unbalance(terminals: tuple[float, float, float], verdict: WindingVerdict) -> None:
    """A handheld meter: half a digit of 0.1 ohm, 0.029 ohm; leads of up to 0.5 ohm in the reading."""
    readings = ThreePhaseReadings(three(*terminals, 0.05 / 3**0.5), lead_left_in=True)
    assert three_phase(readings).verdict == verdict


@pytest.mark.parametrize("lead", [1.0, 2.0, -0.1])
def test_leads_that_eat_the_reading_are_refused(lead: float) -> None:
    with pytest.raises(InputError) as caught:
        three_phase(ThreePhaseReadings(three(1.0, 1.1, 1.2), lead=Measured(lead)))
    assert caught.value.field == "lead"


def test_impossible_readings_name_their_field() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        three_phase(ThreePhaseReadings(three(1.0, 1.1, -0.1)))
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


def test_windings_that_no_network_has_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        phase_resistances(three(1.0, 1.0, 3.0), "star")
    assert caught.value.field == "terminals"


def test_a_shorted_turn_shows_stronger_in_the_winding_than_between_terminals() -> None:
    """Star of 1.0, 1.0, 0.9 ohm: the terminals read 2.0, 1.9, 1.9."""
    found = balance_of(ThreePhaseReadings(three(2.0, 1.9, 1.9, 0.001), connection="star"))
    assert found.windings is not None
    assert found.windings[2].value == pytest.approx(0.9)
    assert found.unbalance.value < 0.1


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


def test_the_example_of_the_three_phases() -> None:
    found = balance_of(ThreePhaseReadings(three(1.0, 1.0, 1.06)))
    assert found.mean.value == pytest.approx(1.02)
    assert found.furthest == 3
    assert found.unbalance.value == pytest.approx(0.04 / 1.02)


def test_the_examples_of_one_phase_and_of_star_and_delta() -> None:
    found = single_phase(SinglePhaseReadings(three(8.0, 2.0, 10.0)))
    assert found.start_run is not None
    assert (found.verdict, found.start_run.surplus.value, found.start_run.start_over_run.value) == ("adds up", 0, 4)
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


@pytest.mark.parametrize(
    ("terminals", "verdict"),
    [
        ((0.00058, 0.00058, 0.00058), "shorted winding"),
        ((0.0, 0.0, 0.0), "shorted winding"),
        ((0.0099, 0.0099, 0.0099), "shorted winding"),
        ((0.0519, 0.05212, 0.05205), "balanced"),  # a screw compressor of 200 kW
        ((0.0, 1.0, 1.0), "shorted winding"),
        ((1200.0, 1200.0, 1200.0), "readings contradict"),
        ((290.0, 290.0, 290.0), "balanced"),
    ],
)
def test_what_no_three_phase_winding_can_have(terminals: tuple[float, float, float], verdict: WindingVerdict) -> None:
    assert three_phase(ThreePhaseReadings(three(*terminals))).verdict == verdict


@pytest.mark.parametrize(
    ("terminals", "verdict"),
    [
        ((2900.0, 1100.0, 4000.0), "readings contradict"),
        ((0.0029, 0.0011, 0.004), "shorted winding"),
        ((8.0, 0.0, 8.0), "shorted winding"),
        ((13.4, 5.17, 18.57), "adds up"),
    ],
)
def test_what_no_single_phase_motor_can_have(terminals: tuple[float, float, float], verdict: WindingVerdict) -> None:
    found = single_phase(SinglePhaseReadings(three(*terminals)))
    assert found.verdict == verdict
    assert (found.start_run is None) == (verdict != "adds up")


def test_leads_joined_read_as_much_as_the_winding() -> None:
    readings = ThreePhaseReadings(three(0.303, 0.304, 0.303), lead=Measured(0.3))
    assert three_phase(readings).verdict == "shorted winding"


def test_a_temperature_that_no_winding_has_is_told() -> None:
    reference = Reference(Measured(1.0), Measured(293.15))
    assert not impossible_temperature(winding_temperature(Measured(1.3), reference))
    assert "2310 degC" in impossible_temperature(winding_temperature(Measured(10.0), reference))
    assert impossible_temperature(winding_temperature(Measured(0.5), reference))


@pytest.mark.parametrize(
    ("ohms", "verdict"), [(0.6, "readings contradict"), (0.95, "balanced"), (1.3, "readings contradict")]
)
def test_windings_that_agree_and_miss_their_reference_are_not_balanced(ohms: float, verdict: WindingVerdict) -> None:
    """Worst wrong answer: "balanced" for a motor whose three windings are shorted alike, or that is another one."""
    warm = Measured(293.15)
    check = against_reference(Measured(ohms, 0.001), warm, Reference(Measured(1.0), warm))
    found = with_reference(three_phase(ThreePhaseReadings(three(ohms, ohms, ohms, 0.001))), check)
    assert (found.verdict, bool(found.explanation), found.reference) == (verdict, verdict != "balanced", check)
    shorted = three_phase(ThreePhaseReadings(three(0.6, 0.9, 0.6, 0.001)))
    assert with_reference(shorted, check).verdict == shorted.verdict


def test_a_megohm_is_open() -> None:
    """What a meter shows of insulation is no winding, and no slip of the unit either."""
    ohms, high = Measured(0.6, 0.001), Measured(5e6)
    for terminals in ((ohms, high, high), (ohms, None, Measured(1e6))):
        assert three_phase(ThreePhaseReadings(terminals)).verdict == "open winding"
    assert three_phase(ThreePhaseReadings((ohms, Measured(0.9e6), Measured(0.9e6)))).verdict != "open winding"
    assert single_phase(SinglePhaseReadings((high, Measured(2.0, 0.01), high))).verdict == "open start winding"


@pytest.mark.parametrize("connection", [None, "star", "delta"])
@pytest.mark.parametrize(("terminals", "ends"), [((0.05, 1.2, 1.2), "1 and 2"), ((2.0, 0.3, 2.1), "2 and 3")])
def test_a_short_between_two_terminals_is_no_open_delta(
    terminals: tuple[float, float, float], ends: str, connection: Connection | None
) -> None:
    """Worst wrong answer: rewound for an open leg, while two leads touch. By hand: an open leg leaves 1, 1, 2."""
    found = three_phase(ThreePhaseReadings(three(*terminals, 0.01), connection=connection))
    assert found.verdict == "shorted winding"
    assert f"short between terminals {ends}" in found.explanation
