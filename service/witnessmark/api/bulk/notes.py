"""What stands once for all rows: counts, assumptions, cautions and sources."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from witnessmark.api.bulk.calculations import Notes
from witnessmark.api.context import RequestContext

MOST_ASSUMPTIONS = 50


def written(notes: Notes, rows: int, errors: Mapping[str, int]) -> dict[str, Any]:
    """As JSON. errors: rows that have one, by code."""
    context = RequestContext()
    for text in list(notes.assumptions)[:MOST_ASSUMPTIONS]:
        context.assume(text)
    if len(notes.assumptions) > MOST_ASSUMPTIONS:
        context.assume("More was assumed than is listed here: ask for one row alone.")
    context.warn(*notes.cautions)
    context.cite(*notes.sources)
    beside = {name: _plain(part) for name, part in context.notes().items()}
    return {"rows": rows, "failed": sum(errors.values()), "errors": dict(errors), **beside}


def _plain(part: Any) -> Any:
    if isinstance(part, list):
        return [_plain(one) for one in part]
    return part.model_dump(mode="json") if hasattr(part, "model_dump") else part
