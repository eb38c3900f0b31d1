"""What the air outside makes of the readings: whether a heat pump heats, and a head that falls in the cold.

A heat pump that heats takes its heat from outside and condenses inside, so the outdoor air is not what its condenser
takes in. A machine that cools in the cold needs its head kept up: where that fails, the head falls with the air, the
expansion valve starves and the machine reads like one that is short of refrigerant.
"""

from __future__ import annotations

from witnessmark.calculations.circuit.superheat import saturation_temperature
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings
from witnessmark.diagnosis.evidence.reading_rules import RULES
from witnessmark.errors import InputError

COLD_HEAD = ("head", "falls-in-the-cold")
"""The context of a machine whose head has fallen in the cold."""
_OVER = "condensing-over-ambient"


def heats(facts: Facts, g: FieldReadings) -> bool:
    """Whether a heat pump heats: outside it is cold, it evaporates below that air and condenses as warm as a room."""
    rule, outdoor = RULES().season, g.outdoor_temperature
    if not facts.heat_pump or outdoor is None or outdoor.value > rule.heating:
        return False
    evaporating, condensing = (_saturation(facts, p) for p in (g.suction_pressure, g.discharge_pressure))
    return evaporating is not None and condensing is not None and evaporating < outdoor.value and condensing > rule.room


def cold_head(case: Case) -> bool:
    """Whether it condenses far colder than a machine without control of its head may, with cold air at its condenser.

    Of low stages and of carbon dioxide that is no sign: they condense cold by design.
    """
    rule = RULES().season
    outdoor = dict(case.values).get("outdoor_temperature")
    over = next((reading.value for reading in case.readings if reading.quantity == _OVER), None)
    if outdoor is None or over is None or case.refrigerant in RULES().lifted.stages:
        return False
    return outdoor[0] < rule.cold and outdoor[0] + over < rule.head


def _saturation(facts: Facts, pressure: Measured | None) -> float | None:
    """Dew temperature, K; None where it is not known."""
    if facts.refrigerant is None or pressure is None:
        return None
    try:
        return saturation_temperature(facts.refrigerant, pressure, "dew").value
    except InputError:
        return None
