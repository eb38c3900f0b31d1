"""Sound machines of the usual refrigerants and duties, as readings at the compressor.

Evaporating and condensing temperatures, superheat and subcooling are those of ordinary machines on cool, warm and hot
days (common practice); pressures are saturation, the discharge is what such a compressor makes of the gas, held to
100 °C where injection or a fan is usual. Ammonia and transcritical carbon dioxide: ordinary plants (memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from witnessmark.calculations.compressor.compression import CompressorReadings, RunningCompressor, assess
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.refrigerants import saturation
from witnessmark.vocabulary import Compressor

DAYS: Mapping[str, Mapping[str, float]] = {
    "air-conditioning": {"cool": 31.0, "warm": 43.0, "hot": 57.0},
    "medium-temperature": {"cool": 24.0, "warm": 38.0, "hot": 52.0},
    "low-temperature": {"cool": 22.0, "warm": 36.0, "hot": 50.0},
}
"""Condensing temperature, °C, by duty and day; the air is 12 K below it."""
EVAPORATING = {"air-conditioning": 6.0, "medium-temperature": -9.0, "low-temperature": -31.0}
USED = {
    "air-conditioning": ("R-22", "R-134a", "R-407C", "R-410A", "R-32", "R-454B", "R-290"),
    "medium-temperature": ("R-22", "R-134a", "R-404A", "R-407C", "R-448A", "R-290", "R-600a"),
    "low-temperature": ("R-22", "R-404A", "R-448A", "R-290"),
}
_INJECTED = 373.15
_ZERO = 273.15
_BAR = 1e5
PLANTS = (
    # name, refrigerant, suction bar, suction °C, discharge bar, discharge °C, air or water °C
    ("ammonia, cold store, warm day", "R-717", 2.9, -4.0, 13.5, 118.0, 24.0),
    ("ammonia, cold store, hot day", "R-717", 2.4, -5.0, 15.5, 138.0, 29.0),
    ("ammonia, cold store, water-cooled heads", "R-717", 2.4, -5.0, 12.0, 120.0, 22.0),
    ("ammonia, booster in vacuum", "R-717", 0.72, -30.0, 2.9, 82.0, None),
    ("ammonia, high stage", "R-717", 2.9, -7.0, 13.0, 112.0, 22.0),
    ("ammonia, flooded chiller, no superheat", "R-717", 4.4, 0.5, 12.5, 88.0, 24.0),
    ("carbon dioxide, transcritical, warm day", "R-744", 29.0, 5.0, 86.0, 105.0, 30.0),
    ("carbon dioxide, transcritical, hot day", "R-744", 29.0, 8.0, 100.0, 124.0, 36.0),
    ("carbon dioxide, transcritical, very hot day", "R-744", 29.0, 8.0, 118.0, 133.0, 40.0),
    ("carbon dioxide, subcritical, cold day", "R-744", 28.0, 2.0, 55.0, 68.0, 5.0),
    ("carbon dioxide, heat pump for water", "R-744", 35.0, 8.0, 95.0, 95.0, None),
    ("carbon dioxide, low stage", "R-744", 14.0, -18.0, 29.0, 58.0, None),
    ("carbon dioxide, cascade", "R-744", 12.0, -20.0, 33.0, 72.0, None),
    ("R-134a heat pump for hot water", "R-134a", 3.5, 12.0, 22.0, 96.0, None),
    ("R-290 heat pump for hot water", "R-290", 4.7, 6.0, 26.5, 98.0, None),
    ("R-410A in the desert", "R-410A", 11.0, 16.0, 36.5, 100.0, 46.0),
    ("R-134a chiller on cool water", "R-134a", 3.6, 12.0, 7.7, 58.0, 22.0),
    ("R-404A freezer pumping down", "R-404A", 1.25, 2.0, 15.0, 95.0, 22.0),
)


@dataclass(frozen=True, slots=True)
class Sound:
    """One sound machine. condenser: what cools it where it is not air."""

    name: str
    refrigerant: str
    machine: Machine
    low_temperature: bool
    readings: FieldReadings


def sound_machines() -> Iterator[Sound]:
    """All of them."""
    for duty, refrigerants in USED.items():
        for refrigerant in refrigerants:
            for day, condensing in DAYS[duty].items():
                yield _machine(refrigerant, duty, day, condensing)
    for name, refrigerant, low, line, high, hot, outdoor in PLANTS:
        yield _plant(name, refrigerant, (low, line), (high, hot), outdoor)


def _machine(refrigerant: str, duty: str, day: str, condensing: float) -> Sound:
    kind: Compressor = "scroll" if duty == "air-conditioning" else "reciprocating"
    low = float(saturation.dew_pressure(refrigerant, EVAPORATING[duty] + _ZERO))
    high = float(saturation.bubble_pressure(refrigerant, condensing + _ZERO))
    gas = EVAPORATING[duty] + _ZERO + 9.0
    made = _discharge(refrigerant, kind, (low, gas, high))
    outdoor = condensing - 12.0 + _ZERO
    readings = FieldReadings(
        running=True,
        suction_pressure=Measured(low, 5e3),
        suction_temperature=Measured(gas, 0.7),
        discharge_pressure=Measured(high, 1.5e4),
        discharge_temperature=Measured(min(made, _INJECTED), 1.2),
        liquid_temperature=Measured(condensing + _ZERO - 6.0, 0.7),
        outdoor_temperature=Measured(outdoor, 0.6),
        running_current=Measured(9.4, 0.3),
        rated_current=Measured(12.0),
        line_currents=(Measured(9.4, 0.3), Measured(9.2, 0.3), Measured(9.5, 0.3)),
        line_voltages=(Measured(402.0, 2.0), Measured(404.0, 2.0), Measured(401.0, 2.0)),
        rated_voltage=Measured(400.0),
    )
    machine = Machine(kind, "low-side", "fixed-speed", "hermetic", "three-phase")
    return Sound(f"{refrigerant} {duty} {day}", refrigerant, machine, duty == "low-temperature", readings)


def _discharge(refrigerant: str, kind: Compressor, state: tuple[float, float, float]) -> float:
    """What such a compressor makes of the gas, K."""
    low, gas, high = (Measured(value) for value in state)
    numbers = assess(refrigerant, CompressorReadings(low, high, gas), RunningCompressor(kind)).numbers
    assert numbers.expected_discharge_temperature is not None
    return numbers.expected_discharge_temperature.value


def _plant(
    name: str, refrigerant: str, suction: tuple[float, float], discharge: tuple[float, float], outdoor: float | None
) -> Sound:
    readings = FieldReadings(
        running=True,
        suction_pressure=Measured(suction[0] * _BAR, 5e3),
        suction_temperature=Measured(suction[1] + _ZERO, 0.7),
        discharge_pressure=Measured(discharge[0] * _BAR, 2e4),
        discharge_temperature=Measured(discharge[1] + _ZERO, 1.2),
        outdoor_temperature=None if outdoor is None else Measured(outdoor + _ZERO, 0.6),
        running_current=Measured(40.0, 1.0),
        rated_current=Measured(52.0),
    )
    kind = "open-drive" if refrigerant == "R-717" else "semi-hermetic"
    machine = Machine("reciprocating", None, "fixed-speed", kind, "three-phase")  # type: ignore[arg-type]
    return Sound(name, refrigerant, machine, low_temperature=False, readings=readings)
