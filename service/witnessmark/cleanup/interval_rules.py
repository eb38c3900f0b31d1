"""Printed intervals of the checks after a start, and what turnover times rest on. Data: `intervals.toml`."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from witnessmark import data
from witnessmark.cleanup.rows import KEYED, Figure, Grades, Identified, Positive, ShareFigure

TWO_WEEKS = "two-weeks"
"""Id of the check that a trend must not reach the limit before."""


class PrintedCheck(Identified):
    """A check: its printed interval, and after how many turnovers of charge or oil there is something to see."""

    hours: Annotated[float, Field(ge=0)]
    turnovers: Positive | None = None
    oil_turnovers: Positive | None = None
    grades: Grades
    what: str


def _with_two_weeks(checks: dict[str, PrintedCheck]) -> dict[str, PrintedCheck]:
    if TWO_WEEKS not in checks:
        raise ValueError(f"no check {TWO_WEEKS}")
    return checks


class IntervalRules(data.Row):
    """The file: shares in kg of oil per kg of refrigerant, the shortest time in minutes."""

    oil_circulation: ShareFigure
    shortest: Figure
    check: Annotated[dict[str, PrintedCheck], KEYED, AfterValidator(_with_two_weeks)]

    @property
    def two_weeks(self) -> float:
        """Hours of running until the last check."""
        return self.check[TWO_WEEKS].hours


INTERVALS = data.table(__package__, "intervals.toml", IntervalRules)
