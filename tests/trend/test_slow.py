"""Weeks: lost charge, a fouled condenser, a drifting sensor; each told from the others by what moves with it."""

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.refrigerants import saturation
from witnessmark.trend import slow

DAYS = 40.0


def course(columns: machine.Columns) -> machine.Array:
    """0 until day 10, then straight up to 1 at the end."""
    return np.clip((columns["time"] - machine.BEGIN - 10 * 86_400.0) / (30 * 86_400.0), 0.0, 1.0)


def long_log() -> machine.Columns:
    columns = machine.sound(DAYS)
    weather = 4.0 * np.sin((columns["time"] - machine.BEGIN) / 86_400.0 / 3.1)
    for channel in ("ambient_temperature", "liquid_temperature", "discharge_temperature"):
        columns[channel] = columns[channel] + weather
    hot = saturation.dew_temperature(machine.GAS, columns["discharge_pressure"]) + weather
    columns["discharge_pressure"] = saturation.dew_pressure(machine.GAS, hot)
    return columns


def moved(columns: machine.Columns, pressure: str, kelvin: machine.Array) -> machine.Array:
    dew = saturation.dew_temperature(machine.GAS, columns[pressure]) + kelvin
    return saturation.dew_pressure(machine.GAS, dew)


def test_a_sound_machine_in_changing_weather() -> None:
    view = machine.view(long_log())
    searches = (slow.charge_loss, slow.condenser_fouling, slow.sensor_drift)
    assert [list(search(view)) for search in searches] == [[], [], []]


def test_charge_loss() -> None:
    columns = long_log()
    lost = course(columns)
    columns["suction_temperature"] = columns["suction_temperature"] + 5.0 * lost
    columns["suction_pressure"] = moved(columns, "suction_pressure", -6.0 * lost)
    columns["liquid_temperature"] = columns["liquid_temperature"] + 5.0 * lost
    columns["discharge_temperature"] = columns["discharge_temperature"] + 14.0 * lost
    view = machine.view(columns)
    (episode,) = slow.charge_loss(view)
    assert abs(episode.start - machine.BEGIN - 10 * 86_400.0) <= 4 * 86_400.0
    assert {shown.name for shown in episode.shown} >= {"change_of_superheat", "change_of_subcooling"}
    assert not list(slow.sensor_drift(view))
    assert not list(slow.condenser_fouling(view))


def dirty(columns: machine.Columns, dirt: machine.Array) -> machine.Columns:
    """The condensing side so many kelvins higher."""
    columns["discharge_pressure"] = moved(columns, "discharge_pressure", dirt)
    columns["liquid_temperature"] = columns["liquid_temperature"] + dirt
    columns["discharge_temperature"] = columns["discharge_temperature"] + 1.75 * dirt
    return columns


def test_fouling() -> None:
    columns = long_log()
    view = machine.view(dirty(columns, 9.0 * course(columns)))
    (episode,) = slow.condenser_fouling(view)
    (approach,) = [shown.value for shown in episode.shown if shown.name == "change_of_approach"]
    assert approach.value == pytest.approx(9.0, abs=1.5)
    assert not list(slow.charge_loss(view))
    assert not list(slow.sensor_drift(view))


def test_fouling_that_closes_the_coil_faster_and_faster_and_is_washed_off() -> None:
    columns = long_log()
    days = (columns["time"] - machine.BEGIN) / 86_400.0
    share = np.where(days < 35.8, np.clip((days - 8.0) / 27.8, 0.0, 1.0), 0.0)
    view = machine.view(dirty(columns, 3.0 / (1.0 - 0.85 * share) - 3.0))
    assert [slow.meaning(straight) for _, straight in slow.ramps(view)] == [None]
    (episode,) = slow.condenser_fouling(view)
    assert episode.end == pytest.approx(machine.BEGIN + 35.8 * 86_400.0, abs=0.5 * 86_400.0)


def test_fouling_shows_by_more_at_more_load() -> None:
    columns = long_log()
    days = np.floor((columns["time"] - machine.BEGIN) / 86_400.0)
    columns["speed"] = columns["running"] * np.where(days % 3 == 0, 0.9, 0.3)
    clean, load = machine.view(dict(columns)), columns["speed"] / 0.3
    dirt = 2.0 / (1.0 - 0.6 * course(columns)) - 2.0
    view = machine.view(dirty(columns, load * dirt))
    assert not list(slow.condenser_fouling(clean))
    assert list(slow.condenser_fouling(view))
    assert not list(slow.sensor_drift(view))
    ((found, even),) = slow.ramps(view)
    by_load, approach = slow.ramp(found, dirt=True), slow.COLUMNS.index("approach")
    assert by_load is not None
    assert by_load.of("approach") == pytest.approx(3.0, abs=0.5)
    assert by_load.width[approach] < even.width[approach] / 2


@pytest.mark.parametrize(
    "channel",
    ["suction_temperature", "discharge_temperature", "liquid_temperature", "suction_pressure", "discharge_pressure"],
)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_drift(channel: str, sign: float) -> None:
    columns = long_log()
    away = sign * 6.0 * course(columns)
    if channel.endswith("pressure"):
        columns[channel] = moved(columns, channel, away)
    else:
        columns[channel] = columns[channel] + away
    view = machine.view(columns)
    (episode,) = slow.sensor_drift(view)
    assert episode.sensor == channel
    assert not list(slow.condenser_fouling(view))
    assert not list(slow.charge_loss(view))


def test_a_step_is_no_drift() -> None:
    columns = long_log()
    columns["discharge_temperature"] = columns["discharge_temperature"] + 9.0 * (course(columns) > 0.3)
    assert not list(slow.sensor_drift(machine.view(columns)))


def test_too_few_days_or_channels() -> None:
    for view in (machine.view(machine.sound(3.0)), machine.view(machine.sound(14.0), ("ambient_temperature",))):
        assert not list(slow.condenser_fouling(view))
    blind = machine.view(
        machine.sound(14.0),
        (
            "suction_temperature",
            "discharge_temperature",
            "liquid_temperature",
            "suction_pressure",
            "discharge_pressure",
        ),
    )
    assert not list(slow.charge_loss(blind))
    assert not list(slow.sensor_drift(blind))
