"""Insulation of a winding to ground: correction, minima and their conflicts, refusals, warm up before condemning."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.electrical.insulation import (
    InsulationConditions,
    InsulationOutcome,
    InsulationReading,
    InsulationVerdict,
    Polarisation,
    corrections,
    halving,
    insulation,
    thermoset,
)
from witnessmark.calculations.electrical.motors import TABLE, InsulationClass, motors
from witnessmark.calculations.metrology.uncertainty import Measured, propagate
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError

COLD = InsulationConditions(under_vacuum=False, through_drive=False, power_locked_out=True)
WARM = replace(COLD, liquid_refrigerant=False)
AT_40 = Measured(313.15, 1.0)


def judged(
    megohms: float,
    conditions: InsulationConditions = WARM,
    motor: str = "hermetic",
    maker_minimum: float | None = None,
    temperature: Measured = AT_40,
) -> InsulationVerdict:
    resistance = Measured(megohms * 1e6, megohms * 2e4)
    return insulation(
        InsulationReading(resistance, temperature, motor, maker_minimum=maker_minimum, conditions=conditions)
    )


@pytest.mark.parametrize(
    ("megohms", "verdict"),
    [
        (50.0, "meets every stated minimum"),
        (5.0, "meets every stated minimum"),  # 5 MOhm at 40 degC are asked of windings in air
        (3.0, "meets every stated minimum"),
        (2.0, "cannot tell"),
        (1.5, "sources disagree"),
        (0.3, "below every stated minimum"),
        (0.0002, "grounded"),
    ],
)
def test_a_warm_hermetic_motor(megohms: float, verdict: InsulationOutcome) -> None:
    assert judged(megohms).verdict == verdict


@pytest.mark.parametrize("megohms", [1.5, 0.3])
def test_a_cold_soaked_motor_is_warmed_before_it_is_condemned(megohms: float) -> None:
    found = judged(megohms, COLD)
    assert found.verdict == "warm up and repeat"
    assert found.warm_up == 4 * 3600
    assert found.unstated == ("liquid_refrigerant",)


@pytest.mark.parametrize(
    ("heater_on", "verdict"), [(3600.0, "warm up and repeat"), (4 * 3600.0, "below every stated minimum")]
)
def test_the_heater_must_have_been_on_long_enough(heater_on: float, verdict: InsulationOutcome) -> None:
    conditions = replace(COLD, liquid_refrigerant=True, heater_on=heater_on)
    assert judged(0.3, conditions).verdict == verdict


@pytest.mark.parametrize("motor", [kind for kind in motors() if kind != "open-before-1970"])
@pytest.mark.parametrize("ohms", [0.0, 10.0, 600.0])
@pytest.mark.parametrize("conditions", [InsulationConditions(), COLD, WARM])
def test_ten_ohm_to_the_shell_is_a_ground_fault_whatever_else(
    motor: str, ohms: float, conditions: InsulationConditions
) -> None:
    """Worst wrong answer: warm it up, or a question, where the winding lies on the shell. Tester: 30 % as limits."""
    for maker in (None, 1e5):
        reading = Measured(ohms, 0.3 / 3**0.5 * ohms)
        found = insulation(InsulationReading(reading, AT_40, motor, maker_minimum=maker, conditions=conditions))
        assert found.verdict == "grounded"


def test_a_hermetic_motor_at_room_temperature_is_not_held_to_windings_in_air() -> None:
    """20 MOhm at 20 degC are 5 MOhm at 40 degC by halving: the edge in air, a good hermetic winding."""
    room = Measured(293.15, 2.0)
    assert judged(20.0, temperature=room).verdict == "meets every stated minimum"
    assert judged(10.0, temperature=room, motor="hermetic-inverter").verdict == "meets every stated minimum"
    assert judged(20.0, temperature=room, motor="open-random-wound").verdict == "cannot tell"
    for motor in ("hermetic", "hermetic-inverter", "hermetic-centrifugal"):
        minima = judged(20.0, motor=motor).minima
        assert [m.held_against for m in minima] == ["reading as taken"]
        assert all(s.note for m in minima for s in m.limit.stated)  # what the limit is for


def test_no_liquid_refrigerant_explains_a_dead_ground() -> None:
    assert judged(0.0002, COLD).verdict == "grounded"


def test_a_good_reading_stays_good_when_cold() -> None:
    assert judged(50.0, COLD).verdict == "meets every stated minimum"


def test_an_open_drive_motor_holds_no_refrigerant() -> None:
    assert judged(0.3, COLD, "open-random-wound").verdict == "below every stated minimum"


@pytest.mark.parametrize(
    ("conditions", "refusals"),
    [
        (InsulationConditions(under_vacuum=True), ("under vacuum",)),
        (InsulationConditions(through_drive=True), ("through a drive",)),
        (InsulationConditions(power_locked_out=False), ("power not locked out",)),
        (InsulationConditions(under_vacuum=True, through_drive=True), ("under vacuum", "through a drive")),
    ],
)
def test_a_reading_that_should_not_have_been_taken_proves_nothing(
    conditions: InsulationConditions, refusals: tuple[str, ...]
) -> None:
    found = judged(500.0, conditions)
    assert (found.verdict, found.validity) == ("not a valid test", "not valid")
    assert found.refusals == refusals


def test_what_was_not_stated_is_listed() -> None:
    found = judged(500.0, InsulationConditions())
    assert found.unstated == ("under_vacuum", "through_drive", "power_locked_out", "liquid_refrigerant")
    assert found.refusals == ()


@pytest.mark.parametrize("unstated", ["under_vacuum", "through_drive", "power_locked_out"])
@pytest.mark.parametrize("maker_minimum", [None, 0.5e6])
def test_a_good_reading_of_unstated_conditions_is_not_proven(unstated: str, maker_minimum: float | None) -> None:
    stated = {"under_vacuum": False, "through_drive": False, "power_locked_out": True} | {unstated: None}
    found = judged(500.0, InsulationConditions(**stated), maker_minimum=maker_minimum)  # type: ignore[arg-type]
    assert found.verdict == "minimum met, test not proven valid"
    assert (found.validity, found.not_proven) == ("not proven", (unstated,))


def test_a_bad_reading_of_unstated_conditions_stays_bad_and_is_marked() -> None:
    found = judged(0.0002, InsulationConditions())
    assert (found.verdict, found.validity) == ("grounded", "not proven")


def test_an_open_drive_motor_needs_no_word_about_vacuum() -> None:
    found = judged(500.0, replace(WARM, under_vacuum=None), "open-random-wound")
    assert (found.verdict, found.validity) == ("meets every stated minimum", "valid as stated")


def test_the_makers_minimum_decides_on_the_reading_as_taken() -> None:
    found = judged(0.8, maker_minimum=0.5e6, temperature=Measured(293.15, 1.0))
    assert found.verdict == "meets the maker's minimum"
    (check,) = found.minima
    assert (check.held_against, check.limit.basis) == ("reading as taken", "maker")
    assert check.limit.looser_than_published
    assert {"hermetic-handbook-two-megohm", "scroll-bulletin-half-megohm"} <= set(check.limit.sources)


def test_what_misses_the_makers_minimum_is_not_said_to_miss_every_other() -> None:
    assert judged(3.0, maker_minimum=5e6).verdict == "below the maker's minimum"
    assert judged(5.05, maker_minimum=5e6).verdict == "cannot tell"


def test_an_over_range_meter_gives_a_lower_bound() -> None:
    over = replace(WARM, over_range=True)
    assert judged(500.0, over).verdict == "meets every stated minimum"
    assert judged(1.0, over).verdict == "cannot tell"


def test_within_one_minimum_and_unclear_for_the_other() -> None:
    assert judged(2.05).verdict == "cannot tell"


def test_the_lowest_correction_counts() -> None:
    cold, hot = Measured(293.15, 0.5), Measured(333.15, 0.5)
    below = corrections(Measured(20e6), cold)
    above = corrections(Measured(20e6), hot)
    assert min(below, key=lambda c: c.resistance.value).source == "ieee-43-halving"
    assert min(above, key=lambda c: c.resistance.value).source == "ieee-43-thermoset"
    at_40 = judged(20.0, motor="open-random-wound", temperature=cold).minima[0]
    assert at_40.held_against == "reading at 40 degC"
    assert at_40.standing == "cannot tell"


@pytest.mark.parametrize("celsius", [9.0, 86.0])
def test_the_thermoset_rule_is_kept_to_its_range(celsius: float) -> None:
    assert thermoset(celsius + 273.15) is None
    assert [c.source for c in corrections(Measured(1e6), Measured(celsius + 273.15))] == ["ieee-43-halving"]


@given(st.floats(285.0, 355.0))
def test_both_rules_rise_with_temperature_and_know_their_slope(temperature: float) -> None:
    for rule in (halving, thermoset):
        here, there = rule(temperature), rule(temperature + 0.01)
        assert here is not None
        assert there is not None
        if not temperature <= 313.15 <= temperature + 0.01:
            assert (there.value - here.value) / 0.01 / here.value == pytest.approx(here.slope, rel=2e-3)


def test_correction_uncertainty_equals_the_general_propagation() -> None:
    resistance, temperature = Measured(100e6, 2e6), Measured(298.15, 0.5)
    expected = propagate(lambda r, t: r * 0.5 ** ((313.15 - t) / 10), resistance, temperature)
    found = corrections(resistance, temperature)[0].resistance
    assert found.uncertainty == pytest.approx(expected.uncertainty, rel=1e-3)


def test_old_motors_have_a_minimum_by_their_voltage() -> None:
    reading = InsulationReading(Measured(1.0e6), AT_40, "open-before-1970", rated_voltage=460)
    assert insulation(reading).minima[0].limit.value == pytest.approx(1.46e6)
    assert insulation(reading).verdict == "below every stated minimum"
    with pytest.raises(InputError) as caught:
        insulation(InsulationReading(Measured(1e6), AT_40, "open-before-1970"))
    assert caught.value.field == "rated_voltage"


def index(one: float, ten: float, motor: str = "open-form-wound", over_range: bool = False) -> Polarisation | None:  # noqa: FBT001, FBT002
    conditions = InsulationConditions(under_vacuum=False, through_drive=False, over_range=over_range)
    return insulation(
        InsulationReading(
            Measured(one, one * 0.01), AT_40, motor, Measured(ten, ten * 0.01), None, "F", conditions=conditions
        )
    ).polarisation


@pytest.mark.parametrize(
    ("one", "ten", "motor", "verdict"),
    [
        (200e6, 500e6, "open-form-wound", "sufficient"),
        (200e6, 300e6, "open-form-wound", "low"),
        (200e6, 401e6, "open-form-wound", "cannot tell"),
        (200e6, 150e6, "open-form-wound", "low"),
        (6e9, 18e9, "open-form-wound", "means little here"),
        (200e6, 500e6, "hermetic", "means little here"),
        (200e6, 100e6, "hermetic", "low"),
    ],
)
def test_polarisation_index(one: float, ten: float, motor: str, verdict: str) -> None:
    found = index(one, ten, motor)
    assert found is not None
    assert found.index.value == pytest.approx(ten / one)
    assert found.verdict == verdict


@pytest.mark.parametrize(
    ("ten", "same", "verdict"),
    [(160e6, True, "low"), (160e6, False, "cannot tell"), (260e6, True, "sufficient"), (260e6, False, "cannot tell")],
)
def test_the_gain_of_one_tester_cancels_in_the_index(ten: float, same: bool, verdict: str) -> None:  # noqa: FBT001
    """100 MOhm, class F asks for 2.0; each reading good for 30 % as limits."""
    spread = 0.3 / 3**0.5
    one, last = Measured(100e6, spread * 100e6), Measured(ten, spread * ten)
    found = insulation(InsulationReading(one, AT_40, "open-form-wound", last, None, "F", same_tester=same)).polarisation
    assert found is not None
    assert found.verdict == verdict
    assert found.index.uncertainty == pytest.approx(ten / 100e6 * (0.02 if same else spread * 2**0.5))


def test_no_index_from_an_over_range_meter_nor_without_a_reading() -> None:
    found = index(200e6, 500e6, over_range=True)
    assert found is not None
    assert found.verdict == "means little here"
    assert judged(100.0).polarisation is None
    assert index(0.0, 0.0) is None


def test_without_a_class_there_is_no_minimum_for_the_index() -> None:
    reading = InsulationReading(Measured(200e6), AT_40, "open-form-wound", Measured(500e6))
    found = insulation(reading).polarisation
    assert found is not None
    assert (found.minimum, found.verdict) == (None, "means little here")


@pytest.mark.parametrize(
    ("reading", "field"),
    [
        (InsulationReading(Measured(-1.0), AT_40, "hermetic"), "resistance"),
        (InsulationReading(Measured(float("nan")), AT_40, "hermetic"), "resistance"),
        (InsulationReading(Measured(1e6), Measured(100.0), "hermetic"), "temperature"),
        (InsulationReading(Measured(1e6), AT_40, "hermetic", Measured(1e14)), "ten_minutes"),
        (InsulationReading(Measured(1e6), AT_40, "hermetic", rated_voltage=2e4), "rated_voltage"),
    ],
)
def test_impossible_readings_name_their_field(reading: InsulationReading, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        insulation(reading)
    assert caught.value.field == field


def test_unknown_motors_are_told_the_known_ones() -> None:
    with pytest.raises(UnknownNameError) as caught:
        judged(1.0, motor="steam engine")
    assert caught.value.near == motors()


def test_every_kind_of_motor_has_its_minima() -> None:
    assert {kind: (row.as_read, row.at_40) for kind, row in TABLE().motors.items()} == {
        "hermetic": ("hermetic", None),
        "hermetic-inverter": ("inverter", None),
        "hermetic-centrifugal": ("centrifugal", None),
        "open-random-wound": (None, "random_wound"),
        "open-form-wound": (None, "form_wound"),
        "open-before-1970": (None, None),
    }
    named = {key for row in TABLE().motors.values() for key in (row.as_read, row.at_40, row.at_40_low_voltage)}
    assert named - {None} == set(TABLE().limits)


def exactly(ohms: float, motor: str, conditions: InsulationConditions = WARM) -> str:
    rated = 999.0 if TABLE().motors[motor].low_voltage else 1000.0
    reading = InsulationReading(Measured(ohms), Measured(313.15), motor, rated_voltage=rated, conditions=conditions)
    return insulation(reading).verdict


@pytest.mark.parametrize(
    ("motor", "highest"),
    [
        ("hermetic", 2e6),
        ("hermetic-inverter", 1e6),
        ("hermetic-centrifugal", 50e6),
        ("open-random-wound", 5e6),
        ("open-form-wound", 100e6),
        ("open-before-1970", 2e6),  # 1 kV: (1 + 1) MOhm
    ],
)
def test_the_edge_of_every_minimum(motor: str, highest: float) -> None:
    assert exactly(highest, motor) == "meets every stated minimum"
    assert exactly(highest * (1 - 1e-6), motor) in ("sources disagree", "below every stated minimum")


@pytest.mark.parametrize(
    ("motor", "least"),
    [("hermetic", 0.5e6), ("hermetic-inverter", 1e5), ("hermetic-centrifugal", 50e6), ("open-form-wound", 100e6)],
)
def test_the_edge_below_which_every_minimum_is_missed(motor: str, least: float) -> None:
    assert exactly(least * (1 - 1e-6), motor) == "below every stated minimum"


@pytest.mark.parametrize(("ohms", "verdict"), [(999.9, "grounded"), (1000.0, "warm up and repeat")])
def test_the_edge_of_a_dead_ground(ohms: float, verdict: str) -> None:
    assert exactly(ohms, "hermetic", COLD) == verdict


@pytest.mark.parametrize(("hours", "verdict"), [(3.999, "warm up and repeat"), (4.0, "below every stated minimum")])
def test_the_edge_of_the_warm_up(hours: float, verdict: str) -> None:
    assert exactly(1e5, "hermetic", replace(COLD, heater_on=hours * 3600)) == verdict


@pytest.mark.parametrize(("insulation_class", "minimum"), [("A", 1.5), ("B", 2.0), ("F", 2.0), ("H", 2.0)])
def test_the_edge_of_the_polarisation_index(insulation_class: InsulationClass, minimum: float) -> None:
    for share, verdict in ((1.0, "sufficient"), (0.999, "low")):
        ten = Measured(100e6 * minimum * share)
        reading = InsulationReading(Measured(100e6), AT_40, "open-form-wound", ten, None, insulation_class)
        found = insulation(reading).polarisation
        assert found is not None
        assert (found.minimum, found.verdict) == (minimum, verdict)


def test_the_examples_of_the_docstrings() -> None:
    assert exactly(100e6, "hermetic") == "meets every stated minimum"
    halved = corrections(Measured(100e6), Measured(303.15))[0]
    assert halved.source == "ieee-43-halving"
    assert halved.resistance.value == pytest.approx(50e6)
    assert len(corrections(Measured(100e6), Measured(303.15))) == 2


@pytest.mark.parametrize(
    ("celsius", "factor"), [(10.0, 0.65596), (40.0, 1.0), (85.0, 5.4670), (9.999, None), (85.001, None)]
)
def test_the_thermoset_rule_holds_from_10_to_85_degrees(celsius: float, factor: float | None) -> None:
    """By hand: exp(-1245 (1/283 - 1/313)) and exp(-4230 (1/358 - 1/313)), with the source's own 273."""
    taken = thermoset(celsius + 273.15)
    assert (taken and taken.value) == (factor and pytest.approx(factor, rel=1e-4))


@pytest.mark.parametrize(
    ("one", "verdict"),
    [(5e9, "sufficient"), (5.001e9, "means little here"), (1.0, "sufficient"), (0.999, None)],
)
def test_an_index_is_judged_from_one_ohm_to_five_gigohm(one: float, verdict: str | None) -> None:
    """IEEE 43: above 5000 Mohm the index means little; below 1 ohm there is nothing to divide by."""
    found = index(one, 2.5 * one)
    assert (found and found.verdict) == verdict


@pytest.mark.parametrize(
    ("reading", "field", "ends"),
    [
        (InsulationReading(Measured(-1.0), AT_40, "hermetic"), "resistance", (0.0, 1e13, "resistance")),
        (
            InsulationReading(Measured(1e6), AT_40, "hermetic", Measured(-1.0)),
            "ten_minutes",
            (0.0, 1e13, "resistance"),
        ),
        (
            InsulationReading(Measured(1e6), AT_40, "hermetic", rated_voltage=1.0),
            "rated_voltage",
            (24.0, 15e3, "voltage"),
        ),
    ],
)
def test_a_reading_out_of_range_is_told_the_range(
    reading: InsulationReading, field: str, ends: tuple[float, float, str]
) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        insulation(reading)
    error = caught.value
    assert (error.field, (error.low, error.high, error.dimension)) == (field, ends)


def form_wound(megohms: float, rated: float | None, applied: float | None = None) -> InsulationVerdict:
    resistance = Measured(megohms * 1e6, megohms * 2e4)
    return insulation(
        InsulationReading(
            resistance, AT_40, "open-form-wound", rated_voltage=rated, conditions=WARM, test_voltage=applied
        )
    )


@pytest.mark.parametrize(
    ("megohms", "rated", "verdict"),
    [
        (40.0, 480.0, "meets every stated minimum"),  # 5 MOhm below 1 kV: it was called below every minimum
        (4.0, 480.0, "below every stated minimum"),
        (40.0, 999.9, "meets every stated minimum"),
        (40.0, 1000.0, "below every stated minimum"),
        (40.0, 4160.0, "below every stated minimum"),
        (120.0, 4160.0, "meets every stated minimum"),
        (40.0, None, "cannot tell"),  # which of the two counts hangs on a voltage nobody gave
        (4.0, None, "below every stated minimum"),
        (120.0, None, "meets every stated minimum"),
    ],
)
def test_form_wound_coils_below_1_kv_have_a_minimum_of_their_own(
    megohms: float, rated: float | None, verdict: InsulationOutcome
) -> None:
    assert form_wound(megohms, rated).verdict == verdict


def test_a_medium_voltage_motor_is_never_passed_by_the_minimum_of_low_voltage() -> None:
    """The wrong answer that hurts: 6 MOhm of a 4.16 kV motor taken for sound."""
    for rated in (1000.0, 4160.0, 15000.0):
        assert form_wound(6.0, rated, 5000.0).verdict == "below every stated minimum"
    assert form_wound(6.0, None).verdict == "cannot tell"


@pytest.mark.parametrize(
    ("rated", "low", "high"),
    [
        *((480, 500, 500), (999.9, 500, 500), (1000, 500, 1000), (2500, 500, 1000), (4160, 1000, 2500)),
        *((5000, 1000, 2500), (6600, 2500, 5000), (12000, 2500, 5000), (13800, 5000, 10000), (15000, 5000, 10000)),
    ],
)
def test_test_voltages_by_rated_voltage(rated: float, low: float, high: float) -> None:
    """IEEE Std 43-2000, table 1."""
    found = form_wound(500.0, rated).test_voltage
    assert found is not None
    assert (found.low, found.high, found.standing) == (low, high, "not stated")


@pytest.mark.parametrize(
    ("applied", "standing", "verdict"),
    [
        (999.0, "too low", "minimum met, test not proven valid"),
        (1000.0, "as recommended", "meets every stated minimum"),
        (2500.0, "as recommended", "meets every stated minimum"),
        (2501.0, "too high", "meets every stated minimum"),
    ],
)
def test_a_test_below_its_voltage_proves_nothing(applied: float, standing: str, verdict: InsulationOutcome) -> None:
    """9 V of a multimeter find no insulation that breaks down at 500 V."""
    found = form_wound(500.0, 4160.0, applied)
    assert found.test_voltage is not None
    assert (found.test_voltage.standing, found.verdict) == (standing, verdict)
    assert form_wound(6.0, 4160.0, 9.0).verdict == "below every stated minimum"


def test_a_hermetic_winding_sees_at_most_twice_its_voltage() -> None:
    """And never less than the 500 V of the standard, which every tester has."""
    reading = InsulationReading(Measured(50e6, 1e6), AT_40, "hermetic", rated_voltage=230.0, conditions=WARM)
    assert insulation(reading).test_voltage is not None
    for applied, standing in ((500.0, "as recommended"), (501.0, "too high"), (9.0, "too low")):
        found = insulation(replace(reading, test_voltage=applied)).test_voltage
        assert found is not None
        assert (found.low, found.high, found.standing) == (230.0, 500.0, standing)
    assert judged(50.0).test_voltage is None


@pytest.mark.parametrize(
    ("motor", "volts", "megohm", "verdict"),
    [
        ("hermetic", 2300.0, 3.2, "below every stated minimum"),
        ("hermetic", 2300.0, 5.0, "sources disagree"),
        ("hermetic", 4160.0, 5.0, "below every stated minimum"),  # (4.16 + 1) MOhm at the least
        ("hermetic-inverter", 6600.0, 7.0, "below every stated minimum"),
        ("hermetic", 4160.0, 20.0, "sources disagree"),
        ("hermetic", 4160.0, 60.0, "meets every stated minimum"),
        ("hermetic", 999.0, 5.0, "meets every stated minimum"),
        ("open-random-wound", 4160.0, 60.0, "sources disagree"),
        ("open-random-wound", 4160.0, 100.0, "meets every stated minimum"),
    ],
)
def test_minima_of_low_voltage_prove_no_winding_of_medium_voltage(
    motor: str, volts: float, megohm: float, verdict: str
) -> None:
    """(kV + 1) MOhm is the least that any source asks, 50 and 100 MOhm what most do."""
    reading = InsulationReading(Measured(megohm * 1e6), Measured(313.15), motor, rated_voltage=volts, conditions=WARM)
    assert insulation(reading).verdict == verdict


def test_a_test_voltage_out_of_range_is_told() -> None:
    with pytest.raises(OutOfRangeError, match="test_voltage"):
        form_wound(50.0, 480.0, 0.5)


@pytest.mark.parametrize(
    ("megohms", "celsius", "maker", "verdict"),
    [
        (20.0, -20.0, None, "warm up and repeat"),  # 0.31 MOhm at 40 degC
        (32.0, -20.0, None, "meets every stated minimum"),  # 0.50 MOhm: not clearly below the mildest minimum
        (5.0, 20.0, None, "meets every stated minimum"),  # room temperature, as the minima are meant
        (20.0, -20.0, 1e6, "warm up and repeat"),
        (20.0, 20.0, 1e6, "meets the maker's minimum"),
        (3.0, 9.9, None, "warm up and repeat"),  # 0.37 MOhm at 40 degC
        (3.0, 10.0, None, "meets every stated minimum"),
    ],
)
def test_a_frozen_winding_does_not_pass_for_being_cold(
    megohms: float, celsius: float, maker: float | None, verdict: InsulationOutcome
) -> None:
    """Halving for every 10 K (IEEE Std 43-2013, 6.3): a reading at -20 degC is 64 times that at 40 degC."""
    at = Measured(celsius + 273.15, 0.5)
    assert judged(megohms, temperature=at, maker_minimum=maker).verdict == verdict


def test_a_frozen_winding_beyond_the_range_of_the_meter_passes() -> None:
    cold = replace(WARM, over_range=True)
    assert judged(20.0, cold, temperature=Measured(253.15, 0.5)).verdict == "meets every stated minimum"


@pytest.mark.parametrize(
    ("motor", "megohms", "minimum", "document", "verdict"),
    [
        ("hermetic", 0.15, 0.1, "", "below every stated minimum"),
        ("hermetic", 0.15, 0.1, "Guide 7, page 2", "below every stated minimum"),
        ("hermetic", 0.4, 0.3, "", "below every stated minimum"),
        ("hermetic", 0.4, 0.3, "Guide 7, page 2", "meets the maker's minimum"),
        ("hermetic", 0.2, 0.3, "Guide 7, page 2", "below the maker's minimum"),
        ("hermetic-inverter", 0.15, 0.1, "", "meets the maker's minimum"),  # one published guide allows it
        ("hermetic-centrifugal", 20.0, 15.0, "Guide 7, page 2", "below every stated minimum"),
    ],
)
def test_a_typed_minimum_far_below_every_source_is_none(
    motor: str, megohms: float, minimum: float, document: str, verdict: InsulationOutcome
) -> None:
    """Worst wrong answer: a winding near ground is started on a limit that no source comes near."""
    resistance = Measured(megohms * 1e6, megohms * 2e4)
    found = insulation(
        InsulationReading(
            resistance, AT_40, motor, maker_minimum=minimum * 1e6, maker_document=document, conditions=WARM
        )
    )
    assert found.verdict == verdict
    assert all(check.limit.maker is not None for check in found.minima)
