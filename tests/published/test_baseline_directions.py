"""An air conditioner against its own baseline: each fault moves its readings as printed, and is named first.

Outside: Rossi & Braun 1997, HVAC&R Research 3(1), signs of evaporating temperature, superheat, condensing temperature
and subcooling as reproduced in Li & Braun (fixed-orifice rooftop unit); the sizes are ours. Where a thermostatic valve,
which the knowledge assumes, makes a sign vanish, the reading stays as it was.
"""

from __future__ import annotations

from functools import cache

import pytest
from scipy.optimize import brentq

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import RANKING_ONLY, Case, Machine
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.evidence.baseline import Baseline
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.diagnosis.result import Diagnosis
from witnessmark.refrigerants import saturation

ROOFTOP = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")
REFRIGERANT, ZERO = "R-410A", 273.15
FAULTS = {
    "refrigerant leak: - + - -": ("undercharge", (4.0, 17.0, 41.0, 2.0)),
    "compressor valve leak: + - - -": ("internal-bypass", (13.0, 4.0, 40.0, 2.0)),
    "liquid line restriction: - + - +": ("expansion-starved", (3.0, 18.0, 41.0, 10.0)),
    "condenser fouling: + - + -": ("condenser-heat-rejection", (10.0, 5.0, 51.0, 4.0)),
    "evaporator fouling: - - - (vanishes)": ("low-airflow", (4.0, 5.0, 42.0, 6.0)),
}
"""Evaporating temperature, superheat, condensing temperature, subcooling, °C and K."""


@cache
def pressure(celsius: float) -> float:
    return float(brentq(lambda p: saturation.bubble_temperature(REFRIGERANT, p) - ZERO - celsius, 1e5, 42e5))


def unit(evaporating: float, superheat: float, condensing: float, subcooling: float) -> FieldReadings:
    return FieldReadings(
        running=True,
        suction_pressure=Measured(pressure(evaporating), 5e3),
        suction_temperature=Measured(evaporating + superheat + ZERO, 0.5),
        discharge_pressure=Measured(pressure(condensing), 1e4),
        liquid_temperature=Measured(condensing - subcooling + ZERO, 0.5),
        outdoor_temperature=Measured(32.0 + ZERO, 0.3),
    )


SOUND = unit(8.0, 9.0, 44.0, 6.0)


def diagnosed(now: FieldReadings, baseline: Baseline | None) -> Diagnosis:
    result = derive(REFRIGERANT, now, machine=ROOFTOP, condenser="air-cooled", baseline=baseline)
    return diagnose(Case(ROOFTOP, readings=result.readings, ran=True, want=RANKING_ONLY))


def first(answer: Diagnosis) -> set[str]:
    return {answer.modes[0].id, answer.causes[0].id}


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_is_named_first_against_the_baseline(fault: str) -> None:
    expected, readings = FAULTS[fault]
    assert expected in first(diagnosed(unit(*readings), Baseline(SOUND, same_instruments=True)))


def test_the_sound_unit_itself_is_accused_of_nothing() -> None:
    answer = diagnosed(SOUND, Baseline(SOUND, same_instruments=True))
    assert answer.verdict.leading == ()
    assert answer.causes[0].probability < 0.1


def test_the_baseline_is_worth_having() -> None:
    """It moves every true origin up; the usual ranges alone name fewer."""
    bare = [expected in first(diagnosed(unit(*readings), None)) for expected, readings in FAULTS.values()]
    assert sum(bare) < len(FAULTS)
