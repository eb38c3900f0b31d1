"""Liquid: floodback, flooded starts, ramps after low load; and what of a sound machine looks like it."""

import numpy as np
from tests.trend import machine

from witnessmark.refrigerants import saturation
from witnessmark.trend import liquid


def test_how_far_and_how_sure() -> None:
    columns = machine.sound(1.0)
    machine.wet(columns, machine.between(columns, 6.0, 18.0))
    (episode,) = liquid.liquid_returning(machine.view(columns))
    shown = {reading.name: reading.value for reading in episode.shown}
    assert shown["superheat"].value < 1.0
    assert 0.5 < shown["superheat"].uncertainty < 3.0
    assert shown["discharge_superheat"].value < 11.0
    assert shown["colder_than_dry"].value > 15.0
    assert episode.word in {"marked", "severe"}
    assert episode.certainty > 0.8
    assert episode.parts == 12


def test_a_rest_of_superheat_far_below_the_usual_is_liquid_too() -> None:
    """A line that takes up heat behind the coil, short runs: no stretch is long, they come all day."""
    columns = machine.sound(3.0, on=18, off=12)
    columns["suction_temperature"] = columns["suction_temperature"] + 7.0
    columns["discharge_temperature"] = columns["discharge_temperature"] + 7.0
    rows = machine.between(columns, 20.0, 50.0) & (columns["running"] > 0)
    columns["suction_temperature"] = columns["suction_temperature"] - 12.0 * rows
    assert not list(liquid.liquid_returning(machine.view(dict(columns))))  # one witness alone
    columns["discharge_temperature"] = columns["discharge_temperature"] - 22.0 * rows
    (episode,) = liquid.liquid_returning(machine.view(columns))
    shown = {reading.name: reading.value.value for reading in episode.shown}
    assert shown["superheat"] == np.clip(shown["superheat"], 2.0, 4.0)
    assert episode.parts > 50


def test_a_suction_sensor_that_reads_low_alone_accuses_nobody() -> None:
    columns = machine.sound(1.0)
    low = saturation.dew_temperature(machine.GAS, columns["suction_pressure"])
    columns["suction_temperature"] = low + 0.2
    assert not list(liquid.liquid_returning(machine.view(columns)))


def test_minutes_of_wet_gas_after_defrost_or_on_an_oil_return_are_no_episode() -> None:
    columns = machine.sound(2.0, on=300, off=20)
    low = saturation.dew_temperature(machine.GAS, columns["suction_pressure"])
    for hour in (9.0, 22.0, 35.0):
        rows = machine.between(columns, hour, hour + 0.25)
        columns["suction_temperature"] = np.where(rows, low + 0.3, columns["suction_temperature"])
        columns["discharge_temperature"] = columns["discharge_temperature"] - 9.0 * rows
    assert not list(liquid.liquid_returning(machine.view(columns)))


def test_many_such_minutes_a_day_are() -> None:
    columns = machine.sound(2.0, on=3000, off=20)
    low = saturation.dew_temperature(machine.GAS, columns["suction_pressure"])
    for hour in np.arange(2.0, 40.0, 1.0):
        rows = machine.between(columns, hour, hour + 0.3)
        columns["suction_temperature"] = np.where(rows, low + 0.3, columns["suction_temperature"])
        columns["discharge_temperature"] = columns["discharge_temperature"] - 24.0 * rows
    assert list(liquid.liquid_returning(machine.view(columns)))


def test_a_defrost_that_the_controller_tells_of_is_left_out() -> None:
    columns = machine.sound(1.0, on=300, off=20)
    rows = machine.between(columns, 6.0, 6.6)
    machine.wet(columns, rows)
    assert list(liquid.liquid_returning(machine.view(columns)))
    columns["defrost"] = machine.between(columns, 5.9, 6.5).astype(float)
    assert not list(liquid.liquid_returning(machine.view(columns)))


def flooded(columns: machine.Columns, first: float, last: float) -> machine.Columns:
    """The first six minutes of each run are wet between two hours."""
    minute = np.arange(columns["time"].size) % 60
    machine.wet(columns, machine.between(columns, first, last) & (minute < 8))
    high = saturation.dew_temperature(machine.GAS, columns["discharge_pressure"])
    rows = machine.between(columns, first, last) & (minute < 8)
    columns["discharge_temperature"] = np.where(
        rows, np.minimum(columns["discharge_temperature"], high + 1.0), columns["discharge_temperature"]
    )
    return columns


def test_flooded_starts() -> None:
    (episode,) = liquid.flooded_start(machine.view(flooded(machine.sound(2.0), 20.0, 30.0)))
    assert episode.parts == 10
    assert episode.start == machine.BEGIN + 20 * 3600


def test_flooded_at_every_start_of_the_log() -> None:
    (episode,) = liquid.flooded_start(machine.view(flooded(machine.sound(1.0), 0.0, 24.0)))
    assert episode.parts == 23


def test_sound_starts_and_starts_without_a_standstill_are_none() -> None:
    assert not list(liquid.flooded_start(machine.view(machine.sound(1.0))))
    brief = machine.sound(1.0, on=50, off=10)
    assert not list(liquid.flooded_start(machine.view(flooded(brief, 5.0, 9.0))))
    assert not list(liquid.flooded_start(machine.view(machine.sound(1.0), ("discharge_temperature",))))
    assert not list(liquid.flooded_start(machine.view(machine.sound(0.1, on=9000))))


def modulating(days: float = 2.0) -> machine.Columns:
    columns = machine.sound(days, on=100_000)
    hours = (columns["time"] - machine.BEGIN) / 3600.0
    columns["speed"] = np.where(hours % 12.0 < 8.0, 0.25, 0.9)
    return columns


def test_low_load_then_ramp() -> None:
    columns = modulating()
    hours = (columns["time"] - machine.BEGIN) / 3600.0
    low = saturation.dew_temperature(machine.GAS, columns["suction_pressure"])
    late = (hours % 12.0 >= 5.0) & (hours % 12.0 < 8.0) & (hours > 24.0)
    columns["suction_temperature"] = np.where(late, low + 1.0, columns["suction_temperature"])
    machine.wet(columns, (hours % 12.0 >= 8.0) & (hours % 12.0 < 8.4) & (hours > 24.0))
    (episode,) = liquid.low_load_then_ramp(machine.view(columns))
    assert episode.parts == 2
    assert episode.start >= machine.BEGIN + 24 * 3600


def test_an_oil_return_after_low_load_moves_no_charge() -> None:
    columns = modulating()
    hours = (columns["time"] - machine.BEGIN) / 3600.0
    machine.wet(columns, (hours % 12.0 >= 8.0) & (hours % 12.0 < 8.2))
    assert not list(liquid.low_load_then_ramp(machine.view(columns)))


def test_less_subcooling_than_usual_tells_of_it_too() -> None:
    columns = modulating()
    hours = (columns["time"] - machine.BEGIN) / 3600.0
    late = (hours % 12.0 >= 6.0) & (hours % 12.0 < 8.0)
    columns["liquid_temperature"] = columns["liquid_temperature"] + 4.0 * late
    machine.wet(columns, (hours % 12.0 >= 8.0) & (hours % 12.0 < 8.4))
    assert list(liquid.low_load_then_ramp(machine.view(columns)))


def test_low_load_without_a_ramp_or_a_speed() -> None:
    columns = modulating()
    columns["speed"] = np.full(columns["time"].size, 0.3)
    machine.wet(columns, machine.between(columns, 20.0, 21.0))
    assert not list(liquid.low_load_then_ramp(machine.view(columns)))
    assert not list(liquid.low_load_then_ramp(machine.view(machine.sound(0.2))))
    blind = machine.view(columns, ("suction_temperature", "discharge_temperature"))
    assert not list(liquid.low_load_then_ramp(blind))
    assert not list(liquid.liquid_returning(blind))


def test_liquid_on_both_sides_of_a_gap_is_one_stretch() -> None:
    """Fourteen minutes before an hour without rows and fourteen after it: neither alone is more than a defrost."""
    columns = machine.sound(1.0, on=2000, off=1)
    machine.wet(columns, machine.between(columns, 10.0 - 14 / 60, 11.0 + 14 / 60))
    columns["discharge_temperature"] = columns["discharge_temperature"] + np.where(
        machine.between(columns, 10.0 - 14 / 60, 11.0 + 14 / 60), 6.0, 0.0
    )
    kept = ~machine.between(columns, 10.0, 11.0)
    gapped = {name: values[kept] for name, values in columns.items()}
    (episode,) = liquid.liquid_returning(machine.view(gapped))
    assert episode.parts == 2
    one = kept & ~machine.between(columns, 11.0, 24.0)
    assert not list(liquid.liquid_returning(machine.view({name: values[one] for name, values in columns.items()})))


def test_starts_in_the_cold_are_held_against_starts_in_the_cold() -> None:
    """A cold compressor heats its gas later: 3 K and 8 K over dew at each start are its habit there."""
    columns = machine.sound(40.0, on=20, off=30)
    cold = machine.between(columns, 500.0, 960.0)
    columns["ambient_temperature"] = columns["ambient_temperature"] - 30.0 * cold
    minute = np.arange(columns["time"].size) % 50
    begins = (minute < 20) & cold
    low = saturation.dew_temperature(machine.GAS, columns["suction_pressure"])
    high = saturation.dew_temperature(machine.GAS, columns["discharge_pressure"])
    columns["suction_temperature"] = np.where(begins, low + 3.0, columns["suction_temperature"])
    columns["discharge_temperature"] = np.where(begins, high + 8.0, columns["discharge_temperature"])
    assert not list(liquid.flooded_start(machine.view(columns)))
