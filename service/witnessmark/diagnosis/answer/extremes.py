"""Readings at which no machine runs for long: far over its rated current, about to burst, a deep vacuum."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from witnessmark.calculations.circuit.burst_pressure import bursting_from
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.diagnosis.case import CHILLER, Case
from witnessmark.diagnosis.catalogue.triage import ExtremeRow, triage
from witnessmark.refrigerants import saturation

CLEARLY_BELOW = 0.93
"""Share of the air pressure at sea level below which a gauge reads vacuum whatever the weather and its error: a good
two inches of mercury (expert estimate)."""


@dataclass(frozen=True, slots=True)
class Extreme:
    """A finding, and why a machine is stopped for the reading behind it, in the middle of a sentence.

    danger: people are in danger, whether it runs or not, and the rules of the finding fire.
    """

    finding: str
    reason: str
    danger: bool = False


def extremes(values: Mapping[str, Sequence[float]], case: Case, refrigerant: str | None = None) -> tuple[Extreme, ...]:
    """The rows of triage.toml that hold: by values in SI by field, of a note and of a case, or by derived readings.

    refrigerant: of the note; that of the case goes before. Of one that a row leaves out the row does not hold.
    """
    derived = {reading.quantity: (reading.value,) for reading in case.readings}
    known, fluid = {**derived, **values, **dict(case.values)}, case.refrigerant or refrigerant
    rows = (row for row in triage().extreme if _asked(row, case, fluid))
    return tuple(Extreme(row.finding, row.reason, row.danger) for row in rows if _holds(row, known, fluid))


def alarms(beyond: Sequence[Extreme]) -> tuple[str, ...]:
    """Findings of danger that readings tell as if somebody had said them."""
    return tuple(dict.fromkeys(one.finding for one in beyond if one.danger))


def heard(case: Case, beyond: Sequence[Extreme]) -> tuple[str, ...]:
    """Findings whose rules fire for readings: dangers, and what readings may show that prove nothing yet."""
    return tuple(dict.fromkeys((*alarms(beyond), *(doubt.heard for doubt in case.doubts if doubt.heard))))


def _asked(row: ExtremeRow, case: Case, refrigerant: str | None) -> bool:
    """Whether the row is about such a machine and such a refrigerant, and about one that stands if it does."""
    if refrigerant in row.except_for or (case.machine.drive or "") in row.unless_drive:
        return False
    told = refrigerant is not None
    by_fluid = row.bursting or row.in_vacuum or row.condensing or row.freezing
    of_fluid = not told if row.not_told else told or not by_fluid
    of_duty = not row.freezing or holds_water(case)
    return of_fluid and of_duty and (row.danger or not case.stood)


def holds_water(case: Case) -> bool:
    """Whether it is a chiller that cools water for comfort, and no brine, which may be colder than ice."""
    return CHILLER in case.circumstances and case.application == "air-conditioning"


def _holds(row: ExtremeRow, values: Mapping[str, Sequence[float]], refrigerant: str | None) -> bool:
    number = values.get(row.reading, ())
    value = sum(number) / len(number) if number else math.nan
    if row.over:
        whole = values.get(row.over, ())
        value = value / whole[0] if whole and whole[0] > 0 else math.nan
    least, most = _bounds(row, refrigerant)
    return least <= value <= most


def _bounds(row: ExtremeRow, refrigerant: str | None) -> tuple[float, float]:
    """From where to where the row holds, by the refrigerant where it goes by that."""
    if refrigerant and row.bursting:
        least = bursting_from(refrigerant, row.bursting)
        return (math.inf if least is None else least), math.inf
    if refrigerant and row.in_vacuum:
        return -math.inf, _vacuum(refrigerant, row.in_vacuum)
    if refrigerant and row.freezing:
        return -math.inf, evaporating_at(refrigerant, row.freezing)
    if refrigerant and row.condensing:
        return _condensing(refrigerant, row.condensing), math.inf
    return row.least, row.most


def _condensing(refrigerant: str, temperature: float) -> float:
    """The dew pressure there; infinite where it has none: such machines reject heat above their critical point."""
    if temperature > saturation.temperature_range(refrigerant)[1]:
        return math.inf
    return float(saturation.dew_pressure(refrigerant, temperature))


def evaporating_at(refrigerant: str, temperature: float) -> float:
    """The dew pressure there; none where it has no such temperature."""
    low, high = saturation.temperature_range(refrigerant)
    return float(saturation.dew_pressure(refrigerant, temperature)) if low <= temperature <= high else -math.inf


def _vacuum(refrigerant: str, coldest: float) -> float:
    """The pressure below which it is in vacuum and colder than it is usually evaporated."""
    low, high = saturation.temperature_range(refrigerant)
    reached = float(saturation.dew_pressure(refrigerant, min(max(coldest, low), high)))
    return min(reached, CLEARLY_BELOW * SEA_LEVEL_PRESSURE)
