"""Logs to start from."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from tests.cleanup.units import PSI

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.log_readings import FilterLogCase, FilterReading

START = datetime(2026, 6, 1, 8, tzinfo=UTC)
Row = tuple[float, float, float]


def readings(rows: Sequence[Row], **first: Any) -> tuple[FilterReading, ...]:
    """(hours, share, psi) a row; `first` goes to the first reading."""
    made = [
        FilterReading(START + timedelta(hours=hours), Measured(psi * PSI, 700.0), share) for hours, share, psi in rows
    ]
    first = {"new_core": True, **first}
    return (FilterReading(made[0].at, made[0].drop, made[0].flow_share, **first), *made[1:])


def log(rows: Sequence[Row], **changes: Any) -> FilterLogCase:
    """A log of R-410A with a new core at its start."""
    first = changes.pop("first", {})
    given = {
        "readings": readings(rows, **first),
        "time_zone": "Europe/Madrid",
        "oil": "POE",
        "suction_superheat": 8.0,
        **changes,
    }
    return FilterLogCase("R-410A", 277.6, **given)


def clean_log(rows: Sequence[Row], **changes: Any) -> FilterLogCase:
    """The same with a good oil sample beside every reading."""
    made = log(rows, **changes)
    good = tuple(replace(r, acid_test="negative", colour=2.0) for r in made.readings)
    return replace(made, readings=good)
