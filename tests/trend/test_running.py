"""When the compressor ran, by whatever tells it."""

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.errors import InputError
from witnessmark.trend.running import running


def test_a_flag() -> None:
    columns = machine.sound(0.5)
    found = running(machine.logs(columns)[0])
    assert found.source == "running"
    assert found.on.tolist() == (columns["running"] > 0).tolist()
    assert found.starts.tolist() == [60 * n for n in range(1, 12)]
    assert found.stops.tolist() == [60 * n + 40 for n in range(12)]
    assert set(found.idle.tolist()) == {1200.0}
    assert found.since_start[70] == 600.0
    assert found.since_stop[100] == 0.0
    assert found.settled.sum() == 12 * 30


@pytest.mark.parametrize(
    ("without", "source"),
    [(("running",), "current"), (("running", "current"), "pressures")],
)
def test_without_a_flag(without: tuple[str, ...], source: str) -> None:
    columns = machine.sound(0.5)
    rests = columns["running"] == 0
    columns["suction_pressure"] = np.where(rests, columns["discharge_pressure"] / 1.1, columns["suction_pressure"])
    found = running(machine.logs(columns, without)[0])
    assert found.source == source
    assert np.mean(found.on == (columns["running"] > 0)) > 0.9


def test_speed_tells() -> None:
    columns = machine.sound(0.5)
    columns["speed"] = 0.6 * columns.pop("running")
    assert running(machine.logs(columns)[0]).source == "speed"


def test_nothing_tells() -> None:
    with pytest.raises(InputError) as fault:
        running(machine.logs(machine.sound(0.1), ("running", "current", "discharge_pressure"))[0])
    assert fault.value.field == "columns"


def test_a_current_that_was_never_read_tells_of_no_running() -> None:
    columns = machine.sound(0.5)
    columns["current"] = np.full(columns["time"].size, np.nan)
    assert not running(machine.logs(columns, ("running",))[0]).on.any()


def test_a_start_over_a_gap_is_none_and_its_standstill_is_not_known() -> None:
    columns = machine.sound(0.5)
    keep = np.ones(columns["time"].size, np.bool_)
    keep[45:75] = False
    cut = {name: values[keep] for name, values in columns.items()}
    found = running(machine.logs(cut)[0])
    assert 45 not in found.starts.tolist()
    always = {**cut, "running": np.ones(cut["time"].size)}
    assert running(machine.logs(always)[0]).starts.size == 0


def test_a_missing_flag_holds_on_for_a_few_rows() -> None:
    columns = machine.sound(0.1)
    columns["running"][5:8] = np.nan
    columns["running"][10:30] = np.nan
    found = running(machine.logs(columns)[0])
    assert found.on[5:8].all()
    assert not found.on[20]
