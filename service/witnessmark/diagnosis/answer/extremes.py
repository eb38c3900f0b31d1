"""Readings at which no machine runs for long: far over its rated current, near its bursting point, a deep vacuum."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.triage import ExtremeRow, triage


@dataclass(frozen=True, slots=True)
class Extreme:
    """A finding, and why a running machine is stopped for the reading behind it, in the middle of a sentence."""

    finding: str
    reason: str


def extremes(values: Mapping[str, Sequence[float]], case: Case, refrigerant: str | None = None) -> tuple[Extreme, ...]:
    """The rows of triage.toml that hold: by values of a note in SI by field, or by derived readings of a case.

    refrigerant: where it is one that a row leaves out, the row does not hold.
    """
    derived = {reading.quantity: (reading.value,) for reading in case.readings}
    drive = case.machine.drive or ""
    rows = (r for r in triage().extreme if refrigerant not in r.except_for and drive not in r.unless_drive)
    return tuple(Extreme(row.finding, row.reason) for row in rows if _holds(row, {**derived, **values}))


def _holds(row: ExtremeRow, values: Mapping[str, Sequence[float]]) -> bool:
    number = values.get(row.reading, ())
    value = sum(number) / len(number) if number else math.nan
    if row.over:
        whole = values.get(row.over, ())
        value = value / whole[0] if whole and whole[0] > 0 else math.nan
    return row.least <= value <= row.most
