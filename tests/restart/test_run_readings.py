"""What readings of one moment say together, and which of two figures is believed."""

import doctest
from dataclasses import replace

import pytest
from tests.restart.machines import SCROLL

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.restart import run_readings
from witnessmark.restart.run_readings import DISCHARGE_SUPERHEAT, LINE, RATIO, RISE, RunReading, moments

R410A = replace(SCROLL, refrigerant="R-410A")
HOUR = 3600.0


def found(at: float = HOUR, **values: float) -> run_readings.Moment:
    return moments(R410A, (RunReading(at, {name: Measured(value) for name, value in values.items()}),))[0]


def test_the_ratio_follows_from_the_two_pressures() -> None:
    """A quotient of absolute pressures, by hand."""
    moment = found(suction_pressure=1.0e6, discharge_pressure=2.7e6)
    assert moment.values[RATIO].value == pytest.approx(2.7)
    assert RATIO not in found(suction_pressure=1.0e6).values
    assert RATIO not in found(suction_pressure=0.0, discharge_pressure=2.7e6).values


@pytest.mark.parametrize(("stated", "believed", "odd"), [(2.8, 2.8, False), (5.0, 2.7, True), (1.02, 2.7, True)])
def test_a_stated_ratio_that_the_pressures_contradict(stated: float, believed: float, odd: bool) -> None:  # noqa: FBT001
    moment = found(suction_pressure=1.0e6, discharge_pressure=2.7e6, compression_ratio=stated)
    assert moment.values[RATIO].value == pytest.approx(believed)
    assert (RATIO in moment.odd) is odd


def test_the_rise_of_a_drop_counts_from_its_first_reading() -> None:
    log = tuple(RunReading(at, {"core_drop": Measured(drop)}) for at, drop in ((300.0, 2e4), (900.0, 6e4)))
    first, later = moments(R410A, log)
    assert RISE not in first.values
    assert later.values[RISE].value == pytest.approx(4e4)
    stated = replace(log[1], values={**log[1].values, RISE: Measured(1e4)})
    assert moments(R410A, (log[0], stated))[1].values[RISE].value == pytest.approx(4e4)
    more = replace(log[1], values={**log[1].values, RISE: Measured(6e4)})
    assert moments(R410A, (log[0], more))[1].values[RISE].value == 6e4
    assert moments(R410A, (log[0], more))[1].odd == frozenset()


def test_superheat_at_the_discharge_follows_once_the_line_is_warm() -> None:
    """R-410A at 2.73 MPa condenses at some 45 degC: a line of 50 degC carries liquid."""
    wet = {"discharge_pressure": 2.73e6, LINE: 323.15}
    assert found(**wet).values[DISCHARGE_SUPERHEAT].value == pytest.approx(5.0, abs=0.5)
    assert DISCHARGE_SUPERHEAT not in found(60.0, **wet).values
    assert found(**wet, discharge_superheat=25.0).values[DISCHARGE_SUPERHEAT].value == pytest.approx(5.0, abs=0.5)
    assert found(**wet, discharge_superheat=4.0).values[DISCHARGE_SUPERHEAT].value == 4.0
    assert DISCHARGE_SUPERHEAT not in found(discharge_pressure=6e6, discharge_temperature=380.0).values


def test_the_example() -> None:
    assert doctest.testmod(run_readings).failed == 0
