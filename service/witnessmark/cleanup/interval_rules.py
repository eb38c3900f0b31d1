"""Printed intervals of the checks after a start, and what turnover times rest on. Data: `intervals.toml`."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import AfterValidator, Field, model_validator

from witnessmark import data
from witnessmark.cleanup.rows import KEYED, RISING, Figure, Grades, Identified, Positive, ShareFigure, Sourced
from witnessmark.reference import SourceId

FIRST, CORE_OUT, TWO_WEEKS = "first-drop", "day-3", "two-weeks"
"""Ids of the checks that follow a new core, that a temporary one must not outlast, that no trend may cross before."""


Hours = Annotated[float, Field(ge=0)]


class PrintedCheck(Identified):
    """A check: its printed time and window, h; after how many turnovers of charge or oil there is something to see.

    without_core: title and work where no suction core is fitted. only_core: there is none then. without_filter,
    only_filter: the same where neither suction nor liquid line has a filter or drier.
    """

    title: str
    hours: Hours
    window: tuple[Hours, Hours]
    window_source: SourceId
    turnovers: Positive | None = None
    oil_turnovers: Positive | None = None
    grades: Grades
    needs_lock: bool = False
    only_core: bool = False
    only_filter: bool = False
    what: str
    without_core: tuple[str, str] | None = None
    without_filter: tuple[str, str] | None = None

    @model_validator(mode="after")
    def _printed_time_inside(self) -> Self:
        if not self.window[0] <= self.hours <= self.window[1]:
            raise ValueError("hours must lie in the window")
        return self

    def of(self, *, cores: bool, line_filters: bool = True) -> Self:
        """The check of a circuit with or without a suction core, or without any filter in its lines."""
        told = None if cores else self.without_core if line_filters else self.without_filter or self.without_core
        if told is None:
            return self
        title, what = told
        return self.model_copy(update={"title": title, "what": what})


class WorkingTime(Sourced):
    """When people work: hours of the day, from and to, and days of the week, Monday is 0."""

    hours: Annotated[tuple[int, int], RISING]
    days: frozenset[Annotated[int, Field(ge=0, le=6)]]


class SampleTexts(Sourced):
    """How to test for acid: oil can be drawn, it cannot, or nobody said; of ammonia no acid kit is meant."""

    oil: str
    ammonia: str
    refrigerant: str
    either: str


def _with_known_checks(checks: dict[str, PrintedCheck]) -> dict[str, PrintedCheck]:
    if missing := {FIRST, CORE_OUT, TWO_WEEKS} - {*checks}:
        raise ValueError(f"no check {', '.join(sorted(missing))}")
    return checks


class IntervalRules(data.Row):
    """The file: shares in kg of oil per kg of refrigerant, the shortest time in minutes."""

    oil_circulation: ShareFigure
    shortest: Figure
    working: WorkingTime
    sample: SampleTexts
    check: Annotated[dict[str, PrintedCheck], KEYED, AfterValidator(_with_known_checks)]

    def hours(self, check: str) -> float:
        """Hours of running until that check; KeyError."""
        return self.check[check].hours


INTERVALS = data.table(__package__, "intervals.toml", IntervalRules)
