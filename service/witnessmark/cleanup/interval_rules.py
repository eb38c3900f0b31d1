"""Printed intervals of the checks after a start, and what turnover times rest on. Data: `intervals.toml`."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from witnessmark import data
from witnessmark.cleanup.rows import KEYED, Figure, Grades, Identified, Positive, ShareFigure

FIRST, CORE_OUT, TWO_WEEKS = "first-drop", "day-3", "two-weeks"
"""Ids of the checks that follow a new core, that a temporary one must not outlast, that no trend may cross before."""


class PrintedCheck(Identified):
    """A check: its printed interval, and after how many turnovers of charge or oil there is something to see."""

    hours: Annotated[float, Field(ge=0)]
    turnovers: Positive | None = None
    oil_turnovers: Positive | None = None
    grades: Grades
    what: str


def _with_two_weeks(checks: dict[str, PrintedCheck]) -> dict[str, PrintedCheck]:
    if missing := {FIRST, CORE_OUT, TWO_WEEKS} - {*checks}:
        raise ValueError(f"no check {', '.join(sorted(missing))}")
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

    @property
    def first(self) -> float:
        """Hours of running until the first look at a new core."""
        return self.check[FIRST].hours

    @property
    def core_out(self) -> float:
        """Hours of running after which a temporary core is overdue."""
        return self.check[CORE_OUT].hours


INTERVALS = data.table(__package__, "intervals.toml", IntervalRules)
