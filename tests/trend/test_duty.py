"""Starts, ratio, heat, vacuum, running without pumping: found where they are, and not where the weather is to blame."""

from dataclasses import replace

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.refrigerants import saturation
from witnessmark.trend import duty
from witnessmark.trend.episode import View


def test_short_cycling() -> None:
    view = machine.view(machine.sound(0.5, on=4, off=4))
    (episode,) = duty.short_cycling(view)
    assert {shown.name: shown.value.value for shown in episode.shown} == {"starts_per_hour": 8.0, "run_time": 240.0}
    assert not list(duty.short_cycling(machine.view(machine.sound(0.5, on=8, off=8))))
    assert not list(duty.short_cycling(machine.view(machine.sound(0.1, on=5000))))


def test_runs_of_two_minutes() -> None:
    (episode,) = duty.short_cycling(machine.view(machine.sound(0.5, on=2, off=11)))
    assert episode.shown[1].value.value == 120.0


def test_a_few_starts_in_a_row_are_none() -> None:
    columns = machine.sound(0.5)
    columns["running"][100:112] = np.arange(12) % 4 < 2
    assert not list(duty.short_cycling(machine.view(columns)))


def condensing_at(columns: machine.Columns, rows: machine.Array, kelvin: float) -> None:
    hot = saturation.dew_temperature(machine.GAS, columns["discharge_pressure"]) + kelvin * rows
    columns["discharge_pressure"] = saturation.dew_pressure(machine.GAS, hot)
    columns["discharge_temperature"] = columns["discharge_temperature"] + 1.6 * kelvin * rows
    columns["liquid_temperature"] = columns["liquid_temperature"] + kelvin * rows


def evaporating_at(columns: machine.Columns, rows: machine.Array, kelvin: float) -> None:
    cold = saturation.dew_temperature(machine.GAS, columns["suction_pressure"]) + kelvin * rows
    columns["suction_pressure"] = saturation.dew_pressure(machine.GAS, cold)
    columns["suction_temperature"] = columns["suction_temperature"] + kelvin * rows


def test_a_ratio_beyond_every_limit_and_every_habit() -> None:
    columns = machine.sound(10.0)
    rows = machine.between(columns, 100.0, 110.0) & (columns["running"] > 0)
    evaporating_at(columns, rows, -42.0)
    condensing_at(columns, rows, 12.0)
    (episode,) = duty.high_ratio(machine.view(columns))
    assert episode.shown[0].value.value > 8.0
    assert episode.findings is None


def test_a_lift_beyond_habit_says_which_end() -> None:
    hot, cold = machine.sound(12.0), machine.sound(12.0)
    condensing_at(hot, machine.between(hot, 100.0, 160.0), 14.0)
    evaporating_at(cold, machine.between(cold, 100.0, 160.0), -12.0)
    (high,) = duty.high_ratio(machine.view(hot))
    assert high.findings == (("condensing-pressure", "high"),)
    (low,) = duty.high_ratio(machine.view(cold))
    assert low.findings == (("suction-pressure", "low"),)
    assert abs(low.start - (machine.BEGIN + 100 * 3600)) <= 6 * 3600


def test_hot_weather_is_no_fault_of_the_machine() -> None:
    columns = machine.sound(12.0)
    heat = np.where(machine.between(columns, 120.0, 240.0), 9.0, 0.0)
    columns["ambient_temperature"] = columns["ambient_temperature"] + heat
    condensing_at(columns, heat > 0, 9.0)
    assert machine.judged(columns).episodes == ()


def test_discharge_beyond_the_limit_and_the_habit() -> None:
    columns = machine.sound(10.0)
    rows = machine.between(columns, 100.0, 104.0) & (columns["running"] > 0)
    columns["discharge_temperature"] = columns["discharge_temperature"] + 40.0 * rows
    (episode,) = duty.high_discharge_temperature(machine.view(columns))
    assert episode.shown[0].value.value > 380.0
    hotter = machine.sound(10.0)
    hotter["discharge_temperature"] = hotter["discharge_temperature"] + 14.0 * machine.between(hotter, 100.0, 150.0)
    (warm,) = duty.high_discharge_temperature(machine.view(hotter))
    assert warm.findings == ()
    assert 10.0 < warm.shown[0].value.value < 16.0


def test_hot_without_a_habit_only_where_no_machine_stands_it() -> None:
    columns = machine.sound(1.0)
    columns["discharge_temperature"] = columns["discharge_temperature"] + 65.0 * (columns["running"] > 0)
    assert list(duty.high_discharge_temperature(machine.view(columns)))


def test_vacuum() -> None:
    columns = machine.sound(2.0, on=200, off=30)
    rows = machine.between(columns, 24.0, 25.5)
    columns["suction_pressure"] = np.where(rows, 6e4, columns["suction_pressure"])
    (episode,) = duty.vacuum_running(machine.view(columns))
    assert episode.shown[0].value.value == 6e4
    assert not list(duty.vacuum_running(machine.view(columns, ("suction_pressure",))))


def test_pump_down_at_each_stop_is_normal() -> None:
    columns = machine.sound(2.0)
    minute = np.arange(columns["time"].size) % 60
    down = np.clip((minute - 27.0) / 12.0, 0.0, 1.0) * (minute < 40)
    columns["suction_pressure"] = columns["suction_pressure"] * (1.0 - 0.8 * down)
    assert not list(duty.vacuum_running(machine.view(columns, pump_down=True)))


def test_a_pump_down_that_never_ends() -> None:
    columns = machine.sound(3.0, on=100, off=20)
    rows = machine.between(columns, 40.0, 46.0)
    columns["suction_pressure"] = np.where(rows, 0.62, 1.0) * columns["suction_pressure"]
    columns["running"] = np.where(rows, 1.0, columns["running"])
    (episode,) = duty.vacuum_running(machine.view(columns, pump_down=True))
    assert episode.seconds >= 5 * 3600


def test_no_pressure_difference() -> None:
    columns = machine.sound(1.0)
    rows = machine.between(columns, 10.0, 12.0)
    columns["suction_pressure"] = np.where(rows, columns["discharge_pressure"] / 1.05, columns["suction_pressure"])
    (episode,) = duty.no_pressure_difference(machine.view(columns))
    assert episode.shown[0].value.value < 1.2
    assert not list(duty.no_pressure_difference(machine.view(columns, ("running", "current"))))


def test_a_compressor_that_condenses_at_the_temperature_of_the_air_hardly_pumps() -> None:
    columns = machine.sound(2.0)
    rows = machine.between(columns, 20.0, 24.0)
    air = columns["ambient_temperature"]
    columns["discharge_pressure"] = np.where(
        rows, saturation.dew_pressure(machine.GAS, air + 0.5), columns["discharge_pressure"]
    )
    columns["suction_pressure"] = np.where(
        rows, saturation.dew_pressure(machine.GAS, air - 14.0), columns["suction_pressure"]
    )
    assert list(duty.no_pressure_difference(machine.view(columns)))
    assert not list(duty.no_pressure_difference(machine.view(columns, ("ambient_temperature",))))


@pytest.mark.parametrize("ratio", [1.3, 1.45, 1.6])
def test_a_compressor_of_one_speed_that_lifts_little_and_rejects_little_heat_hardly_pumps(ratio: float) -> None:
    """Usual here: ratio 2.5, 13 K over the air. Six K over it at a low ratio is a pump that leaks inside."""
    columns = machine.sound(4.0)
    rows = machine.between(columns, 30.0, 36.0) & (columns["running"] > 0)
    high = saturation.dew_pressure(machine.GAS, columns["ambient_temperature"] + 6.0)
    columns["discharge_pressure"] = np.where(rows, high, columns["discharge_pressure"])
    columns["suction_pressure"] = np.where(rows, high / ratio, columns["suction_pressure"])
    (episode,) = duty.no_pressure_difference(machine.view(columns))
    assert episode.seconds >= 2 * 3600
    columns["speed"] = np.where(columns["running"] > 0, np.where(rows, 0.6, 1.0), 0.0)
    assert not list(duty.no_pressure_difference(machine.view(columns))), "at part speed that is its load"


def test_a_low_ratio_in_mild_weather_condemns_no_pump() -> None:
    """Twelve K over air of 8 degC: a ratio of 1.6, and as much heat as ever."""
    columns = machine.sound(4.0)
    rows = machine.between(columns, 30.0, 36.0) & (columns["running"] > 0)
    mild = machine.ICE + 8.0
    high = saturation.dew_pressure(machine.GAS, np.full(rows.size, mild + 12.0))
    columns["ambient_temperature"] = np.where(
        machine.between(columns, 29.0, 37.0), mild, columns["ambient_temperature"]
    )
    columns["discharge_pressure"] = np.where(rows, high, columns["discharge_pressure"])
    columns["suction_pressure"] = np.where(rows, high / 1.6, columns["suction_pressure"])
    assert not list(duty.no_pressure_difference(machine.view(columns)))


def held_head(days: float = 120.0) -> machine.Columns:
    """Fans hold 25 degC of condensing in air below 12 degC; most days are cold, and a warm spell comes now and then."""
    columns = machine.sound(days)
    day = (columns["time"] - machine.BEGIN) / 86_400.0
    warm = np.isin(np.floor(day) % 15, (0, 1, 2))
    air = machine.ICE + np.where(warm, 24.0, 2.0 + 3.0 * np.sin(day)) + 3.0 * np.sin(2 * np.pi * day)
    hot = np.maximum(air + 13.0, machine.ICE + 25.0)
    before = saturation.dew_temperature(machine.GAS, columns["discharge_pressure"])
    rows = columns["running"] > 0
    columns["discharge_pressure"] = saturation.dew_pressure(machine.GAS, np.where(rows, hot, air + 1.0))
    columns["ambient_temperature"] = air
    for line in ("discharge_temperature", "liquid_temperature"):
        columns[line] = columns[line] + np.where(rows, hot, air + 1.0) - before
    return columns


def test_warm_spells_of_a_machine_whose_head_is_held_in_the_cold_are_no_high_ratio() -> None:
    assert not list(duty.high_ratio(machine.view(held_head())))


def test_a_condenser_without_air_is_found_on_a_machine_whose_head_is_held_in_the_cold() -> None:
    columns = held_head()
    condensing_at(columns, machine.between(columns, 60 * 24.0, 62.5 * 24.0) & (columns["running"] > 0), 16.0)
    (episode,) = duty.high_ratio(machine.view(columns))
    assert episode.findings == (("condensing-pressure", "high"),)


def test_searches_without_their_channels_find_nothing() -> None:
    view = machine.view(machine.sound(0.2), ("suction_pressure", "discharge_temperature"))
    searches = (duty.high_ratio, duty.high_discharge_temperature, duty.vacuum_running, duty.no_pressure_difference)
    assert [list(search(view)) for search in searches] == [[]] * 4
    assert isinstance(view, View)


def test_a_head_near_what_circuits_are_built_for() -> None:
    """44.5 bar on R-410A: its high-pressure switch (42 bar, common practice) must have opened."""
    columns = machine.sound(1.0)
    rows = machine.between(columns, 10.0, 11.0)
    columns["discharge_pressure"] = np.where(rows, 4.45e6, columns["discharge_pressure"])
    (episode,) = duty.high_head_pressure(machine.view(columns))
    assert (episode.kind, episode.word) == ("high-head-pressure", "severe")
    assert episode.shown[0].value.value == 4.45e6
    assert "high-head-pressure" in machine.kinds(machine.judged(columns))


def test_no_head_that_is_too_high() -> None:
    assert not list(duty.high_head_pressure(machine.view(machine.sound(1.0))))
    assert not list(duty.high_head_pressure(machine.view(machine.sound(0.2), ["discharge_pressure"])))
    view = machine.view(machine.sound(0.2))
    nameplate = replace(view.plant, operating=replace(view.plant.operating, refrigerant="R-23"))
    assert not list(duty.high_head_pressure(replace(view, plant=nameplate)))


def test_swapped_pressures_condemn_no_pump() -> None:
    columns = machine.sound(1.0)
    columns["suction_pressure"], columns["discharge_pressure"] = (
        columns["discharge_pressure"],
        columns["suction_pressure"],
    )
    assert not list(duty.no_pressure_difference(machine.view(columns)))


def test_five_starts_an_hour_with_a_sixth_now_and_then_are_no_short_cycling() -> None:
    """Twelve minutes a cycle, every fourth of ten: six starts within an hour, and five of most hours."""
    columns = machine.sound(3.0)
    lengths = np.array([12, 12, 12, 10] * 100)
    begins = np.concatenate(([0], np.cumsum(lengths)))
    since = (
        np.arange(columns["time"].size) - begins[np.searchsorted(begins, np.arange(columns["time"].size), "right") - 1]
    )
    columns["running"] = (since < 5).astype(float)
    assert not list(duty.short_cycling(machine.view(columns)))


def test_what_comes_again_within_a_week_is_one_episode() -> None:
    columns, minute = machine.sound(6.0), np.arange(6 * 1440)
    short = machine.between(columns, 20.0, 24.0) | machine.between(columns, 90.0, 95.0)
    columns["running"] = np.where(short, minute % 8 < 4, minute % 60 < 40).astype(float)
    (episode,) = duty.short_cycling(machine.view(columns))
    assert episode.parts == 2
    assert 8 * 3600 <= episode.seconds <= 12 * 3600


def test_days_without_feed_of_a_machine_of_short_runs() -> None:
    """Runs of 15 minutes; then three days at a tenth of the suction: most of what is settled, and no habit."""
    columns = machine.sound(30.0, on=15, off=15)
    shut = machine.between(columns, 500.0, 572.0)
    columns["running"] = np.where(shut, 1.0, columns["running"])
    columns["suction_pressure"] = np.where(shut, 1.2e5, columns["suction_pressure"])
    (episode,) = duty.vacuum_running(machine.view(columns))
    assert episode.seconds > 60 * 3600


def test_a_pump_down_that_stays_just_above_its_end() -> None:
    columns = machine.sound(20.0, on=15, off=15)
    stays = machine.between(columns, 300.0, 304.0)
    columns["running"] = np.where(stays, 1.0, columns["running"])
    held = 0.84 * saturation.dew_pressure(machine.GAS, machine.ICE + 6.2)
    columns["suction_pressure"] = np.where(stays, held, columns["suction_pressure"])
    assert list(duty.vacuum_running(machine.view(columns, pump_down=True)))
    assert not list(duty.vacuum_running(machine.view(columns)))


@pytest.mark.parametrize("rise", [20.0, 30.0])
def test_a_rise_whose_peaks_touch_the_limit_is_told_all_the_same(rise: float) -> None:
    """Peaks 1.5 K beyond the limit are within what the sensor may err, and must not hide five days far above habit."""
    columns = machine.sound(10.0)
    late = (columns["time"] >= machine.BEGIN + 5 * 86_400.0) & (columns["running"] > 0)
    hot = columns["discharge_temperature"]
    columns["discharge_temperature"] = np.where(late, hot + rise, hot)
    episode = machine.only(machine.judged(columns), "high-discharge-temperature")
    assert episode.seconds == pytest.approx(5 * 86_400.0, rel=0.05)
    assert episode.shown[0].name == "discharge_above_habit"
    assert episode.shown[0].value.value == pytest.approx(rise, abs=1.0)
