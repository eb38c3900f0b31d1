"""Many rows at once, and how much of anything the service takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from witnessmark_client._base import Base, R_co, System
from witnessmark_client._protocol import Call, segment, without_none


class Bulk(Base[R_co]):
    """Many rows at once."""

    def bulk(
        self,
        calculation: str,
        *,
        columns: Mapping[str, Sequence[Any]],
        report_in: System | None = None,
        keep: str | None = None,
        first_row: int | None = None,
        same: Mapping[str, str] | None = None,
    ) -> R_co:
        """Many rows through one calculation, as columns (`{"pressure[psig]": [118, 120]}`), some thousands at a time.

        keep: names of columns that come back as they are, separated by commas; first_row: number of the first row;
        same: what holds for every row, by the name of its column. For files: `witnessmark-client bulk`.
        """
        query = {
            **(same or {}),
            **without_none(report_in=report_in, keep=keep, first_row=None if first_row is None else str(first_row)),
        }
        path = f"/v1/bulk/{segment(calculation)}"
        return self._perform(Call("POST", path, body={"columns": dict(columns)}, query=query))

    def describe_bulk(self, calculation: str) -> R_co:
        """The columns of a calculation over rows."""
        return self._get(f"/v1/bulk/{segment(calculation)}")

    def limits(self) -> R_co:
        """How much the service takes."""
        return self._get("/v1/limits")
