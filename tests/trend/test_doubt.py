"""One witness alone, starts after short rests, readings that cannot be, and a fall that is no rise."""

from __future__ import annotations

import numpy as np
import pytest
from tests.trend import machine
from tests.trend.machine import GAS, Array, Columns

from witnessmark.refrigerants import saturation
from witnessmark.trend.assess import Assessment
from witnessmark.trend.doubt.remarks import REMARKS
from witnessmark.trend.episode import SEVERE


def running(columns: Columns, rows: Array) -> Array:
    return rows & (columns["running"] > 0)


def moved(columns: Columns, name: str, rows: Array, values: Array) -> None:
    columns[name] = np.where(running(columns, rows), values, columns[name])


def condensing(columns: Columns) -> Array:
    return saturation.dew_temperature(GAS, columns["discharge_pressure"])


def evaporating(columns: Columns) -> Array:
    return saturation.dew_temperature(GAS, columns["suction_pressure"])


def ids(found: Assessment) -> dict[str, bool]:
    return {remark.id: remark.whole for remark in found.remarks}


def test_a_sound_machine_shows_nothing_and_is_remarked_on_in_nothing() -> None:
    found = machine.judged(machine.sound(3.0))
    assert (found.verdict, found.episodes, found.remarks) == ("nothing found", (), ())


@pytest.mark.parametrize("over", [1.5, 0.0, -4.0, -9.0])
@pytest.mark.parametrize("hours", [(20.0, 26.0), (0.0, 72.0)])
def test_a_discharge_at_or_below_condensing_is_liquid_whatever_the_suction_reads(
    over: float, hours: tuple[float, float]
) -> None:
    columns = machine.sound(3.0)
    moved(columns, "discharge_temperature", machine.between(columns, *hours), condensing(columns) + over)
    episode = machine.only(machine.judged(columns), "liquid-returning")
    begin, end = ((at - machine.BEGIN) / 3600.0 for at in (episode.start, episode.end))
    assert begin < hours[0] + 1.5
    assert end > hours[1] - 1.5
    assert episode.word != "slight"
    assert episode.findings == (("discharge-superheat-low", "present"),)


def test_for_less_than_an_hour_one_witness_accuses_nobody() -> None:
    columns = machine.sound(3.0)
    moved(columns, "discharge_temperature", machine.between(columns, 20.0, 20.7), condensing(columns))
    assert machine.judged(columns).episodes == ()


def test_a_warm_suction_sensor_does_not_hide_a_chilled_discharge() -> None:
    columns = machine.sound(3.0)
    rows = machine.between(columns, 20.0, 24.0)
    columns["suction_temperature"] = columns["suction_temperature"] + 6.0
    moved(columns, "suction_temperature", rows, evaporating(columns) + 6.5)
    moved(columns, "discharge_temperature", rows, columns["discharge_temperature"] - 20.0)
    assert machine.only(machine.judged(columns), "liquid-returning").certainty == pytest.approx(0.75)


@pytest.mark.parametrize("superheat", [0.7, 0.0, -1.0])
@pytest.mark.parametrize("hours", [(20.0, 24.0), (0.0, 72.0)])
def test_no_superheat_for_hours_is_told_though_the_discharge_is_hot(
    superheat: float, hours: tuple[float, float]
) -> None:
    columns = machine.sound(3.0)
    moved(columns, "suction_temperature", machine.between(columns, *hours), evaporating(columns) + superheat)
    episode = machine.only(machine.judged(columns), "liquid-returning")
    assert episode.certainty < 0.7
    assert episode.findings == (("suction-superheat", "low"),)


def test_runs_of_ten_minutes_are_judged_too() -> None:
    columns = machine.sound(3.0, on=12, off=12)
    machine.wet(columns, machine.between(columns, 20.0, 26.0))
    assert "liquid-returning" in machine.kinds(machine.judged(columns))


def test_a_sensor_found_at_fault_is_no_witness() -> None:
    columns = machine.sound(3.0)
    rows = machine.between(columns, 20.0, 44.0)
    columns["discharge_temperature"] = np.where(rows, machine.ICE + 38.0, columns["discharge_temperature"])
    found = machine.judged(columns)
    assert "sensor-stuck" in machine.kinds(found)
    assert "liquid-returning" not in machine.kinds(found)


@pytest.mark.parametrize("off", [6, 12])
def test_flooded_starts_after_short_stops_are_found(off: int) -> None:
    columns = machine.sound(3.0, on=30, off=off)
    early = np.arange(columns["time"].size) % (30 + off) < 10
    moved(columns, "suction_temperature", early, evaporating(columns) - 0.3)
    moved(columns, "discharge_temperature", early, condensing(columns) - 3.0)
    episode = machine.only(machine.judged(columns), "flooded-start")
    assert episode.parts > 60
    few = machine.sound(3.0, on=30, off=off)
    assert "flooded-start" not in machine.kinds(machine.judged(few))


@pytest.mark.parametrize("below", [9.0, 13.0, 33.0])
@pytest.mark.parametrize("without", [(), ("discharge_temperature",)])
def test_a_suction_line_colder_than_it_can_be_is_no_liquid_and_no_clean_bill(
    below: float, without: tuple[str, ...]
) -> None:
    columns = machine.sound(3.0)
    moved(columns, "suction_temperature", columns["time"] > 0, evaporating(columns) - below)
    found = machine.judged(columns, without)
    assert "liquid-returning" not in machine.kinds(found)
    assert found.verdict == "cannot tell"
    assert ids(found) == {"suction-below-saturation": True}


def test_four_kelvin_below_saturation_is_liquid_still() -> None:
    columns = machine.sound(3.0)
    moved(columns, "suction_temperature", columns["time"] > 0, evaporating(columns) - 4.0)
    moved(columns, "discharge_temperature", columns["time"] > 0, condensing(columns) + 3.0)
    assert "liquid-returning" in machine.kinds(machine.judged(columns))


def test_another_refrigerant_is_a_contradiction_and_nothing_severe() -> None:
    columns = machine.sound(3.0)
    low, high = evaporating(columns), condensing(columns)
    for name, at in (("suction_pressure", low), ("discharge_pressure", high)):
        columns[name] = saturation.dew_pressure("R-32", at + 14.0)
    found = machine.judged(columns)
    assert ids(found)["suction-below-saturation"]
    assert all(episode.severity < SEVERE and episode.certainty <= 0.6 for episode in found.episodes)
    assert "liquid-returning" not in machine.kinds(found)


def test_bar_read_as_gauge_of_another_unit_is_told_by_the_condenser() -> None:
    columns = machine.sound(3.0)
    for name in ("suction_pressure", "discharge_pressure"):
        columns[name] = 101_325.0 + columns[name] * 0.0689476
    assert {"condensing-below-air", "liquid-above-saturation"} <= ids(machine.judged(columns)).keys()


def test_very_high_superheat_from_the_first_row_is_no_clean_bill() -> None:
    columns = machine.sound(3.0)
    columns["suction_temperature"] = columns["suction_temperature"] + 25.0
    columns["discharge_temperature"] = columns["discharge_temperature"] + 25.0
    found = machine.judged(columns)
    assert (found.verdict, ids(found)) == ("cannot tell", {"superheat-far-too-high": True})


def test_a_fall_of_the_discharge_is_not_told_as_heat_before_it() -> None:
    columns = machine.sound(10.0)
    late = machine.between(columns, 168.0, 999.0)
    moved(columns, "discharge_temperature", late, columns["discharge_temperature"] - 16.0)
    found = machine.judged(columns)
    assert "high-discharge-temperature" not in machine.kinds(found)
    assert found.verdict == "cannot tell"
    assert ids(found) == {"discharge-colder-than-dry": False}


def test_a_rise_is_told_of_the_days_on_which_it_stands() -> None:
    columns = machine.sound(10.0)
    late = machine.between(columns, 168.0, 999.0)
    moved(columns, "discharge_temperature", late, columns["discharge_temperature"] + 20.0)
    episode = machine.only(machine.judged(columns), "high-discharge-temperature")
    assert episode.start >= machine.BEGIN + 160 * 3600.0


@pytest.mark.parametrize(("hours", "more"), [((30.0, 72.0), 11.0), ((36.0, 41.0), 15.0)])
def test_condensing_that_steps_away_from_the_air_is_told(hours: tuple[float, float], more: float) -> None:
    columns = machine.sound(3.0)
    rows = machine.between(columns, *hours)
    moved(columns, "discharge_pressure", rows, saturation.dew_pressure(GAS, condensing(columns) + more))
    for name in ("discharge_temperature", "liquid_temperature"):
        moved(columns, name, rows, columns[name] + more)
    episode = machine.only(machine.judged(columns), "high-ratio")
    assert episode.start >= machine.BEGIN + (hours[0] - 1.0) * 3600.0
    assert episode.findings == (("condensing-pressure", "high"),)


def test_every_remark_has_a_column_and_one_side() -> None:
    for row in REMARKS().values():
        assert (row.below is None) != (row.above is None)
        assert row.sensors
