"""Decay test after evacuation: tight, moisture, leak, or not to be told apart."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.decay_fit import DecayReading
from witnessmark.calculations.tightness.evacuation import TABLE, DecayTest, DecayVerdict, decay, default_scatter
from witnessmark.errors import InputError, OutOfRangeError

MICRON = 0.133322387415
HOUR = tuple(60.0 * k for k in range(0, 61, 5))
ROOM = Measured(293.15, 1.0)
Curve = Callable[[float], float]


def readings(curve: Curve, times: Sequence[float] = HOUR, seed: int = 1) -> tuple[DecayReading, ...]:
    """Readings of a curve in microns, with half of the stated scatter as seeded noise."""
    noise = np.random.default_rng(seed).normal(0, 0.5, len(times))
    found = []
    for time, part in zip(times, noise, strict=True):
        pressure = curve(time) * MICRON
        spread = default_scatter(pressure)
        found.append(DecayReading(time, Measured(pressure + spread * float(part), spread)))
    return tuple(found)


def flat(level: float) -> Curve:
    return lambda _time: level


def straight(start: float, per_hour: float) -> Curve:
    return lambda time: start + per_hour * time / 3600


def levelling(start: float, rise: float, constant: float = 600.0) -> Curve:
    return lambda time: start + rise * (1 - math.exp(-time / constant))


def judged(curve: Curve, coldest: Measured = ROOM, times: Sequence[float] = HOUR, **more: object) -> DecayVerdict:
    return decay(DecayTest(readings(curve, times), coldest, **more))  # type: ignore[arg-type]


def test_tight_and_dry() -> None:
    found = judged(flat(150))
    assert (found.verdict, found.reasons, found.rise) == ("tight and dry", ("flat below the limit",), "none")
    assert found.water_boils
    assert found.hold.standing == "within"


def test_a_trifling_rise_counts_as_none() -> None:
    found = judged(straight(150, 20))
    assert found.fit.best.shape == "straight"
    assert found.rise == "none"
    assert found.verdict == "tight and dry"


def test_the_last_outgassing_levels_off_below_the_limit() -> None:
    found = judged(levelling(150, 150))
    assert (found.verdict, found.reasons) == ("tight and dry", ("levels off below the limit",))


def test_moisture_levels_off() -> None:
    found = judged(levelling(300, 1500))
    assert (found.verdict, found.reasons) == ("moisture", ("levels off where water can hold it",))
    assert found.fit.plateau == pytest.approx(1800 * MICRON, rel=0.03)


def test_a_leak_climbs_past_what_water_can_reach() -> None:
    found = judged(straight(300, 60000))
    assert (found.verdict, found.reasons) == ("leak", ("past the boiling pressure of water",))


def test_a_leak_is_seen_before_it_gets_there() -> None:
    found = judged(straight(300, 3000))
    assert (found.verdict, found.reasons) == ("leak", ("bound to pass the boiling pressure of water",))
    assert found.time_to_water is not None
    assert found.time_to_water == pytest.approx((17546 - 3300) / 3000 * 3600, rel=0.05)


def test_the_same_climb_over_a_few_minutes_can_be_either() -> None:
    found = judged(straight(300, 3000), times=(0.0, 60.0, 120.0, 180.0, 240.0))
    assert found.verdict == "leak or moisture"
    assert found.reasons == ("straight, and water could still be the cause",)


def test_at_a_cold_spot_water_reaches_less() -> None:
    """The same plateau of 4200 micron: water at 20 degC can hold it, ice at -5 degC (3013 micron) cannot."""
    warm, cold = (judged(levelling(300, 3900), Measured(t, 0.5), scale_uncertainty=0.01) for t in (293.15, 268.15))
    assert warm.verdict == "moisture"
    assert cold.reasons == ("past the boiling pressure of water",)
    assert cold.coldest.standing == "outside"


def test_standing_at_the_boiling_pressure_of_ice() -> None:
    found = judged(flat(3013), Measured(268.15, 0.5))
    assert (found.verdict, found.reasons) == ("moisture", ("stands at the boiling pressure of water",))


def test_flat_but_not_deep() -> None:
    found = judged(flat(2000))
    assert (found.verdict, found.reasons) == ("cannot tell", ("flat but above the limit",))


def test_flat_near_the_limit_the_gauge_cannot_decide() -> None:
    assert judged(flat(520)).reasons == ("the gauge cannot decide",)


def test_a_falling_pressure_is_no_decay() -> None:
    found = judged(straight(600, -300))
    assert (found.verdict, found.reasons, found.rise) == ("cannot tell", ("the pressure fell",), "falls")
    assert found.time_to_water is None


def test_a_makers_limit_does_not_outweigh_the_boiling_pressure_of_water() -> None:
    """Flat at the boiling pressure of water, then above it: both are below a loose limit, neither is dry."""
    for micron, verdict, reason in (
        (17_500, "moisture", "stands at the boiling pressure of water"),
        (40_000, "cannot tell", "never below the boiling pressure of water"),
    ):
        test = DecayTest(readings(flat(micron)), ROOM, scale_uncertainty=0.02, maker_after_hold=1e4)
        found = decay(test)
        assert (found.verdict, found.reasons) == (verdict, (reason,))


def test_levelling_above_what_water_can_reach_but_within_the_gauge() -> None:
    """A coarse gauge reads 6000 micron, possibly the 4585 of water at 0 degC; the plateau is bound to lie above."""
    found = judged(levelling(300, 9000, 4000), Measured(268.15, 0.2), scale_uncertainty=0.25)
    assert found.rise == "levels off"
    assert found.verdict in {"cannot tell", "leak or moisture"}


def test_levels_off_above_water_is_not_called_moisture() -> None:
    found = judged(levelling(300, 9000, 9000), Measured(263.15, 0.2), scale_uncertainty=0.2)
    assert found.rise == "levels off"
    assert found.reasons == ("levels off above what water can reach",)
    assert found.verdict == "cannot tell"


SHORT = (0.0, 60.0, 120.0, 180.0, 240.0, 300.0, 360.0, 420.0, 480.0, 540.0, 600.0)


def test_after_more_pumping_a_leak_climbs_as_fast() -> None:
    curve = straight(300, 1500)
    found = decay(DecayTest(readings(curve, SHORT), ROOM, earlier=readings(curve, SHORT, seed=2)))
    assert (found.verdict, found.reasons) == ("leak", ("climbs as fast as in the earlier test",))


def test_after_more_pumping_moisture_climbs_more_slowly() -> None:
    earlier = readings(straight(300, 6000), SHORT, seed=2)
    found = decay(DecayTest(readings(straight(300, 1500), SHORT), ROOM, earlier=earlier))
    assert (found.verdict, found.reasons) == ("moisture", ("climbs more slowly than in the earlier test",))


def test_an_earlier_test_that_decides_nothing() -> None:
    few = (0.0, 60.0, 120.0)
    slow = straight(300, 1200)
    found = decay(DecayTest(readings(slow, few), ROOM, earlier=readings(slow, few, seed=3), maker_after_hold=40.0))
    assert found.verdict == "leak or moisture"


def test_a_plateau_that_straddles_the_limit_is_left_open() -> None:
    found = judged(levelling(300, 17000, 9000), Measured(293.15, 0.2), scale_uncertainty=0.10)
    assert found.rise == "levels off"
    assert found.verdict == "leak or moisture"
    assert found.reasons == ("the gauge cannot decide",)


@pytest.mark.parametrize(
    ("times", "maker", "verdict"),
    [
        ((0.0, 60.0, 120.0, 180.0), None, "hold too short"),
        ((0.0, 300.0, 600.0, 900.0), None, "hold disputed"),
        ((0.0, 60.0, 120.0, 180.0), 180.0, "tight and dry"),
    ],
)
def test_a_good_but_short_test(times: tuple[float, ...], maker: float | None, verdict: str) -> None:
    assert judged(flat(150), times=times, maker_hold=maker).verdict == verdict


def test_after_a_triple_evacuation_the_hold_is_longer() -> None:
    found = judged(flat(150), method="triple-evacuation")
    assert (found.hold.limit.value, found.verdict) == (7200, "hold disputed")


def test_the_vacuum_asked_for_depends_on_the_oil_and_shows_the_conflict() -> None:
    ester, other = judged(flat(150)), judged(flat(150), oil="mineral")
    assert {s.source for s in ester.reached.limit.stated} >= {"poe-vacuum-guide", "poe-vacuum-other-edition"}
    assert ester.reached.limit.conflicting
    assert {s.source for s in other.reached.limit.stated} >= {"vrf-vacuum-manual"}
    assert judged(flat(150), maker_vacuum=100.0).reached.limit.basis == "maker"
    assert judged(flat(700), maker_after_hold=200.0).verdict == "tight and dry"


def test_above_the_boiling_pressure_nothing_dries() -> None:
    assert not judged(flat(20000)).water_boils


BASE = DecayTest(readings(flat(150)), ROOM)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"readings": BASE.readings[:2]}, "readings"),
        ({"earlier": BASE.readings[:1]}, "earlier"),
        ({"readings": (*BASE.readings[:3], BASE.readings[2])}, "readings.3.time"),
        ({"readings": (*BASE.readings[:3], DecayReading(900.0, Measured(20.0)))}, "readings.3.pressure"),
    ],
)
def test_unusable_readings_name_their_field(changed: dict[str, object], field: str) -> None:
    with pytest.raises(InputError) as caught:
        decay(replace(BASE, **changed))  # type: ignore[arg-type]
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"coldest": Measured(100.0)}, "coldest"),
        ({"scale_uncertainty": 2.0}, "scale_uncertainty"),
        ({"readings": (*BASE.readings, DecayReading(1e7, Measured(20.0, 1.0)))}, "readings.13.time"),
        ({"readings": (*BASE.readings, DecayReading(5e5, Measured(2e5, 1.0)))}, "readings.13.pressure"),
    ],
)
def test_impossible_values_name_their_field(changed: dict[str, object], field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        decay(replace(BASE, **changed))  # type: ignore[arg-type]
    assert caught.value.field == field


def test_an_unstated_oil_counts_as_poe() -> None:
    levels = {oil: judged(flat(150), oil=oil).reached.limit.laxest for oil in (None, "POE", "PVE", "mineral")}
    assert levels == {None: 300.0, "POE": 300.0, "PVE": 666.6, "mineral": 666.6}


def exact(pressure: float, span: float = 3600.0, maker: float | None = None) -> DecayVerdict:
    """Flat, with a gauge that is all but exact."""
    log = tuple(DecayReading(span * k / 4, Measured(pressure, 1e-6)) for k in range(5))
    return decay(DecayTest(log, Measured(293.15), scale_uncertainty=0.0, maker_after_hold=maker))


@pytest.mark.parametrize(
    ("pascal", "reached", "after_hold"),
    [
        (26.65, "within", "within"),
        (26.67, "sources disagree", "within"),
        (66.65, "sources disagree", "within"),
        (66.67, "sources disagree", "sources disagree"),
        (133.29, "sources disagree", "sources disagree"),
        (133.31, "sources disagree", "outside"),
        (299.99, "sources disagree", "outside"),
        (300.01, "outside", "outside"),
    ],
)
def test_the_edges_of_the_vacuum(pascal: float, reached: str, after_hold: str) -> None:
    found = exact(pascal)
    assert (found.reached.standing, found.after_hold.standing) == (reached, after_hold)


@pytest.mark.parametrize(
    ("span", "standing"),
    [(3600.0, "within"), (3599.0, "sources disagree"), (600.0, "sources disagree"), (599.0, "outside")],
)
def test_the_edges_of_the_hold(span: float, standing: str) -> None:
    assert exact(20.0, span).hold.standing == standing


@pytest.mark.parametrize(("kelvin", "standing"), [(275.15, "within"), (275.14, "outside")])
def test_the_edge_of_the_coldest_spot(kelvin: float, standing: str) -> None:
    assert judged(flat(150), Measured(kelvin)).coldest.standing == standing


@pytest.mark.parametrize(("count", "accepted"), [(2, False), (3, True), (2000, True), (2001, False)])
def test_how_many_readings_are_taken(count: int, accepted: bool) -> None:  # noqa: FBT001
    log = tuple(DecayReading(float(k), Measured(20.0, 0.5)) for k in range(count))
    if accepted:
        assert decay(DecayTest(log, ROOM)).fit.fits
        return
    with pytest.raises(InputError) as caught:
        decay(DecayTest(log, ROOM))
    assert caught.value.field == "readings"


@pytest.mark.parametrize(("later", "accepted"), [(1.0, True), (0.999, False)])
def test_readings_are_a_second_apart_at_least(later: float, accepted: bool) -> None:  # noqa: FBT001
    log = (*BASE.readings, DecayReading(BASE.readings[-1].time + later, BASE.readings[-1].pressure))
    if accepted:
        assert decay(replace(BASE, readings=log)).verdict == "tight and dry"
        return
    with pytest.raises(InputError) as caught:
        decay(replace(BASE, readings=log))
    assert caught.value.field == "readings.13.time"


def test_the_examples_of_the_docstrings() -> None:
    assert exact(20.0).verdict == "tight and dry"
    assert exact(20.0).water.value == pytest.approx(2339, abs=1)
    assert default_scatter(100.0) == pytest.approx(1.0088, abs=1e-4)


def test_a_rise_per_hour_and_an_unbounded_plateau() -> None:
    found = judged(straight(300, 3000), times=(0.0, 60.0, 120.0, 180.0, 240.0))
    assert found.rise_per_hour.value == pytest.approx(3000 * MICRON, rel=0.1)
    assert found.plateau_high is None
    assert judged(levelling(300, 1500)).plateau_high == pytest.approx(1800 * MICRON, rel=0.1)


def test_the_file_holds_what_was_reviewed() -> None:
    table = TABLE()
    assert (table.gauge.of_reading, table.gauge.repeatability, table.gauge.resolution) == (0.10, 0.01, 0.1333)
    assert (table.trivial_rise.fraction, table.same_slope.fraction) == (0.1, 0.3)
