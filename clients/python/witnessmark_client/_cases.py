"""The whole job."""

# mypy: disable-error-code="empty-body"
# The bodies of decorated methods are never run.
from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from witnessmark_client._base import Base, Json, R_co, System, posts


class Cases(Base[R_co]):
    """From a line of complaint to the restart gate."""

    @posts("/v1/cases")
    def work_case(self, *, case: Json, report_in: System | None = None, want: Json | None = None) -> R_co:
        """The whole job in one call: what follows from everything known of it, and what to ask next."""

    @posts("/v1/cases/questions")
    def ask_case(
        self, *, case: Json, most: int | None = None, language: Literal["en", "es", "pt"] | None = None
    ) -> R_co:
        """The next questions of a partial case, ready for a form."""

    @posts("/v1/cases/report")
    def report_case(
        self,
        *,
        case: Json,
        report_in: System | None = None,
        language: Literal["en", "es", "pt"] | None = None,
        paper: Literal["A4", "Letter"] | None = None,
        photographs: Sequence[Json] | None = None,
        accept: Literal["text/html", "text/markdown", "application/pdf"] = "text/html",
    ) -> R_co:
        """The report of a case: a page for the owner, the evidence for the warranty desk."""
