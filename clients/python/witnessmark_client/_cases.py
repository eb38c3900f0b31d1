"""The whole job."""

# mypy: disable-error-code="empty-body"
# The bodies of decorated methods are never run.
from __future__ import annotations

from witnessmark_client._base import Base, Json, R_co, System, posts


class Cases(Base[R_co]):
    """From a line of complaint to the restart gate."""

    @posts("/v1/cases")
    def work_case(self, *, case: Json, report_in: System | None = None, want: Json | None = None) -> R_co:
        """The whole job in one call: what follows from everything known of it, and what to ask next."""

    @posts("/v1/cases/questions")
    def ask_case(self, *, case: Json, most: int | None = None) -> R_co:
        """The next questions of a partial case, ready for a form."""
