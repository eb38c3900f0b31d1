"""A charge that is gone within hours."""

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.refrigerants import saturation
from witnessmark.trend import slow


def leaked(days: float, begin: float, hours: float) -> machine.Columns:
    """From this hour on the charge goes, and is gone so many hours later."""
    columns = machine.sound(days)
    lost = np.clip((columns["time"] - machine.BEGIN - begin * 3600.0) / (hours * 3600.0), 0.0, 1.0)
    low = saturation.dew_temperature(machine.GAS, columns["suction_pressure"]) - 7.0 * lost
    columns["suction_pressure"] = saturation.dew_pressure(machine.GAS, low)
    columns["suction_temperature"] = columns["suction_temperature"] + 3.0 * lost
    columns["liquid_temperature"] = columns["liquid_temperature"] + 6.0 * lost
    return columns


@pytest.mark.parametrize(("days", "begin"), [(3.0, 54.0), (30.0, 690.0)])
def test_a_loss_of_hours_is_told_with_its_hour(days: float, begin: float) -> None:
    (episode,) = slow.charge_loss(machine.view(leaked(days, begin, 3.0)))
    assert -6 * 3600 <= episode.start - machine.BEGIN - begin * 3600 <= 9 * 3600
    assert {shown.name for shown in episode.shown} >= {"change_of_subcooling", "change_of_evaporating"}


def test_a_sound_machine_and_one_sensor_that_jumps() -> None:
    assert not list(slow.sudden_charge_loss(machine.view(machine.sound(3.0))))
    for channel, away in (("liquid_temperature", 8.0), ("suction_temperature", 8.0)):
        columns = machine.sound(3.0)
        columns[channel] = columns[channel] + away * machine.between(columns, 50.0, 72.0)
        assert not list(slow.sudden_charge_loss(machine.view(columns)))
    columns = machine.sound(3.0)
    low = saturation.dew_temperature(machine.GAS, columns["suction_pressure"])
    jumped = low - 8.0 * machine.between(columns, 50.0, 72.0)
    columns["suction_pressure"] = saturation.dew_pressure(machine.GAS, jumped)
    assert not list(slow.sudden_charge_loss(machine.view(columns)))


def test_what_comes_every_night_is_a_habit() -> None:
    columns = leaked(12.0, 0.0, 0.001)
    sound = machine.sound(12.0)
    night = (columns["time"] - machine.BEGIN) % 86_400.0 < 6 * 3600.0
    mixed = {name: np.where(night, columns[name], sound[name]) for name in columns}
    assert not list(slow.sudden_charge_loss(machine.view(mixed)))
