"""Columns worked out of columns, against the single calculations."""

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.refrigerants import saturation
from witnessmark.trend.derived import derived, margin
from witnessmark.trend.log import Log
from witnessmark.trend.running import running


def worked_out(log: Log, envelope: tuple[tuple[float, float], ...] = ()) -> object:
    return derived(log, machine.GAS, running(log).on, envelope)


def test_each_column_is_that_of_the_single_calculation() -> None:
    columns = machine.sound(0.2)
    log = machine.logs(columns)[0]
    found = derived(log, machine.GAS, running(log).on)
    for row in (30, 50, 200):
        low, high = (log.columns[name][row] for name in ("suction_pressure", "discharge_pressure"))
        dew_low, dew_high = (float(saturation.dew_temperature(machine.GAS, p)) for p in (float(low), float(high)))
        bubble = float(saturation.bubble_temperature(machine.GAS, float(high)))
        wanted = {
            "evaporating": dew_low, "condensing": dew_high, "ratio": high / low, "lift": dew_high - dew_low,
            "superheat": log.columns["suction_temperature"][row] - dew_low,
            "subcooling": bubble - log.columns["liquid_temperature"][row],
            "discharge_superheat": log.columns["discharge_temperature"][row] - dew_high,
            "approach": dew_high - log.columns["ambient_temperature"][row],
        }  # fmt: skip
        for name, value in wanted.items():
            assert getattr(found, name)[row] == pytest.approx(value, rel=1e-12), name
    assert found.efficiency is not None
    assert 0.5 < float(np.nanmedian(found.efficiency)) < 1.0
    assert found.margin is None


def test_temperatures_of_the_controller_stand_in_for_pressures() -> None:
    columns = machine.sound(0.2)
    full = machine.logs(columns)[0]
    dews = derived(full, machine.GAS, running(full).on)
    assert dews.evaporating is not None
    assert dews.condensing is not None
    columns["evaporating_temperature"], columns["condensing_temperature"] = dews.evaporating, dews.condensing
    log = machine.logs(columns, ("suction_pressure", "discharge_pressure"))[0]
    found = derived(log, machine.GAS, running(log).on)
    assert found.ratio == pytest.approx(dews.ratio, rel=1e-4)
    assert found.superheat == pytest.approx(dews.superheat, abs=1e-9)


def test_what_cannot_be_worked_out_is_none_or_not_a_number() -> None:
    columns = machine.sound(0.2)
    columns["suction_pressure"][7] = 2e3
    columns["suction_pressure"][8] = np.nan
    log = machine.logs(columns, ("suction_temperature", "liquid_temperature", "discharge_pressure"))[0]
    found = derived(log, machine.GAS, running(log).on)
    assert found.superheat is found.subcooling is found.ratio is found.efficiency is None
    assert found.evaporating is not None
    assert np.isnan(found.evaporating[[8]]).all()


def test_margin_of_an_envelope() -> None:
    square = [(260.0, 300.0), (280.0, 300.0), (280.0, 330.0), (260.0, 330.0)]
    found = margin(np.array([270.0, 285.0, 270.0]), np.array([302.0, 310.0, 335.0]), square)
    assert found.tolist() == [2.0, -5.0, -5.0]
    log = machine.logs(machine.sound(0.2))[0]
    inside = derived(log, machine.GAS, running(log).on, square).margin
    assert inside is not None
    assert inside.shape == log.time.shape
