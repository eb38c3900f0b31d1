"""Standing pressure test with nitrogen."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.calculations.metrology.uncertainty import Measured, propagate
from witnessmark.calculations.tightness.pressure_test import (
    GasModel,
    PressureTest,
    StageReading,
    StageResult,
    expected_pressure,
    pressure_test,
    shared_uncertainty,
    stage_result,
)
from witnessmark.calculations.tightness.pressure_test_table import TABLE
from witnessmark.errors import ConflictError, InputError, OutOfRangeError
from witnessmark.refrigerants import nitrogen

AIR = 101325.0
DAY = 86400.0


def stage(start: float, warm: float, end: float, cool: float, held: float = DAY, fine: float = 1.0) -> StageReading:
    """Pressures in MPa gauge, temperatures in degC; `fine` scales the instruments' uncertainty."""
    return StageReading(
        Measured(start * 1e6 + AIR, 5e3 * fine),
        Measured(warm + 273.15, 0.3 * fine),
        Measured(end * 1e6 + AIR, 5e3 * fine),
        Measured(cool + 273.15, 0.3 * fine),
        held,
    )


def tight(start: float, warm: float, cool: float, held: float = DAY) -> StageReading:
    """A stage in which only the temperature changed, by the real gas."""
    end = nitrogen.at_constant_volume(start * 1e6 + AIR, warm + 273.15, cool + 273.15) - AIR
    return stage(start, warm, end / 1e6, cool, held)


SMALL, MIDDLE = tight(0.3, 27, 27, 180), tight(1.5, 27, 27, 180)


def rule(found: StageResult, name: str) -> str | None:
    return next(r.misleads for r in found.thumb_rules if r.rule == name)


def test_a_tight_circuit_that_cooled() -> None:
    found = pressure_test(PressureTest((SMALL, MIDDLE, tight(3.8, 27, 20))))
    assert found.verdict == "no loss seen"
    assert [s.verdict for s in found.stages] == ["no loss seen"] * 3
    assert found.remarks == ()
    assert found.hold.value == DAY


def test_the_thumb_rule_calls_a_tight_circuit_leaking() -> None:
    """3.8 MPa from 27 to 20 degC: the rule of 0.01 MPa/K expects 3.73, the gas law less than 3.71 MPa gauge."""
    found = stage_result(tight(3.8, 27, 20), "real-nitrogen")
    assert found.verdict == "no loss seen"
    assert rule(found, "0.01 MPa per kelvin") == "calls a tight system leaking"
    assert rule(found, "0.3 psi per degree Fahrenheit") == "calls a tight system leaking"
    assert rule(found, "1 psi per degree Fahrenheit") is None


def test_the_thumb_rule_hides_a_leak_when_it_warms() -> None:
    """Warmed by 7 K the gas should stand near 3.9 MPa; at 3.87 it has lost some, and the rule sees none."""
    found = stage_result(stage(3.8, 20, 3.868, 27), "real-nitrogen")
    assert found.verdict == "leak"
    assert rule(found, "0.01 MPa per kelvin") == "hides a leak"


def test_a_rule_is_right_at_one_pressure_only() -> None:
    found = stage_result(tight(2.9, 27, 20), "ideal-gas").thumb_rules[0]
    assert found.right_at == pytest.approx(1e4 * 300.15)


@given(st.floats(0.2e6, 5e6), st.floats(260, 320), st.floats(260, 320))
def test_ideal_gas_keeps_pressure_over_temperature(pressure: float, one: float, other: float) -> None:
    reading = StageReading(Measured(pressure), Measured(one), Measured(pressure), Measured(other), DAY)
    assert expected_pressure(reading, "ideal-gas").value / other == pytest.approx(pressure / one)


def test_uncertainty_equals_the_general_propagation_for_both_gases() -> None:
    reading = stage(3.8, 27, 3.7, 20)
    inputs = (reading.start_pressure, reading.start_temperature, reading.end_temperature)
    ideal = propagate(lambda p, t, u: p * u / t, *inputs)
    real = propagate(nitrogen.at_constant_volume, *inputs)
    assert expected_pressure(reading, "ideal-gas").uncertainty == pytest.approx(ideal.uncertainty, rel=1e-4)
    # The ideal slopes stand in for the real gas: good enough to be within 10 % of its uncertainty.
    assert expected_pressure(reading, "real-nitrogen").uncertainty == pytest.approx(real.uncertainty, rel=0.1)


def test_a_leak_is_a_leak_whatever_else() -> None:
    found = pressure_test(PressureTest((SMALL, stage(1.5, 27, 1.3, 27, 180), tight(3.8, 27, 20))))
    assert found.verdict == "leak"


def test_pressure_that_rose_without_warming_contradicts() -> None:
    found = pressure_test(PressureTest((stage(3.8, 27, 3.9, 27),)))
    assert found.verdict == "readings contradict"


@pytest.mark.parametrize(
    ("gain", "verdict"),
    [(4.9e3, "no loss seen"), (6e3, "no loss seen"), (7.4e3, "no loss seen"), (7.6e3, "readings contradict")],
)
def test_a_gain_too_small_to_hide_a_loss_that_matters(gain: float, verdict: str) -> None:
    """1 MPa that cooled in a night, 2.5 kPa twice is visible, 1 % matters: a gain of 7.5 kPa leaves 2.5 to hide in."""
    reading = StageReading(Measured(1e6), Measured(300.0), Measured(1e6 + gain, 1.25e3), Measured(300.0), DAY)
    assert stage_result(reading, "ideal-gas", 0.01).verdict == verdict


def test_coarse_instruments_cannot_tell() -> None:
    coarse = stage(3.8, 27, 3.8, 27, fine=12.0)
    found = pressure_test(PressureTest((coarse,)))
    assert found.verdict == "cannot tell"
    assert found.stages[0].smallest_visible_loss / found.stages[0].expected_pressure.value > found.sensitivity
    fine = tight(3.8, 27, 20)
    assert pressure_test(PressureTest((fine,))).verdict == "no loss seen"
    assert pressure_test(PressureTest((fine,), wanted_sensitivity=0.004)).verdict == "cannot tell"
    with pytest.raises(OutOfRangeError):  # a caller may ask for more, not for less
        pressure_test(PressureTest((coarse,), wanted_sensitivity=0.0101))


@pytest.mark.parametrize(
    ("reading", "remarked"),
    [
        (stage(3.8, 27, 3.8, 45), True),  # sun on the thermometer, or a leak that hides behind it: prove which
        (stage(3.8, 45, 3.8, 27), True),
        (tight(3.8, 27, 20), False),
        (stage(3.8, 27, 3.8, 27), False),
        (stage(3.8, 27, 3.75, 27), False),
    ],
)
def test_pressure_that_did_not_follow_the_temperature(reading: StageReading, remarked: bool) -> None:  # noqa: FBT001
    found = pressure_test(PressureTest((reading,)))
    assert ("pressure did not follow the temperature" in found.remarks) is remarked
    assert found.verdict == "no loss seen" or remarked or reading.end_pressure.value < reading.start_pressure.value


def psi_stage(start: float, end: float, gauge: float, thermometer: float, change: float = 0.0) -> StageReading:
    """Gauge readings in psi at 297 K, a day apart; uncertainties in psi and K."""
    psi = 6894.757293168361
    p, q = (Measured((x + 14.696) * psi, gauge * psi) for x in (start, end))
    return StageReading(p, Measured(297.0, thermometer), q, Measured(297.0 + change, thermometer), DAY)


@pytest.mark.parametrize(
    ("gauge", "thermometer", "verdict"),
    [
        (0.25, 0.29, "leak"),  # what differs between two readings of one gauge and one thermometer
        (0.25, 1.04, "cannot tell"),  # two thermometers: 5 psi are not seen, and it must not be called tight
        (2.5, 0.29, "cannot tell"),
        (2.5, 1.04, "cannot tell"),
        (0.02, 0.02, "leak"),
    ],
)
def test_three_psi_lost_are_never_called_tight(gauge: float, thermometer: float, verdict: str) -> None:
    assert pressure_test(PressureTest((psi_stage(500, 497, gauge, thermometer),))).verdict == verdict


@given(st.floats(0.0101, 0.2), st.floats(0.0, 60e3), st.floats(0.0, 2.0))
def test_whatever_the_instruments_more_than_the_limit_lost_is_not_tight(
    lost: float, gauge: float, thermometer: float
) -> None:
    end = Measured(3e6 * (1 - lost), gauge)
    reading = StageReading(Measured(3e6, gauge), Measured(300.0, thermometer), end, Measured(300.0, thermometer), DAY)
    assert pressure_test(PressureTest((reading,))).verdict != "no loss seen"


def test_what_both_ends_get_wrong_alike_counts_only_with_a_change_of_temperature() -> None:
    """20 kPa of gauge at 15 K of 300: 1 kPa. 1 K of thermometer at 3 MPa and 300 K: 10 kPa * 15/300 = 0.5 kPa."""
    cool = StageReading(Measured(3e6), Measured(300.0), Measured(2.85e6), Measured(285.0), DAY, 20e3, 1.0)
    still = replace(cool, end_temperature=Measured(300.0))
    assert shared_uncertainty(still) == 0.0
    assert shared_uncertainty(replace(cool, thermometer_bias=0.0)) == pytest.approx(1e3)
    assert shared_uncertainty(replace(cool, gauge_bias=0.0)) == pytest.approx(500.0)
    assert stage_result(cool, "ideal-gas").loss.uncertainty == pytest.approx((1e3**2 + 500.0**2) ** 0.5)
    # the whole law, both ends moved alike
    moved = 3.02e6 * 285 / 300 - 2.87e6
    assert abs(moved) == pytest.approx(1e3)
    warmer = 3e6 * 286 / 301 - 2.85e6
    assert warmer == pytest.approx(500.0, rel=0.01)


def test_only_the_last_stage_must_be_that_sharp() -> None:
    rough = stage(0.3, 27, 0.3, 27, 180, fine=10.0)
    assert pressure_test(PressureTest((rough, tight(3.8, 27, 20)))).verdict == "no loss seen"


@pytest.mark.parametrize(
    ("held", "maker", "verdict"),
    [
        (DAY, None, "no loss seen"),
        (2 * 3600.0, None, "hold disputed"),
        (300.0, None, "hold too short"),
        (300.0, 240.0, "no loss seen"),
    ],
)
def test_how_long_it_stood(held: float, maker: float | None, verdict: str) -> None:
    assert pressure_test(PressureTest((tight(3.8, 27, 27, held),), maker_hold=maker)).verdict == (
        "hold too short" if maker else verdict
    )
    by_document = PressureTest(
        (tight(3.8, 27, 27, held),), maker_hold=maker and 300.0, maker_document="Guide 7, page 2"
    )
    assert pressure_test(by_document).verdict == verdict


def test_loss_per_day() -> None:
    found = stage_result(stage(3.8, 27, 3.7, 27, DAY / 2), "ideal-gas")
    assert found.loss.value == pytest.approx(1e5)
    assert found.loss_fraction.value == pytest.approx(1e5 / (3.8e6 + AIR))
    assert found.loss_per_day == pytest.approx(2 * found.loss_fraction.value)
    assert found.visible_per_day == pytest.approx(2 * found.smallest_visible_loss / found.expected_pressure.value)


@pytest.mark.parametrize("gas", ["oxygen", "air", "flammable-gas", "refrigerant"])
def test_only_inert_gas_is_allowed(gas: str) -> None:
    test = PressureTest((tight(3.8, 27, 20),), gas=gas, model="ideal-gas")  # type: ignore[arg-type]
    found = pressure_test(test)
    assert (found.verdict, found.refusals) == ("not a valid test", ("gas not allowed",))


def test_another_inert_gas_goes_by_the_ideal_gas() -> None:
    test = PressureTest((stage(2.0, 20, 2.0, 20),), gas="other-inert-gas", model="ideal-gas")
    assert pressure_test(test).verdict == "no loss seen"
    with pytest.raises(ConflictError) as caught:
        pressure_test(replace(test, model="real-nitrogen"))
    assert caught.value.fields == ("gas", "model")


def test_above_the_plants_maximum_nothing_is_judged() -> None:
    found = pressure_test(PressureTest((tight(3.8, 27, 20),), maximum_pressure=3e6))
    assert (found.verdict, found.refusals) == ("not a valid test", ("above the maximum pressure",))
    assert pressure_test(PressureTest((tight(3.8, 27, 20),), maximum_pressure=4.5e6)).refusals == ()


def test_remarks_on_the_stages() -> None:
    found = pressure_test(PressureTest((tight(3.8, 27, 27, 60), tight(1.5, 27, 27))))
    assert found.remarks == ("stages out of order", "first stage above 0.3 MPa gauge", "stage held too briefly")


def test_no_stage_no_answer() -> None:
    with pytest.raises(InputError) as caught:
        pressure_test(PressureTest(()))
    assert caught.value.field == "stages"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"start_pressure": Measured(100.0)}, "stages.1.start_pressure"),
        ({"end_pressure": Measured(3e7)}, "stages.1.end_pressure"),
        ({"start_temperature": Measured(100.0)}, "stages.1.start_temperature"),
        ({"end_temperature": Measured(float("nan"))}, "stages.1.end_temperature"),
        ({"duration": 0.0}, "stages.1.duration"),
    ],
)
def test_impossible_stages_name_their_field(changed: dict[str, object], field: str) -> None:
    bad = replace(MIDDLE, **changed)  # type: ignore[arg-type]
    with pytest.raises(OutOfRangeError) as caught:
        pressure_test(PressureTest((SMALL, bad)))
    assert caught.value.field == field


def test_an_impossible_sensitivity() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        pressure_test(PressureTest((SMALL,), wanted_sensitivity=2.0))
    assert caught.value.field == "wanted_sensitivity"


@pytest.mark.parametrize("model", ["ideal-gas", "real-nitrogen"])
def test_absurd_uncertainty_is_no_crash(model: GasModel) -> None:
    reading = replace(MIDDLE, start_pressure=Measured(1.6e6, 1e15), end_temperature=Measured(300.0, 1e9))
    assert stage_result(reading, model, 0.03).verdict == "cannot tell"


def test_a_hot_full_cylinder_can_leave_the_range_of_the_gas() -> None:
    reading = StageReading(Measured(15e6), Measured(200.0), Measured(15e6), Measured(400.0), DAY)
    assert stage_result(reading, "real-nitrogen").expected_pressure.value > 30e6


def test_the_stages_stand_in_the_data_file_in_order() -> None:
    pressures = [row.pressure for row in TABLE().stages]
    assert pressures == sorted(pressures)


@pytest.mark.parametrize(
    ("hold", "verdict"),
    [
        (86400.0, "no loss seen"),
        (86399.0, "hold disputed"),
        (600.0, "hold disputed"),
        (599.0, "hold too short"),
    ],
)
def test_the_edges_of_the_hold(hold: float, verdict: str) -> None:
    assert pressure_test(PressureTest((tight(3.8, 27, 27, hold),))).verdict == verdict


@pytest.mark.parametrize(("hold", "remarked"), [(180.0, False), (179.9, True)])
def test_the_edge_of_a_stage_held_too_briefly(hold: float, remarked: bool) -> None:  # noqa: FBT001
    found = pressure_test(PressureTest((tight(0.3, 27, 27, hold), tight(3.8, 27, 27))))
    assert ("stage held too briefly" in found.remarks) is remarked


@pytest.mark.parametrize(("gauge", "remarked"), [(0.36, False), (0.361, True)])
def test_the_edge_of_the_first_stage(gauge: float, remarked: bool) -> None:  # noqa: FBT001
    """A fifth above 0.3 MPa is not remarked upon."""
    first = StageReading(Measured(AIR + gauge * 1e6), Measured(300.0), Measured(AIR + 3e5), Measured(300.0), 180.0)
    found = pressure_test(PressureTest((first, tight(3.8, 27, 27)), air_pressure=AIR))
    assert ("first stage above 0.3 MPa gauge" in found.remarks) is remarked


@pytest.mark.parametrize(("highest", "refused"), [(3.8e6 + AIR, False), (3.8e6 + AIR - 1, True)])
def test_the_edge_of_the_maximum_pressure(highest: float, refused: bool) -> None:  # noqa: FBT001
    found = pressure_test(PressureTest((tight(3.8, 27, 20),), maximum_pressure=highest))
    assert bool(found.refusals) is refused


@pytest.mark.parametrize(
    ("end", "verdict"),
    [(990e3, "no loss seen"), (989e3, "leak"), (1010e3, "no loss seen"), (1011e3, "readings contradict")],
)
def test_the_edge_of_a_visible_loss(end: float, verdict: str) -> None:
    """1 MPa exact against a gauge of 5 kPa: twice that is 10 kPa, either way."""
    reading = StageReading(Measured(1e6), Measured(300.0), Measured(end, 5e3), Measured(300.0), DAY)
    assert stage_result(reading, "ideal-gas").verdict == verdict


def test_a_test_in_one_step_has_no_first_stage() -> None:
    assert pressure_test(PressureTest((tight(3.8, 27, 27),))).remarks == ()


@pytest.mark.parametrize(("end", "verdict"), [(0.9901e6, "no loss seen"), (0.9899e6, "cannot tell")])
def test_the_edge_of_the_sensitivity(end: float, verdict: str) -> None:
    """1 MPa exact, 1 %: 10 kPa of loss and spread together. A spread of 5 kPa covers 5 kPa lost."""
    spread = (1e6 - end) / 2
    reading = StageReading(Measured(1e6), Measured(300.0), Measured(1e6 - spread, spread / 2), Measured(300.0), DAY)
    assert pressure_test(PressureTest((reading,), model="ideal-gas")).verdict == verdict


def test_the_examples_of_the_docstrings() -> None:
    whole = StageReading(Measured(3e6), Measured(300.0), Measured(2.9e6), Measured(290.0), DAY)
    assert expected_pressure(whole, "ideal-gas").value == pytest.approx(2.9e6)
    test = PressureTest((whole,), model="ideal-gas", air_pressure=0.0)
    assert pressure_test(test).verdict == "no loss seen"
    cooled = StageReading(Measured(1e6), Measured(300.0), Measured(0.97e6), Measured(294.0), DAY)
    found = stage_result(cooled, "ideal-gas")
    assert found.expected_pressure.value == pytest.approx(0.98e6)
    assert found.loss.value == pytest.approx(1e4)
    assert found.loss_fraction.value == pytest.approx(1 / 98)
    assert len(found.thumb_rules) == 3


def test_the_file_holds_what_was_reviewed() -> None:
    assert TABLE().sensitivity.fraction == 0.01
    assert [(s.pressure, s.hold) for s in TABLE().stages] == [(0.3e6, 180), (1.5e6, 180), (4e6, 86400)]
    psi = 6894.757293168361
    assert [r.slope for r in TABLE().thumb_rules] == pytest.approx([1e4, 0.3 * psi * 1.8, psi * 1.8])


def test_of_three_stages_the_last_decides_whether_it_can_be_told() -> None:
    rough, sharp = stage(1.5, 27, 1.5, 27, 180, fine=30.0), tight(3.8, 27, 20)
    assert pressure_test(PressureTest((SMALL, rough, sharp))).verdict == "no loss seen"
    blurred = stage(3.8, 27, 3.8, 27, fine=30.0)
    assert pressure_test(PressureTest((SMALL, MIDDLE, blurred))).verdict == "cannot tell"


@pytest.mark.parametrize(
    ("times", "refusals", "remarks"),
    [
        (0.5, (), ("below the allowable pressure",)),
        (0.98, (), ("below the allowable pressure",)),
        (0.999, (), ()),  # the gauge may be that much off
        (1.0, (), ()),
        (1.1, (), ()),
        (1.13, (), ("above the strength tests of standards",)),
        (1.5, (), ("above the strength tests of standards",)),
        (1.51, ("far above the allowable pressure",), ("above the strength tests of standards",)),
        (2.0, ("far above the allowable pressure",), ("above the strength tests of standards",)),
    ],
)
def test_the_test_is_held_against_the_allowable_pressure(
    times: float, refusals: tuple[str, ...], remarks: tuple[str, ...]
) -> None:
    """PS 2 MPa gauge: standards ask for 1.0 (tightness) to 1.1 times it (strength); twice it strains every joint."""
    found = pressure_test(PressureTest((tight(2.0 * times, 20, 20),), allowable_pressure=2e6 + AIR))
    assert (found.refusals, found.remarks) == (refusals, remarks)
    assert (found.verdict == "not a valid test") == bool(refusals)


def test_an_allowable_pressure_no_higher_than_the_air_says_nothing() -> None:
    assert pressure_test(PressureTest((tight(2.0, 20, 20),), allowable_pressure=AIR)).remarks == ()
