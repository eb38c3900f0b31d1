"""The log of a machine: what happened before it failed."""

# mypy: disable-error-code="empty-body"
# The bodies of decorated methods are never run.
from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from witnessmark_client._base import Base, Json, R_co, System, posts
from witnessmark_client._quantities import Site


class Trend(Base[R_co]):
    """The log of a machine: what happened before it failed."""

    @posts("/v1/trend-log")
    def trend_log(
        self,
        *,
        refrigerant: str,
        log: Json,
        time_column: str,
        columns: Sequence[Json],
        site: Site | None = None,
        report_in: System | None = None,
        time_form: Literal["iso", "day-first", "month-first", "epoch-seconds", "epoch-milliseconds"] | None = None,
        time_zone: str | None = None,
        machine: Json | None = None,
        envelope: Sequence[Json] | None = None,
        want: Json | None = None,
    ) -> R_co:
        """What happened before: episodes in the log of a machine."""
